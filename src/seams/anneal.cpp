#include "seams/anneal.h"

#include <cmath>
#include <utility>

#include "seams/body_sweep.h"
#include "seams/box_start.h"
#include "seams/directions.h"
#include "seams/nudge.h"
#include "seams/slide.h"
#include "seams/starts.h"

namespace seamwright::search {
namespace {

double log_uniform(Random& random, double low, double high) {
  return low * std::exp(random.uniform() * std::log(high / low));
}

/// How long a plan with a seam less is nudged without a gain, in looks at all of it.
constexpr double kNudgePatience = 40;

class Annealer {
 public:
  Annealer(PlanPtr start, PlanPricer& pricer, Random& random, const AnnealSchedule& schedule,
           const Run& run)
      : pricer_(pricer),
        random_(random),
        schedule_(schedule),
        now_(start),
        best_(std::move(start)),
        run_(run),
        from_work_(pricer.work()),
        quick_rules_(pricer.rules()),
        quick_(pricer.mesh(), pricer.prices(), quick_rules_) {
    quick_rules_.stays_as_before = true;
  }

  PlanPtr run() {
    while (progress() < 1 && !run_.should_finish()) step();
    pricer_.add_work(quick_.work());
    return best_;
  }

 private:
  double progress() const {
    const double work = pricer_.work() + quick_.work() - from_work_;
    return std::max(work / schedule_.work, steps_ / schedule_.most_steps);
  }

  void step() {
    steps_ += 1;
    if (now_->seams == 0) {
      accept_if_good(
          now_->total_h, [&] { return rollout(now_->body, pricer_, random_); }, 0, true);
      return;
    }
    const std::uint32_t index = pick_seam();
    const PlanNode& node = seam_at(*now_, index);
    if (node.is_locked) {
      if (node.above->is_leaf() || node.below->is_leaf()) refill_half(node, index);
      return;
    }
    accept_if_good(
        node.total_h, [&] { return propose(node); }, index, false);
  }

  std::uint32_t pick_seam() {
    if (now_->misfits > 0 && random_.uniform() < 0.35) {
      std::vector<std::uint32_t> bad;
      misfit_parents(*now_, 0, bad);
      if (!bad.empty()) return bad[random_.below(bad.size())];
    }
    return static_cast<std::uint32_t>(random_.below(now_->seams));
  }

  /// Accepted by Metropolis' rule. The dice are thrown first, so that a proposal can be given up
  /// half way.
  template <class Make>
  void accept_if_good(double old_h, const Make& make, std::uint32_t index, bool is_root) {
    const double heat = schedule_.hot_h * std::pow(schedule_.cold_h / schedule_.hot_h, progress());
    most_h_ = old_h - heat * std::log(1 - random_.uniform());
    PlanPtr changed = make();
    if (!changed || changed->total_h > most_h_) return;
    now_ = is_root ? changed : change_seam(now_, index, [&](const PlanPtr&) { return changed; });
    if (is_better(*now_, *best_)) best_ = now_;
  }

  /// For a seam that moves: most pieces that no longer fit as they lay fit no other way, and
  /// looking for one took a third of the time, so it is not always done.
  PlanPricer& judge() {
    constexpr double kLookAround = 0.4;
    return random_.uniform() < kLookAround ? pricer_ : quick_;
  }

  PlanPtr propose(const PlanNode& node) {
    if (!pricer_.prices().preferred.empty() && random_.uniform() < 0.06) return preferred(node);
    if (wants_grid(node)) return regridded(node);
    if (node.seams > 1 && random_.uniform() < 0.1) return slid_along(node);
    const double dice = random_.uniform();
    if (node.misfits > 0 && dice < 0.06) return split_leaf(node);
    if (dice < 0.34) return shifted(node);
    if (dice < 0.36) return can_do_with_less(node) ? with_one_less(node) : shifted(node);
    if (dice < 0.43) return filled_up(node);
    if (dice < 0.46) return squared(node);
    if (dice < 0.51) return squared_to_skin(node);
    if (dice < 0.76) return tilted(node);
    if (dice < 0.82) return reswept(node);
    if (dice < 0.90) return merged(node);
    if (dice < 0.94) return rotated(node);
    // A rollout takes the work of a hundred shifts.
    if (dice < 0.944 && node.seams <= 4) return rollout(node.body, pricer_, random_, 4);
    if (dice < 0.98) return shifted(node);
    return split_leaf(node);
  }

