#include "seams/first_racers.h"

#include <algorithm>
#include <cmath>

#include "seams/anneal.h"
#include "seams/box_start.h"
#include "seams/directions.h"
#include "seams/nudge.h"
#include "seams/starts.h"
#include "seamwright/core/parallel.h"

namespace seamwright::search {
namespace {

using Bodies = std::shared_ptr<const ClipBody>;

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
PlanPtr make_grid(std::size_t i, const PlanPtr& base, PlanPricer& pricer, Random& random,
                  const SearchBudget& budget) {
  return fill_leaves(base, [&](const Bodies& body) {
    BoxFrame frame = grid_frame(i, *body, random);
    frame.most_boxes = budget.most_boxes;
    PlanPtr plan = box_start(body, frame, pricer, random);
    return plan ? plan : rollout(body, pricer, random);
  });
}

/// The i-th simple start: the part's frame, principal frame, then spread frames, plain and square
/// to the skin, at several fills; every third a rollout, of which every fourth a fan.
PlanPtr make_simple(std::size_t i, const PlanPtr& base, PlanPricer& pricer, Random& random,
                    const SearchBudget&) {
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

/// The j-th start by slabs alone, by eased rules: along the part's or its principal axes, two of
/// three square to the skin. Which fill and which end the slabs start at is chance: of six
/// racers that came to the camel's rare best plan five had begun as such slabs.
PlanPtr make_slabs(std::size_t j, const PlanPtr& base, PlanPricer& pricer, Random& random,
                   const SearchBudget&) {
  const bool is_tilted = pricer.rules().poses == Poses::tilted;
  return fill_leaves(base, [&](const Bodies& body) {
    StartFrame frame;
    frame.fill_ratio = is_tilted ? random.uniform(1.0, 1.5) : random.uniform(0.88, 1.2);
    frame.is_square = j / 2 % 3 != 2;
    frame.shake_ratio = j % 4 < 2 ? 0.02 : 0.1;
    frame.axes = j % 2 == 0 ? kPartAxes : principal_axes(*body);
    for (Vec3& axis : frame.axes) axis = random.uniform() < 0.5 ? -axis : axis;
    return slab_start(body, frame, pricer, random);
  });
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

/// Starts of one make; each has a number and a stream of chance.
struct Family {
  std::size_t count;
  std::uint64_t first_number, first_stream;
  PlanPtr (*make)(std::size_t i, const PlanPtr& base, PlanPricer& pricer, Random& random,
                  const SearchBudget& budget);
};

constexpr std::uint64_t kOfAFamily = 1000;  ///< numbers
constexpr std::uint64_t kRepaired = 500;    ///< added to a start's number when it is repaired

class StartMaker {
 public:
  StartMaker(const SearchMesh& mesh, const SearchSetting& setting, const FitRules& rules,
             const Run& run)
      : mesh_(mesh), setting_(setting), rules_(rules), run_(run) {
    PlanPricer pricer(mesh, setting.prices, rules);
    base_ = fixed_seams(mesh, setting, pricer);
  }

  /// The best few of a family.
  std::vector<Racer> best_of(const Family& family, std::size_t count) const {
    return pick_racers(with_repaired(made(family)), count);
  }

 private:
  std::vector<Racer> made(const Family& family) const {
    return map_index(family.count, run_, [&](std::size_t i) {
      const std::uint64_t number = family.first_number + i;
      if (run_.should_finish() && i > 0) return Racer{base_, number};
      PlanPricer pricer(mesh_, setting_.prices, rules_, &run_);
      Random random(setting_.seed, family.first_stream + i);
      return Racer{family.make(i, base_, pricer, random, setting_.budget), number};
    });
  }

  /// Every start as it is and, where pieces misfit, the better half with their seams nudged and
  /// what misfits still cut up: a grid that misses by a hair is nearer to the best plan than its
  /// repair, but only the repair is sure to fit.
  std::vector<Racer> with_repaired(std::vector<Racer> starts) const {
    const double most_h = middle_h(starts);
    const std::vector<PlanPtr> repaired = map_index(starts.size(), run_, [&](std::size_t i) {
      const PlanNode& start = *starts[i].plan;
      const bool is_worth_it = start.misfits > 0 && start.total_h <= most_h;
      return is_worth_it && !run_.should_finish() ? repair(starts[i]) : PlanPtr{};
    });
    std::vector<Racer> racers;
    for (std::size_t i = 0; i < starts.size(); ++i) {
      racers.push_back(starts[i]);
      if (repaired[i]) racers.push_back({repaired[i], starts[i].number + kRepaired});
    }
    return racers;
  }

  PlanPtr repair(const Racer& start) const {
    constexpr double kPatience = 20;  // looks at the whole body
    PlanPricer pricer(mesh_, setting_.prices, rules_, &run_);
    Random random(setting_.seed, start.number % kOfAFamily + kRepaired);
    const double patience = kPatience * start.plan->body->look_work();
    const PlanPtr nudged = nudge_to_fit(start.plan, pricer, random, patience, run_);
    return fill_misfits(pricer.replay(nudged->body, *nudged), pricer, random, 1);
  }

  static double middle_h(const std::vector<Racer>& starts) {
    std::vector<double> hours;
    for (const Racer& start : starts) hours.push_back(start.plan->total_h);
    std::sort(hours.begin(), hours.end());
    return hours.empty() ? 0 : hours[(hours.size() - 1) / 2];
  }

  const SearchMesh& mesh_;
  const SearchSetting& setting_;
  const FitRules& rules_;
  const Run& run_;
  PlanPtr base_;
};

}  // namespace

FitRules eased(FitRules rules, Ease ease, double share) {
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

std::vector<Racer> first_racers(const RacerKind& kind, std::size_t count, const SearchMesh& mesh,
                                const SearchSetting& setting, const FitRules& rules,
                                const Run& run) {
  const SearchBudget& budget = setting.budget;
  const FitRules own_rules = eased(rules, kind.ease);
  const StartMaker maker(mesh, setting, own_rules, run);
  std::vector<Racer> racers;
  if (kind.ease != Ease::none && kind.is_slabs) {
    racers = maker.best_of({budget.slab_starts, 3 * kOfAFamily, 100'000, make_slabs}, count);
  } else if (kind.ease != Ease::none) {
    racers = maker.best_of({budget.box_starts, 2 * kOfAFamily, 50'000, make_grid}, count);
  } else {
    // Grids begin best, but what has more to gain often ends best.
    const std::size_t simple_ones = budget.starts;
    racers = maker.best_of({budget.box_starts, simple_ones, simple_ones, make_grid}, count / 2);
    for (Racer& racer : maker.best_of({simple_ones, 0, 0, make_simple}, count - count / 2))
      racers.push_back(std::move(racer));
  }
  for (Racer& racer : racers) racer.kind = kind;
  rank(racers);
  return racers;
}

}  // namespace seamwright::search
