#pragma once

#include <algorithm>
#include <charconv>
#include <cmath>
#include <limits>
#include <optional>
#include <string>
#include <string_view>
#include <system_error>
#include <vector>

namespace seamwright {

/// A text line by line, `#` comments taken off.
class TextLines {
 public:
  explicit TextLines(std::string_view text, std::size_t start = 0, std::size_t line = 0)
      : text_(text), at_(start), line_(line) {}

  /// Moves to the next line; false at the end.
  bool next() {
    if (at_ >= text_.size()) return false;
    const std::size_t end = std::min(text_.find('\n', at_), text_.size());
    here_ = text_.substr(at_, end - at_);
    here_ = here_.substr(0, here_.find('#'));
    if (!here_.empty() && here_.back() == '\r') here_.remove_suffix(1);
    at_ = end + 1;
    ++line_;
    return true;
  }
  std::string_view here() const { return here_; }
  std::size_t line() const { return line_; }
  std::size_t offset() const { return std::min(at_, text_.size()); }

 private:
  std::string_view text_;
  std::string_view here_;
  std::size_t at_ = 0, line_ = 0;
};

/// Takes the next word off the front of a line; empty at its end.
inline std::string_view take_word(std::string_view& line) {
  const std::size_t start = line.find_first_not_of(" \t\r\f\v");
  if (start == std::string_view::npos) return line = {};
  const std::size_t end = std::min(line.find_first_of(" \t\r\f\v", start), line.size());
  const std::string_view word = line.substr(start, end - start);
  line.remove_prefix(end);
  return word;
}

/// The whole word as a number; infinite when it is too large, nothing when it is none.
inline std::optional<double> number_in(std::string_view word) {
  if (word.starts_with('+')) word.remove_prefix(1);
  double value = 0;
  const auto [end, fault] = std::from_chars(word.data(), word.data() + word.size(), value);
  if (end != word.data() + word.size() || word.empty()) return std::nullopt;
  if (fault == std::errc::result_out_of_range) {
    // One code for both ends of the range: a tiny number is as good as zero.
    const std::size_t e = word.find_first_of("eE");
    const bool is_tiny = e != std::string_view::npos && e + 1 < word.size() && word[e + 1] == '-';
    return is_tiny ? 0.0 : std::numeric_limits<double>::infinity();
  }
  if (fault != std::errc{}) return std::nullopt;
  return value;
}

inline std::optional<long long> integer_in(std::string_view word) {
  if (word.starts_with('+')) word.remove_prefix(1);
  long long value = 0;
  const auto [end, fault] = std::from_chars(word.data(), word.data() + word.size(), value);
  if (fault != std::errc{} || end != word.data() + word.size() || word.empty()) return std::nullopt;
  return value;
}

/// A word as a message shows it: bytes that are no printable text are dots.
inline std::string shown_word(std::string_view word) {
  std::string out(word.substr(0, 24));
  for (char& c : out) {
    if (c < 32 || c > 126) c = '.';
  }
  return word.size() > 24 ? out + "…" : out;
}

}  // namespace seamwright