  /// One half made as thick as the room is long, wide or high, or twice that: a fit that just fills
  /// the room has no breadth that small random steps could find.
  PlanPtr filled_up(const PlanNode& node) {
    double low = std::numeric_limits<double>::infinity(), high = -low;
    for (const Vec3 p : node.body->points) {
      low = std::min(low, dot(node.plane.normal, p));
      high = std::max(high, dot(node.plane.normal, p));
    }
    const std::vector<Vec3>& rooms = pricer_.rules().rooms_mm;
    const Vec3 room = rooms[random_.below(rooms.size())];
    const double thick = room[random_.below(3)] * static_cast<double>(1 + random_.below(2));
    const bool from_low = random_.uniform() < 0.5;
    pricer_.add_work(static_cast<double>(node.body->points.size()));
    return judge().replay_moved(
        node.body, {node.plane.normal, from_low ? low + thick : high - thick}, node, most_h_);
  }

  /// Onto one of the planes the maker prefers.
  PlanPtr preferred(const PlanNode& node) {
    const std::vector<PreferredSeam>& wishes = pricer_.prices().preferred;
    return judge().replay_moved(node.body, wishes[random_.below(wishes.size())].plane, node,
                                most_h_);
  }

  /// The normal turned to the nearest direction of the part's own: its axes and its flat sides.
  PlanPtr squared(const PlanNode& node) {
    Vec3 nearest = kPartAxes[0];
    const auto offer = [&](Vec3 axis) {
      if (std::abs(dot(axis, node.plane.normal)) > std::abs(dot(nearest, node.plane.normal)))
        nearest = axis;
    };
    for (const Vec3 axis : kPartAxes) offer(axis);
    for (const FlatSide& flat : pricer_.mesh().flats) offer(flat.normal);
    if (dot(nearest, node.plane.normal) < 0) nearest = -nearest;
    if (nearest == node.plane.normal) return filled_up(node);
    return judge().replay_moved(node.body, {nearest, dot(nearest, point_on_seam(node))}, node,
                                most_h_);
  }

  /// Turned square to the skin about a point of the seam.
  PlanPtr squared_to_skin(const PlanNode& node) {
    const SkinPatch patch{log_uniform(random_, 12, 80), point_on_seam(node)};
    pricer_.add_work(static_cast<double>(node.body->faces.size()));
    return judge().replay_moved(node.body, square_to_skin(*node.body, node.plane, patch), node,
                                most_h_);
  }

  double longest_shift() const { return 2 + 50 * (1 - progress()); }

  PlanPtr shifted(const PlanNode& node) {
    Plane plane = node.plane;
    plane.offset_mm += random_.normal() * log_uniform(random_, 0.3, longest_shift());
    return judge().replay_moved(node.body, plane, node, most_h_);
  }

  Vec3 point_on_seam(const PlanNode& node) {
    return point_on_plane(*node.body, node.plane, random_);
  }

  PlanPtr tilted(const PlanNode& node) {
    const double reach = log_uniform(random_, 0.005, 0.03 + 0.5 * (1 - progress()));
    return moved_by(node, turn_at(node, Angle::radians(random_.normal() * reach)));
  }

  /// This seam, and some or all of those under it, moved as one.
  PlanPtr slid_along(const PlanNode& node) {
    if (random_.uniform() < 0.3) {
      const double reach = log_uniform(random_, 0.005, 0.03 + 0.3 * (1 - progress()));
      return slid_by(node, turn_at(node, Angle::radians(random_.normal() * reach)));
    }
    return slid_by(node,
                   shift_of(node, random_.normal() * log_uniform(random_, 0.3, longest_shift())));
  }

  PlanPtr moved_by(const PlanNode& node, const Transform& motion) {
    return judge().replay_moved(node.body, moved(node.plane, motion), node, most_h_);
  }
  PlanPtr slid_by(const PlanNode& node, const Transform& motion) {
    const double share = random_.uniform() < 0.5 ? 1 : 0.5;
    const PlanPtr shape = slid(node, motion, share, random_);
    return judge().replay_moved(node.body, shape->plane, *shape, most_h_);
  }

  /// About a line in the seam, through a point of it.
  Transform turn_at(const PlanNode& node, Angle by) {
    const Vec3 pivot = point_on_seam(node);
    const Vec3 axis = normalized(cross(node.plane.normal, random_.direction()));
    return norm(axis) > 0 ? turn_about(pivot, axis, by) : Transform{};
  }
  /// Mostly square to the seam.
  Transform shift_of(const PlanNode& node, double by_mm) {
    const bool is_square = random_.uniform() < 0.6;
    return {.shift = (is_square ? node.plane.normal : random_.direction()) * by_mm};
  }

