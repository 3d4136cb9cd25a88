#include "seams/confirm.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "seams/anneal.h"
#include "seams/directions.h"
#include "seams/starts.h"
#include "seamwright/pose/standing.h"
#include "seamwright/pose/tilted.h"
#include "seamwright/profile/printer_presets.h"

namespace seamwright::search {
namespace {

constexpr int kMostRounds = 6;

/// Preorder position of the seam with `id` in to_seam_plan's numbering.
std::uint32_t index_of(SeamId id) {
  return static_cast<std::uint32_t>(id) - 1;
}

template <class Change>
PlanPtr change_leaf(const PlanPtr& node, std::uint32_t seam_index, Side side,
                    const Change& change) {
  PlanPtr above = node->above, below = node->below;
  if (seam_index == 0) {
    PlanPtr& half = side == Side::above ? above : below;
    half = change(half);
  } else if (seam_index - 1 < above->seams) {
    above = change_leaf(above, seam_index - 1, side, change);
  } else {
    below = change_leaf(below, seam_index - 1 - above->seams, side, change);
  }
  return PlanPricer::join(node->body, node->plane, node->is_locked, node->own_h, above, below);
}

class Confirmer {
 public:
  Confirmer(const FullPart& full, const SearchSetting& setting, const PlanOptions& options,
            const PieceJudge& judge, std::uint64_t stream, const Run& run)
      : full_(full),
        options_(options),
        judge_(judge),
        run_(run),
        setting_(setting),
        rules_(setting.rules),
        pricer_(full.mesh, setting.prices, rules_),
        own_pricer_(full.mesh, setting.own_prices, rules_),
        random_(setting.seed, stream),
        cutter_(full.solid) {}

  /// Misfits weigh so much that no seam is worth one.
  Result<PlannedSeams> confirm(const PlanNode& found) {
    rules_.misfit_weight = 5;
    PlanPtr plan = pricer_.replay(channelled_body(full_.mesh, setting_), found);
    for (int round = 0; round < kMostRounds; ++round) {
      if (plan->misfits > 0) plan = repaired(plan);
      if (run_.should_stop()) return Error{"cancelled", "the search for seams was stopped"};
      Result<PlannedSeams> judged = judge_exactly(*plan);
      if (!judged) return std::move(judged).error();
      if (misfits_.empty()) return finished(std::move(judged).value(), *plan);
      plan = tightened(plan, round);
    }
    return misfit_error();
  }

  Result<PlannedSeams> judge_given(const SeamPlan& given) {
    const PlanPtr plan = pricer_.cut_by(given, channelled_body(full_.mesh, setting_));
    Result<PlannedSeams> judged = judge_exactly(*plan);
    if (!judged) return std::move(judged).error();
    if (!misfits_.empty()) return misfit_error();
    return finished(std::move(judged).value(), *plan);
  }

 private:
  /// Small moves of the seams around what does not fit; if none helps, that piece is cut once more.
  PlanPtr repaired(const PlanPtr& plan) {
    const double faces = static_cast<double>(full_.mesh.triangles.size());
    const AnnealSchedule schedule{std::max(3e7, 60 * faces), 3000, 0.03, 0.002};
    PlanPtr better = anneal(plan, pricer_, random_, schedule, run_);
    return fill_misfits(better, pricer_, random_, 2);
  }

  /// The exact judge refused pieces that the search thought to fit: rooms and rules are taken a
  /// little stricter, and from the third round on those pieces are cut in the middle.
  PlanPtr tightened(const PlanPtr& plan, int round) {
    for (Vec3& room : rules_.rooms_mm) room = room - Vec3{0.1, 0.1, 0.1};
    StandingRules& rules = rules_.standing;
    rules.least_tip = Angle::radians(1.02 * rules.least_tip.radians());
    rules.sheet_tip = Angle::radians(1.02 * rules.sheet_tip.radians());
    rules.least_contact_mm2 *= 1.02;
    rules.most_slender_ratio /= 1.02;
    rules.sheet_slender_ratio /= 1.02;
    if (round < 2 || plan->is_leaf()) return pricer_.replay(plan->body, *plan);
    PlanPtr changed = plan;
    // From the last to the first, so that the numbers of those before stay as they are.
    for (auto at = misfits_.rbegin(); at != misfits_.rend(); ++at) {
      changed = change_leaf(changed, index_of(at->first), at->second,
                            [&](const PlanPtr& leaf) { return halved(leaf); });
    }
    return changed;
  }

  PlanPtr halved(const PlanPtr& leaf) {
    if (!leaf->is_leaf()) return leaf;
    const Vec3 normal = principal_axes(*leaf->body)[0];
    double low = std::numeric_limits<double>::infinity(), high = -low;
    for (const Vec3 p : leaf->body->points) {
      low = std::min(low, dot(p, normal));
      high = std::max(high, dot(p, normal));
    }
    return pricer_.split(leaf->body, {normal, (low + high) / 2});
  }

  Result<PlannedSeams> judge_exactly(const PlanNode& plan) {
    PlannedSeams out;
    out.plan = to_seam_plan(plan);
    Result<std::vector<CutPiece>> pieces = cutter_.pieces(out.plan, run_);
    if (!pieces) return std::move(pieces).error();
    misfits_.clear();
    for (CutPiece& piece : *pieces) {
      const auto posed = exact_pose(piece.solid, options_);
      if (!posed) {
        note_misfit(piece);
        continue;
      }
      out.pieces.push_back({std::move(piece), posed->first, posed->second});
    }
    return out;
  }

