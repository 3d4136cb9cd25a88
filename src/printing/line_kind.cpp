#include "seamwright/printing/line_kind.h"

#include <array>

namespace seamwright {

std::string_view name_of(LineKind kind) {
  static constexpr std::array<std::string_view, kLineKindCount> kNames{
      "outer wall",  "inner wall", "gap",  "solid fill", "top skin",
      "sparse fill", "support",    "brim", "bridge"};
  return kNames[to_index(kind)];
}

}  // namespace seamwright
