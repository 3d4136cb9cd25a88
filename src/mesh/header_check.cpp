#include "mesh/header_check.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <optional>
#include <vector>

namespace seamwright {
namespace {

constexpr std::array kTypes{"char",  "uchar",  "short",   "ushort", "int",   "uint",
                            "float", "double", "int8",    "uint8",  "int16", "uint16",
                            "int32", "uint32", "float32", "float64"};

std::vector<std::string_view> words_of(std::string_view line) {
  std::vector<std::string_view> words;
  for (std::size_t at = line.find_first_not_of(" \t\r"); at != std::string_view::npos;) {
    const std::size_t end = std::min(line.find_first_of(" \t\r", at), line.size());
    words.push_back(line.substr(at, end - at));
    at = line.find_first_not_of(" \t\r", end);
  }
  return words;
}

bool is_type(std::string_view word) {
  return std::find(kTypes.begin(), kTypes.end(), word) != kTypes.end();
}

std::optional<std::size_t> count_of(std::string_view word) {
  std::size_t value = 0;
  const auto [end, fault] = std::from_chars(word.data(), word.data() + word.size(), value);
  if (fault == std::errc::result_out_of_range) return std::numeric_limits<std::size_t>::max();
  if (fault != std::errc{} || end != word.data() + word.size()) return std::nullopt;
  return value;
}

bool is_ply_line(const std::vector<std::string_view>& words) {
  if (words.empty()) return true;
  const std::string_view first = words[0];
  if (first == "comment" || first == "obj_info") return true;
  if (first == "format") {
    return words.size() >= 2 && (words[1] == "ascii" || words[1].starts_with("binary_"));
  }
  if (first == "element") return words.size() == 3 && count_of(words[2]).has_value();
  if (first != "property") return false;
  if (words.size() == 3) return is_type(words[1]);
  return words.size() == 5 && words[1] == "list" && is_type(words[2]) && is_type(words[3]);
}

Error lying_count(std::string_view claimed, std::size_t size, const std::string& name) {
  return {"file-truncated",
          fmt::format(
              "{} says in its header that it holds {} elements, but it has only {} bytes. Copy or "
              "export it again.",
              name, claimed, size)};
}

}  // namespace

Status check_ply_header(std::string_view bytes, const std::string& name) {
  std::size_t number = 0;
  for (std::size_t at = 0; at < bytes.size(); ++number) {
    const std::size_t end = std::min(bytes.find('\n', at), bytes.size());
    const std::vector<std::string_view> words = words_of(bytes.substr(at, end - at));
    at = end + 1;
    if (words.size() == 1 && words[0] == "end_header") return ok();
    if (number == 0) continue;  // "ply", which told the kind
    if (!is_ply_line(words)) {
      return Error{
          "file-malformed",
          fmt::format("{}, line {}: that is no line of a PLY header. Export the part again.", name,
                      number + 1)};
    }
    if (words.size() == 3 && words[0] == "element" && *count_of(words[2]) > bytes.size()) {
      return lying_count(words[2], bytes.size(), name);
    }
  }
  return Error{"file-truncated",
               fmt::format("{} stops inside its PLY header, at line {}. Copy or export it again.",
                           name, number)};
}

Status check_off_header(std::string_view bytes, const std::string& name) {
  std::vector<std::string_view> words;
  for (std::size_t at = 0; at < bytes.size() && words.size() < 3;) {
    const std::size_t end = std::min(bytes.find('\n', at), bytes.size());
    const std::string_view line = bytes.substr(at, end - at);
    const std::vector<std::string_view> more = words_of(line.substr(0, line.find('#')));
    words.insert(words.end(), more.begin(), more.end());
    at = end + 1;
  }
  if (words.size() < 3 || words[1] == "BINARY") {
    return Error{
        "file-malformed",
        fmt::format("{} has no counts of points and faces after \"OFF\" (binary OFF is not read). "
                    "Export the part as text or as STL.",
                    name)};
  }
  for (std::size_t i : {1, 2}) {
    const std::optional<std::size_t> count = count_of(words[i]);
    if (!count) {
      return Error{"file-malformed",
                   fmt::format("{}: \"{}\" is no count of {}. Export the part again.", name,
                               words[i].substr(0, 24), i == 1 ? "points" : "faces")};
    }
    if (*count > bytes.size()) return lying_count(words[i], bytes.size(), name);
  }
  return ok();
}

}  // namespace seamwright
