#pragma once

#include <string>

#include "seamwright/joints/edge_grooves.h"
#include "seamwright/joints/flanges.h"
#include "seamwright/joints/laps.h"
#include "seamwright/joints/skin_marks.h"

namespace seamwright {

/// All that is cut into or stood on the part before it is cut; laps are shaped after.
struct Shapes {
  std::vector<Flange> flanges;
  std::vector<Lap> laps;
  EdgeGrooves grooves;
  std::vector<SkinMark> marks;
  bool is_empty() const {
    return flanges.empty() && laps.empty() && grooves.tools.empty() && marks.empty();
  }
};

/// What of the shapes the booleans refuse, with their reasons.
struct RefusedShapes {
  struct RefusedFlange {
    std::size_t place = 0;  ///< in the flanges given
    std::string why;
  };
  std::vector<RefusedFlange> flanges;  ///< by place
  std::string grooves, marks;          ///< why; empty where they are cut
};

/// The part with the shapes that the booleans do in it.
struct ShapedPart {
  Solid solid;
  RefusedShapes refused;
};

/// The part with its flanges, drilled, its grooves and its marks: all at once, and when that fails
/// one after the other, so that only what fails is left out. Guarantees: no more than two booleans
/// a flange, two for the rest, and as many again for each flange whose screws can't be drilled.
ShapedPart shaped_part(const Solid& part, const Shapes& shapes);

}  // namespace seamwright
