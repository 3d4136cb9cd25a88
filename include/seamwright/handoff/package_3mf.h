#pragma once

#include <span>
#include <string>

#include "seamwright/mesh/solid.h"

namespace seamwright {

struct NamedSolid {
  std::string name;
  const Solid* solid = nullptr;
};

/// A 3MF package (core specification) with one mesh object and one build item a solid, in
/// millimetres, in the order given, by lib3mf. Guarantees: every edge of a mesh has exactly two
/// triangles by index, in opposite order (points are split where loops touch); positive volumes;
/// the same bytes for the same solids (no dates, no random ids). Coordinates are rounded to float
/// and six decimals. Not to be called from two threads at once (lib3mf sets the locale). Errors:
/// "package-failed" with lib3mf's code. O(n log n).
Result<std::string> package_3mf(std::span<const NamedSolid> solids, const std::string& program);

}  // namespace seamwright
