#include "seams/settle.h"

#include <algorithm>
#include <cmath>

#include "seams/linear_program.h"
#include "seams/plan_slopes.h"
#include "seams/room_touch.h"

namespace seamwright::search {
namespace {

using Column = LinearProgram::Column;
using Row = LinearProgram::Row;

/// What a millimetre too much, or a rule missed by its whole, costs in the programme: so much that
/// it is hardly ever worth it, but a start that is a hair off has a way back.
constexpr double kElastic_h = 3;

struct PlacedPiece {
  std::size_t leaf, place;  ///< leaves in preorder
  PieceInRoom lies;
};

/// A plan and all that its next step needs to know.
struct Outlook {
  PlanPtr plan;
  std::vector<Hinge> hinges;
  PlanSlopes slopes;
  std::vector<PlacedPiece> pieces;
};

/// A step: how each seam moves and how each piece's frame turns, in radians.
struct Step {
  std::vector<HingeMoves> moves;
  std::vector<Vec3> turns;
  double hours = 0;  ///< as the slopes have it
};

class OutlookMaker {
 public:
  OutlookMaker(PlanPtr plan, PlanPricer& pricer) : pricer_(pricer) { now_.plan = std::move(plan); }

  Outlook run() {
    now_.hinges = hinges_of(*now_.plan);
    now_.slopes = plan_slopes(*now_.plan, now_.hinges, pricer_);
    add_pieces(*now_.plan);
    return std::move(now_);
  }

 private:
  void add_pieces(const PlanNode& node) {
    if (node.is_leaf()) return add_leaf(node);
    above_.push_back(next_hinge_++);
    add_pieces(*node.above);
    add_pieces(*node.below);
    above_.pop_back();
  }

  void add_leaf(const PlanNode& leaf) {
    const std::size_t index = next_leaf_++;
    if (leaf.is_done) return;
    const std::vector<PieceShape> shapes = piece_shapes(*leaf.body, pricer_.mesh());
    pricer_.add_work(leaf.body->look_work());
    for (std::size_t i = 0; i < shapes.size(); ++i) {
      auto lies = place_in_room(shapes[i], leaf.poses[i], pricer_.rules(), now_.hinges, above_);
      if (lies) now_.pieces.push_back({index, i, std::move(*lies)});
    }
  }

  PlanPricer& pricer_;
  Outlook now_;
  std::vector<std::size_t> above_;
  std::size_t next_hinge_ = 0, next_leaf_ = 0;
};

/// The linear programme of one step.
class StepFinder {
 public:
  StepFinder(const Outlook& now, double reach_mm, double margin_mm)
      : now_(now), reach_mm_(reach_mm), margin_mm_(margin_mm) {}

  std::optional<Step> run() {
    add_moves();
    for (const PlacedPiece& piece : now_.pieces) add_piece(piece.lies);
    for (const RuleSlope& rule : now_.slopes.rules) add_rule(rule);
    const auto found = program_.solve();
    return found ? std::optional(read(*found)) : std::nullopt;
  }

 private:
  /// Each forward and backward apart, as a rule's slopes differ.
  void add_moves() {
    for (std::size_t i = 0; i < now_.slopes.hours.size(); ++i) {
      const double most = now_.hinges[i / 3].is_locked ? 0 : reach_mm_;
      const auto [backward, forward] = now_.slopes.hours[i];
      program_.add_column(0, most, forward);
      program_.add_column(0, most, -backward);
    }
  }
  static void add_move(Row& row, std::size_t move, double factor) {
    row.terms.push_back({2 * move, factor});
    row.terms.push_back({2 * move + 1, -factor});
  }

  /// Its points on both sides of each axis stay within the room, whose middle may be anywhere.
  void add_piece(const PieceInRoom& piece) {
    const std::array<Column, 3> turns = add_turns(piece);
    const Column elastic = program_.add_column(0, LinearProgram::kNoBound, kElastic_h);
    // Off any middle that a step could lead to: only there to keep the programme bounded.
    constexpr double kMostOff_mm = 10;
    for (std::size_t k = 0; k < 3; ++k) {
      const double most = 4 * reach_mm_ + kMostOff_mm;
      const Column middle = program_.add_column(-most, most, 0);
      for (const std::size_t side : {0, 1}) {
        for (const TouchPoint& touch : piece.touches[k][side]) {
          const double sign = side == 0 ? -1 : 1;
          Row row = reach_of(piece, touch, piece.axes[k] * sign, turns);
          row.terms.push_back({elastic, -1});
          row.terms.push_back({middle, -sign});
          row.high += piece.room[k] / 2 - margin_mm_;
          program_.add_row(std::move(row));
        }
      }
    }
  }

