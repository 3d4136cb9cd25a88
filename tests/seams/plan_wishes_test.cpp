#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "seamwright/query/mass_properties.h"
#include "seamwright/seams/plan_seams.h"
#include "support/plans.h"
#include "support/shapes.h"

namespace seamwright {
namespace {

using testing::expect_sound;
using testing::kIsSanitized;
using testing::make_box;
using testing::make_torus;
using testing::plan_of;
using testing::quick_options;
using testing::subdivide;

/// Whether a seam's section of the whole box part passes within `zone`, by its own sampling: points
/// of the plane on a 1 mm grid inside both the zone and the piece's half-spaces.
bool cuts_zone(const PlannedSeams& planned, const Seam& seam, const Zone& zone) {
  const PlaneFrame frame(seam.plane);
  const Vec2 middle = frame.flatten(zone.center);
  for (double x = -40; x <= 40; x += 1) {
    for (double y = -40; y <= 40; y += 1) {
      const Vec3 p = frame.lift({middle.x + x, middle.y + y});
      if (!zone.contains(p)) continue;
      bool is_in_half = true;
      for (const Seam* up = &seam; up->parent; up = find_seam(planned.plan, *up->parent)) {
        const Seam* parent = find_seam(planned.plan, *up->parent);
        const double d = parent->plane.distance(p);
        is_in_half = is_in_half && (up->side == Side::above ? d >= 0 : d <= 0);
      }
      if (is_in_half) return true;
    }
  }
  return false;
}

TEST(PlanWishes, KeepsOutOfForbiddenZones) {
  const Solid part = subdivide(make_box({420, 60, 50}), 2);
  PlanOptions options = quick_options();
  const PlannedSeams free = plan_of(part, options);
  const double at =
      free.plan.seams.front().plane.distance({0, 30, 25}) / -free.plan.seams.front().plane.normal.x;
  // Where the free plan cuts: a ball that reaches the skin, and a box that lies inside the solid.
  for (const Zone& zone :
       {Zone{.name = "eye", .center = {at, 30, 50}, .half_size_mm = {}, .radius_mm = 15},
        Zone{.name = "core", .center = {at, 30, 25}, .half_size_mm = {12, 8, 8}}}) {
    if (kIsSanitized && zone.radius_mm == 0) continue;
    options.forbidden = {zone};
    const PlannedSeams planned = plan_of(part, options);
    expect_sound(part, planned, options);
    for (const Seam& seam : planned.plan.seams) EXPECT_FALSE(cuts_zone(planned, seam, zone));
  }
}

TEST(PlanWishes, SaysWhichForbiddenZoneLeavesNoPlan) {
  if (kIsSanitized) return;
  PlanOptions options = quick_options();
  options.forbidden = {
      {.name = "everything", .center = {210, 30, 25}, .half_size_mm = {220, 40, 40}}};
  const Solid part = subdivide(make_box({420, 60, 50}), 2);
  const std::vector<double> sight(part.face_count(), 1.0);
  const Result<PlannedSeams> planned = plan_seams(part, sight, options);
  ASSERT_FALSE(planned.has_value());
  EXPECT_EQ(planned.error().code, "no-plan");
  EXPECT_THAT(planned.error().message, ::testing::HasSubstr("everything"));
}

/// A seat 20 mm wide in the middle of the 420 mm bar's section, at x.
SeatZone seat_at(double x, double half_mm) {
  return {.name = "lamp",
          .middle = {x, 30, 25},
          .half_edges = {Vec3{0, 0, half_mm}, Vec3{half_mm, 0, 0}, Vec3{0, half_mm, 0}},
          .is_round = true};
}

TEST(PlanWishes, LeavesSeatsWholeWhereAnyPlanDoes) {
  const Solid part = subdivide(make_box({420, 60, 50}), 2);
  PlanOptions options = quick_options();
  const PlannedSeams free = plan_of(part, options);
  const double at =
      free.plan.seams.front().plane.distance({0, 30, 25}) / -free.plan.seams.front().plane.normal.x;
  options.seats = {seat_at(at, 10)};
  ASSERT_GT(options.seats[0].depth_mm(free.plan.seams.front().plane), 0);
  const PlannedSeams planned = plan_of(part, options);
  expect_sound(part, planned, options);
  EXPECT_EQ(planned.pieces.size(), free.pieces.size());
  for (const Seam& seam : planned.plan.seams) EXPECT_LE(options.seats[0].depth_mm(seam.plane), 0);
}

TEST(PlanWishes, ASeatThatNoPlanLeavesWholeIsCutAtItsPrice) {
  if (kIsSanitized) return;
  const Solid part = subdivide(make_box({420, 60, 50}), 2);
  PlanOptions options = quick_options();
  options.seats = {seat_at(210, 150)};  // 300 mm long, and a bed holds 180
  const PlannedSeams planned = plan_of(part, options);
  expect_sound(part, planned, options);
  const auto cuts =
      std::count_if(planned.plan.seams.begin(), planned.plan.seams.end(),
                    [&](const Seam& seam) { return options.seats[0].depth_mm(seam.plane) > 0; });
  EXPECT_GE(cuts, 1);
  // More than two pieces by these weights: 0.5 h and 22 cm at 0.02 h/cm each.
  EXPECT_GT(planned.maker_h, 3 * (0.5 + 22 * 0.02));
}

TEST(PlanWishes, ASeamBesideAChannelCostsByTheLengthItRunsAlong) {
  const Solid part = subdivide(make_box({420, 60, 50}), 2);
  PlanOptions options = quick_options();
  const Plane across{{1, 0, 0}, 170}, along{{0, 1, 0}, 33};
  SeamPlan plan = *apply(SeamPlan{}, AddSeam{.plane = across});
  plan = *apply(plan, AddSeam{plan.seams[0].id, Side::above, {{1, 0, 0}, 300}});
  plan = *apply(plan, AddSeam{plan.seams[0].id, Side::below, along});
  options.given = plan;
  const double plain_h = plan_of(part, options).seam_costs[2].maker_h;
  for (const double length_mm : {30.0, 90.0}) {
    options.channel_paths = {{{20, 30, 25}, {20 + length_mm, 30, 25}}};
    const double beside_h = plan_of(part, options).seam_costs[2].maker_h;
    EXPECT_NEAR(beside_h - plain_h, 0.03 * length_mm, 1e-9);
    options.channel_paths = {{{20, 27, 25}, {20 + length_mm, 27, 25}}};  // 6 mm off
    EXPECT_NEAR(plan_of(part, options).seam_costs[2].maker_h, plain_h, 1e-9);
  }
}

TEST(PlanWishes, TakesPreferredPlanesWhereTheyServe) {
  if (kIsSanitized) return;
  PlanOptions options = quick_options();
  const Plane wished{{1, 0, 0}, 171.5};
  options.preferred = {{wished, 0.5}};
  const Solid part = subdivide(make_box({420, 60, 50}), 2);
  const PlannedSeams planned = plan_of(part, options);
  expect_sound(part, planned, options);
  const auto preferred = std::count_if(planned.seam_costs.begin(), planned.seam_costs.end(),
                                       [](const SeamCost& seam) { return seam.is_preferred; });
  EXPECT_EQ(preferred, 1);
  // Half of 22 cm at 0.02 h/cm is saved.
  const auto seam = std::find_if(planned.seam_costs.begin(), planned.seam_costs.end(),
                                 [](const SeamCost& cost) { return cost.is_preferred; });
  EXPECT_NEAR(seam->maker_h, 22 * 0.02 / 2, 1e-9);
}

TEST(PlanWishes, KeepsDonePiecesAndTheSeamsOnTheirWay) {
  const Solid part = subdivide(make_box({420, 60, 50}), 2);
  PlanOptions options = quick_options();
  // 0…90 was printed, then 90…200 cut off the rest.
  const Plane first{{1, 0, 0}, 90}, second{{1, 0, 0}, 200};
  options.done_cells = {{second, first.flipped()}, {first}};
  const PlannedSeams planned = plan_of(part, options);
  expect_sound(part, planned, options);
  ASSERT_GE(planned.plan.seams.size(), 2U);
  EXPECT_EQ(planned.plan.seams[0].plane, first.flipped());
  EXPECT_EQ(planned.plan.seams[1].plane, second);
  std::size_t kept = 0;
  for (const PlannedPiece& piece : planned.pieces) {
    const Box3& box = piece.cut.solid.box();
    kept += (box.low.x == 0 && box.high.x == 90) || (box.low.x == 90 && box.high.x == 200);
  }
  EXPECT_EQ(kept, 2U);
}

TEST(PlanWishes, AllowsNoMorePiecesThanTheMakerDoes) {
  if (kIsSanitized) return;
  const Solid part = subdivide(make_box({420, 60, 50}), 2);
  PlanOptions options = quick_options();
  options.cost.piece_h = 0;  // seams alone would pay for many pieces
  options.most_pieces = 3;
  EXPECT_LE(plan_of(part, options).pieces.size(), 3U);
  options.most_pieces = 2;
  const std::vector<double> sight(part.face_count(), 1.0);
  const Result<PlannedSeams> planned = plan_seams(part, sight, options);
  ASSERT_FALSE(planned.has_value());
  EXPECT_THAT(planned.error().message, ::testing::HasSubstr("more than the 2 you allow"));
}

/// Prints at 50 mm³/s, supports not counted.
PieceJudge steady_judge() {
  PieceJudge judge;
  judge.print_s = judge.bare_print_s = [](const Solid& solid, const Pose&, std::size_t) {
    return volume_mm3(solid) / 50;
  };
  return judge;
}

double longest_print_h(const PlannedSeams& planned) {
  double longest = 0;
  for (const PlannedPiece& piece : planned.pieces)
    longest = std::max(longest, volume_mm3(piece.cut.solid) / 50 / 3600);
  return longest;
}

TEST(PlanWishes, CutsWhatWouldPrintLongerThanTheWindow) {
  if (kIsSanitized) return;
  // 1 260 000 mm³ print 7 h; three pieces could share them evenly, but the free plan does not care.
  const Solid part = subdivide(make_box({420, 60, 50}), 2);
  const std::vector<double> sight(part.face_count(), 1.0);
  PlanOptions options = quick_options();
  options.longest_print_h = 2;
  options.cost.over_window_h = 5;
  const Result<PlannedSeams> planned = plan_seams(part, sight, options, steady_judge());
  ASSERT_TRUE(planned.has_value());
  EXPECT_LE(longest_print_h(*planned), 2.0 + 1e-6);
  EXPECT_GE(planned->pieces.size(), 4U);
}

/// Of a seam against the square cut through a bar along x.
double lean_deg(const Plane& seam) {
  return std::acos(std::min(1.0, std::abs(seam.normal.x))) * 180 / std::numbers::pi;
}

/// Of the seam that leans most.
double most_lean_deg(const SeamPlan& plan) {
  double most = 0;
  for (const Seam& seam : plan.seams) most = std::max(most, lean_deg(seam.plane));
  return most;
}

/// Holds joints only where the seam is square to the bar, within 10°.
PieceJudge judge_that_wants_square_cuts() {
  PieceJudge judge;
  judge.loose_joints = [](const SeamPlan& plan, std::span<const PlannedPiece>,
                          std::optional<SeamId> of) {
    std::vector<LooseJoint> loose;
    for (const Seam& seam : plan.seams) {
      const double middle_mm =
          (seam.plane.offset_mm - dot(seam.plane.normal, Vec3{0, 30, 25})) / seam.plane.normal.x;
      if ((!of || seam.id == *of) && lean_deg(seam.plane) > 10)
        loose.push_back({seam.id, {middle_mm, 30, 25}});
    }
    return loose;
  };
  return judge;
}

TEST(PlanWishes, MovesSeamsWhoseJointsNothingWouldHold) {
  const Solid part = subdivide(make_box({420, 60, 50}), 2);
  const std::vector<double> sight(part.face_count(), 1.0);
  PlanOptions options = quick_options();
  options.seed = 2;  // of twelve seeds eight lead a quick search to the leaning plan, 1 does not
  const auto planned = [&](double loose_joint_h) {
    options.cost.loose_joint_h = loose_joint_h;
    return plan_seams(part, sight, options, judge_that_wants_square_cuts()).value();
  };
  // Two seams that lean towards each other share a line and are shorter than two square cuts.
  const PlannedSeams free = planned(0);
  EXPECT_GT(most_lean_deg(free.plan), 10);
  EXPECT_LT(free.maker_h, 1.5 + 2 * 22 * 0.02);
  const PlannedSeams held = planned(1);
  EXPECT_LE(most_lean_deg(held.plan), 10);
  EXPECT_GT(held.maker_h, free.maker_h);
  EXPECT_LT(held.maker_h, free.maker_h + 1);  // else it had better stay
  expect_sound(part, held, options);
  // A locked seam stays as it is.
  options.locked = {{normalized(Vec3{1, 0.5, 0}), 140}};
  EXPECT_EQ(planned(1).plan.seams[0].plane, options.locked[0]);
}

TEST(PlanWishes, JudgesAGivenPlanAsItIs) {
  const Solid part = subdivide(make_box({420, 60, 50}), 2);
  const std::vector<double> sight(part.face_count(), 1.0);
  PlanOptions options = quick_options();
  SeamPlan given;
  given = apply(given, AddSeam{{}, Side::above, {{1, 0, 0}, 150}}).value();
  given = apply(given, AddSeam{given.seams[0].id, Side::above, {{1, 0, 0}, 290}}).value();
  options.given = given;
  const PlannedSeams planned = plan_of(part, options);
  ASSERT_EQ(planned.plan.seams.size(), 2U);
  EXPECT_EQ(planned.plan.seams[0].plane, given.seams[0].plane);
  EXPECT_EQ(planned.plan.seams[1].plane, given.seams[1].plane);
  EXPECT_NEAR(planned.maker_h, 1.5 + 2 * 22 * 0.02, 1e-9);
  options.given = apply(given, RemoveSeam{given.seams[1].id}).value();
  const Result<PlannedSeams> misfit = plan_seams(part, sight, options);
  ASSERT_FALSE(misfit.has_value());
  EXPECT_EQ(misfit.error().code, "no-plan");
  EXPECT_EQ(misfit.error().message.rfind("a piece fits no printer in a stable pose, 270 × 60 × 50 "
                                         "mm; move the seams around it",
                                         0),
            0U)
      << misfit.error().message;
}

TEST(PlanWishes, FindsOtherPlansThatDiffer) {
  if (kIsSanitized) return;
  // Four pieces keep within the window, three overrun it by a third of an hour each.
  const Solid part = subdivide(make_box({420, 60, 50}), 2);
  const std::vector<double> sight(part.face_count(), 1.0);
  PlanOptions options = quick_options();
  options.longest_print_h = 2;
  options.cost.over_window_h = 2;
  options.other_plans = 4;
  const Result<PlannedSeams> planned = plan_seams(part, sight, options, steady_judge());
  ASSERT_TRUE(planned.has_value());
  ASSERT_FALSE(planned->others.empty());
  EXPECT_EQ(planned->figures.pieces, planned->pieces.size());
  for (const OtherPlan& other : planned->others) {
    EXPECT_GE(other.maker_h, planned->maker_h);
    options.other_plans = 0;
    options.given = other.plan;  // each can be taken up again, with the same figures
    const Result<PlannedSeams> taken = plan_seams(part, sight, options, steady_judge());
    ASSERT_TRUE(taken.has_value()) << other.aim;
    EXPECT_EQ(taken->figures.pieces, other.pieces);
    EXPECT_NEAR(taken->maker_h, other.maker_h, 1e-9);
  }
}

TEST(PlanWishes, SaysWhatMovingASeamWouldCost) {
  const Solid part = subdivide(make_box({420, 60, 50}), 2);
  PlanOptions options = quick_options();
  SeamPlan given = apply({}, AddSeam{{}, Side::above, {{1, 0, 0}, 170}}).value();
  given = apply(given, AddSeam{given.seams[0].id, Side::above, {{1, 0, 0}, 250}}).value();
  options.given = given;
  const PlannedSeams planned = plan_of(part, options);
  // 170 + 10 still fits lying across the bed; so does all else: the same square cut, the same
  // price.
  ASSERT_TRUE(planned.seam_costs[0].forward_h.has_value());
  EXPECT_NEAR(*planned.seam_costs[0].forward_h, 0, 1e-9);
  // 250 − 10 leaves 180 for the last piece, 250 − 170 = 80 for the middle: they fit.
  EXPECT_NEAR(planned.seam_costs[1].back_h.value(), 0, 1e-9);
  options.given = apply(given, MoveSeam{given.seams[1].id, {{1, 0, 0}, 220}}).value();
  // The last piece is 200 long; on its 50 mm side it may be 204.5: 10 more would not lie across.
  EXPECT_FALSE(plan_of(part, options).seam_costs[1].back_h.has_value());
}

TEST(PlanWishes, GoesRoundDetailsAndAlongLines) {
  if (kIsSanitized) return;
  // A band of faces from 120 to 160 is dear, one from 200 to 230 is cheap.
  const Solid part = subdivide(make_box({420, 60, 50}), 4);
  std::vector<double> sight(part.face_count(), 1.0), weight(part.face_count(), 1.0);
  for (std::size_t f = 0; f < weight.size(); ++f) {
    const auto [a, b, c] = part.corners(to_id<FaceId>(f));
    const double x = (a.x + b.x + c.x) / 3;
    if (x > 120 && x < 160) weight[f] = 3;
    if (x > 200 && x < 230) weight[f] = 0.25;
  }
  const Result<PlannedSeams> planned = plan_seams(part, {sight, weight}, quick_options());
  ASSERT_TRUE(planned.has_value());
  double detail_mm = 0, line_mm = 0;
  for (const SeamCost& seam : planned->seam_costs) {
    detail_mm += seam.detail_mm;
    line_mm += seam.line_mm;
  }
  EXPECT_LT(detail_mm, 1);
  EXPECT_GT(line_mm, 150);
}

}  // namespace
}  // namespace seamwright
