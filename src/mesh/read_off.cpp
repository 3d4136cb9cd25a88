#include "mesh/soup_builder.h"
#include "mesh/text_faults.h"
#include "mesh/text_meshes.h"

namespace seamwright {
namespace {

class OffReader {
 public:
  OffReader(std::string_view text, const std::string& name)
      : text_(text), lines_(text), name_(name), builder_(text.size() / 100 + 16) {}

  Result<TriangleSoup> read() {
    if (Status counts = read_counts(); !counts) return counts.error();
    std::vector<VertexId> points;
    for (std::size_t i = 0; i < point_count_; ++i) {
      if (!next_row())
        return cut_short(name_, lines_.line(),
                         fmt::format("{} of {} points are there", i, point_count_));
      const Result<Vec3> p = take_point(row_, name_, lines_.line());
      if (!p) return p.error();
      points.push_back(builder_.add_point(*p));
    }
    for (std::size_t i = 0; i < face_count_; ++i) {
      if (!next_row())
        return cut_short(name_, lines_.line(),
                         fmt::format("{} of {} faces are there", i, face_count_));
      if (Status face = read_face(points); !face) return face.error();
    }
    if (!builder_.has_faces()) return no_faces(name_);
    return builder_.take();
  }

 private:
  bool next_row() {
    while (lines_.next()) {
      row_ = lines_.here();
      if (row_.find_first_not_of(" \t\r") != std::string_view::npos) return true;
    }
    return false;
  }

  /// The word OFF, then the counts of points, faces and edges, on the same line or the next.
  Status read_counts() {
    if (!next_row()) return cut_short(name_, 1, "the word OFF is missing");
    const std::string_view magic = take_word(row_);
    if (magic.starts_with("4") || magic.find("n") != std::string_view::npos ||
        row_.find("BINARY") != std::string_view::npos) {
      return malformed_line(
          name_, lines_.line(),
          fmt::format(
              "\"{}\" is a kind of OFF that is not read (binary, or not in three dimensions)",
              shown_word(lines_.here())));
    }
    if (row_.find_first_not_of(" \t\r") == std::string_view::npos && !next_row())
      return cut_short(name_, lines_.line(), "the counts are missing");
    for (std::size_t* count : {&point_count_, &face_count_}) {
      const std::string_view word = take_word(row_);
      const std::optional<long long> value = integer_in(word);
      if (!value || *value < 0)
        return malformed_line(name_, lines_.line(),
                              fmt::format("\"{}\" is no count", shown_word(word)));
      *count = static_cast<std::size_t>(*value);
    }
    // Every row takes two bytes at least, so that a larger count is a lie.
    if (point_count_ > text_.size() / 2 || face_count_ > text_.size() / 2 ||
        point_count_ + face_count_ > text_.size() / 2) {
      return cut_short(name_, lines_.line(),
                       fmt::format("{} points and {} faces don't fit in {} bytes", point_count_,
                                   face_count_, text_.size()));
    }
    return ok();
  }

  Status read_face(const std::vector<VertexId>& points) {
    const std::string_view word = take_word(row_);
    const std::optional<long long> count = integer_in(word);
    if (!count || *count < 1)
      return malformed_line(name_, lines_.line(),
                            fmt::format("\"{}\" is no count of corners", shown_word(word)));
    polygon_.clear();
    for (long long k = 0; k < *count; ++k) {
      const std::string_view corner = take_word(row_);
      const std::optional<long long> index = integer_in(corner);
      if (!index) return no_number(name_, lines_.line(), corner);
      if (*index < 0 || *index >= static_cast<long long>(points.size()))
        return no_such_point(name_, lines_.line(), corner, points.size());
      polygon_.push_back(points[static_cast<std::size_t>(*index)]);
    }
    if (polygon_.size() >= 3) builder_.add_face(polygon_);
    return ok();
  }

  std::string_view text_;
  TextLines lines_;
  const std::string& name_;
  SoupBuilder builder_;
  std::string_view row_;
  std::size_t point_count_ = 0, face_count_ = 0;
  std::vector<VertexId> polygon_;
};

}  // namespace

Result<TriangleSoup> read_off(std::string_view text, const std::string& name) {
  return OffReader(text, name).read();
}

}  // namespace seamwright