  void note_misfit(const CutPiece& piece) {
    const Vec3 size = piece.solid.box().size();
    if (misfits_.empty())
      misfit_size_ = fmt::format("{:.0f} × {:.0f} × {:.0f} mm", size.x, size.y, size.z);
    if (!piece.seam) return misfits_.push_back({to_id<SeamId>(1), Side::above});
    if (misfits_.empty() || misfits_.back() != std::pair{*piece.seam, piece.side}) {
      misfits_.push_back({*piece.seam, piece.side});
    }
  }

  Error misfit_error() const {
    return {"no-plan",
            fmt::format("{} of the pieces fit no printer in a stable pose, the first is {}",
                        misfits_.size(), misfit_size_)};
  }

  Result<PlannedSeams> finished(PlannedSeams out, const PlanNode& plan) {
    const Status allowed = add_seam_costs(plan, out);
    if (!allowed) return allowed.error();
    OtherPlan& figures = out.figures;
    figures = {.aim = {}, .plan = out.plan, .pieces = out.pieces.size()};
    for (const SeamCost& seam : out.seam_costs) {
      out.maker_h += seam.maker_h;
      figures.shown_mm += seam.shown_mm;
      figures.hidden_mm += seam.hidden_mm;
    }
    for (const PlannedPiece& piece : out.pieces) {
      const double print_s =
          judge_.print_s ? judge_.print_s(piece.cut.solid, piece.pose, piece.printer) : 0;
      out.maker_h += piece_h(piece.pose, print_s, setting_.own_prices);
      figures.print_s += print_s;
      figures.longest_print_s = std::max(figures.longest_print_s, print_s);
    }
    figures.maker_h = out.maker_h;
    return out;
  }

  Status add_seam_costs(const PlanNode& node, PlannedSeams& out) {
    if (node.is_leaf()) return ok();
    const BodyHalves halves = clip(*node.body, node.plane);
    SeamCost seam;
    seam.seam = out.plan.seams[out.seam_costs.size()].id;
    seam.maker_h = own_pricer_.seam_h(node.plane, halves, *node.body);
    seam.is_preferred = discount(setting_.own_prices, node.plane) > 0;
    for (const Zone& zone : setting_.own_prices.forbidden) {
      if (trespass_h({.forbidden = {zone}}, node.plane, halves) > 0)
        return Error{"no-plan",
                     fmt::format("no seam was found that keeps out of the forbidden zone "
                                 "{}; make it smaller or allow more pieces",
                                 zone.name)};
    }
    for (const SectionEdge& e : halves.outline) add_length(e, seam);
    out.seam_costs.push_back(seam);
    const Status above = add_seam_costs(*node.above, out);
    return above ? add_seam_costs(*node.below, out) : above;
  }

  void add_length(const SectionEdge& e, SeamCost& seam) const {
    const FaceFacts& facts = full_.mesh.facts[e.face];
    if (!facts.is_skin) return;
    const double length_mm = norm(e.to - e.from);
    seam.shown_mm += facts.sight * length_mm;
    seam.hidden_mm += (1 - facts.sight) * length_mm;
    if (facts.weight > 1) seam.detail_mm += length_mm;
    if (facts.weight < 1) seam.line_mm += length_mm;
  }

  const FullPart& full_;
  const PlanOptions& options_;
  const PieceJudge& judge_;
  const Run& run_;
  const SearchSetting& setting_;
  FitRules rules_;
  PlanPricer pricer_, own_pricer_;
  Random random_;
  PlanCutter cutter_;
  std::vector<std::pair<SeamId, Side>> misfits_;
  std::string misfit_size_;
};

}  // namespace

double piece_h(const Pose& pose, double print_s, const PriceRules& prices) {
  const double handling_h =
      prices.cost.piece_h + prices.cost.support_h_per_cm2 * pose.support_mm2 / 100;
  return print_s > 0 ? handling_h + printing_h(prices, print_s / 3600) : handling_h;
}

std::optional<std::pair<Pose, std::size_t>> exact_pose(const Solid& piece,
                                                       const PlanOptions& options) {
  std::optional<std::pair<Pose, std::size_t>> best;
  const auto is_better = [&](const Pose& pose) {
    return !best || pose.foot < best->first.foot ||
           (pose.foot == best->first.foot && pose.support_mm2 < best->first.support_mm2);
  };
  for (std::size_t p = 0; p < options.printers.size(); ++p) {
    for (const ClearBox& box : clear_boxes(options.printers[p])) {
      const std::vector<Pose> poses = standing_poses(piece, box.size_mm);
      if (!poses.empty() && is_better(poses.front())) best = {poses.front(), p};
    }
  }
  if (best || options.poses == Poses::standing) return best;
  for (std::size_t p = 0; p < options.printers.size(); ++p) {
    for (const ClearBox& box : clear_boxes(options.printers[p])) {
      const std::optional<Pose> pose = tilted_pose(piece, box.size_mm);
      if (pose && (!best || pose->support_mm2 < best->first.support_mm2)) best = {*pose, p};
    }
  }
  return best;
}

Result<PlannedSeams> confirm(const PlanNode& found, const FullPart& full,
                             const SearchSetting& setting, const PlanOptions& options,
                             const PieceJudge& judge, std::uint64_t stream, const Run& run) {
  return Confirmer(full, setting, options, judge, stream, run).confirm(found);
}

Result<PlannedSeams> judge_given(const SeamPlan& plan, const FullPart& full,
                                 const SearchSetting& setting, const PlanOptions& options,
                                 const PieceJudge& judge, const Run& run) {
  return Confirmer(full, setting, options, judge, 0, run).judge_given(plan);
}

}  // namespace seamwright::search
