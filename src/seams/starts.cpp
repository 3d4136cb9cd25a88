#include "seams/starts.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "seams/body_sweep.h"
#include "seams/directions.h"

namespace seamwright::search {
namespace {

constexpr std::size_t kSlabOffsets = 120;
constexpr double kSquareReach_mm = 40;

Vec3 sorted_room(const FitRules& rules) {
  Vec3 largest{};
  for (const Vec3 room : rules.rooms_mm) {
    if (room.x * room.y * room.z > largest.x * largest.y * largest.z) largest = room;
  }
  std::array<double, 3> sides{largest.x, largest.y, largest.z};
  std::sort(sides.begin(), sides.end());
  return {sides[0], sides[1], sides[2]};
}

/// The cheapest offsets such that no slab is thicker than `thickest_mm`: best[i] is the least price
/// of all cuts up to and with offset i. Uneven slabs cost a little: a thin rest is hard to stand.
std::vector<std::size_t> cheapest_slabs(const BodySweep& sweep, double thickest_mm,
                                        double per_slab_h) {
  constexpr double kUneven_h = 0.5;
  const std::size_t n = sweep.hours.size();
  const auto span =
      static_cast<std::size_t>(std::max(1.0, std::round(thickest_mm / sweep.step_mm)));
  std::vector<double> best(n + 2, std::numeric_limits<double>::infinity());
  std::vector<std::size_t> from(n + 2, 0);
  best[0] = 0;
  for (std::size_t i = 1; i <= n + 1; ++i) {
    const double own = i <= n ? sweep.hours[i - 1] + per_slab_h : 0;
    for (std::size_t j = i > span ? i - span : 0; j < i; ++j) {
      const double share = static_cast<double>(i - j) / static_cast<double>(span);
      const double price = best[j] + own + kUneven_h * share * share;
      if (price < best[i]) best[i] = price, from[i] = j;
    }
  }
  std::vector<std::size_t> cuts;
  for (std::size_t i = from[n + 1]; i > 0; i = from[i]) cuts.push_back(i - 1);
  std::reverse(cuts.begin(), cuts.end());
  return cuts;
}

class SlabMaker {
 public:
  SlabMaker(const StartFrame& frame, PlanPricer& pricer, Random& random)
      : frame_(frame), pricer_(pricer), random_(random), room_(sorted_room(pricer.rules())) {
    if (!frame.is_shuffled) return;
    shuffle(order_);
    std::array<std::size_t, 3> sides{0, 1, 2};
    shuffle(sides);
    room_ = {room_[sides[0]], room_[sides[1]], room_[sides[2]]};
  }

  PlanPtr make(std::shared_ptr<const ClipBody> body, unsigned used) {
    PlanPtr whole = pricer_.leaf(body);
    if (whole->misfits == 0 || used == 7) return whole;
    const std::size_t axis = frame_.is_shuffled ? next_axis(used) : longest_axis(*body, used);
    const double thickest = thickest_mm(used);
    const double size = extent_along(*body, frame_.axes).size()[axis];
    if (size <= thickest) return make(std::move(body), used | 1u << axis);
    const double step = thickest / std::ceil(thickest * kSlabOffsets / size);
    BodySweep sweep = sweep_body_by_steps(*body, frame_.axes[axis], step, pricer_);
    for (double& h : sweep.hours)
      h *= random_.uniform(1 - frame_.shake_ratio, 1 + frame_.shake_ratio);
    const std::vector<std::size_t> cuts = cheapest_slabs(sweep, thickest, 0.5);
    return slice(std::move(body), sweep, cuts, 0, cuts.size(), used | 1u << axis);
  }

 private:
  std::size_t longest_axis(const ClipBody& body, unsigned used) const {
    const Vec3 size = extent_along(body, frame_.axes).size();
    std::size_t longest = 3;
    for (std::size_t axis = 0; axis < 3; ++axis) {
      if ((used >> axis & 1u) != 0) continue;
      if (longest == 3 || size[axis] > size[longest]) longest = axis;
    }
    return longest;
  }

  std::size_t next_axis(unsigned used) const {
    return *std::find_if(order_.begin(), order_.end(),
                         [&](std::size_t axis) { return (used >> axis & 1u) == 0; });
  }

  void shuffle(std::array<std::size_t, 3>& of) {
    for (std::size_t i = 2; i > 0; --i) std::swap(of[i], of[random_.below(i + 1)]);
  }

