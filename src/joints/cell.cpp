#include "joints/cell.h"

#include <algorithm>

namespace seamwright::joints {

std::vector<std::pair<const Seam*, Side>> way_to(const SeamPlan& plan, const CutPiece& piece) {
  std::vector<std::pair<const Seam*, Side>> way;
  std::optional<SeamId> at = piece.seam;
  Side side = piece.side;
  while (at) {
    const Seam* seam = find_seam(plan, *at);
    way.emplace_back(seam, side);
    at = seam->parent;
    side = seam->side;
  }
  std::reverse(way.begin(), way.end());
  return way;
}

Cell::Cell(const SeamPlan& plan, const CutPiece& piece, SeamId but) {
  for (const auto& [seam, side] : way_to(plan, piece)) {
    if (seam->id == but) continue;
    const Plane& plane = seam->plane;
    sides_.push_back(side == Side::above ? plane : Plane{-plane.normal, -plane.offset_mm});
  }
}

bool Cell::holds(Vec3 p, double margin_mm) const {
  return std::all_of(sides_.begin(), sides_.end(),
                     [&](const Plane& side) { return side.distance(p) >= margin_mm; });
}

}  // namespace seamwright::joints
