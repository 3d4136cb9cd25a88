#pragma once

#include <vector>

#include "seamwright/mesh/solid.h"

namespace seamwright::wiring_detail {

/// Rings of equally many points, in order along a way.
using Rings = std::vector<std::vector<Vec3>>;

/// The closed solid through all rings with flat fans at both ends, oriented outward whichever way
/// the rings turn. `middles` holds the fan's point of the first and last ring.
Solid sweep_rings(const Rings& rings, Vec3 first_middle, Vec3 last_middle, Origin origin);

/// A polygon round `centre` circumscribed to a circle: corners stand at most 0.02 mm outside it.
std::vector<Vec3> circle_round(Vec3 centre, Vec3 right, Vec3 up, double radius_mm,
                               std::size_t sides);
/// Sides of that polygon for a radius; at least 12.
std::size_t side_count(double radius_mm);

}  // namespace seamwright::wiring_detail
