#include "seams/anneal.h"

#include <cmath>

#include "seams/body_sweep.h"
#include "seams/directions.h"
#include "seams/starts.h"

namespace seamwright::search {
namespace {

/// Replaces one node of a plan and rebuilds the path above it. `seam_index` counts seams in
/// preorder.
template <class Change>
PlanPtr change_seam(const PlanPtr& node, std::uint32_t seam_index, const Change& change) {
  if (seam_index == 0) return change(node);
  const bool is_in_above = seam_index - 1 < node->above->seams;
  PlanPtr above = node->above, below = node->below;
  PlanPtr& side = is_in_above ? above : below;
  side =
      change_seam(side, is_in_above ? seam_index - 1 : seam_index - 1 - node->above->seams, change);
  return PlanPricer::join(node->body, node->plane, node->is_locked, node->own_h, std::move(above),
                          std::move(below));
}

const PlanNode& seam_at(const PlanNode& node, std::uint32_t seam_index) {
  if (seam_index == 0) return node;
  if (seam_index - 1 < node.above->seams) return seam_at(*node.above, seam_index - 1);
  return seam_at(*node.below, seam_index - 1 - node.above->seams);
}

/// Preorder indices of the seams that have a leaf under them with a misfit.
void misfit_parents(const PlanNode& node, std::uint32_t index, std::vector<std::uint32_t>& out) {
  if (node.is_leaf() || node.misfits == 0) return;
  const bool here = (node.above->is_leaf() && node.above->misfits > 0) ||
                    (node.below->is_leaf() && node.below->misfits > 0);
  if (here) out.push_back(index);
  misfit_parents(*node.above, index + 1, out);
  misfit_parents(*node.below, index + 1 + node.above->seams, out);
}

double log_uniform(Random& random, double low, double high) {
  return low * std::exp(random.uniform() * std::log(high / low));
}

class Annealer {
 public:
  Annealer(PlanPtr start, PlanPricer& pricer, Random& random, const AnnealSchedule& schedule)
      : pricer_(pricer),
        random_(random),
        schedule_(schedule),
        now_(start),
        best_(std::move(start)),
        from_work_(pricer.work()) {}

  PlanPtr run(const Run& run) {
    while (progress() < 1 && !run.should_finish()) step();
    return best_;
  }

