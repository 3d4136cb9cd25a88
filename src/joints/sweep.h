#pragma once

#include <array>
#include <span>

#include "seamwright/mesh/solid.h"

namespace seamwright::joints {

/// The solid swept by a section of four corners through its stations, closed flat at both ends.
/// Requires two stations or more, corners counter-clockwise seen against the way, no station folded
/// back.
Solid swept_solid(std::span<const std::array<Vec3, 4>> stations, Origin origin);

}  // namespace seamwright::joints
