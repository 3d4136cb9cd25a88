#pragma once

#include "job/shrinkage.h"
#include "seamwright/handoff/hand_off.h"
#include "seamwright/profile/printer_presets.h"

namespace seamwright::job_detail {

/// The clear box that a piece stands in: written files are larger for shrinkage, so it is planned
/// in a smaller one, at the same corner.
struct StandingRoom {
  Vec2 corner_mm;  ///< on the whole bed
  Vec3 size_mm;
};

inline StandingRoom standing_room(const PlannedPiece& piece, const Printer& printer,
                                  const Material& material) {
  const std::vector<ClearBox> boxes = clear_boxes(with_room_for_shrinkage(printer, material));
  const auto box = box_that_holds(boxes, piece.pose.size_mm);
  require(box.has_value(), "a planned piece fits its printer");
  return {clear_boxes(printer).at(*box).corner_mm, boxes[*box].size_mm};
}

}  // namespace seamwright::job_detail
