#include "mesh/stl_text.h"

#include <fmt/format.h>

#include <cmath>

#include "mesh/point_table.h"
#include "mesh/text_lines.h"

namespace seamwright {
namespace {

/// Words of a text, with the line of the last one.
class Words {
 public:
  explicit Words(std::string_view text) : text_(text) {}

  /// The next word; empty at the end of the text.
  std::string_view next() {
    while (at_ < text_.size() && is_space(text_[at_])) step();
    const std::size_t from = at_;
    while (at_ < text_.size() && !is_space(text_[at_])) ++at_;
    return text_.substr(from, at_ - from);
  }
  void skip_line() {
    while (at_ < text_.size() && text_[at_] != '\n') ++at_;
  }
  std::size_t line() const { return line_; }

 private:
  static bool is_space(char c) { return c == ' ' || (c >= '\t' && c <= '\r'); }
  void step() {
    if (text_[at_++] == '\n') ++line_;
  }
  std::string_view text_;
  std::size_t at_ = 0;
  std::size_t line_ = 1;
};

bool same_word(std::string_view word, std::string_view lower_case) {
  if (word.size() != lower_case.size()) return false;
  for (std::size_t i = 0; i < word.size(); ++i) {
    const char c = word[i] >= 'A' && word[i] <= 'Z' ? static_cast<char>(word[i] + 32) : word[i];
    if (c != lower_case[i]) return false;
  }
  return true;
}

class StlText {
 public:
  StlText(std::string_view text, const std::string& name)
      : words_(text), name_(name), table_(text.size() / 500 + 16) {}

  Result<TriangleSoup> read() {
    std::string_view word = words_.next();
    if (!same_word(word, "solid")) return unexpected(word, "solid");
    words_.skip_line();
    for (word = words_.next(); !word.empty(); word = words_.next()) {
      if (same_word(word, "facet")) {
        if (Status facet = read_facet(); !facet) return facet.error();
      } else if (same_word(word, "solid") || same_word(word, "endsolid")) {
        is_ended_ = same_word(word, "endsolid");
        words_.skip_line();
      } else {
        return unexpected(word, "facet or endsolid");
      }
    }
    return finished();
  }

 private:
  Result<TriangleSoup> finished() {
    if (triangles_.empty()) {
      return Error{"no-faces",
                   fmt::format("{} is an STL text file without any facet. Export the part "
                               "again as a mesh.",
                               name_)};
    }
    if (!is_ended_) {
      return Error{
          "file-truncated",
          fmt::format(
              "{} stops at line {} without \"endsolid\", after {} facets: the end is "
              "missing. Copy or export it again (if it is whole, add a last line \"endsolid\").",
              name_, words_.line(), triangles_.size())};
    }
    TriangleSoup soup;
    soup.points.reserve(table_.keys().size());
    for (const auto& key : table_.keys()) soup.points.push_back({key[0], key[1], key[2]});
    soup.triangles = std::move(triangles_);
    return soup;
  }

  Status read_facet() {
    is_ended_ = false;
    if (Status words = expect("normal"); !words) return words;
    for (int i = 0; i < 3; ++i) {
      if (words_.next().empty()) return ended();
    }
    if (Status words = expect("outer"); !words) return words;
    if (Status words = expect("loop"); !words) return words;
    Triangle corners;
    for (VertexId& corner : corners) {
      if (Status read = read_vertex(corner); !read) return read;
    }
    if (Status words = expect("endloop"); !words) return words;
    if (Status words = expect("endfacet"); !words) return words;
    triangles_.push_back(corners);
    return ok();
  }

  Status read_vertex(VertexId& corner) {
    if (Status word = expect("vertex"); !word) return word;
    PointTable<double>::Key at{};
    for (double& value : at) {
      const std::string_view word = words_.next();
      if (word.empty()) return ended();
      const std::optional<double> number = number_in(word);
      if (!number) return unexpected(word, "a number");
      value = *number;
      if (!std::isfinite(value)) return not_finite(word);
    }
    corner = to_id<VertexId>(table_.number_of(at));
    return ok();
  }

  Status expect(std::string_view wanted) {
    const std::string_view word = words_.next();
    if (same_word(word, wanted)) return ok();
    return word.empty() ? ended() : unexpected(word, wanted);
  }
  Error unexpected(std::string_view word, std::string_view wanted) const {
    return {
        "file-malformed",
        fmt::format("{}, line {}: \"{}\" stands where STL text has {}. Export the part again, as "
                    "binary STL if you can.",
                    name_, words_.line(), shown_word(word), wanted)};
  }
  Error not_finite(std::string_view word) const {
    return {"file-not-finite",
            fmt::format("{}, line {}: the coordinate \"{}\" is not a finite number. "
                        "Repair or delete that face and export the part again.",
                        name_, words_.line(), shown_word(word))};
  }
  Error ended() const {
    return {"file-truncated",
            fmt::format(
                "{} stops at line {} in the middle of facet {}: the end is missing. Copy or export "
                "it again.",
                name_, words_.line(), triangles_.size() + 1)};
  }

  Words words_;
  const std::string& name_;
  PointTable<double> table_;
  std::vector<Triangle> triangles_;
  bool is_ended_ = false;
};

}  // namespace

Result<TriangleSoup> read_stl_text(std::string_view text, const std::string& name) {
  return StlText(text, name).read();
}

}  // namespace seamwright
