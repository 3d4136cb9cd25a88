#pragma once

#include <array>
#include <cstdint>
#include <string>
#include <vector>

#include "seamwright/core/ids.h"
#include "seamwright/core/vec.h"

namespace seamwright {

/// Corners of a triangle, counter-clockwise seen from outside.
using Triangle = std::array<VertexId, 3>;

/// What made a triangle's surface.
enum class OriginKind : std::uint8_t { skin, channel, pocket, cap, key, mark };

/// Where a triangle came from, kept through cuts, booleans and mending. `id` is, by kind: skin: the
/// face of the file as loaded; channel, pocket: its position in the job; cap: the SeamId; key,
/// mark: its position in the list of the joint stage.
struct Origin {
  OriginKind kind = OriginKind::skin;
  std::uint32_t id = 0;
  friend bool operator==(const Origin&, const Origin&) = default;
};

/// Triangles as a file gave them: may be open, flipped, doubled, anything.
struct TriangleSoup {
  std::vector<Vec3> points;
  std::vector<Triangle> triangles;
  std::vector<Origin> origins;           ///< one a triangle, or empty: all skin, id = position
  std::vector<std::uint32_t> groups;     ///< one a triangle, or empty: position in group_names
  std::vector<std::string> group_names;  ///< OBJ groups and materials, as "group/material"
};

}  // namespace seamwright
