#include "seams/box_start.h"

#include <algorithm>
#include <cmath>

#include "seams/box_sums.h"
#include "seams/directions.h"

namespace seamwright::search {
namespace {

constexpr int kMostRounds = 100;
constexpr float kPerSeam_h = 0.002F;  ///< of plans alike, the one with fewer seams
constexpr float kNever_h = 1e9F;
/// A piece that is a little too large is often nudged until it fits: only hopeless ones are dear.
constexpr double kMisfitWeight = 0.3;
constexpr double kFinestCells = 6, kCoarsestCells = 2;  ///< to the room's shortest side

/// Some ways to turn a piece: the frame's own, turned about each of its axes, and with an axis
/// along each diagonal of the cube. Three directions each.
struct Turns {
  std::vector<Vec3> directions;
  std::vector<std::array<std::size_t, 3>> frames;
  std::size_t add(Vec3 direction) {
    directions.push_back(direction);
    return directions.size() - 1;
  }
};

Turns make_turns(const std::array<Vec3, 3>& axes) {
  Turns turns;
  turns.directions.assign(axes.begin(), axes.end());
  turns.frames.push_back({0, 1, 2});
  for (std::size_t k = 0; k < 3; ++k) {
    for (const double degrees : {22.5, 45.0, 67.5}) {
      const std::array<Vec3, 3> turned = turned_about(axes, k, Angle::degrees(degrees));
      turns.frames.push_back({turns.add(turned[(k + 1) % 3]), turns.add(turned[(k + 2) % 3]), k});
    }
  }
  for (const double x : {1.0, -1.0}) {
    for (const double y : {1.0, -1.0}) {
      const Vec3 diagonal = normalized(axes[0] * x + axes[1] * y + axes[2]);
      const Vec3 across = normalized(axes[1] * y - axes[0] * x);
      turns.frames.push_back(
          {turns.add(diagonal), turns.add(across), turns.add(cross(diagonal, across))});
    }
  }
  return turns;
}

using Sides = std::array<double, 3>;

Sides sorted(Sides sides) {
  std::sort(sides.begin(), sides.end());
  return sides;
}

/// The rooms' sides, shortest first, times a ratio.
std::vector<Sides> sorted_rooms(const FitRules& rules, double ratio) {
  std::vector<Sides> rooms;
  for (const Vec3 room : rules.rooms_mm)
    rooms.push_back(sorted({room.x * ratio, room.y * ratio, room.z * ratio}));
  return rooms;
}

/// Positions of the boxes of a grid in a table.
class BoxOrder {
 public:
  explicit BoxOrder(const CellBox& all) {
    for (std::size_t k = 0; k < 3; ++k) {
      const std::size_t n = all.high[k];
      for (std::size_t low = 0; low < n; ++low)
        rows_[k].push_back(low * (2 * n - low + 1) / 2 - low - 1);
      pairs_[k] = n * (n + 1) / 2;
    }
  }
  std::size_t size() const { return pairs_[0] * pairs_[1] * pairs_[2]; }
  std::size_t at(const CellBox& b) const {
    return (pair(b, 0) * pairs_[1] + pair(b, 1)) * pairs_[2] + pair(b, 2);
  }
  /// What a step of the pair of one axis is in the table.
  std::size_t stride(std::size_t axis) const {
    return axis == 0 ? pairs_[1] * pairs_[2] : axis == 1 ? pairs_[2] : 1;
  }
  std::size_t pair(const CellBox& b, std::size_t axis) const {
    return pair(axis, b.low[axis], b.high[axis]);
  }
  /// Where the box at `me` stands without its lowest or its highest layer.
  std::size_t without_low(std::size_t me, const CellBox& b, std::size_t axis) const {
    return me + (rows_[axis].size() - b.low[axis] - 1) * stride(axis);
  }
  std::size_t without_high(std::size_t me, std::size_t axis) const { return me - stride(axis); }
  std::size_t pair(std::size_t axis, std::size_t low, std::size_t high) const {
    return rows_[axis][low] + high;
  }

