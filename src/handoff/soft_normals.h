#pragma once

#include <array>
#include <vector>

#include "seamwright/mesh/solid.h"

namespace seamwright {

/// A face's normals at its three corners, as floats: pictures need no more.
struct SoftNormals {
  std::array<std::array<float, 3>, 3> corners{};
  /// At barycentric (u, v) of corners 1 and 2, of unit length.
  Vec3 at(float u, float v) const;
};

/// Normals at each face's corners, averaged by angle over the neighbours that meet softly (under
/// 35°): round things look round and edges stay sharp. Corners of more than 64 faces (the fans of
/// caps) keep their own face's. O(n).
std::vector<SoftNormals> soft_normals(const Solid& solid);

}  // namespace seamwright
