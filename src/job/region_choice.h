#pragma once

#include "seamwright/core/zone.h"

namespace seamwright::job_detail {

/// Whether exactly one of a box and a ball is given, whole and with room in it.
template <class Choice>
bool is_one_region(const Choice& choice) {
  const bool is_ball = choice.center && choice.radius_mm && !choice.low && !choice.high;
  if (is_ball) return true;
  if (!choice.low || !choice.high || choice.center || choice.radius_mm) return false;
  const Vec3 size = *choice.high - *choice.low;
  return size.x > 0 && size.y > 0 && size.z > 0;
}
template <class Choice>
bool has_no_region(const Choice& choice) {
  return !choice.low && !choice.high && !choice.center && !choice.radius_mm;
}

/// The zone of a choice that is_one_region; nameless.
template <class Choice>
Zone zone_of(const Choice& choice) {
  if (choice.radius_mm) return {.center = *choice.center, .radius_mm = *choice.radius_mm};
  return {.center = (*choice.low + *choice.high) / 2,
          .half_size_mm = (*choice.high - *choice.low) / 2};
}

}  // namespace seamwright::job_detail
