#include "mesh/soup_builder.h"
#include "mesh/text_faults.h"
#include "mesh/text_meshes.h"

namespace seamwright {
namespace {

class ObjReader {
 public:
  ObjReader(std::string_view text, const std::string& name)
      : lines_(text), name_(name), builder_(text.size() / 100 + 16) {}

  Result<TriangleSoup> read() {
    while (next_statement()) {
      std::string_view rest = statement_;
      const std::string_view keyword = take_word(rest);
      if (keyword == "v") {
        const Result<Vec3> p = take_point(rest, name_, lines_.line());
        if (!p) return p.error();
        points_.push_back(builder_.add_point(*p));
      } else if (keyword == "f") {
        if (Status face = read_face(rest); !face) return face.error();
      } else if (keyword == "g" || keyword == "o") {
        group_ = trimmed(rest);
        is_new_group_ = true;
      } else if (keyword == "usemtl") {
        material_ = trimmed(rest);
        is_new_group_ = true;
      }
    }
    if (!builder_.has_faces()) return no_faces(name_);
    return builder_.take();
  }

 private:
  /// The next line, with those that a backslash joins to it.
  bool next_statement() {
    if (!lines_.next()) return false;
    statement_ = std::string(lines_.here());
    while (!statement_.empty() && statement_.back() == '\\') {
      statement_.back() = ' ';
      if (!lines_.next()) break;
      statement_ += lines_.here();
    }
    return true;
  }

  static std::string trimmed(std::string_view text) {
    const std::size_t start = text.find_first_not_of(" \t");
    if (start == std::string_view::npos) return {};
    return std::string(text.substr(start, text.find_last_not_of(" \t") + 1 - start));
  }

  Status read_face(std::string_view rest) {
    polygon_.clear();
    for (std::string_view word = take_word(rest); !word.empty(); word = take_word(rest)) {
      const std::optional<long long> index = integer_in(word.substr(0, word.find('/')));
      const auto count = static_cast<long long>(points_.size());
      if (!index) return no_number(name_, lines_.line(), word);
      const long long at = *index > 0 ? *index - 1 : count + *index;
      if (*index == 0 || at < 0 || at >= count)
        return no_such_point(name_, lines_.line(), word, points_.size());
      polygon_.push_back(points_[static_cast<std::size_t>(at)]);
    }
    if (polygon_.size() < 3)
      return malformed_line(name_, lines_.line(), "a face has fewer than three corners");
    if (is_new_group_) builder_.enter_group(group_ + "/" + material_);
    is_new_group_ = false;
    builder_.add_face(polygon_);
    return ok();
  }

  TextLines lines_;
  const std::string& name_;
  SoupBuilder builder_;
  std::string statement_, group_, material_;
  bool is_new_group_ = false;
  std::vector<VertexId> points_, polygon_;
};

}  // namespace

Result<TriangleSoup> read_obj(std::string_view text, const std::string& name) {
  return ObjReader(text, name).read();
}

}  // namespace seamwright