  /// The cheapest offset near by for a normal near by.
  PlanPtr reswept(const PlanNode& node) {
    Vec3 normal =
        normalized(node.plane.normal + random_.direction() * log_uniform(random_, 0.01, 0.8));
    if (norm(normal) == 0) return nullptr;
    const BodySweep sweep = sweep_body(*node.body, normal, 60, pricer_);
    const double middle = dot(normal, point_on_seam(node));
    const double reach = random_.uniform(10, 80);
    double least = std::numeric_limits<double>::infinity(), offset = middle;
    for (std::size_t i = 0; i < sweep.hours.size(); ++i) {
      if (std::abs(sweep.offset_at(i) - middle) > reach || sweep.hours[i] <= 0) continue;
      if (sweep.hours[i] < least) least = sweep.hours[i], offset = sweep.offset_at(i);
    }
    return judge().replay_moved(node.body, {normal, offset}, node, most_h_);
  }

  /// The seam is dropped; one half's seams go on for the whole body.
  PlanPtr merged(const PlanNode& node) {
    if (node.above->is_leaf() && node.below->is_leaf())
      return pricer_.leaf(node.body, nullptr, most_h_);
    const PlanPtr& kept = node.above->is_leaf()     ? node.below
                          : node.below->is_leaf()   ? node.above
                          : random_.uniform() < 0.5 ? node.above
                                                    : node.below;
    return kept->is_locked ? nullptr : judge().replay_moved(node.body, kept->plane, *kept, most_h_);
  }

  /// One seam under this one dropped, and those about it nudged until what that made too large fits
  /// again: fewer pieces are seldom reached by single steps, as the first would have to be an hour
  /// worse.
  PlanPtr with_one_less(const PlanNode& node) {
    const PlanPtr tree = without_a_seam(node);
    if (!tree) return nullptr;
    const double patience = kNudgePatience * tree->body->look_work();
    const PlanPtr fitting = nudge_to_fit(tree, pricer_, random_, patience, run_);
    return fitting->misfits == 0 ? fitting : nullptr;
  }

  /// Of a few seams the one dropped that leaves the least amiss; null when that is more than a
  /// misfit's hour, which was hardly ever made up for.
  PlanPtr without_a_seam(const PlanNode& node) {
    constexpr int kTries = 3;
    const double most_h = std::exchange(most_h_, PlanPricer::kNoLimit);
    double least_h = PlanPricer::kNoLimit;
    PlanPtr least;
    std::uint32_t dropped = 0;
    for (int k = 0; k < kTries; ++k) {
      const auto index = static_cast<std::uint32_t>(random_.below(node.seams));
      const PlanNode& seam = seam_at(node, index);
      PlanPtr without = seam.is_locked ? nullptr : merged(seam);
      if (!without || without->total_h - seam.total_h >= least_h) continue;
      least_h = without->total_h - seam.total_h;
      least = std::move(without);
      dropped = index;
    }
    most_h_ = most_h;
    if (!least || least_h > pricer_.rules().misfit_weight) return nullptr;
    return change_seam(std::make_shared<PlanNode>(node), dropped,
                       [&](const PlanPtr&) { return least; });
  }

  static bool can_do_with_less(const PlanNode& node) {
    constexpr std::uint32_t kMostSeams = 16;  // of more, one less is seldom made up for
    return node.seams > 1 && node.seams <= kMostSeams;
  }

  bool wants_grid(const PlanNode& node) {
    constexpr std::uint32_t kMostSeams = 10;  // of more, the grid would be too coarse
    return schedule_.grid_share > 0 && node.seams > 1 && node.seams <= kMostSeams &&
           random_.uniform() < schedule_.grid_share;
  }

  /// All under this seam cut anew, as the best plan of a coarse grid: several seams at once, which
  /// is how a piece less is found that no single move leads to.
  PlanPtr regridded(const PlanNode& node) {
    static constexpr std::array<double, 3> kHopes{1.06, 1.12, 1.18};
    constexpr double kShake = 0.05;     // the same subtree may be asked for again
    constexpr double kMostBoxes = 3e4;  // 8 ms on the stand-in (measured, no benchmark)
    const BoxFrame frame{grid_axes(node), kHopes[random_.below(kHopes.size())], kShake, kMostBoxes};
    const PlanPtr plan = box_start(node.body, frame, pricer_, random_);
    if (!plan || plan->misfits == 0) return plan;
    if (plan->total_h - plan->misfits * pricer_.rules().misfit_weight >= most_h_) return nullptr;
    const double patience = kNudgePatience * plan->body->look_work();
    const PlanPtr fitting = nudge_to_fit(plan, pricer_, random_, patience, run_);
    return pricer_.replay(fitting->body, *fitting);
  }

