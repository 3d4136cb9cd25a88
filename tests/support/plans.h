#pragma once

#include <gtest/gtest.h>

#include "seamwright/query/mass_properties.h"
#include "seamwright/seams/plan_seams.h"

namespace seamwright::testing {

inline Printer room_of(double x, double y, double z) {
  Printer printer;
  printer.room_mm = {x, y, z};
  printer.margin_mm = printer.top_margin_mm = 0;
  return printer;
}
inline Printer room_a() {
  return room_of(180, 180, 180);
}
/// Under the sanitizers a search takes ten times as long: there the smaller cases only.
#ifdef SEAMWRIGHT_SANITIZED
constexpr bool kIsSanitized = true;
#else
constexpr bool kIsSanitized = false;
#endif

inline PlanOptions quick_options(const Printer& printer = room_a()) {
  PlanOptions options;
  options.printers = {printer};
  options.cost = *preset_weights("table");
  options.effort = Effort::quick;
  return options;
}

inline PlannedSeams plan_of(const Solid& part, const PlanOptions& options,
                            const seamwright::Run& run = {}) {
  const std::vector<double> sight(part.face_count(), 1.0);
  Result<PlannedSeams> planned = plan_seams(part, sight, options, {}, run);
  EXPECT_TRUE(planned.has_value()) << (planned ? "" : planned.error().message);
  return planned ? std::move(planned).value() : PlannedSeams{};
}

/// Every point of the piece in its pose lies in the printer's usable room, and the pose is stable.
inline void expect_fits(const PlannedPiece& piece, const PlanOptions& options) {
  const Printer& printer = options.printers.at(piece.printer);
  const Vec3 usable = printer.usable_mm();
  Box3 box;
  for (const Vec3 p : piece.cut.solid.points()) box.extend(piece.pose.bed_from_part.apply(p));
  for (std::size_t axis = 0; axis < 3; ++axis) {
    EXPECT_LE(box.size()[axis], usable[axis] + 1e-5) << piece.cut.id;
  }
  EXPECT_NEAR(box.low.z, 0, 1e-5) << piece.cut.id;
  EXPECT_TRUE(piece.pose.is_stable || options.poses == Poses::tilted) << piece.cut.id;
}

inline void expect_sound(const Solid& part, const PlannedSeams& planned,
                         const PlanOptions& options) {
  double sum = 0, hours = 0;
  for (const PlannedPiece& piece : planned.pieces) {
    expect_fits(piece, options);
    sum += volume_mm3(piece.cut.solid);
    hours += options.cost.piece_h + options.cost.support_h_per_cm2 * piece.pose.support_mm2 / 100;
  }
  EXPECT_NEAR(sum / volume_mm3(part), 1, 1e-9);
  EXPECT_EQ(planned.seam_costs.size(), planned.plan.seams.size());
  for (const SeamCost& seam : planned.seam_costs) hours += seam.maker_h;
  EXPECT_NEAR(planned.maker_h, hours, 1e-9);
  EXPECT_GE(planned.pieces.size(), planned.piece_lower_bound);
}

}  // namespace seamwright::testing