  /// The longest axis gets the room's longest side, and so on down; shuffled, whichever.
  double thickest_mm(unsigned used) const {
    const std::size_t done = (used & 1u) + (used >> 1 & 1u) + (used >> 2 & 1u);
    return room_[2 - done] * frame_.fill_ratio;
  }

  /// Cuts in the middle first: a balanced tree is cheaper to move about in.
  PlanPtr slice(std::shared_ptr<const ClipBody> body, const BodySweep& sweep,
                const std::vector<std::size_t>& cuts, std::size_t from, std::size_t to,
                unsigned used) {
    if (from == to) return make(std::move(body), used);
    const std::size_t middle = (from + to) / 2;
    Plane plane = sweep.plane_at(cuts[middle]);
    if (frame_.is_square) plane = square_to_skin(*body, plane, {kSquareReach_mm, std::nullopt});
    const BodyHalves halves = clip(*body, plane);
    pricer_.add_work(body->look_work());
    if (halves.above->is_empty()) return slice(std::move(body), sweep, cuts, from, middle, used);
    if (halves.below->is_empty()) return slice(std::move(body), sweep, cuts, middle + 1, to, used);
    const double hours = pricer_.seam_h(plane, halves, *body);
    PlanPtr above = slice(halves.above, sweep, cuts, middle + 1, to, used);
    PlanPtr below = slice(halves.below, sweep, cuts, from, middle, used);
    return PlanPricer::join(std::move(body), plane, false, hours, std::move(above),
                            std::move(below));
  }

  const StartFrame& frame_;
  PlanPricer& pricer_;
  Random& random_;
  Vec3 room_;
  std::array<std::size_t, 3> order_{0, 1, 2};
};

/// Cuts a body into the sectors from `begin` to `end` of `sectors`, counted around the axis; the
/// body lies in them already. An even number of sectors: the first plane goes right through.
class FanMaker {
 public:
  FanMaker(Vec3 middle, Vec3 from, Vec3 across, int sectors, PlanPricer& pricer)
      : middle_(middle), from_(from), across_(across), sectors_(sectors), pricer_(pricer) {}

  PlanPtr make(std::shared_ptr<const ClipBody> body, int begin, int end) {
    if (end - begin <= 1) return pricer_.leaf(std::move(body));
    const int at = (begin + end) / 2;
    // The normal points to the sectors after the plane.
    const double angle = 2 * std::numbers::pi * at / sectors_;
    const Vec3 normal = across_ * std::cos(angle) - from_ * std::sin(angle);
    const Plane plane{normal, dot(normal, middle_)};
    const BodyHalves halves = clip(*body, plane);
    pricer_.add_work(body->look_work());
    if (halves.above->is_empty()) return make(std::move(body), begin, at);
    if (halves.below->is_empty()) return make(std::move(body), at, end);
    const double hours = pricer_.seam_h(plane, halves, *body);
    PlanPtr above = make(halves.above, at, end);
    PlanPtr below = make(halves.below, begin, at);
    return PlanPricer::join(std::move(body), plane, false, hours, std::move(above),
                            std::move(below));
  }

