#include "seams/hold_joints.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "seams/directions.h"
#include "seamwright/core/parallel.h"

namespace seamwright::search {
namespace {

constexpr std::array kTilts_deg{12.0, 26.0, 42.0};
constexpr std::size_t kWays = 8;  // round the normal
constexpr std::array kShifts_mm{0.0, 8.0, -8.0, 20.0, -20.0, 35.0, -35.0};
constexpr std::array kReaches_mm{8.0, 20.0, 50.0};
constexpr std::size_t kMostQuestions = 8;  // to the exact judge, a joint
constexpr std::size_t kMostHelpless = 2;

/// What is square to the skin about a point of the plane, and the plane's own normal.
std::vector<Vec3> likely_normals(const Plane& plane, Vec3 pivot, const ClipBody& body) {
  std::vector<Vec3> normals{plane.normal};
  for (const double reach_mm : kReaches_mm) {
    const Vec3 square = square_to_skin(body, plane, {reach_mm, pivot}).normal;
    if (square != plane.normal) normals.push_back(square);
  }
  return normals;
}

/// The plane's normal tilted all ways.
std::vector<Vec3> tilted_normals(const Plane& plane) {
  std::vector<Vec3> normals;
  const PlaneFrame frame(plane);
  for (const double tilt_deg : kTilts_deg) {
    const double tilt = tilt_deg * std::numbers::pi / 180;
    for (std::size_t way = 0; way < kWays; ++way) {
      const double turn = 2 * std::numbers::pi * static_cast<double>(way) / kWays;
      const Vec3 aside = frame.u * std::cos(turn) + frame.v * std::sin(turn);
      normals.push_back(normalized(plane.normal * std::cos(tilt) + aside * std::sin(tilt)));
    }
  }
  return normals;
}

class JointHolder {
 public:
  JointHolder(const FullPart& full, const SearchSetting& setting, const PlanOptions& options,
              const PieceJudge& judge, const Run& run)
      : full_(full),
        setting_(setting),
        loose_joint_h_(setting.own_prices.cost.loose_joint_h),
        judge_(judge),
        exact_(full, setting, options, judge),
        run_(run) {}

  Result<HeldPlan> hold(HeldPlan best) {
    // A joint that can't be helped is passed over; every other turn leaves fewer hours.
    for (std::size_t helpless = 0; helpless < std::min(best.loose.size(), kMostHelpless);) {
      if (run_.should_finish()) break;
      Result<std::optional<HeldPlan>> better = moved(best, best.loose[helpless]);
      if (!better) return std::move(better).error();
      if (*better)
        best = std::move(**better);
      else
        ++helpless;
    }
    return best;
  }

 private:
  struct Move {
    double hours = 0;  ///< more than before, as the search sees it
    Plane plane;
  };

  /// Of each normal the cheapest shift that the search thinks to fit and to cost less than the
  /// joint; the likely ones first, then those that are just tilted.
  std::vector<Move> moves(const HeldPlan& now, const LooseJoint& joint) const {
    PlanPricer pricer(full_.mesh, setting_.own_prices, setting_.rules);
    const PlanPtr root = pricer.cut_by(now.plan.plan, channelled_body(full_.mesh, setting_));
    // A seam that misses what is left of the part would be dropped: then the numbers don't match.
    if (root->seams != now.plan.plan.seams.size()) return {};
    const PlanNode& node = seam_at(*root, position_of(joint.seam, now.plan.plan));
    std::vector<Move> moves;
    for (const std::vector<Vec3>& normals :
         {likely_normals(node.plane, joint.middle, *node.body), tilted_normals(node.plane)}) {
      const std::vector<Move> found = cheapest_moves(node, normals, joint.middle);
      moves.insert(moves.end(), found.begin(), found.end());
    }
    return moves;
  }

