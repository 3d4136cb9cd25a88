#include "job/corner_pads.h"

#include <fmt/format.h>

#include <algorithm>

#include "job/standing_room.h"

namespace seamwright::job_detail {
namespace {

std::string places(std::span<const Vec2> corners) {
  std::string words;
  for (const Vec2 p : corners)
    words += fmt::format("{}({:.0f}, {:.0f})", words.empty() ? "" : ", ", p.x, p.y);
  return words;
}

std::vector<Vec2> corners_of(const HandOff& out, const FinishedPiece& piece) {
  return lifting_corners(piece.keyed, piece.planned.pose, out.material.warp_ratio);
}

/// How far the piece moves along one axis of its room: as far as its pads reach beyond the low
/// edge, no farther than its own high side allows.
double move_mm(double low_mm, double high_mm, double pads_low_mm, double room_low_mm,
               double room_high_mm) {
  const double wanted = std::max(0.0, room_low_mm - std::min(low_mm, pads_low_mm));
  return std::clamp(wanted, 0.0, std::max(0.0, room_high_mm - high_mm));
}

void place_pads_of(HandOff& out, FinishedPiece& piece) {
  std::vector<Vec2> corners = corners_of(out, piece);
  if (corners.empty()) return;
  const StandingRoom room =
      standing_room(piece.planned, out.printers[piece.planned.printer], out.material);
  const double radius = out.print.corner_pad_mm / 2;
  Box3 box;
  Transform& bed = piece.planned.pose.bed_from_part;
  for (const Vec3 p : piece.keyed.points()) box.extend(bed.apply(p));
  Vec2 low = corners.front();
  for (const Vec2 p : corners) low = {std::min(low.x, p.x), std::min(low.y, p.y)};
  const Vec2 end = room.corner_mm + Vec2{room.size_mm.x, room.size_mm.y};
  const Vec2 move{move_mm(box.low.x, box.high.x, low.x - radius, room.corner_mm.x, end.x),
                  move_mm(box.low.y, box.high.y, low.y - radius, room.corner_mm.y, end.y)};
  bed.shift += Vec3{move.x, move.y, 0};
  std::vector<Vec2> left_out;
  for (const Vec2 corner : corners) {
    constexpr double kFit_mm = 2e-6;  // the poses' own
    const Vec2 p = corner + move;
    const bool is_inside =
        p.x - radius >= room.corner_mm.x - kFit_mm && p.x + radius <= end.x + kFit_mm &&
        p.y - radius >= room.corner_mm.y - kFit_mm && p.y + radius <= end.y + kFit_mm;
    if (is_inside) {
      piece.pads.push_back({p, out.print.corner_pad_mm});
    } else {
      left_out.push_back(p);
    }
  }
  if (left_out.empty()) return;
  out.warnings.push_back(
      {"pad-left-out",
       fmt::format("{} fills its printer so far that pads of {:g} mm have no room at {} mm from "
                   "the bed's corner.",
                   piece.mark, out.print.corner_pad_mm, places(left_out))});
}

}  // namespace

void place_pads(HandOff& out) {
  if (out.print.corner_pad_mm <= 0) return;
  for (FinishedPiece& piece : out.pieces) place_pads_of(out, piece);
}

void offer_pads(HandOff& out, const FinishedPiece& piece) {
  if (out.print.corner_pad_mm > 0) return;
  const std::vector<Vec2> corners = corners_of(out, piece);
  if (corners.empty()) return;
  out.warnings.push_back(
      {"corner-pads",
       fmt::format("{} stands on a flat foot of {:.0f} cm² with {} sharp corner{}, which {} may "
                   "lift off the bed: at {} mm from the bed's corner. [print] corner_pad_mm = 20 "
                   "lays a round pad, one layer thick, under each; or give brim_mm.",
                   piece.mark, piece.planned.pose.contact_mm2 / 100, corners.size(),
                   corners.size() == 1 ? "" : "s", out.material.name, places(corners))});
}

}  // namespace seamwright::job_detail
