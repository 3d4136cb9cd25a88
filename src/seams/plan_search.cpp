#include "seams/plan_search.h"

#include <algorithm>
#include <cmath>

#include "seams/anneal.h"
#include "seams/first_racers.h"
#include "seams/likeness.h"
#include "seams/nudge.h"
#include "seams/settle.h"
#include "seams/starts.h"
#include "seamwright/core/parallel.h"
#include "seamwright/profile/printer_presets.h"

namespace seamwright::search {
namespace {

using Bodies = std::shared_ptr<const ClipBody>;

/// A body under locked seams, each cutting every half it meets.
PlanPtr lock_seams(Bodies body, std::span<const Plane> locked, PlanPricer& pricer) {
  if (locked.empty()) return pricer.leaf(std::move(body));
  const BodyHalves halves = clip(*body, locked[0]);
  const std::span<const Plane> rest = locked.subspan(1);
  if (halves.above->is_empty() || halves.below->is_empty())
    return lock_seams(std::move(body), rest, pricer);
  const double hours = pricer.seam_h(locked[0], halves, *body);
  PlanPtr above = lock_seams(halves.above, rest, pricer),
          below = lock_seams(halves.below, rest, pricer);
  return PlanPricer::join(std::move(body), locked[0], true, hours, std::move(above),
                          std::move(below));
}

/// The way from a body down to a done piece: the planes still to cut by, the next one last.
using Way = std::span<const Plane>;

/// The body under the seams on the ways to done pieces; what lies beside them is locked as asked.
PlanPtr lead_to_done(Bodies body, const std::vector<Way>& ways, std::vector<Plane> locked,
                     PlanPricer& pricer) {
  if (ways.empty()) return lock_seams(std::move(body), locked, pricer);
  if (ways.front().empty()) return pricer.done_leaf(std::move(body));
  const Plane plane = ways.front().back();
  std::erase_if(locked, [&](const Plane& lock) { return lies_on(lock, plane); });
  std::vector<Way> above_ways, below_ways;
  for (const Way way : ways) {
    if (!way.empty() && way.back() == plane) below_ways.push_back(way.first(way.size() - 1));
    if (!way.empty() && way.back() == plane.flipped())
      above_ways.push_back(way.first(way.size() - 1));
  }
  const BodyHalves halves = clip(*body, plane);
  if (halves.above->is_empty())
    return lead_to_done(std::move(body), below_ways, std::move(locked), pricer);
  if (halves.below->is_empty())
    return lead_to_done(std::move(body), above_ways, std::move(locked), pricer);
  const double hours = pricer.seam_h(plane, halves, *body);
  PlanPtr above = lead_to_done(halves.above, above_ways, locked, pricer);
  PlanPtr below = lead_to_done(halves.below, below_ways, std::move(locked), pricer);
  return PlanPricer::join(std::move(body), plane, true, hours, std::move(above), std::move(below));
}

/// The racers that do not divide the part all but the same as a better one: each such plan goes on
/// once, and leaves the other's place to the next best. Hours don't tell: plans of as many pieces
/// often cost the same to a few thousandths and divide a quarter of the part otherwise.
std::vector<Racer> unlike(std::vector<Racer> racers) {
  constexpr double kAlike = 0.95;  ///< likeness
  std::vector<Racer> kept;
  for (Racer& racer : racers) {
    const bool is_new = std::none_of(kept.begin(), kept.end(), [&](const Racer& better) {
      return likeness(*better.plan, *racer.plan) > kAlike;
    });
    if (is_new) kept.push_back(std::move(racer));
  }
  return kept;
}

/// What a piece costs with its share of the seams in the best start: where pieces are dear, misfits
/// must be too.
double dearness(const PlanNode& best) {
  return std::max(1.0, best.total_h / std::max(1.0, static_cast<double>(best.pieces)));
}

struct Heat {
  double ease_share;  ///< of the whole ease; 0: the true rules hold for all
  /// How many racers: by the true rules, by each eased kind from grids, by each from slabs. None of
  /// the latter: the kinds race together, and places left by racers without hope go to copies.
  std::size_t true_ones, grids, slabs;
  double work_share;  ///< of the budget, for each racer
  double hot_h, cold_h;
  double misfit_weight;  ///< where a piece is dear, an hour for a misfit is no threat
  double grid_share = 0;
  bool settles = false;  ///< after the annealing
  bool is_open() const { return grids + slabs == 0; }
  std::size_t places(const RacerKind& kind) const {
    return kind.ease == Ease::none ? true_ones : kind.is_slabs ? slabs : grids;
  }
};
/// Many first, as which starts lead to the best plans shows soon. Good plans by easier rules are
/// found much more surely than by the true ones; the ease is withdrawn heat by heat. Grids are laid
/// once the few are picked: a piece less then is one less at the end, while before they only make
/// poor plans as good as the others.
constexpr std::array<Heat, 5> kHeats{
    Heat{1, 24, 6, 18, 0.0046, 0.30, 0.18, 1}, Heat{0.5, 12, 3, 6, 0.0158, 0.18, 0.10, 1},
    Heat{0, 6, 2, 2, 0.05, 0.12, 0.02, 1.8, 0.02}, Heat{0, 6, 0, 0, 0.05, 0.08, 0.01, 4},
    Heat{0, 5, 0, 0, 0.05, 0.08, 0.003, 4, 0, true}};
constexpr double kNudgePatience = 0.2;  ///< of a racer's work, for making it fit the next stand-in
constexpr double kSettleShare = 0.05;   ///< of the whole budget, at most, for settling one plan

/// All that start, those by the true rules first, the best of them at the head.
std::vector<Racer> line_up(const SearchMesh& mesh, const SearchSetting& setting,
                           const FitRules& rules, const Run& run) {
  std::vector<Racer> racers;
  for (const RacerKind& kind : kRacerKinds) {
    const bool is_wanted = kind.ease == Ease::none || setting.budget.may_ease;
    if (!is_wanted || (!racers.empty() && run.should_finish())) break;
    const std::size_t places = kHeats.front().places(kind);
    for (Racer& racer : first_racers(kind, places, mesh, setting, rules, run))
      racers.push_back(std::move(racer));
  }
  return racers;
}

/// The best of all, and copies of them that go on by other chance in place of those that are too
/// far behind: from there on plans were seen to gain 2 to 5 %, and copies of one plan unlike much.
std::vector<Racer> going_on_together(const std::vector<Racer>& racers, std::size_t h) {
  constexpr double kHopeless = 1.04;           // of the best one's hours
  constexpr std::uint64_t kOfCopies = 10'000;  // numbers; heats 0 to 2 make no copies
  const std::size_t places = kHeats[h].true_ones;
  std::vector<Racer> on = unlike(racers);
  on.resize(std::min(on.size(), places));
  const double most_h = kHopeless * on.front().plan->total_h;
  std::erase_if(on, [&](const Racer& racer) { return racer.plan->total_h > most_h; });
  const std::size_t originals = on.size();
  for (std::size_t i = originals; i < places; ++i) {
    on.push_back(on[i % originals]);
    on.back().number += kOfCopies * (10 * (h - 2) + i / originals);
  }
  return on;
}

/// The best of each kind, apart.
std::vector<Racer> going_on_apart(const std::vector<Racer>& racers, const Heat& heat) {
  std::vector<Racer> on;
  for (const RacerKind& kind : kRacerKinds) {
    std::vector<Racer> alike;
    std::copy_if(racers.begin(), racers.end(), std::back_inserter(alike),
                 [&](const Racer& racer) { return racer.kind == kind; });
    alike = unlike(std::move(alike));
    alike.resize(std::min(alike.size(), heat.places(kind)));
    on.insert(on.end(), alike.begin(), alike.end());
  }
  return on;
}

/// What misfits on the next stand-in, or by rules less eased, brought back.
PlanPtr made_fitting(const PlanPtr& plan, PlanPricer& pricer, Random& random, double patience,
                     const Run& run) {
  PlanPtr fitting = settle_to_fit(plan, pricer, run);
  if (fitting->misfits > 0) fitting = nudge_to_fit(fitting, pricer, random, patience, run);
  return pricer.replay(fitting->body, *fitting);
}

/// Every racer annealed on the stand-in; the best first.
std::vector<Racer> run_heat(std::size_t h, const std::vector<Racer>& racers,
                            const StandIn& stand_in, const SearchSetting& setting, double dear,
                            const Run& run) {
  const Heat& heat = kHeats[h];
  const double work = setting.budget.work * heat.work_share;
  FitRules strict = stricter(setting.rules, stand_in.slack);
  strict.misfit_weight = heat.misfit_weight * dear;
  std::vector<Racer> raced = map_index(racers.size(), run, [&](std::size_t i) {
    const auto& [plan_before, number, kind] = racers[i];
    if (run.should_finish()) return racers[i];
    const bool is_eased = heat.ease_share > 0 && kind.ease != Ease::none;
    const FitRules rules = is_eased ? eased(strict, kind.ease, heat.ease_share) : strict;
    PlanPricer pricer(stand_in.mesh, setting.prices, rules, &run);
    Random random(setting.seed, 1000 * (h + 1) + number);
    const PlanNode& found = *plan_before;
    PlanPtr start = pricer.replay(channelled_body(stand_in.mesh, setting), found);
    start = nudge_off_crumbs(std::move(start), found.slivers, pricer, random);
    if (start->misfits > found.misfits)
      start = made_fitting(start, pricer, random, kNudgePatience * work, run);
    const AnnealSchedule schedule{work, setting.budget.most_steps, heat.hot_h, heat.cold_h,
                                  heat.grid_share};
    PlanPtr plan = anneal(std::move(start), pricer, random, schedule, run);
    if (heat.settles)
      plan = settle(std::move(plan), pricer, kSettleShare * setting.budget.work, run);
    if (run.should_finish() && plan->misfits > found.misfits) return racers[i];
    // A racer stuck with pieces too large goes on with them cut: repaired, not dropped.
    return Racer{fill_misfits(plan, pricer, random, 3), number, is_eased ? kind : RacerKind{}};
  });
  rank(raced);
  return raced;
}

/// Which share of the race's work this heat has.
double share_of_race(const Heat& heat) {
  const auto work = [](const Heat& h) {
    std::size_t racers = 0;
    for (const RacerKind& kind : kRacerKinds) racers += h.places(kind);
    return h.work_share * static_cast<double>(racers);
  };
  double all = 0;
  for (const Heat& h : kHeats) all += work(h);
  return work(heat) / all;
}

/// The best few that divide the part differently, a few at least even if they were left behind: the
/// judge may refuse one, or find that nothing would hold its joints.
std::vector<Racer> finalists(std::vector<Racer> racers, const std::vector<Racer>& left_behind) {
  constexpr std::size_t kLeast = 3, kMost = 4;
  racers = unlike(std::move(racers));
  racers.resize(std::min(racers.size(), kMost));
  if (racers.size() >= kLeast) return racers;
  racers.insert(racers.end(), left_behind.begin(), left_behind.end());
  racers = unlike(std::move(racers));
  racers.resize(std::min(racers.size(), kLeast));
  return racers;
}

/// What an interrupted race leaves: the best by the true rules of which every piece fits.
std::vector<Racer> best_so_far(std::vector<Racer> racers) {
  constexpr std::size_t kMost = 2;
  std::erase_if(racers, [](const Racer& racer) {
    return racer.kind.ease != Ease::none || racer.plan->misfits > 0;
  });
  rank(racers);
  racers.resize(std::min(racers.size(), kMost));
  return racers;
}

/// A way as lines of about that length: fine enough to tell how squarely it is crossed, and few, as
/// each seam that is tried looks at all of them.
constexpr double kLine_mm = 6;
std::vector<Vec3> in_lines(const std::vector<Vec3>& path) {
  std::vector<Vec3> line;
  for (const Vec3 p : path) {
    if (line.empty() || norm(p - line.back()) >= kLine_mm) line.push_back(p);
  }
  if (line.size() > 1 && norm(path.back() - line.back()) < kLine_mm / 2) line.pop_back();
  if (!path.empty() && line.back() != path.back()) line.push_back(path.back());
  return line;
}

}  // namespace

SearchSetting make_setting(const PlanOptions& options) {
  SearchSetting setting;
  setting.own_prices.cost = options.cost;
  setting.own_prices.forbidden = options.forbidden;
  setting.own_prices.preferred = options.preferred;
  setting.own_prices.seats = options.seats;
  setting.own_prices.longest_print_h = options.longest_print_h;
  for (const Printer& printer : options.printers) {
    for (const ClearBox& box : clear_boxes(printer)) setting.rules.rooms_mm.push_back(box.size_mm);
  }
  setting.rules.poses = options.poses;
  setting.rules.measures_support = options.cost.support_h_per_cm2 > 0;
  setting.seed = options.seed;
  setting.locked = options.locked;
  setting.done_cells = options.done_cells;
  for (const std::vector<Vec3>& path : options.channel_paths) {
    const std::vector<Vec3> line = in_lines(path);
    for (std::size_t i = 0; i + 1 < line.size(); ++i)
      setting.channels.push_back({line[i], line[i + 1]});
  }
  return setting;
}

std::shared_ptr<const ClipBody> channelled_body(const SearchMesh& mesh,
                                                const SearchSetting& setting) {
  auto body = std::make_shared<ClipBody>(whole_body(mesh));
  body->channels = setting.channels;
  const std::vector<SeatZone>& seats = setting.own_prices.seats;
  for (std::size_t i = 0; i < seats.size(); ++i)
    body->seats.push_back({seats[i].middle, static_cast<std::uint32_t>(i)});
  return body;
}

PlanPtr fixed_seams(const SearchMesh& mesh, const SearchSetting& setting, PlanPricer& pricer) {
  const std::vector<Way> ways(setting.done_cells.begin(), setting.done_cells.end());
  return lead_to_done(channelled_body(mesh, setting), ways, setting.locked, pricer);
}

std::vector<PlanPtr> search_plans(std::span<const StandIn> stand_ins, const SearchSetting& setting,
                                  const Run& run) {
  const StandIn& first = stand_ins.front();
  FitRules start_rules = stricter(setting.rules, first.slack);
  PlanPricer base_pricer(first.mesh, setting.prices, start_rules);
  const PlanPtr base = fixed_seams(first.mesh, setting, base_pricer);
  if (base->misfits == 0) {
    const std::vector<Racer> alone{{base}};
    return {run_heat(kHeats.size() - 1, alone, stand_ins.back(), setting, 1, run).front().plan};
  }
  constexpr double kStartMisfitWeight = 1.5;
  start_rules.misfit_weight = kStartMisfitWeight;
  std::vector<Racer> racers = line_up(first.mesh, setting, start_rules, run);
  const double dear = dearness(*racers.front().plan);
  constexpr double kStartsShare = 0.1;  // of the time, about
  double done = kStartsShare;
  std::vector<Racer> before_copies;
  for (std::size_t h = 0; h < kHeats.size() && !run.should_finish(); ++h) {
    // The last heat on the finest, those before it on the coarser ones as far as there are any.
    const std::size_t to_go = std::min(kHeats.size() - 1 - h, stand_ins.size() - 1);
    const StandIn& stand_in = stand_ins[stand_ins.size() - 1 - to_go];
    if (kHeats[h].is_open() && before_copies.empty()) before_copies = racers;
    if (kHeats[h].is_open())
      racers = going_on_together(racers, h);
    else if (h > 0)
      racers = going_on_apart(racers, kHeats[h]);
    racers = run_heat(h, racers, stand_in, setting, dear, run);
    run.report(done += (1 - kStartsShare) * share_of_race(kHeats[h]));
  }
  racers = run.should_finish() ? best_so_far(std::move(racers))
                               : finalists(std::move(racers), before_copies);
  std::vector<PlanPtr> plans;
  for (Racer& racer : racers) plans.push_back(std::move(racer.plan));
  return plans;
}

}  // namespace seamwright::search