 private:
  Vec3 middle_, from_, across_;
  int sectors_;
  PlanPricer& pricer_;
};

/// One cut that a rollout may take.
struct Choice {
  Plane plane;
  double score = 0;
};

std::vector<Vec3> rollout_normals(const ClipBody& body, Random& random) {
  const std::array<Vec3, 3> principal = principal_axes(body);
  std::vector<Vec3> normals(principal.begin(), principal.end());
  normals.insert(normals.end(), {Vec3{1, 0, 0}, Vec3{0, 1, 0}, Vec3{0, 0, 1}});
  for (int k = 0; k < 3; ++k) normals.push_back(random.direction());
  for (int k = 0; k < 2; ++k) {
    normals.push_back(normalized(principal[0] + random.direction() * random.uniform(0, 0.6)));
  }
  return normals;
}

/// The few offsets of one normal that look best: cheap, and either halving the body or cutting off
/// just what a room holds.
void add_choices(const BodySweep& sweep, double room_mm, Random& random,
                 std::vector<Choice>& choices) {
  const double length = sweep.high_mm - sweep.low_mm;
  if (length < 0.15 * room_mm) return;
  Choice best{{}, std::numeric_limits<double>::infinity()};
  const double room = room_mm * random.uniform(0.75, 1.15);
  for (std::size_t i = 0; i < sweep.hours.size(); ++i) {
    const double below = sweep.offset_at(i) - sweep.low_mm, above = length - below;
    const double outlook =
        std::ceil(below / room) + std::ceil(above / room) + 0.3 * std::abs(above - below) / length;
    const double score = sweep.hours[i] + 0.5 * outlook;
    if (score < best.score) best = {sweep.plane_at(i), score};
  }
  best.score -= 0.5 * length / room;  // a long direction is the one to cut across
  if (std::isfinite(best.score)) choices.push_back(best);
}

}  // namespace

PlanPtr slab_start(std::shared_ptr<const ClipBody> body, const StartFrame& frame,
                   PlanPricer& pricer, Random& random) {
  return SlabMaker(frame, pricer, random).make(std::move(body), 0);
}

PlanPtr fan_start(std::shared_ptr<const ClipBody> body, PlanPricer& pricer, Random& random) {
  const std::array<Vec3, 3> axes = principal_axes(*body);
  // A ring's axis is that of its least spread; a limb is cut across its own.
  const std::size_t axis = random.uniform() < 0.6 ? 2 : random.below(2);
  const Vec3 c = extent_along(*body, axes).center();
  const Vec3 middle = axes[0] * c.x + axes[1] * c.y + axes[2] * c.z;
  const Vec3 a = axes[(axis + 1) % 3], b = axes[(axis + 2) % 3];
  const double phase = random.uniform(0, std::numbers::pi);
  const Vec3 from = a * std::cos(phase) + b * std::sin(phase);
  const Vec3 across = b * std::cos(phase) - a * std::sin(phase);
  for (int sectors = 2; sectors <= 12; sectors += 2) {
    PlanPtr fan = FanMaker(middle, from, across, sectors, pricer).make(body, 0, sectors);
    if (fan->misfits == 0) return fan;
  }
  return nullptr;
}

PlanPtr rollout(std::shared_ptr<const ClipBody> body, PlanPricer& pricer, Random& random,
                int depth) {
  PlanPtr whole = pricer.leaf(body);
  if (whole->misfits == 0 || depth == 0 || pricer.should_finish()) return whole;
  const double room_mm = sorted_room(pricer.rules()).y;
  std::vector<Choice> choices;
  for (const Vec3 normal : rollout_normals(*body, random)) {
    add_choices(sweep_body(*body, normal, 40, pricer), room_mm, random, choices);
  }
  std::stable_sort(choices.begin(), choices.end(),
                   [](const Choice& a, const Choice& b) { return a.score < b.score; });
  if (choices.size() > 4) choices.resize(4);
  for (const PreferredSeam& wish : pricer.prices().preferred) choices.push_back({wish.plane, 0});
  PlanPtr best;
  const auto offer = [&](const Plane& plane) {
    PlanPtr cut = pricer.split(body, plane, best ? best->total_h : PlanPricer::kNoLimit);
    if (cut && !cut->is_leaf()) best = std::move(cut);
  };
  for (const Choice& choice : choices) {
    offer(choice.plane);
    if (discount(pricer.prices(), choice.plane) > 0) continue;
    offer(square_to_skin(*body, choice.plane, {kSquareReach_mm, std::nullopt}));
    pricer.add_work(static_cast<double>(body->faces.size()));
  }
  // A cut must make progress: both halves are farther from the whole than the slightest sliver.
  if (!best) return whole;
  PlanPtr above = best->above->misfits > 0 ? rollout(best->above->body, pricer, random, depth - 1)
                                           : best->above;
  PlanPtr below = best->below->misfits > 0 ? rollout(best->below->body, pricer, random, depth - 1)
                                           : best->below;
  return PlanPricer::join(std::move(body), best->plane, false, best->own_h, std::move(above),
                          std::move(below));
}

PlanPtr fill_misfits(const PlanPtr& node, PlanPricer& pricer, Random& random, int tries) {
  if (node->misfits == 0 || pricer.should_finish()) return node;
  if (!node->is_leaf()) {
    PlanPtr above = fill_misfits(node->above, pricer, random, tries);
    PlanPtr below = fill_misfits(node->below, pricer, random, tries);
    return PlanPricer::join(node->body, node->plane, node->is_locked, node->own_h, std::move(above),
                            std::move(below));
  }
  PlanPtr best = node;
  for (int i = 0; i < tries; ++i) {
    PlanPtr cut = rollout(node->body, pricer, random, 8);
    const bool is_less_bad =
        cut->misfits == best->misfits ? cut->total_h < best->total_h : cut->misfits < best->misfits;
    if (best == node || is_less_bad) best = std::move(cut);
  }
  return best;
}

}  // namespace seamwright::search