  /// By their hours.
  std::vector<Move> cheapest_moves(const PlanNode& node, const std::vector<Vec3>& normals,
                                   Vec3 pivot) const {
    const auto cheapest = map_index(normals.size(), run_, [&](std::size_t i) {
      std::optional<Move> best;
      for (const double shift_mm : kShifts_mm) {
        const Plane plane{normals[i], dot(normals[i], pivot) + shift_mm};
        if (plane.normal == node.plane.normal && shift_mm == 0) continue;
        const auto hours = hours_of_move(node, plane, best ? best->hours : loose_joint_h_);
        if (hours) best = {*hours, plane};
      }
      return best;
    });
    std::vector<Move> moves;
    for (const std::optional<Move>& move : cheapest) {
      if (move) moves.push_back(*move);
    }
    std::stable_sort(moves.begin(), moves.end(),
                     [](const Move& a, const Move& b) { return a.hours < b.hours; });
    return moves;
  }

  /// What moving the top seam adds; nothing when that is not less than `most_h`, or a piece would
  /// not fit.
  std::optional<double> hours_of_move(const PlanNode& node, const Plane& plane,
                                      double most_h) const {
    PlanPricer pricer(full_.mesh, setting_.own_prices, setting_.rules);
    const PlanPtr moved = pricer.replay_moved(node.body, plane, node, node.total_h + most_h);
    if (!moved || moved->misfits > node.misfits || moved->seams != node.seams ||
        moved->pieces > node.pieces)
      return {};
    const double hours = moved->total_h - node.total_h;
    return hours < most_h ? std::optional(hours) : std::nullopt;
  }

  /// Of a seam in the tree's preorder, in which plans found by the search are numbered.
  static std::uint32_t position_of(SeamId id, const SeamPlan& plan) {
    const auto at = std::find_if(plan.seams.begin(), plan.seams.end(),
                                 [&](const Seam& seam) { return seam.id == id; });
    return static_cast<std::uint32_t>(at - plan.seams.begin());
  }

  /// The first of the moves by which the joint is held and the plan becomes cheaper.
  Result<std::optional<HeldPlan>> moved(const HeldPlan& now, const LooseJoint& joint) {
    std::size_t questions = 0;
    for (const Move& move : moves(now, joint)) {
      if (questions == kMostQuestions) break;
      const Result<SeamPlan> plan = apply(now.plan.plan, MoveSeam{joint.seam, move.plane});
      if (!plan) break;  // locked
      Result<PlannedSeams> judged = exact_.judge(*plan, run_);
      if (!judged && judged.error().code == "cancelled") return judged.error();
      if (!judged || judged->maker_h >= now.hours()) continue;
      if (judged->pieces.size() > now.plan.pieces.size()) continue;
      ++questions;
      if (!judge_.loose_joints(judged->plan, judged->pieces, joint.seam).empty()) continue;
      HeldPlan held = with_loose_joints(std::move(*judged), setting_, judge_);
      if (held.hours() < now.hours()) return std::optional(std::move(held));
    }
    return std::optional<HeldPlan>{};
  }

  const FullPart& full_;
  const SearchSetting& setting_;
  double loose_joint_h_;
  const PieceJudge& judge_;
  ExactJudge exact_;
  const Run& run_;
};

}  // namespace

HeldPlan with_loose_joints(PlannedSeams planned, const SearchSetting& setting,
                           const PieceJudge& judge) {
  HeldPlan held{std::move(planned)};
  const double each_h = setting.own_prices.cost.loose_joint_h;
  if (!judge.loose_joints || each_h == 0) return held;
  held.loose = judge.loose_joints(held.plan.plan, held.plan.pieces, std::nullopt);
  held.loose_h = each_h * static_cast<double>(held.loose.size());
  return held;
}

Result<HeldPlan> hold_joints(HeldPlan held, const FullPart& full, const SearchSetting& setting,
                             const PlanOptions& options, const PieceJudge& judge, const Run& run) {
  if (held.loose.empty()) return held;
  return JointHolder(full, setting, options, judge, run).hold(std::move(held));
}

}  // namespace seamwright::search