 private:
  std::array<std::vector<std::size_t>, 3> rows_;
  std::array<std::size_t, 3> pairs_{};
};

/// The least hours of each box, and what to do with it for them.
class BoxTable {
 public:
  BoxTable(std::shared_ptr<const ClipBody> body, const CellGrid& grid, const Turns& turns,
           double hope_ratio, PlanPricer& pricer, PlanPricer& judge)
      : body_(std::move(body)),
        grid_(grid),
        turns_(turns),
        pricer_(pricer),
        judge_(judge),
        rooms_(sorted_rooms(pricer.rules(), hope_ratio)),
        sums_(grid),
        order_(grid.all()),
        hours_(order_.size()),
        entries_(order_.size()),
        group_(grid.solid_count()),
        looked_(grid.solid_count()) {}

  PlanPtr best_plan() {
    enter_all();
    for (int round = 0; round < kMostRounds && judge_leaves(); ++round) {
    }
    return cut(body_, grid_.all());
  }

 private:
  enum class What : std::uint8_t { nothing, whole, cut, drop_low, drop_high };
  struct Entry {
    float whole_h = kNever_h;  ///< as one leaf
    What what = What::nothing;
    std::uint8_t axis = 0, at = 0;
    bool is_too_large = false;  ///< a piece in it fits in no way
    bool is_one = false;        ///< all in it hangs together; not told of what is too large
    bool is_judged = false;     ///< whole_h is true
  };

  /// Every box that has the given one in it, each after all that lie in itself.
  template <class Do>
  void for_each_box(const CellBox& around, const Do& act) {
    const std::array<std::size_t, 3> ends = grid_.all().high;
    CellBox b;
    const auto lows = [&](std::size_t k) { return std::min(around.low[k], b.high[k] - 1) + 1; };
    for (b.high[0] = around.high[0]; b.high[0] <= ends[0]; ++b.high[0])
      for (b.low[0] = lows(0); b.low[0]-- > 0;)
        for (b.high[1] = around.high[1]; b.high[1] <= ends[1]; ++b.high[1])
          for (b.low[1] = lows(1); b.low[1]-- > 0;)
            for (b.high[2] = around.high[2]; b.high[2] <= ends[2]; ++b.high[2])
              for (b.low[2] = lows(2); b.low[2]-- > 0;) act(b);
  }

  void enter_all() {
    const std::size_t layers = grid_.all().high[2];
    for_each_box({grid_.all().high, {1, 1, 1}}, [&](const CellBox& box) {
      if (box.high[2] == 1) column_.take(sums_, box, layers);
      enter(box);
    });
  }

  void enter(const CellBox& box) {
    if (column_.is_empty(box)) return;
    const std::size_t me = order_.at(box);
    Entry& entry = entries_[me];
    bool is_too_large = false;
    // What an outer layer adds nothing to is taken over from the box without it.
    const auto takes_over = [&](std::size_t inner, bool is_layer_empty, What drop,
                                std::size_t axis) {
      is_too_large = is_too_large || entries_[inner].is_too_large;
      if (!is_layer_empty) return false;
      entry = entries_[inner];
      entry.what = drop;
      entry.axis = static_cast<std::uint8_t>(axis);
      hours_[me] = hours_[inner];
      return true;
    };
    for (std::size_t k = 0; k < 3; ++k) {
      if (box.high[k] - box.low[k] == 1) continue;
      if (takes_over(order_.without_low(me, box, k), column_.is_low_empty(box, k), What::drop_low,
                     k) ||
          takes_over(order_.without_high(me, k), column_.is_high_empty(box, k), What::drop_high, k))
        return;
    }
    entry.is_too_large = is_too_large;
    if (!is_too_large) hope_for_whole(box, entry);
    choose(box);
  }

