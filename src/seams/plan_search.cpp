#include "seams/plan_search.h"

#include <algorithm>
#include <cmath>

#include "seams/anneal.h"
#include "seams/box_start.h"
#include "seams/directions.h"
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

/// Every leaf that does not fit filled by `fill`.
template <class Fill>
PlanPtr fill_leaves(const PlanPtr& node, const Fill& fill) {
  if (node->misfits == 0) return node;
  if (node->is_leaf()) return fill(node->body);
  PlanPtr above = fill_leaves(node->above, fill), below = fill_leaves(node->below, fill);
  return PlanPricer::join(node->body, node->plane, node->is_locked, node->own_h, std::move(above),
                          std::move(below));
}

/// The i-th grid: along the part's and the principal axes, then along the part's turned about one
/// of them, as a room is longest from corner to corner, then any way.
BoxFrame grid_frame(std::size_t i, const ClipBody& body, Random& random) {
  static constexpr std::array<double, 4> kHopes{1.06, 1.12, 1.12, 1.18};
  if (i < 8) return {i % 2 == 0 ? kPartAxes : principal_axes(body), kHopes[i / 2]};
  if (i < 11) return {turned_about(kPartAxes, i % 3, Angle::degrees(45)), 1.12};
  if (i < 14) return {turned_about(kPartAxes, i % 3, Angle::degrees(30)), 1.06};
  return {random_axes(random), kHopes[i % 4], 0.1};
}

/// The best plan of the i-th grid.
PlanPtr make_box_start(std::size_t i, double most_boxes, const PlanPtr& base, PlanPricer& pricer,
                       Random& random) {
  return fill_leaves(base, [&](const Bodies& body) {
    BoxFrame frame = grid_frame(i, *body, random);
    frame.most_boxes = most_boxes;
    PlanPtr plan = box_start(body, frame, pricer, random);
    return plan ? plan : rollout(body, pricer, random);
  });
}

/// The i-th simple start: the part's frame, principal frame, then spread frames, plain and square
/// to the skin, at several fills; every third a rollout, of which every fourth a fan.
PlanPtr make_simple_start(std::size_t i, const PlanPtr& base, PlanPricer& pricer, Random& random) {
  if (i % 3 == 2) {
    return fill_leaves(base, [&](const Bodies& body) {
      PlanPtr fan = i % 12 == 11 ? fan_start(body, pricer, random) : nullptr;
      return fan ? fan : rollout(body, pricer, random);
    });
  }
  static constexpr std::array<double, 4> kStandingFills{1.0, 1.12, 0.88, 1.25};
  // Tilted, a sheet may be as long as the diagonal of a side of the room, a rod as that of the
  // room.
  static constexpr std::array<double, 4> kTiltedFills{1.27, 1.0, 1.41, 1.7};
  const bool is_tilted = pricer.rules().poses == Poses::tilted;
  const std::size_t k = i - i / 3;
  return fill_leaves(base, [&](const Bodies& body) {
    StartFrame frame;
    frame.fill_ratio = (is_tilted ? kTiltedFills : kStandingFills)[k / 4 % 4];
    frame.is_square = k < 16 ? k % 4 >= 2 : k % 8 >= 4;
    frame.shake_ratio = k >= 16 ? 0.1 : 0.02;
    frame.is_shuffled = k >= 16 && k % 4 < 2;
    const bool is_random = k >= 16 && !frame.is_shuffled;
    frame.axes = is_random ? random_axes(random) : k % 2 == 0 ? kPartAxes : principal_axes(*body);
    // The slabs' grid starts at one end: which one is chance.
    for (Vec3& axis : frame.axes) axis = random.uniform() < 0.5 ? -axis : axis;
    return slab_start(body, frame, pricer, random);
  });
}

PlanPtr make_start(std::size_t i, const SearchBudget& budget, const PlanPtr& base,
                   PlanPricer& pricer, Random& random) {
  if (i < budget.starts) return make_simple_start(i, base, pricer, random);
  return make_box_start(i - budget.starts, budget.most_boxes, base, pricer, random);
}