  /// How far a point is out along one of the room's axes, either way; the bound is 0 as yet.
  Row reach_of(const PieceInRoom& piece, const TouchPoint& touch, Vec3 out,
               const std::array<Column, 3>& turns) const {
    const Vec3 from_middle = touch.at - piece.middle;
    Row row;
    row.high = -dot(out, from_middle);
    for (std::size_t i = 0; i < touch.hinges.size(); ++i) {
      const HingeMoves advance = now_.hinges[touch.hinges[i]].advance(touch.at);
      for (std::size_t m = 0; m < 3; ++m)
        add_move(row, 3 * touch.hinges[i] + m, dot(out, touch.ways[i]) * advance[m]);
    }
    // A frame that turns by a small vector takes its axis e by that × e.
    for (std::size_t t = 0; t < 3; ++t)
      row.terms.push_back(
          {turns[t], dot(cross(piece.axes[t], out), from_middle) / piece.radius_mm});
    return row;
  }

  /// About the room's axes, in mm at the piece's radius.
  std::array<Column, 3> add_turns(const PieceInRoom& piece) {
    std::array<Column, 3> turns;
    for (std::size_t k = 0; k < 3; ++k) {
      const bool is_free =
          k == 2 || piece.turns_freely || piece.stands_on || !piece.rests_on.empty();
      const double most = is_free ? 2 * reach_mm_ : 0;
      turns[k] = program_.add_column(-most, most, 0);
    }
    if (piece.stands_on) turn_with_seam(piece, turns);
    if (!piece.rests_on.empty()) turn_with_facet(piece, turns);
    first_turns_.push_back(turns[0]);
    return turns;
  }

  /// What stands on a seam turns so that `down` stays along its normal.
  void turn_with_seam(const PieceInRoom& piece, const std::array<Column, 3>& turns) {
    const Hinge& hinge = now_.hinges[*piece.stands_on];
    const Vec3 down = -piece.axes[2];
    const double sign = dot(hinge.plane.normal, down) > 0 ? 1 : -1;
    for (const std::size_t k : {0, 1}) {
      Row row{{{turns[k], 1 / piece.radius_mm}}, 0, 0};
      for (const std::size_t m : {1, 2}) {
        const Vec3 goes = (m == 1 ? hinge.u : hinge.v) * (sign / hinge.arm_mm);
        add_move(row, 3 * *piece.stands_on + m, -dot(piece.axes[k], cross(down, goes)));
      }
      program_.add_row(std::move(row));
    }
  }

  /// What lies on a facet of its hull turns so that the facet's corners stay equally low, and the
  /// lowest: it lies on another facet else, and may not fit.
  void turn_with_facet(const PieceInRoom& piece, const std::array<Column, 3>& turns) {
    const Vec3 down = -piece.axes[2];
    const Row first = reach_of(piece, piece.rests_on[0], down, turns);
    const auto beyond_first = [&](const TouchPoint& touch) {
      Row row = reach_of(piece, touch, down, turns);
      for (const LinearProgram::Term& term : first.terms)
        row.terms.push_back({term.column, -term.factor});
      row.high -= first.high;
      return row;
    };
    for (const std::size_t i : {1, 2}) {
      Row row = beyond_first(piece.rests_on[i]);
      row.low = row.high;
      program_.add_row(std::move(row));
    }
    for (const TouchPoint& touch : piece.touches[2][0]) program_.add_row(beyond_first(touch));
  }

  /// Nothing is hoped for from a move that costs spare one way: of both slopes the worse counts.
  void add_rule(const RuleSlope& rule) {
    Row row{{{program_.add_column(0, LinearProgram::kNoBound, kElastic_h), 1}}, -rule.spare};
    for (const auto& [move, slopes] : rule.by_move) {
      row.terms.push_back({2 * move, std::min(slopes[0], slopes[1])});
      row.terms.push_back({2 * move + 1, -std::max(slopes[0], slopes[1])});
    }
    program_.add_row(std::move(row));
  }

  Step read(const std::vector<double>& found) const {
    Step step;
    step.moves.resize(now_.hinges.size());
    for (std::size_t i = 0; i < now_.slopes.hours.size(); ++i) {
      const auto [backward, forward] = now_.slopes.hours[i];
      step.moves[i / 3][i % 3] = found[2 * i] - found[2 * i + 1];
      step.hours += forward * found[2 * i] - backward * found[2 * i + 1];
    }
    for (std::size_t p = 0; p < now_.pieces.size(); ++p) {
      const PieceInRoom& piece = now_.pieces[p].lies;
      Vec3 turn;
      for (std::size_t k = 0; k < 3; ++k)
        turn += piece.axes[k] * (found[first_turns_[p] + k] / piece.radius_mm);
      step.turns.push_back(turn);
    }
    return step;
  }

  const Outlook& now_;
  double reach_mm_, margin_mm_;
  LinearProgram program_;
  std::vector<Column> first_turns_;
};

/// The plan's seams and the ways its pieces lie, moved; nothing is cut or priced yet.
class PlanMover {
 public:
  PlanMover(const Outlook& now, const Step& step) : now_(now), step_(step) {}

  PlanPtr run() { return moved(now_.plan); }