  /// Whether two overlapping boxes that make it up, each all of one piece, show that it is so too.
  bool plainly_hangs_together(const CellBox& box) const {
    const std::size_t me = order_.at(box);
    for (std::size_t k = 0; k < 3; ++k) {
      if (box.high[k] - box.low[k] < 3) continue;
      const CellBox between = shrunk(shrunk(box, What::drop_low, k), What::drop_high, k);
      if (entries_[order_.without_low(me, box, k)].is_one &&
          entries_[order_.without_high(me, k)].is_one && sums_.in(between).solids > 0)
        return true;
    }
    return false;
  }

  static CellBox shrunk(CellBox box, What drop, std::size_t axis) {
    if (drop == What::drop_low)
      ++box.low[axis];
    else
      --box.high[axis];
    return box;
  }

  /// The least of: as it is, or any cut. A box with an empty layer is as the box without it.
  void choose(const CellBox& box) {
    const std::size_t me = order_.at(box);
    Entry& entry = entries_[me];
    if (entry.what == What::drop_low || entry.what == What::drop_high) {
      hours_[me] = hours_[order_.at(shrunk(box, entry.what, entry.axis))];
      return;
    }
    float least_h = entry.whole_h;
    entry.what = What::whole;
    for (std::size_t k = 0; k < 3; ++k) {
      const std::size_t stride = order_.stride(k), low = box.low[k], high = box.high[k];
      const float* without = &hours_[me - order_.pair(k, low, high) * stride];
      for (std::size_t at = low + 1; at < high; ++at) {
        const float hours = static_cast<float>(grid_.cut_h(box, k, at)) + kPerSeam_h +
                            without[order_.pair(k, low, at) * stride] +
                            without[order_.pair(k, at, high) * stride];
        if (hours >= least_h) continue;
        least_h = hours;
        entry.what = What::cut;
        entry.axis = static_cast<std::uint8_t>(k);
        entry.at = static_cast<std::uint8_t>(at);
      }
    }
    hours_[me] = least_h;
  }

  std::uint32_t group_of(std::uint32_t i) {
    while (group_[i] != i) i = group_[i] = group_[group_[i]];
    return i;
  }

  template <class Do>
  void for_each_solid(const CellBox& box, const Do& act) const {
    for (std::size_t x = box.low[0]; x < box.high[0]; ++x)
      for (std::size_t y = box.low[1]; y < box.high[1]; ++y)
        for (std::size_t z = box.low[2]; z < box.high[2]; ++z)
          for (const std::uint32_t i : grid_.solids_in(x, y, z)) act(i);
  }

  /// The solids of a box in `inside_`, those that hang together in one group.
  void gather(const CellBox& box) {
    ++looks_;
    inside_.clear();
    for_each_solid(box, [&](std::uint32_t i) {
      inside_.push_back(i);
      looked_[i] = looks_;
      group_[i] = i;
    });
    for (const std::uint32_t i : inside_) {
      for (const std::uint32_t next : grid_.solid(i).after) {
        if (looked_[next] != looks_) continue;
        const std::uint32_t a = group_of(i), b = group_of(next);
        group_[std::max(a, b)] = std::min(a, b);
      }
    }
  }

  void hope_for_whole(const CellBox& box, Entry& entry) {
    Sides sides;
    for (std::size_t k = 0; k < 3; ++k)
      sides[k] = grid_.plane(k, box.high[k]).offset_mm - grid_.plane(k, box.low[k]).offset_mm;
    const bool all_fit = is_held(sides);
    entry.is_one = plainly_hangs_together(box);
    const std::optional<double> hours =
        entry.is_one ? hoped_h_as_one(box, all_fit) : hoped_h_by_groups(box, all_fit, entry);
    entry.is_too_large = !hours;
    if (hours) entry.whole_h = static_cast<float>(*hours);
  }

  /// Hours of all in the box as one piece; none where it fits in no way.
  std::optional<double> hoped_h_as_one(const CellBox& box, bool all_fit) {
    if (!all_fit) {
      piece_.clear();
      for_each_solid(box, [&](std::uint32_t i) { piece_.push_back(&grid_.solid(i)); });
      if (!may_fit()) return std::nullopt;
    }
    const BoxAmounts all = sums_.in(box);
    return pricer_.fitting_piece_h(all.skin_mm2, all.volume_mm3);
  }

