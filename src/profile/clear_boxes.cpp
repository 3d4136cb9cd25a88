#include <algorithm>
#include <cmath>

#include "seamwright/profile/printer_presets.h"

namespace seamwright {
namespace {

/// Turns of the diagonal of a circle's inscribed rectangles: a square, then ever longer strips.
constexpr double kInscribedDegrees[] = {45, 36, 27, 18, 10};

std::vector<ClearBox> round_boxes(const Printer& printer) {
  const Vec3 usable = printer.usable_mm();
  const double diameter_mm = std::min(usable.x, usable.y);
  const Vec2 center{printer.room_mm.x / 2, printer.room_mm.y / 2};
  std::vector<ClearBox> boxes;
  for (const double degrees : kInscribedDegrees) {
    const double turn = Angle::degrees(degrees).radians();
    const Vec3 size{diameter_mm * std::cos(turn), diameter_mm * std::sin(turn), usable.z};
    boxes.push_back({size, center - Vec2{size.x / 2, size.y / 2}});
  }
  return boxes;
}

/// Each blocked corner is kept out of in width or in depth: sixteen ways at most.
ClearBox box_beside(const Printer& printer, unsigned in_width) {
  const double blocked[] = {printer.blocked_front_left_mm, printer.blocked_front_right_mm,
                            printer.blocked_back_left_mm, printer.blocked_back_right_mm};
  const double margin = printer.margin_mm;
  double left = margin, right = margin, front = margin, back = margin;
  for (unsigned corner = 0; corner < 4; ++corner) {
    const bool is_right = corner % 2 == 1, is_back = corner >= 2;
    double& side =
        (in_width >> corner & 1U) != 0 ? (is_right ? right : left) : (is_back ? back : front);
    side = std::max(side, blocked[corner]);
  }
  return {{printer.room_mm.x - left - right, printer.room_mm.y - front - back,
           printer.room_mm.z - printer.top_margin_mm},
          {left, front}};
}

bool lies_within(const ClearBox& a, const ClearBox& b) {
  return a.corner_mm.x >= b.corner_mm.x && a.corner_mm.y >= b.corner_mm.y &&
         a.corner_mm.x + a.size_mm.x <= b.corner_mm.x + b.size_mm.x &&
         a.corner_mm.y + a.size_mm.y <= b.corner_mm.y + b.size_mm.y;
}

}  // namespace

std::vector<ClearBox> clear_boxes(const Printer& printer) {
  if (printer.bed == Bed::round) return round_boxes(printer);
  std::vector<ClearBox> all, kept;
  for (unsigned in_width = 0; in_width < 16; ++in_width)
    all.push_back(box_beside(printer, in_width));
  std::stable_sort(all.begin(), all.end(), [](const ClearBox& a, const ClearBox& b) {
    return a.size_mm.x * a.size_mm.y > b.size_mm.x * b.size_mm.y;
  });
  for (const ClearBox& box : all) {
    const bool is_covered = std::any_of(
        kept.begin(), kept.end(), [&](const ClearBox& larger) { return lies_within(box, larger); });
    if (!is_covered && box.size_mm.x > 0 && box.size_mm.y > 0) kept.push_back(box);
  }
  return kept;
}

std::optional<std::size_t> box_that_holds(const std::vector<ClearBox>& boxes, Vec3 size_mm) {
  constexpr double kFitTolerance_mm = 1e-5;  // above the pose room's own
  for (std::size_t i = 0; i < boxes.size(); ++i) {
    const Vec3 room = boxes[i].size_mm;
    if (size_mm.x <= room.x + kFitTolerance_mm && size_mm.y <= room.y + kFitTolerance_mm &&
        size_mm.z <= room.z + kFitTolerance_mm)
      return i;
  }
  return std::nullopt;
}

}  // namespace seamwright
