#include "seamwright/seams/plan_seams.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <map>

#include "seamwright/pose/standing.h"
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
/// Under the sanitizers a search takes ten times as long: there the smaller cases only.
#ifdef SEAMWRIGHT_SANITIZED
constexpr bool kIsSanitized = true;
#else
constexpr bool kIsSanitized = false;
#endif

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
  std::vector<Solid> parts{make_torus(150, 30, 48, 16)};
  if (!kIsSanitized) {
    parts.push_back(subdivide(make_box({420, 60, 50}), 2));
    parts.push_back(make_sphere(140, 3));
  }
  for (const Solid& part : parts) expect_sound(part, plan_of(part, options), options);
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
  if (!kIsSanitized) {
    EXPECT_EQ(one, numbers_of(plan_of(part, options, run)));
  }
  run.thread_count = 2;
  EXPECT_EQ(one, numbers_of(plan_of(part, options, run)));
  if (kIsSanitized) return;
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

TEST(PlanSeams, KeepsOutOfForbiddenZones) {
  const Solid part = subdivide(make_box({420, 60, 50}), 2);
  PlanOptions options = quick_options();
  const PlannedSeams free = plan_of(part, options);
  const double at =
      free.plan.seams.front().plane.distance({0, 30, 25}) / -free.plan.seams.front().plane.normal.x;
  // Where the free plan cuts: a ball that reaches the skin, and a box that lies inside the solid.
  for (const Zone& zone :
       {Zone{.name = "eye", .center = {at, 30, 50}, .half_size_mm = {}, .radius_mm = 15},
        Zone{.name = "core", .center = {at, 30, 25}, .half_size_mm = {12, 8, 8}}}) {
    options.forbidden = {zone};
    const PlannedSeams planned = plan_of(part, options);
    expect_sound(part, planned, options);
    for (const Seam& seam : planned.plan.seams) EXPECT_FALSE(cuts_zone(planned, seam, zone));
  }
}