 private:
  PlanPtr moved(const PlanPtr& node) {
    if (node->is_leaf()) return moved_leaf(*node);
    const std::size_t hinge = next_hinge_++;
    const Plane plane =
        node->is_locked ? node->plane : now_.hinges[hinge].moved(step_.moves[hinge]);
    PlanPtr above = moved(node->above), below = moved(node->below);
    return PlanPricer::join(node->body, plane, node->is_locked, node->own_h, std::move(above),
                            std::move(below));
  }

  PlanPtr moved_leaf(const PlanNode& node) {
    auto leaf = std::make_shared<PlanNode>(node);
    for (; next_piece_ < now_.pieces.size(); ++next_piece_) {
      const PlacedPiece& piece = now_.pieces[next_piece_];
      if (piece.leaf != next_leaf_) break;
      const Vec3 turn = step_.turns[next_piece_];
      EarlierPose& pose = leaf->poses[piece.place];
      pose.down = normalized(pose.down + cross(turn, pose.down));
      pose.along = normalized(pose.along + cross(turn, pose.along));
      if (piece.lies.turns_freely) pose.foot = Foot::tilted;
    }
    ++next_leaf_;
    return leaf;
  }

  const Outlook& now_;
  const Step& step_;
  std::size_t next_hinge_ = 0, next_leaf_ = 0, next_piece_ = 0;
};

/// How far seams may go in a step, and how far pieces keep off their rooms' walls as the programme
/// has it, which is a little off itself.
class Trust {
 public:
  double reach_mm() const { return reach_mm_; }
  double margin_mm() const {
    constexpr double kBent_per_mm = 0.01, kMostShare = 0.1;  // curvature; of the reach
    return std::min(margin_mm_, kMostShare * reach_mm_) + kBent_per_mm * reach_mm_ * reach_mm_;
  }
  bool is_worth_a_step() const { return reach_mm_ > kLeast_mm; }

  void gained(bool is_as_told) {
    margin_mm_ /= 2;
    if (is_as_told) reach_mm_ = std::min(kMost_mm, kLonger * reach_mm_);
  }
  void failed(bool is_misfit) {
    if (is_misfit) margin_mm_ = std::max(2 * margin_mm_, kFirstMargin * reach_mm_);
    reach_mm_ /= 2;
  }

 private:
  static constexpr double kFirst_mm = 1, kLeast_mm = 0.01, kMost_mm = 4, kLonger = 1.6;
  static constexpr double kFirstMargin = 0.01;  ///< of the reach
  double reach_mm_ = kFirst_mm, margin_mm_ = 0;
};

}  // namespace

PlanPtr settle(PlanPtr plan, PlanPricer& pricer, double work, const Run& run) {
  constexpr double kGain_h = 1e-5;
  if (plan->seams == 0 || plan->misfits > 0) return plan;
  const double most_work = pricer.work() + work;
  Trust trust;
  Outlook now = OutlookMaker(plan, pricer).run();
  while (trust.is_worth_a_step() && pricer.work() < most_work && !run.should_finish()) {
    const auto step = StepFinder(now, trust.reach_mm(), trust.margin_mm()).run();
    if (!step) break;
    const PlanPtr shape = PlanMover(now, *step).run();
    PlanPtr next = pricer.replay(plan->body, *shape);
    const bool has_gained = next->misfits == 0 && next->slivers <= plan->slivers &&
                            next->seams == plan->seams && next->total_h < plan->total_h - kGain_h;
    if (!has_gained) {
      trust.failed(next->misfits > 0);
      continue;
    }
    trust.gained(plan->total_h - next->total_h > -step->hours / 2);
    plan = std::move(next);
    now = OutlookMaker(plan, pricer).run();
  }
  return plan;
}

PlanPtr settle_to_fit(const PlanPtr& plan, PlanPricer& pricer, const Run& run) {
  constexpr int kMostSteps = 20, kMostFailures = 4;
  constexpr double kFirst_mm = 6, kMost_mm = 12, kLonger = 1.3, kShorter = 0.4, kGain_h = 1e-4;
  const FitRules rules = passing_on(pricer.rules());
  PlanPricer passer(pricer.mesh(), pricer.prices(), rules);
  PlanPtr now = passer.replay(plan->body, *plan);
  Outlook outlook = OutlookMaker(now, passer).run();
  double reach_mm = kFirst_mm;
  int failures = 0;
  for (int k = 0; k < kMostSteps && now->misfits > 0 && now->seams > 0; ++k) {
    if (failures > kMostFailures || run.should_finish()) break;
    const auto step = StepFinder(outlook, reach_mm, 0).run();
    if (!step) break;
    const PlanPtr shape = PlanMover(outlook, *step).run();
    PlanPtr next = passer.replay(now->body, *shape);
    if (next->total_h > now->total_h - kGain_h) {
      reach_mm *= kShorter;
      ++failures;
      continue;
    }
    reach_mm = std::min(kMost_mm, kLonger * reach_mm);
    now = std::move(next);
    outlook = OutlookMaker(now, passer).run();
  }
  pricer.add_work(passer.work());
  return now;
}

}  // namespace seamwright::search
