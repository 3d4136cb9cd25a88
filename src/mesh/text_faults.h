#pragma once

#include <fmt/format.h>

#include <string>
#include <string_view>

#include "mesh/text_lines.h"
#include "seamwright/core/result.h"
#include "seamwright/core/vec.h"

namespace seamwright {

/// The errors that all readers of text meshes have in common; each names the file, the line and the
/// remedy.

inline Error malformed_line(const std::string& name, std::size_t line, const std::string& what) {
  return {"file-malformed",
          fmt::format("{}, line {}: {}. Export the part again, as binary STL if you can.", name,
                      line, what)};
}
inline Error no_number(const std::string& name, std::size_t line, std::string_view word) {
  return malformed_line(
      name, line,
      word.empty() ? "a number is missing" : fmt::format("\"{}\" is no number", shown_word(word)));
}
inline Error not_finite_line(const std::string& name, std::size_t line, std::string_view word) {
  return {"file-not-finite", fmt::format("{}, line {}: \"{}\" is not a finite number. Repair or "
                                         "delete the faces there and export the part "
                                         "again.",
                                         name, line, shown_word(word))};
}
inline Error no_such_point(const std::string& name, std::size_t line, std::string_view word,
                           std::size_t count) {
  return malformed_line(
      name, line,
      fmt::format("point \"{}\" does not exist; there are {}", shown_word(word), count));
}
inline Error no_faces(const std::string& name) {
  return {
      "no-faces",
      fmt::format(
          "{} holds no faces (points and lines are not printed). Export the part again as a mesh.",
          name)};
}
inline Error cut_short(const std::string& name, std::size_t line, const std::string& missing) {
  return {"file-truncated",
          fmt::format("{} stops at line {}: {}. Copy or export it again.", name, line, missing)};
}

/// Three coordinates off the front of a line.
inline Result<Vec3> take_point(std::string_view& line, const std::string& name,
                               std::size_t number) {
  Vec3 p;
  for (std::size_t k = 0; k < 3; ++k) {
    const std::string_view word = take_word(line);
    const std::optional<double> value = number_in(word);
    if (!value) return no_number(name, number, word);
    if (!std::isfinite(*value)) return not_finite_line(name, number, word);
    p[k] = *value;
  }
  return p;
}

}  // namespace seamwright
