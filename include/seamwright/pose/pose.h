#pragma once

#include <array>
#include <optional>
#include <string_view>
#include <utility>

#include "seamwright/core/vec.h"
#include "seamwright/cut/seam_plan.h"
#include "seamwright/profile/printer.h"

namespace seamwright {

enum class Poses : std::uint8_t { standing, tilted };

constexpr std::array<std::pair<std::string_view, Poses>, 2> names(Poses) {
  return {{{"standing", Poses::standing}, {"tilted", Poses::tilted}}};
}

/// What the piece stands on, in order of preference.
enum class Foot : std::uint8_t { joint_face, flat_side, supports, tilted };

/// How a piece stands on a printer's bed: bed = bed_from_part(part), the bed at z = 0, the piece's
/// box's low corner at (0, 0, 0): the corner of the usable room, margins not counted.
struct Pose {
  Foot foot = Foot::joint_face;
  std::optional<SeamId> foot_seam;  ///< for joint_face: the seam whose cap lies on the bed
  Transform bed_from_part;
  Vec3 size_mm;                  ///< extents on the bed
  double contact_mm2 = 0;        ///< area within 0.02 mm of the bed
  Angle tip_angle;               ///< of the centre of mass over the contact's hull; 90°: can't tip
  double slenderness_ratio = 0;  ///< height over least width of the contact's hull
  double support_mm2 = 0;        ///< skin area that needs support
  bool is_stable = false;        ///< holds all of the standing rules (tip, contact, slenderness)
};

}  // namespace seamwright
