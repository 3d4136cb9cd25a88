#include "seams/nudge.h"

#include <cmath>

#include "seams/directions.h"

namespace seamwright::search {
namespace {

/// Preorder positions of the seams with a sliver under them, the last first.
void seams_over_slivers(const PlanNode& node, std::uint32_t index,
                        std::vector<std::uint32_t>& out) {
  if (node.is_leaf() || node.slivers == 0) return;
  seams_over_slivers(*node.below, index + 1 + node.above->seams, out);
  seams_over_slivers(*node.above, index + 1, out);
  if (!node.is_locked) out.push_back(index);
}

/// How far a nudge goes: shifts are normal, of a spread between the two; tilts up to the angle.
struct Reach {
  double least_mm, most_mm;
  Angle most_tilt;
};
const Reach kOffCrumb{0.05, 3, Angle::radians(0.018)};
const Reach kToFit{0.1, 25, Angle::radians(0.12)};

Plane nudged(const PlanNode& seam, const Reach& reach, Random& random) {
  const double scale = std::exp(random.uniform() * std::log(reach.least_mm / reach.most_mm));
  const double shift = random.normal() * reach.most_mm * scale;
  const double tilt = random.uniform() < 0.5 ? 0 : reach.most_tilt.radians() * random.uniform();
  const Vec3 pivot = point_on_plane(*seam.body, seam.plane, random);
  const Vec3 normal = normalized(seam.plane.normal + random.direction() * tilt);
  return {normal, dot(normal, pivot) + shift};
}

/// The seam's subtree with the cheapest of a few nudges; null when none is worth it.
PlanPtr best_nudge(const PlanNode& seam, PlanPricer& pricer, Random& random) {
  constexpr int kTries = 16;
  constexpr double kWorth_h = 0.5;
  PlanPtr best;
  for (int k = 0; k < kTries; ++k) {
    const double most_h = best ? best->total_h : seam.total_h - kWorth_h;
    PlanPtr changed = pricer.replay_moved(seam.body, nudged(seam, kOffCrumb, random), seam, most_h);
    if (changed && changed->misfits <= seam.misfits && changed->total_h <= most_h)
      best = std::move(changed);
  }
  return best;
}

}  // namespace

PlanPtr nudge_off_crumbs(PlanPtr plan, std::uint32_t allowed, PlanPricer& pricer, Random& random) {
  bool has_helped = true;
  while (has_helped && plan->slivers > allowed && !pricer.should_finish()) {
    has_helped = false;
    std::vector<std::uint32_t> seams;
    seams_over_slivers(*plan, 0, seams);
    for (const std::uint32_t index : seams) {
      const PlanPtr better = best_nudge(seam_at(*plan, index), pricer, random);
      if (!better) continue;
      plan = change_seam(plan, index, [&](const PlanPtr&) { return better; });
      has_helped = true;
      break;
    }
  }
  return plan;
}

PlanPtr nudge_to_fit(const PlanPtr& plan, PlanPricer& pricer, Random& random, double patience,
                     const Run& run) {
  constexpr double kHeat_h = 0.02, kGain_h = 0.02, kLookAround = 0.15;
  FitRules rules = passing_on(pricer.rules());
  PlanPricer nudger(pricer.mesh(), pricer.prices(), rules);
  rules.stays_as_before = true;
  PlanPricer quick(pricer.mesh(), pricer.prices(), rules);
  const auto work = [&] { return nudger.work() + quick.work(); };
  PlanPtr now = nudger.replay(plan->body, *plan);
  double least_h = now->total_h, give_up = work() + patience;
  while (now->misfits > 0 && now->seams > 0 && work() < give_up && !run.should_finish()) {
    std::vector<std::uint32_t> near;
    if (random.uniform() < 0.6) misfit_parents(*now, 0, near);
    const auto index = near.empty() ? static_cast<std::uint32_t>(random.below(now->seams))
                                    : near[random.below(near.size())];
    const PlanNode& seam = seam_at(*now, index);
    nudger.add_work(1);
    if (seam.is_locked) continue;
    const double most_h = seam.total_h - kHeat_h * std::log(1 - random.uniform());
    PlanPricer& judge = random.uniform() < kLookAround ? nudger : quick;
    const PlanPtr changed =
        judge.replay_moved(seam.body, nudged(seam, kToFit, random), seam, most_h);
    if (!changed || changed->total_h > most_h) continue;
    now = change_seam(now, index, [&](const PlanPtr&) { return changed; });
    if (now->total_h > least_h - kGain_h) continue;
    least_h = now->total_h;
    give_up = work() + patience;
  }
  pricer.add_work(work());
  return now;
}

}  // namespace seamwright::search
