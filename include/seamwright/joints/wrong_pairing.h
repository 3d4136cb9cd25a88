#pragma once

#include <span>

#include "seamwright/core/vec.h"

namespace seamwright {

/// A round key as a joint face sees it, in its plane's (u, v).
struct FlatKey {
  Vec2 at;
  double diameter_mm = 0;
  double depth_mm = 0;  ///< of its hole: a rod cut for a deeper one keeps the joint from closing
};

/// How badly the rods of one face's keys fit the holes of another face, put on in the way that is
/// best for them: any turn and shift, either of the other's pieces (so its mirror image too). The
/// worst rod's error: its distance to the nearest hole plus what its diameter exceeds that hole's,
/// or what its depth exceeds that hole's, the greater;
/// holes may stay empty, rods may come from either face, so the better of both counts. By laying
/// every pair of keys on every pair of the other's, middle on middle, and letting the worst error
/// sink from there by small turns and shifts. Values over `far_mm` are not told apart; faces with
/// fewer than two keys give `far_mm`. O(n² m² (n
/// + m)), less what differs in distance.
double wrong_pairing_misfit_mm(std::span<const FlatKey> keys, std::span<const FlatKey> others,
                               double hole_extra_mm, double far_mm);

}  // namespace seamwright