/// By which rules a racer goes at first.
enum class Ease {
  none,         ///< the true ones
  any_pose,     ///< pieces may be tilted, and be a little too large
  milder_rules  ///< they may be larger still, but must all but stand where they must
};
constexpr std::array<Ease, 2> kEases{Ease::any_pose, Ease::milder_rules};

struct Racer {
  PlanPtr plan;
  std::size_t start = 0;
  Ease ease = Ease::none;
};

/// By how much of the whole ease.
FitRules eased(FitRules rules, Ease ease, double share = 1) {
  constexpr double kAnyPoseRoom = 0.04, kMilderRoom = 0.06;  ///< more than the true one
  constexpr double kMilderBy = 0.15;                         ///< of every standing rule
  if (ease == Ease::none) return rules;
  for (Vec3& room : rules.rooms_mm)
    room = room * (1 + share * (ease == Ease::any_pose ? kAnyPoseRoom : kMilderRoom));
  if (ease == Ease::milder_rules) return stricter(rules, {.share = -kMilderBy * share});
  rules.poses = Poses::tilted;
  return rules;
}

void rank(std::vector<Racer>& racers) {
  std::stable_sort(racers.begin(), racers.end(),
                   [](const Racer& a, const Racer& b) { return is_better(*a.plan, *b.plan); });
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

/// Half of the racers are the best starts that fit, the other half those that promise most, fit or
/// not: some of the best plans were first seen with a piece too large.
std::vector<Racer> pick_racers(std::vector<Racer> starts, std::size_t count) {
  std::vector<Racer> picked;
  rank(starts);
  const auto take = [&](std::size_t most) {
    for (std::size_t i = 0; i < starts.size() && picked.size() < most; ++i)
      picked.push_back(starts[i]);
    starts.erase(starts.begin(),
                 starts.begin() + static_cast<std::ptrdiff_t>(std::min(starts.size(), most)));
  };
  take((count + 1) / 2);
  std::stable_sort(starts.begin(), starts.end(), [](const Racer& a, const Racer& b) {
    return a.plan->total_h < b.plan->total_h;
  });
  take(count);
  return picked;
}

constexpr std::size_t kRepaired = 500;  ///< added to a start's number when it is repaired

/// As many from grids as from simple rules: grids begin best, but what has more to gain often ends
/// best.
std::vector<Racer> pick_of_both_kinds(std::vector<Racer> starts, std::size_t count,
                                      const SearchBudget& budget) {
  std::array<std::vector<Racer>, 2> kinds;
  for (Racer& racer : starts)
    kinds[racer.start % kRepaired < budget.starts ? 1 : 0].push_back(std::move(racer));
  std::vector<Racer> picked;
  for (std::vector<Racer>& kind : kinds) {
    for (Racer& racer : pick_racers(std::move(kind), count / kinds.size()))
      picked.push_back(std::move(racer));
  }
  rank(picked);
  return picked;
}

constexpr double kStartPatience = 20;  ///< in looks at the whole body

/// Which starts are worth repairing: those of either kind that cost no more than its middle one.
std::vector<bool> are_worth_repairing(const std::vector<PlanPtr>& starts,
                                      const SearchBudget& budget) {
  const auto simple = starts.begin() + static_cast<std::ptrdiff_t>(budget.starts);
  const auto middle_h = [](auto from, auto to) {
    std::vector<double> hours;
    for (auto start = from; start != to; ++start) hours.push_back((*start)->total_h);
    std::sort(hours.begin(), hours.end());
    return hours.empty() ? 0 : hours[(hours.size() - 1) / 2];
  };
  const double simple_h = middle_h(starts.begin(), simple),
               grids_h = middle_h(simple, starts.end());
  std::vector<bool> are_worth;
  for (auto start = starts.begin(); start != starts.end(); ++start)
    are_worth.push_back((*start)->total_h <= (start < simple ? simple_h : grids_h));
  return are_worth;
}

/// Every start as it is and, where pieces misfit, the better ones with their seams nudged and what
/// misfits still cut up: a grid that misses by a hair is nearer to the best plan than its repair,
/// but only the repair is sure to fit.
std::vector<Racer> with_repaired(const std::vector<PlanPtr>& starts, const SearchMesh& mesh,
                                 const SearchSetting& setting, const FitRules& rules,
                                 const Run& run) {
  const std::vector<bool> are_worth = are_worth_repairing(starts, setting.budget);
  const std::vector<PlanPtr> repaired = map_index(starts.size(), run, [&](std::size_t i) {
    if (starts[i]->misfits == 0 || !are_worth[i] || run.should_finish()) return PlanPtr{};
    PlanPricer pricer(mesh, setting.prices, rules, &run);
    Random random(setting.seed, kRepaired + i);
    const double patience = kStartPatience * starts[i]->body->look_work();
    const PlanPtr nudged = nudge_to_fit(starts[i], pricer, random, patience, run);
    return fill_misfits(pricer.replay(nudged->body, *nudged), pricer, random, 1);
  });
  std::vector<Racer> racers;
  for (std::size_t i = 0; i < starts.size(); ++i) {
    racers.push_back({starts[i], i});
    if (repaired[i]) racers.push_back({repaired[i], kRepaired + i});
  }
  return racers;
}

/// What a piece costs with its share of the seams in the best start: where pieces are dear, misfits
/// must be too.
double dearness(const std::vector<Racer>& racers) {
  const PlanNode& best = *racers.front().plan;
  return std::max(1.0, best.total_h / std::max(1.0, static_cast<double>(best.pieces)));
}

struct Heat {
  std::size_t racers;  ///< by the true rules
  std::size_t eased;   ///< and, up to then, by each of the eased ones
  double work_share;   ///< of the whole budget, for the former; an eased one gets as much as one
  double hot_h, cold_h;
  double misfit_weight;  ///< where a piece is dear, an hour for a misfit is no threat
  double grid_share = 0;
  bool settles = false;  ///< after the annealing
};
constexpr double kStartMisfitWeight = 1.5;
constexpr double kNudgePatience = 0.2;  ///< of a racer's work, for making it fit the next stand-in
/// Many first: starts differ by half of their hours, and which one leads to the best plan shows
/// soon. Grids are laid once the few are picked: a piece less then is one less at the end, while
/// before they only make poor plans as good as the others.
constexpr std::array<Heat, 5> kHeats{
    Heat{24, 6, 0.11, 0.30, 0.18, 1}, Heat{12, 3, 0.19, 0.18, 0.10, 1},
    Heat{6, 2, 0.30, 0.12, 0.02, 1.8, 0.02}, Heat{3, 0, 0.27, 0.05, 0.004, 4},
    Heat{3, 0, 0.13, 0.02, 0.003, 4, 0, true}};
constexpr double kSettleShare = 0.05;  ///< of the whole budget, at most, for settling one plan
/// Good plans by easier rules are found much more surely, and the best by the true ones are often
/// but a few nudges away from them. The ease is withdrawn heat by heat; after these, the true rules
/// hold for all.
constexpr std::array<double, 2> kEaseShares{1, 0.5};

/// The best by each kind of rules, apart.
std::vector<Racer> going_on(const std::vector<Racer>& racers, const Heat& heat) {
  std::vector<Racer> on;
  const auto take = [&](Ease ease, std::size_t most) {
    std::vector<Racer> kind;
    std::copy_if(racers.begin(), racers.end(), std::back_inserter(kind),
                 [&](const Racer& racer) { return racer.ease == ease; });
    kind = unlike(std::move(kind));
    kind.resize(std::min(kind.size(), most));
    on.insert(on.end(), kind.begin(), kind.end());
  };
  take(Ease::none, heat.racers);
  for (const Ease ease : kEases) take(ease, heat.eased);
  return on;
}

/// Every racer annealed on the stand-in; the best first.
std::vector<Racer> run_heat(std::size_t h, const std::vector<Racer>& racers,
                            const StandIn& stand_in, const SearchSetting& setting, double dear,
                            const Run& run) {
  const Heat& heat = kHeats[h];
  const std::size_t sharing = std::min(racers.size(), heat.racers);
  const double work = setting.budget.work * heat.work_share / static_cast<double>(sharing);
  FitRules strict = stricter(setting.rules, stand_in.slack);
  strict.misfit_weight = heat.misfit_weight * dear;
  std::vector<Racer> raced = map_index(racers.size(), run, [&](std::size_t i) {
    if (run.should_finish()) return racers[i];
    const bool has_ease = h < kEaseShares.size();
    const Ease ease = has_ease ? racers[i].ease : Ease::none;
    const FitRules rules = has_ease ? eased(strict, ease, kEaseShares[h]) : strict;
    PlanPricer pricer(stand_in.mesh, setting.prices, rules, &run);
    Random random(setting.seed, 1000 * (h + 1) + racers[i].start);
    const PlanNode& found = *racers[i].plan;
    PlanPtr start = pricer.replay(channelled_body(stand_in.mesh, setting), found);
    start = nudge_off_crumbs(std::move(start), found.slivers, pricer, random);
    if (start->misfits > found.misfits) {
      const PlanPtr fitting = nudge_to_fit(start, pricer, random, kNudgePatience * work, run);
      start = pricer.replay(fitting->body, *fitting);
    }
    const AnnealSchedule schedule{work, setting.budget.most_steps, heat.hot_h, heat.cold_h,
                                  heat.grid_share};
    PlanPtr plan = anneal(std::move(start), pricer, random, schedule, run);
    if (heat.settles)
      plan = settle(std::move(plan), pricer, kSettleShare * setting.budget.work, run);
    if (run.should_finish() && plan->misfits > found.misfits) return racers[i];
    // A racer stuck with pieces too large goes on with them cut: repaired, not dropped.
    return Racer{fill_misfits(plan, pricer, random, 3), racers[i].start, ease};
  });
  rank(raced);
  return raced;
}

/// What an interrupted race leaves: the best by the true rules of which every piece fits.
std::vector<Racer> best_so_far(std::vector<Racer> racers) {
  constexpr std::size_t kMost = 2;
  std::erase_if(racers, [](const Racer& racer) {
    return racer.ease != Ease::none || racer.plan->misfits > 0;
  });
  rank(racers);
  racers.resize(std::min(racers.size(), kMost));
  return racers;
}

/// The best starts by these rules.
std::vector<Racer> best_starts(std::size_t count, const SearchMesh& mesh,
                               const SearchSetting& setting, const FitRules& rules,
                               const Run& run) {
  const SearchBudget& budget = setting.budget;
  PlanPricer base_pricer(mesh, setting.prices, rules);
  const PlanPtr base = fixed_seams(mesh, setting, base_pricer);
  const std::vector<PlanPtr> starts =
      map_index(budget.starts + budget.box_starts, run, [&](std::size_t i) {
        PlanPricer pricer(mesh, setting.prices, rules, &run);
        Random random(setting.seed, i);
        return run.should_finish() && i > 0 ? base : make_start(i, budget, base, pricer, random);
      });
  return pick_of_both_kinds(with_repaired(starts, mesh, setting, rules, run), count, budget);
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
    const std::vector<Racer> alone{{base, 0}};
    return {run_heat(kHeats.size() - 1, alone, stand_ins.back(), setting, 1, run).front().plan};
  }
  start_rules.misfit_weight = kStartMisfitWeight;
  std::vector<Racer> racers =
      best_starts(kHeats.front().racers, first.mesh, setting, start_rules, run);
  const double dear = dearness(racers);
  for (const Ease ease : kEases) {
    if (!setting.budget.may_ease || run.should_finish()) break;
    for (Racer& racer :
         best_starts(kHeats.front().eased, first.mesh, setting, eased(start_rules, ease), run)) {
      racer.ease = ease;
      racers.push_back(std::move(racer));
    }
  }
  double done = 0.1;
  for (std::size_t h = 0; h < kHeats.size() && !run.should_finish(); ++h) {
    // The last heat on the finest, those before it on the coarser ones as far as there are any.
    const std::size_t to_go = std::min(kHeats.size() - 1 - h, stand_ins.size() - 1);
    const StandIn& stand_in = stand_ins[stand_ins.size() - 1 - to_go];
    if (h > 0) racers = going_on(racers, kHeats[h]);
    racers = run_heat(h, racers, stand_in, setting, dear, run);
    run.report(done += 0.9 * kHeats[h].work_share);
  }
  if (run.should_finish()) racers = best_so_far(std::move(racers));
  std::vector<PlanPtr> plans;
  for (Racer& racer : racers) plans.push_back(std::move(racer.plan));
  return plans;
}

}  // namespace seamwright::search
