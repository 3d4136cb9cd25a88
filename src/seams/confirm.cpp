#include "seams/confirm.h"

#include <fmt/format.h>

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

double failure_h(const CostWeights& cost, double print_s) {
  const double success =
      (1 - cost.first_layer_failure_ratio) * std::exp(-cost.failure_per_h * print_s / 3600);
  return cost.failure_h * (1 - success) / success;
}

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
        rules_(setting.rules),
        pricer_(full.mesh, setting.cost, rules_),
        random_(setting.seed, stream),
        cutter_(full.solid) {}

  /// Misfits weigh so much that no seam is worth one.
  Result<PlannedSeams> confirm(const PlanNode& found,
                               std::span<const std::array<Vec3, 2>> channels) {
    rules_.misfit_weight = 5;
    auto body = std::make_shared<ClipBody>(whole_body(full_.mesh));
    body->channels.assign(channels.begin(), channels.end());
    PlanPtr plan = pricer_.replay(std::move(body), found);
    for (int round = 0; round < kMostRounds; ++round) {
      if (plan->misfits > 0) plan = repaired(plan);
      if (run_.should_stop()) return Error{"cancelled", "the search for seams was stopped"};
      Result<PlannedSeams> judged = judge_exactly(*plan);
      if (!judged) return std::move(judged).error();
      if (misfits_.empty()) return finished(std::move(judged).value(), *plan);
      plan = tightened(plan, round);
    }
    return Error{"no-plan",
                 fmt::format("{} of the pieces fit no printer in a stable pose, the first is {}",
                             misfits_.size(), misfit_size_)};
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

  PlannedSeams finished(PlannedSeams out, const PlanNode& plan) {
    add_seam_costs(plan, out);
    for (const SeamCost& seam : out.seam_costs) out.maker_h += seam.maker_h;
    for (const PlannedPiece& piece : out.pieces) {
      out.maker_h += piece_h(piece.cut.solid, piece.pose, piece.printer, options_.cost, judge_);
    }
    return out;
  }

  void add_seam_costs(const PlanNode& node, PlannedSeams& out) {
    if (node.is_leaf()) return;
    SeamCost seam;
    seam.seam = out.plan.seams[out.seam_costs.size()].id;
    seam.maker_h = node.own_h;
    for (const SectionEdge& e : clip(*node.body, node.plane).outline) {
      const FaceFacts& facts = full_.mesh.facts[e.face];
      if (!facts.is_skin) continue;
      seam.shown_mm += facts.sight * norm(e.to - e.from);
      seam.hidden_mm += (1 - facts.sight) * norm(e.to - e.from);
    }
    out.seam_costs.push_back(seam);
    add_seam_costs(*node.above, out);
    add_seam_costs(*node.below, out);
  }

  const FullPart& full_;
  const PlanOptions& options_;
  const PieceJudge& judge_;
  const Run& run_;
  FitRules rules_;
  PlanPricer pricer_;
  Random random_;
  PlanCutter cutter_;
  std::vector<std::pair<SeamId, Side>> misfits_;
  std::string misfit_size_;
};

}  // namespace

double piece_h(const Solid& piece, const Pose& pose, std::size_t printer, const CostWeights& cost,
               const PieceJudge& judge) {
  const double handling_h = cost.piece_h + cost.support_h_per_cm2 * pose.support_mm2 / 100;
  if (!judge.print_s) return handling_h;
  return handling_h + failure_h(cost, judge.print_s(piece, pose, printer));
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
  return Confirmer(full, setting, options, judge, stream, run).confirm(found, setting.channels);
}

}  // namespace seamwright::search
