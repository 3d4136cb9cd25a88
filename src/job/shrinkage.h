#pragma once

#include "seamwright/profile/material.h"
#include "seamwright/profile/printer.h"

namespace seamwright::job_detail {

/// Files are written larger by 1 / (1 - shrink_ratio), so pieces are planned for a room smaller by
/// it.
inline Printer with_room_for_shrinkage(Printer printer, const Material& material) {
  const Vec3 usable = printer.usable_mm();
  printer.room_mm = printer.room_mm - usable * material.shrink_ratio;
  return printer;
}

}  // namespace seamwright::job_detail
