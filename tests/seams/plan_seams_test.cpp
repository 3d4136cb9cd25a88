#include "seamwright/seams/plan_seams.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "seamwright/query/mass_properties.h"
#include "support/shapes.h"
#include "support/stl.h"

namespace seamwright {
namespace {

using testing::make_box;
using testing::make_sphere;
using testing::make_torus;
using testing::reference_part;
using testing::subdivide;

Printer room_of(double x, double y, double z) {
  Printer printer;
  printer.room_mm = {x, y, z};
  printer.margin_mm = printer.top_margin_mm = 0;
  return printer;
}
Printer room_a() {
  return room_of(180, 180, 180);
}
PlanOptions quick_options(const Printer& printer = room_a()) {
  PlanOptions options;
  options.printers = {printer};
  options.cost = *preset_weights("table");
  options.effort = Effort::quick;
  return options;
}

PlannedSeams plan_of(const Solid& part, const PlanOptions& options,
                     const seamwright::Run& run = {}) {
  const std::vector<double> sight(part.face_count(), 1.0);
  Result<PlannedSeams> planned = plan_seams(part, sight, options, {}, run);
  EXPECT_TRUE(planned.has_value()) << (planned ? "" : planned.error().message);
  return planned ? std::move(planned).value() : PlannedSeams{};
}

/// Every point of the piece in its pose lies in the printer's usable room, and the pose is stable.
void expect_fits(const PlannedPiece& piece, const PlanOptions& options) {
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

void expect_sound(const Solid& part, const PlannedSeams& planned, const PlanOptions& options) {
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

std::vector<double> numbers_of(const PlannedSeams& planned) {
  std::vector<double> out{planned.maker_h, static_cast<double>(planned.pieces.size())};
  for (const Seam& seam : planned.plan.seams) {
    out.insert(out.end(), {seam.plane.normal.x, seam.plane.normal.y, seam.plane.normal.z,
                           seam.plane.offset_mm});
  }
  return out;
}

TEST(PlanSeams, LeavesAPartThatFitsWhole) {
  const Solid part = make_box({100, 80, 60});
  const PlannedSeams planned = plan_of(part, quick_options());
  EXPECT_TRUE(planned.plan.seams.empty());
  ASSERT_EQ(planned.pieces.size(), 1U);
  EXPECT_NEAR(planned.maker_h, 0.5, 1e-12);
  EXPECT_TRUE(planned.is_complete);
}

TEST(PlanSeams, EveryPieceFitsAndVolumesAddUp) {
  const PlanOptions options = quick_options();
  for (const Solid& part :
       {subdivide(make_box({420, 60, 50}), 2), make_sphere(140, 3), make_torus(150, 30, 48, 16)}) {
    expect_sound(part, plan_of(part, options), options);
  }
}

TEST(PlanSeams, CutsARodIntoTheFewestThatFit) {
  // 420 long: lying across the bed of 180 a piece of 60 × 50 may be at most 254.6 − 60 long.
  const PlannedSeams planned = plan_of(subdivide(make_box({420, 60, 50}), 2), quick_options());
  EXPECT_EQ(planned.pieces.size(), 3U);
  // Two square cuts cost 2 · 22 cm; a second cut that ends at the first is cheaper still.
  EXPECT_LE(planned.maker_h, 1.5 + 2 * 22 * 0.02 + 0.005);
}

TEST(PlanSeams, IsTheSameOnAnyThreadCountAndTwice) {
  const Solid part = make_torus(150, 30, 48, 16);
  const PlanOptions options = quick_options();
  seamwright::Run run;
  run.thread_count = 1;
  const std::vector<double> one = numbers_of(plan_of(part, options, run));
  EXPECT_EQ(one, numbers_of(plan_of(part, options, run)));
  run.thread_count = 2;
  EXPECT_EQ(one, numbers_of(plan_of(part, options, run)));
  run.thread_count = 7;
  EXPECT_EQ(one, numbers_of(plan_of(part, options, run)));
}

TEST(PlanSeams, GivesAUsablePlanWhenToldToFinish) {
  const Solid part = make_sphere(140, 3);
  const PlanOptions options = quick_options();
  const std::atomic<Cancel> cancel{Cancel::finish};
  seamwright::Run run;
  run.cancel = &cancel;
  const PlannedSeams planned = plan_of(part, options, run);
  EXPECT_FALSE(planned.is_complete);
  expect_sound(part, planned, options);
}

TEST(PlanSeams, GivesUpWhenToldToStop) {
  const Solid part = make_sphere(140, 3);
  const std::atomic<Cancel> cancel{Cancel::stop};
  seamwright::Run run;
  run.cancel = &cancel;
  const std::vector<double> sight(part.face_count(), 1.0);
  const Result<PlannedSeams> planned = plan_seams(part, sight, quick_options(), {}, run);
  ASSERT_FALSE(planned.has_value());
  EXPECT_EQ(planned.error().code, "cancelled");
}

TEST(PlanSeams, KeepsLockedSeams) {
  PlanOptions options = quick_options();
  const Plane locked{{1, 0, 0}, 100};
  options.locked = {locked};
  const Solid part = subdivide(make_box({420, 60, 50}), 2);
  const PlannedSeams planned = plan_of(part, options);
  ASSERT_FALSE(planned.plan.seams.empty());
  EXPECT_EQ(planned.plan.seams[0].plane, locked);
  EXPECT_TRUE(planned.plan.seams[0].is_locked);
  expect_sound(part, planned, options);
}

TEST(PlanSeams, CountsWhatFailedPrintsCost) {
  PlanOptions options = quick_options();
  options.cost = *preset_weights("painted");
  PieceJudge judge;
  judge.print_s = [](const Solid&, const Pose&) { return 36000.0; };
  const Solid part = make_box({100, 80, 60});
  const std::vector<double> sight(part.face_count(), 1.0);
  const Result<PlannedSeams> planned = plan_seams(part, sight, options, judge);
  ASSERT_TRUE(planned.has_value());
  const double success = 0.97 * std::exp(-0.004 * 10);
  EXPECT_NEAR(planned->maker_h, 0.5 + 0.25 * (1 - success) / success, 1e-9);
}

TEST(PieceLowerBound, IsTightOnRods) {
  const Solid rod = make_box({1000, 30, 20});
  const std::vector<Printer> printers{room_a()};
  // ⌈1000.65 / 311.77⌉
  EXPECT_EQ(piece_lower_bound(rod, printers).first, 4U);
  EXPECT_EQ(piece_lower_bound(rod, printers).second, "diameter");
}

TEST(PieceLowerBound, CountsVolume) {
  const std::vector<Printer> printers{room_a()};
  EXPECT_EQ(piece_lower_bound(make_box({360, 360, 360}), printers).first, 8U);
}

TEST(PieceLowerBound, CountsTheShadowOfASheet) {
  // 900 × 900 over the greatest shadow of a 180 cube, √3 · 180².
  const std::vector<Printer> printers{room_a()};
  const auto [pieces, reason] = piece_lower_bound(make_box({900, 900, 3}), printers);
  EXPECT_EQ(pieces, 15U);
  EXPECT_EQ(reason, "shadow");
}

TEST(PieceLowerBound, IsOneForWhatFits) {
  const std::vector<Printer> printers{room_a()};
  EXPECT_EQ(piece_lower_bound(make_sphere(90, 3), printers).first, 1U);
}

}  // namespace
}  // namespace seamwright
