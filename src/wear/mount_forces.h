#pragma once

#include <span>

#include "seamwright/wear/seam_loads.h"

namespace seamwright::wear_detail {

/// Forces at the mounts that hold a weight acting at a point: least sum of squares among those in
/// balance (equal springs); what forces can't balance is shared as couples.
std::vector<MountForce> mount_forces(std::span<const Vec3> places, Vec3 weight_n, Vec3 at);

}  // namespace seamwright::wear_detail
