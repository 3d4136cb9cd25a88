#pragma once

#include "seamwright/core/vec.h"

namespace seamwright {

/// Whether two boxes share a point; touching counts.
inline bool boxes_meet(const Box3& a, const Box3& b) {
  return a.low.x <= b.high.x && b.low.x <= a.high.x && a.low.y <= b.high.y && b.low.y <= a.high.y &&
         a.low.z <= b.high.z && b.low.z <= a.high.z;
}

}  // namespace seamwright