  /// The part's, the body's principal ones, some along the seam's normal, or any.
  std::array<Vec3, 3> grid_axes(const PlanNode& node) {
    switch (random_.below(4)) {
      case 0:
        return kPartAxes;
      case 1:
        return principal_axes(*node.body);
      case 2: {
        const Vec3 u = any_perpendicular(node.plane.normal);
        const std::array<Vec3, 3> axes{node.plane.normal, u, cross(node.plane.normal, u)};
        return turned_about(axes, 0, Angle::degrees(random_.uniform(0, 90)));
      }
      default:
        return random_axes(random_);
    }
  }

  /// The seam of one half goes first and this one is used on both of its halves.
  PlanPtr rotated(const PlanNode& node) {
    const bool use_above = random_.uniform() < 0.5;
    const PlanPtr& child = use_above ? node.above : node.below;
    const PlanPtr& other = use_above ? node.below : node.above;
    if (child->is_leaf() || child->is_locked) return nullptr;
    const auto under = [&](const PlanPtr& half) {
      return PlanPricer::join(node.body, node.plane, false, 0, use_above ? half : other,
                              use_above ? other : half);
    };
    const PlanPtr shape = PlanPricer::join(node.body, child->plane, false, 0, under(child->above),
                                           under(child->below));
    return judge().replay_moved(node.body, shape->plane, *shape, most_h_);
  }

  PlanPtr split_leaf(const PlanNode& node) {
    const bool use_above =
        node.above->is_leaf() && (!node.below->is_leaf() || is_worse(*node.above, *node.below));
    const PlanPtr& leaf = use_above ? node.above : node.below;
    if (!leaf->is_leaf()) return nullptr;
    PlanPtr cut = leaf->misfits > 0 ? rollout(leaf->body, pricer_, random_,
                                              1 + static_cast<int>(random_.below(4)))
                                    : random_split(*leaf);
    return PlanPricer::join(node.body, node.plane, false, node.own_h, use_above ? cut : node.above,
                            use_above ? node.below : cut);
  }

  bool is_worse(const PlanNode& a, const PlanNode& b) {
    return a.total_h + 0.5 * random_.normal() > b.total_h;
  }

  PlanPtr random_split(const PlanNode& leaf) {
    const std::vector<Vec3>& points = leaf.body->points;
    const Vec3 a = points[random_.below(points.size())], b = points[random_.below(points.size())];
    const Vec3 normal = random_.direction();
    return pricer_.split(leaf.body, {normal, dot(normal, (a + b) / 2)});
  }

  /// Under a locked seam, a half that is still whole may be cut.
  void refill_half(const PlanNode& node, std::uint32_t index) {
    const bool use_above = node.above->is_leaf() &&
                           node.above->misfits >= (node.below->is_leaf() ? node.below->misfits : 0);
    const PlanPtr& leaf = use_above ? node.above : node.below;
    if (!leaf->is_leaf() || leaf->misfits == 0) return;
    const PlanPtr cut = rollout(leaf->body, pricer_, random_, 4);
    const PlanPtr changed =
        PlanPricer::join(node.body, node.plane, true, node.own_h, use_above ? cut : node.above,
                         use_above ? node.below : cut);
    accept_if_good(
        node.total_h, [&] { return changed; }, index, false);
  }

  PlanPricer& pricer_;
  Random& random_;
  const AnnealSchedule& schedule_;
  PlanPtr now_, best_;
  const Run& run_;
  double from_work_;
  FitRules quick_rules_;
  PlanPricer quick_;   ///< pieces lie as before or not at all
  double most_h_ = 0;  ///< what a proposal may cost to be accepted
  double steps_ = 0;
};

}  // namespace

bool is_better(const PlanNode& a, const PlanNode& b) {
  if ((a.misfits == 0) != (b.misfits == 0)) return a.misfits == 0;
  return a.total_h < b.total_h;
}

PlanPtr anneal(PlanPtr start, PlanPricer& pricer, Random& random, const AnnealSchedule& schedule,
               const Run& run) {
  return Annealer(std::move(start), pricer, random, schedule, run).run();
}

}  // namespace seamwright::search