TEST(PlanSeams, SaysWhichForbiddenZoneLeavesNoPlan) {
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

TEST(PlanSeams, TakesPreferredPlanesWhereTheyServe) {
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

TEST(PlanSeams, KeepsDonePiecesAndTheSeamsOnTheirWay) {
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

TEST(PlanSeams, AllowsNoMorePiecesThanTheMakerDoes) {
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

TEST(PlanSeams, CutsWhatWouldPrintLongerThanTheWindow) {
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

TEST(PlanSeams, JudgesAGivenPlanAsItIs) {
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
}

TEST(PlanSeams, FindsOtherPlansThatDiffer) {
  if (kIsSanitized) return;
  const Solid part = make_torus(150, 30, 48, 16);
  PlanOptions options = quick_options();
  options.other_plans = 4;
  const std::vector<double> sight(part.face_count(), 1.0);
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

TEST(PlanSeams, SaysWhatMovingASeamWouldCost) {
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

TEST(PlanSeams, GoesRoundDetailsAndAlongLines) {
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

TEST(PlanSeams, CountsWhatFailedPrintsCost) {
  PlanOptions options = quick_options();
  options.cost = *preset_weights("painted");
  PieceJudge judge;
  judge.print_s = [](const Solid&, const Pose&, std::size_t) { return 36000.0; };
  const Solid part = make_box({100, 80, 60});
  const std::vector<double> sight(part.face_count(), 1.0);
  const Result<PlannedSeams> planned = plan_seams(part, sight, options, judge);
  ASSERT_TRUE(planned.has_value());
  const double success = 0.97 * std::exp(-0.004 * 10);
  EXPECT_NEAR(planned->maker_h, 0.5 + 0.25 * (1 - success) / success, 1e-9);
}

#ifndef SEAMWRIGHT_SANITIZED  // minutes each under the sanitizers; the same code runs on the small
                              // parts above
/// SEAMS' standing column: at most one piece more for two parts in three, two more for the rest.
struct Row {
  const char* part;
  Vec3 room;
  std::size_t column, more;
  Effort effort = Effort::quick;
};
class ReferencePart : public ::testing::TestWithParam<Row> {};

TEST_P(ReferencePart, NeedsHardlyMorePiecesThanTheColumn) {
  const Row& row = GetParam();
  const Solid part = reference_part(row.part);
  PlanOptions options = quick_options(room_of(row.room.x, row.room.y, row.room.z));
  options.effort = row.effort;
  const PlannedSeams planned = plan_of(part, options);
  expect_sound(part, planned, options);
  EXPECT_LE(planned.pieces.size(), row.column + row.more);
}

constexpr Vec3 kRoomA{180, 180, 180}, kRoomB{220, 220, 250};
INSTANTIATE_TEST_SUITE_P(Seams, ReferencePart,
                         ::testing::Values(Row{"rod", kRoomA, 5, 0}, Row{"bracket", kRoomB, 3, 1},
                                           Row{"panel", kRoomA, 12, 2, Effort::normal},
                                           Row{"ring", kRoomA, 8, 1}, Row{"shell", kRoomB, 5, 1},
                                           Row{"armadillo", kRoomB, 9, 1},
                                           Row{"elephant", kRoomA, 11, 1},
                                           Row{"camel", kRoomB, 8, 1}),
                         [](const auto& of) { return std::string(of.param.part); });
#endif

/// The optimum over recursive cuts of a box parallel to its sides on a grid, by dynamic programming
/// over all sub-boxes; a sub-box fits lying on any side, turned about the vertical.
class BoxOracle {
 public:
  BoxOracle(std::array<int, 3> cells, double cell_mm, Vec3 room, const CostWeights& cost)
      : cells_(cells), cell_mm_(cell_mm), room_(room), cost_(cost) {}

  double best_h() { return best_h({0, 0, 0}, cells_); }

 private:
  using Cell = std::array<int, 3>;

  bool fits(const std::array<double, 3>& size) const {
    for (std::size_t up = 0; up < 3; ++up) {
      const double w = size[(up + 1) % 3], d = size[(up + 2) % 3];
      const std::vector<Vec2> outline{{0, 0}, {w, 0}, {w, d}, {0, d}};
      if (size[up] <= room_.z && turn_to_fit(outline, room_.x, room_.y)) return true;
    }
    return false;
  }

  /// Length of the cut's outline that lies on the skin.
  double skin_mm(const Cell& low, const Cell& high, std::size_t axis) const {
    double length = 0;
    for (const std::size_t side : {(axis + 1) % 3, (axis + 2) % 3}) {
      const std::size_t along = 3 - axis - side;
      const double edge = cell_mm_ * (high[along] - low[along]);
      length += (low[side] == 0 ? edge : 0) + (high[side] == cells_[side] ? edge : 0);
    }
    return length;
  }

  double best_h(const Cell& low, const Cell& high) {
    const auto key = std::pair(low, high);
    if (const auto known = known_.find(key); known != known_.end()) return known->second;
    double best = std::numeric_limits<double>::infinity();
    if (fits({cell_mm_ * (high[0] - low[0]), cell_mm_ * (high[1] - low[1]),
              cell_mm_ * (high[2] - low[2])})) {
      best = cost_.piece_h;
    }
    for (std::size_t axis = 0; axis < 3; ++axis) {
      const double seam_h = skin_mm(low, high, axis) / 10 * cost_.shown_h_per_cm;
      for (int at = low[axis] + 1; at < high[axis]; ++at) {
        Cell middle_high = high, middle_low = low;
        middle_high[axis] = middle_low[axis] = at;
        best = std::min(best, seam_h + best_h(low, middle_high) + best_h(middle_low, high));
      }
    }
    return known_[key] = best;
  }

  Cell cells_;
  double cell_mm_;
  Vec3 room_;
  const CostWeights& cost_;
  std::map<std::pair<Cell, Cell>, double> known_;
};

/// How much more than the optimum on the grid a plan costs: pieces of `cells` × 30 mm, a cube room.
double over_optimum(const std::array<int, 3>& cells, double room_mm) {
  const PlanOptions options = quick_options(room_of(room_mm, room_mm, room_mm));
  const double optimum = BoxOracle(cells, 30, {room_mm, room_mm, room_mm}, options.cost).best_h();
  const Solid part = subdivide(make_box({30.0 * cells[0], 30.0 * cells[1], 30.0 * cells[2]}), 1);
  return plan_of(part, options).maker_h / optimum - 1;
}

TEST(PlanSeams, IsCloseToTheOptimumOfAxisParallelCutsOnAGrid) {
  // In the room of 120 the best pieces fill it exactly; in 125 they leave a little.
  const std::array<std::array<int, 3>, 4> boxes{{{8, 7, 3}, {8, 4, 4}, {8, 8, 2}, {6, 6, 5}}};
  double sum = 0;
  std::size_t count = 0;
  for (const auto& cells : boxes) {
    for (const double room_mm : {120.0, 125.0}) {
      if (kIsSanitized && (cells != boxes[1] || room_mm != 125)) continue;
      const double over = over_optimum(cells, room_mm);
      EXPECT_LE(over, 0.03) << cells[0] << "×" << cells[1] << "×" << cells[2] << " in " << room_mm;
      sum += over;
      count += 1;
    }
  }
  EXPECT_LE(sum / static_cast<double>(count), 0.01);
}

TEST(PlanSeams, TiltsWhereStandingNeedsMorePieces) {
  // Standing across the bed a piece of 30 × 20 may be 234 long, tilted in the cube 277: 4 pieces
  // become 3.
  const Solid part = subdivide(make_box({780, 30, 20}), 3);
  PlanOptions options = quick_options();
  const PlannedSeams standing = plan_of(part, options);
  options.poses = Poses::tilted;
  const PlannedSeams tilted = plan_of(part, options);
  expect_sound(part, tilted, options);
  EXPECT_EQ(standing.pieces.size(), 4U);
  EXPECT_EQ(tilted.pieces.size(), 3U);
}

TEST(PlanSeams, DoesNotCutAlongAChannel) {
  // A channel down the middle of the cheapest lengthwise plane: the seams stay square to it or
  // away.
  PlanOptions options = quick_options();
  options.channel_paths = {{{0, 100, 25}, {420, 100, 25}}};
  const PlannedSeams planned = plan_of(subdivide(make_box({420, 200, 50}), 2), options);
  for (const Seam& seam : planned.plan.seams) {
    const double a = seam.plane.distance({0, 100, 25}), b = seam.plane.distance({420, 100, 25});
    const bool runs_along = std::abs(a) < 5 && std::abs(b) < 5;
    EXPECT_FALSE(runs_along);
  }
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
