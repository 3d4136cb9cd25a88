#include "seams/plan_slopes.h"

#include <algorithm>
#include <cmath>

namespace seamwright::search {
namespace {

constexpr double kStep_mm = 0.25;
constexpr double kAmple = 0.1;  ///< a spare that needs no watching

/// Rules by which any piece fits, so that only seams and material are priced.
FitRules anywhere(FitRules rules) {
  constexpr double kAnyRoom_mm = 1e9;
  rules.rooms_mm = {{kAnyRoom_mm, kAnyRoom_mm, kAnyRoom_mm}};
  rules.poses = Poses::tilted;
  rules.measures_support = false;
  return rules;
}

void list_leaves(const PlanNode& node, std::vector<const PlanNode*>& out) {
  if (node.is_leaf()) {
    out.push_back(&node);
    return;
  }
  list_leaves(*node.above, out);
  list_leaves(*node.below, out);
}

std::vector<const PlanNode*> leaves_of(const PlanNode& node) {
  std::vector<const PlanNode*> leaves;
  list_leaves(node, leaves);
  return leaves;
}

class SlopeFinder {
 public:
  SlopeFinder(const PlanNode& plan, std::span<const Hinge> hinges, PlanPricer& pricer)
      : plan_(plan),
        hinges_(hinges),
        pricer_(pricer),
        easy_rules_(anywhere(pricer.rules())),
        easy_(pricer.mesh(), pricer.prices(), easy_rules_),
        leaves_(leaves_of(plan)) {}

  PlanSlopes run() {
    if (pricer_.rules().poses == Poses::standing) {
      for (std::size_t leaf = 0; leaf < leaves_.size(); ++leaf) add_standing(leaf);
    }
    measure(*easy_.replay(plan_.body, plan_));
    pricer_.add_work(easy_.work());
    for (Standing& piece : standing_) {
      for (RuleSlope& rule : piece.rules) {
        if (!rule.by_move.empty()) slopes_.rules.push_back(std::move(rule));
      }
    }
    return std::move(slopes_);
  }

 private:
  struct Standing {
    std::size_t leaf, place;
    std::array<RuleSlope, 3> rules;
  };

  void add_standing(std::size_t leaf) {
    const PlanNode& node = *leaves_[leaf];
    if (node.is_done) return;
    const std::vector<PieceShape> pieces = piece_shapes(*node.body, pricer_.mesh());
    pricer_.add_work(node.body->look_work());
    for (std::size_t i = 0; i < pieces.size(); ++i) {
      Standing piece{leaf, i, {}};
      const RuleSpares spares = rule_spares(pieces[i], pricer_.rules(), node.poses[i]);
      for (std::size_t r = 0; r < spares.size(); ++r) piece.rules[r].spare = spares[r];
      standing_.push_back(std::move(piece));
    }
  }

  /// Every seam in preorder.
  void measure(const PlanNode& node) {
    if (node.is_leaf()) {
      ++next_leaf_;
      return;
    }
    const std::size_t hinge = next_hinge_++, first_leaf = next_leaf_;
    for (std::size_t k = 0; k < 3; ++k) {
      std::array<double, 2> slopes{};
      for (const std::size_t side : {0, 1}) {
        if (node.is_locked) continue;
        const double by_mm = side == 0 ? -kStep_mm : kStep_mm;
        HingeMoves moves{};
        moves[k] = by_mm;
        const PlanPtr moved = easy_.replay_moved(node.body, hinges_[hinge].moved(moves), node);
        slopes[side] = (moved->total_h - node.total_h) / by_mm;
        compare_spares(*moved, first_leaf, node.seams + 1, 3 * hinge + k, by_mm);
      }
      slopes_.hours.push_back(slopes_of(slopes));
    }
    measure(*node.above);
    measure(*node.below);
  }

  /// The mean of both; but a crumb that a move would cut off, or a zone it would enter, is a wall
  /// on one side, and one that it would be rid of is no slope to count on.
  static std::array<double, 2> slopes_of(std::array<double, 2> slopes) {
    constexpr double kJump_h_per_mm = 0.3;
    const auto [backward, forward] = slopes;
    if (forward - backward > kJump_h_per_mm) return slopes;
    const double mean = (backward + forward) / 2;
    const double less = std::abs(backward) < std::abs(forward) ? backward : forward;
    const double slope = backward - forward > kJump_h_per_mm ? less : mean;
    return {slope, slope};
  }

  /// Of the pieces that the move changed.
  void compare_spares(const PlanNode& moved, std::size_t first_leaf, std::size_t leaf_count,
                      std::size_t move, double by_mm) {
    const std::vector<const PlanNode*> leaves = leaves_of(moved);
    if (leaves.size() != leaf_count || standing_.empty()) return;  // a seam missed its half
    for (std::size_t k = 0; k < leaf_count; ++k) {
      const PlanNode& before = *leaves_[first_leaf + k];
      const ClipBody& body = *leaves[k]->body;
      if (before.is_done || body == *before.body) continue;
      const std::vector<PieceShape> pieces = piece_shapes(body, pricer_.mesh());
      pricer_.add_work(body.look_work());
      for (Standing& piece : standing_) {
        if (piece.leaf != first_leaf + k || piece.place >= pieces.size()) continue;
        const RuleSpares spares =
            rule_spares(pieces[piece.place], pricer_.rules(), before.poses[piece.place]);
        for (std::size_t r = 0; r < spares.size(); ++r) {
          RuleSlope& rule = piece.rules[r];
          const double change = std::min(spares[r], kAmple) - std::min(rule.spare, kAmple);
          if (change != 0) rule.by_move[move][by_mm > 0 ? 1 : 0] = change / by_mm;
        }
      }
    }
  }

  const PlanNode& plan_;
  std::span<const Hinge> hinges_;
  PlanPricer& pricer_;
  FitRules easy_rules_;
  PlanPricer easy_;
  std::vector<const PlanNode*> leaves_;
  std::vector<Standing> standing_;
  std::size_t next_hinge_ = 0, next_leaf_ = 0;
  PlanSlopes slopes_;
};

}  // namespace

PlanSlopes plan_slopes(const PlanNode& plan, std::span<const Hinge> hinges, PlanPricer& pricer) {
  PlanSlopes slopes = SlopeFinder(plan, hinges, pricer).run();
  for (RuleSlope& rule : slopes.rules) rule.spare = std::min(rule.spare, kAmple);
  return slopes;
}

}  // namespace seamwright::search