  /// Hours of a piece for each group of solids; none where one fits in no way.
  std::optional<double> hoped_h_by_groups(const CellBox& box, bool all_fit, Entry& entry) {
    gather(box);
    double hours = 0;
    int groups = 0;
    for (const std::uint32_t first : inside_) {
      if (group_of(first) != first) continue;
      if (!all_fit && !may_fit(first)) return std::nullopt;
      hours += piece_h(first);
      groups += 1;
    }
    entry.is_one = groups == 1;
    return hours;
  }

  double piece_h(std::uint32_t group) {
    double volume_mm3 = 0, skin_mm2 = 0;
    for (const std::uint32_t i : inside_) {
      if (group_of(i) != group) continue;
      volume_mm3 += grid_.solid(i).volume_mm3;
      skin_mm2 += grid_.solid(i).skin_mm2;
    }
    return pricer_.fitting_piece_h(skin_mm2, volume_mm3);
  }

  bool is_held(const Sides& sides) const {
    const Sides s = sorted(sides);
    return std::any_of(rooms_.begin(), rooms_.end(), [&](const Sides& room) {
      return s[0] <= room[0] && s[1] <= room[1] && s[2] <= room[2];
    });
  }

  bool may_fit(std::uint32_t group) {
    piece_.clear();
    for (const std::uint32_t i : inside_) {
      if (group_of(i) == group) piece_.push_back(&grid_.solid(i));
    }
    return may_fit();
  }

  /// What is in `piece_`.
  bool may_fit() const {
    const auto extent_mm = [&](std::size_t direction) {
      float low = std::numeric_limits<float>::infinity(), high = -low;
      for (const CellSolid* solid : piece_) {
        low = std::min(low, solid->low_mm[direction]);
        high = std::max(high, solid->high_mm[direction]);
      }
      return static_cast<double>(high - low);
    };
    return std::any_of(turns_.frames.begin(), turns_.frames.end(), [&](const auto& frame) {
      return is_held({extent_mm(frame[0]), extent_mm(frame[1]), extent_mm(frame[2])});
    });
  }

  /// Judges what the best plan hopes for; whether it may have to change.
  bool judge_leaves() {
    std::vector<CellBox> leaves;
    add_leaves(grid_.all(), leaves);
    bool has_changed = false;
    for (const CellBox& leaf : leaves) {
      constexpr double kAsHoped_h = 0.02;
      Entry& entry = entries_[order_.at(leaf)];
      if (entry.is_judged) continue;
      entry.is_judged = true;
      const double hours = judge_.leaf(body_in(leaf))->total_h;
      if (std::abs(hours - static_cast<double>(entry.whole_h)) < kAsHoped_h) continue;
      entry.whole_h = static_cast<float>(hours);
      for_each_box(leaf, [&](const CellBox& box) { choose(box); });
      has_changed = true;
    }
    return has_changed;
  }

  void add_leaves(const CellBox& box, std::vector<CellBox>& leaves) const {
    const Entry& entry = entries_[order_.at(box)];
    switch (entry.what) {
      case What::nothing:
        return;
      case What::whole:
        leaves.push_back(box);
        return;
      case What::cut:
        add_leaves(box.below(entry.axis, entry.at), leaves);
        add_leaves(box.above(entry.axis, entry.at), leaves);
        return;
      case What::drop_low:
      case What::drop_high:
        add_leaves(shrunk(box, entry.what, entry.axis), leaves);
        return;
    }
  }

  std::shared_ptr<const ClipBody> body_in(const CellBox& box) {
    std::shared_ptr<const ClipBody> body = body_;
    const auto keep = [&](const Plane& plane, bool keep_above) {
      pricer_.add_work(body->look_work());
      const BodyHalves halves = clip(*body, plane);
      body = keep_above ? halves.above : halves.below;
    };
    for (std::size_t k = 0; k < 3; ++k) {
      if (box.low[k] > 0) keep(grid_.plane(k, box.low[k]), true);
      if (box.high[k] < grid_.count(k)) keep(grid_.plane(k, box.high[k]), false);
    }
    return body;
  }