 private:
  double progress() const {
    return std::max((pricer_.work() - from_work_) / schedule_.work, steps_ / schedule_.most_steps);
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

  PlanPtr propose(const PlanNode& node) {
    if (!pricer_.prices().preferred.empty() && random_.uniform() < 0.06) return preferred(node);
    const double dice = random_.uniform();
    if (node.misfits > 0 && dice < 0.12) return split_leaf(node);
    if (dice < 0.34) return shifted(node);
    if (dice < 0.38) return can_do_with_less(node) ? with_one_less(node) : shifted(node);
    if (dice < 0.43) return filled_up(node);
    if (dice < 0.46) return squared(node);
    if (dice < 0.51) return squared_to_skin(node);
    if (dice < 0.76) return tilted(node);
    if (dice < 0.82) return reswept(node);
    if (dice < 0.90) return merged(node);
    if (dice < 0.94) return rotated(node);
    // A rollout takes the work of a hundred shifts.
    if (dice < 0.95 && node.seams <= 4) return rollout(node.body, pricer_, random_, 4);
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
    return pricer_.replay_moved(
        node.body, {node.plane.normal, from_low ? low + thick : high - thick}, node, most_h_);
  }

  /// Onto one of the planes the maker prefers.
  PlanPtr preferred(const PlanNode& node) {
    const std::vector<PreferredSeam>& wishes = pricer_.prices().preferred;
    return pricer_.replay_moved(node.body, wishes[random_.below(wishes.size())].plane, node,
                                most_h_);
  }

  /// The normal turned to the nearest direction of the part's own: its axes and its flat sides.
  PlanPtr squared(const PlanNode& node) {
    static constexpr std::array<Vec3, 3> kAxes{Vec3{1, 0, 0}, Vec3{0, 1, 0}, Vec3{0, 0, 1}};
    Vec3 nearest = kAxes[0];
    const auto offer = [&](Vec3 axis) {
      if (std::abs(dot(axis, node.plane.normal)) > std::abs(dot(nearest, node.plane.normal)))
        nearest = axis;
    };
    for (const Vec3 axis : kAxes) offer(axis);
    for (const FlatSide& flat : pricer_.mesh().flats) offer(flat.normal);
    if (dot(nearest, node.plane.normal) < 0) nearest = -nearest;
    if (nearest == node.plane.normal) return filled_up(node);
    return pricer_.replay_moved(node.body, {nearest, dot(nearest, point_on_seam(node))}, node,
                                most_h_);
  }

  /// Turned square to the skin about a point of the seam.
  PlanPtr squared_to_skin(const PlanNode& node) {
    const SkinPatch patch{log_uniform(random_, 12, 80), point_on_seam(node)};
    pricer_.add_work(static_cast<double>(node.body->faces.size()));
    return pricer_.replay_moved(node.body, square_to_skin(*node.body, node.plane, patch), node,
                                most_h_);
  }

  double longest_shift() const { return 2 + 50 * (1 - progress()); }

  PlanPtr shifted(const PlanNode& node) {
    Plane plane = node.plane;
    plane.offset_mm += random_.normal() * log_uniform(random_, 0.3, longest_shift());
    return pricer_.replay_moved(node.body, plane, node, most_h_);
  }

  /// A point of the skin near the seam, in its plane.
  Vec3 point_on_seam(const PlanNode& node) {
    const std::vector<Vec3>& points = node.body->points;
    Vec3 nearest = points[random_.below(points.size())];
    for (int k = 0; k < 12; ++k) {
      const Vec3 p = points[random_.below(points.size())];
      if (std::abs(node.plane.distance(p)) < std::abs(node.plane.distance(nearest))) nearest = p;
    }
    return nearest - node.plane.normal * node.plane.distance(nearest);
  }

  PlanPtr tilted(const PlanNode& node) {
    const Vec3 pivot = point_on_seam(node);
    const double radians =
        random_.normal() * log_uniform(random_, 0.005, 0.03 + 0.5 * (1 - progress()));
    const Vec3 side = random_.direction();
    const Vec3 axis = normalized(cross(node.plane.normal, side));
    if (norm(axis) == 0) return nullptr;
    const Vec3 normal =
        normalized(rotation(axis, Angle::radians(radians)).rotate(node.plane.normal));
    return pricer_.replay_moved(node.body, {normal, dot(normal, pivot)}, node, most_h_);
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
    return pricer_.replay_moved(node.body, {normal, offset}, node, most_h_);
  }

  /// The seam is dropped; one half's seams go on for the whole body.
  PlanPtr merged(const PlanNode& node) {
    if (node.above->is_leaf() && node.below->is_leaf())
      return pricer_.leaf(node.body, nullptr, most_h_);
    const PlanPtr& kept = node.above->is_leaf()     ? node.below
                          : node.below->is_leaf()   ? node.above
                          : random_.uniform() < 0.5 ? node.above
                                                    : node.below;
    return kept->is_locked ? nullptr : pricer_.replay_moved(node.body, kept->plane, *kept, most_h_);
  }

  /// One seam under this one dropped, and those about it moved until what that made too large fits
  /// again: fewer pieces are seldom reached by single steps, as the first would have to be an hour
  /// worse.
  PlanPtr with_one_less(const PlanNode& node) {
    constexpr double kDearerAtFirst_h = 3;
    constexpr int kMostSteps = 24;
    const double most_h = most_h_;
    PlanPtr tree = std::make_shared<PlanNode>(node);
    const auto dropped = static_cast<std::uint32_t>(random_.below(node.seams));
    tree = with_moved(tree, dropped, kDearerAtFirst_h,
                      [&](const PlanNode& seam) { return merged(seam); });
    for (int k = 0; tree && tree->seams > 0 && k < kMostSteps; ++k) {
      if (tree->misfits == 0 && tree->total_h <= most_h) break;
      const PlanPtr better = with_moved(tree, seam_to_mend(*tree), 0,
                                        [&](const PlanNode& seam) { return nudged(seam); });
      if (better) tree = better;
    }
    most_h_ = most_h;
    return tree;
  }

  static bool can_do_with_less(const PlanNode& node) {
    constexpr std::uint32_t kMostSeams = 8;  // of more, one less is seldom made up for
    return node.seams > 1 && node.seams <= kMostSeams;
  }

  /// Every other time one that has a piece under it that fits no printer.
  std::uint32_t seam_to_mend(const PlanNode& tree) {
    std::vector<std::uint32_t> bad;
    if (random_.uniform() < 0.5) misfit_parents(tree, 0, bad);
    return bad.empty() ? static_cast<std::uint32_t>(random_.below(tree.seams))
                       : bad[random_.below(bad.size())];
  }

  PlanPtr nudged(const PlanNode& node) {
    const double dice = random_.uniform();
    return dice < 0.5 ? shifted(node) : dice < 0.9 ? tilted(node) : filled_up(node);
  }

  /// The tree with one of its seams changed, dearer by so much at most. Sets most_h_.
  template <class Change>
  PlanPtr with_moved(const PlanPtr& tree, std::uint32_t index, double dearer_h,
                     const Change& change) {
    const PlanNode& seam = seam_at(*tree, index);
    if (seam.is_locked) return nullptr;
    most_h_ = seam.total_h + dearer_h;
    const PlanPtr changed = change(seam);
    if (!changed || changed->total_h > most_h_) return nullptr;
    return change_seam(tree, index, [&](const PlanPtr&) { return changed; });
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
    return pricer_.replay_moved(node.body, shape->plane, *shape, most_h_);
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
  double from_work_;
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
  return Annealer(std::move(start), pricer, random, schedule).run(run);
}

}  // namespace seamwright::search
