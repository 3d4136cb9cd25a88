#pragma once

#include <cstddef>
#include <cstdint>
#include <string_view>

namespace seamwright {

/// What a line of plastic is for.
enum class LineKind : std::uint8_t {
  outer_wall,
  inner_wall,
  gap,
  solid_fill,
  top_skin,
  sparse_fill,
  support,
  brim,
  bridge
};
inline constexpr std::size_t kLineKindCount = 9;

constexpr std::size_t to_index(LineKind kind) {
  return static_cast<std::size_t>(kind);
}

/// As a person reads it: "outer wall".
std::string_view name_of(LineKind kind);

}  // namespace seamwright