  PlanPtr cut(std::shared_ptr<const ClipBody> body, const CellBox& box) {
    const Entry& entry = entries_[order_.at(box)];
    if (entry.what == What::drop_low || entry.what == What::drop_high)
      return cut(std::move(body), shrunk(box, entry.what, entry.axis));
    if (entry.what != What::cut) return pricer_.leaf(std::move(body));
    const CellBox low = box.below(entry.axis, entry.at), high = box.above(entry.axis, entry.at);
    const Plane plane = grid_.plane(entry.axis, entry.at);
    const BodyHalves halves = clip(*body, plane);
    pricer_.add_work(body->look_work());
    if (halves.above->is_empty()) return cut(std::move(body), low);
    if (halves.below->is_empty()) return cut(std::move(body), high);
    const double hours = pricer_.seam_h(plane, halves, *body);
    PlanPtr above = cut(halves.above, high), below = cut(halves.below, low);
    return PlanPricer::join(std::move(body), plane, false, hours, std::move(above),
                            std::move(below));
  }

  std::shared_ptr<const ClipBody> body_;
  const CellGrid& grid_;
  const Turns& turns_;
  PlanPricer& pricer_;
  PlanPricer& judge_;         ///< of whole pieces; forgives small misfits
  std::vector<Sides> rooms_;  ///< with the hope
  BoxSums sums_;
  BoxOrder order_;
  std::vector<float> hours_;
  std::vector<Entry> entries_;
  ColumnLayers column_;                        ///< of the box looked at
  std::vector<std::uint32_t> group_, looked_;  ///< a solid's group, and the look that it is of
  std::uint32_t looks_ = 0;
  std::vector<std::uint32_t> inside_;    ///< solids of the box looked at
  std::vector<const CellSolid*> piece_;  ///< of the piece looked at
};

/// The finest step, of six cells to the room's shortest side, whose table has not too many boxes.
std::optional<double> grid_step_mm(const ClipBody& body, const BoxFrame& frame,
                                   const FitRules& rules) {
  double side_mm = 0;
  for (const Sides& room : sorted_rooms(rules, 1)) side_mm = std::max(side_mm, room[0]);
  const Vec3 size = extent_along(body, frame.axes).size();
  for (double cells = kFinestCells; cells >= kCoarsestCells; cells -= 0.5) {
    const double step_mm = side_mm / cells;
    double boxes = 1, most = 0;
    for (std::size_t k = 0; k < 3; ++k) {
      const double layers = std::ceil(size[k] / step_mm) + 1;
      boxes *= layers * (layers + 1) / 2;
      most = std::max(most, layers);
    }
    if (boxes <= frame.most_boxes && most <= std::numeric_limits<std::uint8_t>::max())
      return step_mm;
  }
  return std::nullopt;
}

}  // namespace

PlanPtr box_start(std::shared_ptr<const ClipBody> body, const BoxFrame& frame, PlanPricer& pricer,
                  Random& random) {
  PlanPtr whole = pricer.leaf(body);
  if (whole->misfits == 0) return whole;
  const std::optional<double> step_mm = grid_step_mm(*body, frame, pricer.rules());
  if (!step_mm) return nullptr;
  FitRules forgiving = pricer.rules();
  forgiving.misfit_weight = kMisfitWeight;
  PlanPricer judge(pricer.mesh(), pricer.prices(), forgiving);
  const Turns turns = make_turns(frame.axes);
  const CellGrid grid(body, {frame.axes, *step_mm, frame.shake_ratio}, turns.directions, pricer,
                      random);
  return BoxTable(std::move(body), grid, turns, frame.hope_ratio, pricer, judge).best_plan();
}

}  // namespace seamwright::search
