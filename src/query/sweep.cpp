#include "seamwright/query/sweep.h"

#include "seamwright/core/parallel.h"

namespace seamwright {
namespace {

/// Two neighbouring offsets at a time. Plain vector types of the compiler: every lane is computed
/// as a scalar would be.
using Lanes = double __attribute__((vector_size(16)));
constexpr std::size_t kLanes = 2;

Lanes both(double x) {
  return Lanes{x, x};
}
Lanes least(Lanes a, Lanes b) {
  return a < b ? a : b;
}
Lanes most(Lanes a, Lanes b) {
  return a > b ? a : b;
}

constexpr double kLeast = 1e-300;
/// The next number above, but far enough above zero to be divided by kLeast.
double just_above(double x) {
  return std::max(std::nextafter(x, std::numeric_limits<double>::infinity()), x + 1e-290);
}

/// The offsets, padded with +∞, and a table of equal cells that finds the first one above a height
/// without a branch that is hard to foresee (three a face cost more than the sums themselves).
class Offsets {
 public:
  explicit Offsets(std::span<const double> offsets_mm)
      : count_(offsets_mm.size()), padded_(offsets_mm.begin(), offsets_mm.end()) {
    padded_.resize((count_ / kLanes + 2) * kLanes, std::numeric_limits<double>::infinity());
    const double span_mm = offsets_mm.back() - offsets_mm.front();
    last_cell_ = static_cast<double>(2 * count_);
    cells_per_mm_ = span_mm > 0 ? last_cell_ / span_mm : 0;
    // How many offsets lie in lower cells: never more than are at or under a height of this cell.
    lower_.assign(2 * count_ + 2, 0);
    for (double offset : offsets_mm) ++lower_[cell_of(offset) + 1];
    for (std::size_t c = 1; c < lower_.size(); ++c) lower_[c] += lower_[c - 1];
  }

  /// Position of the first offset > `height_mm`.
  std::size_t first_above(double height_mm) const {
    std::size_t at = lower_[cell_of(height_mm)];
    at += padded_[at] <= height_mm ? 1 : 0;
    while (padded_[at] <= height_mm) ++at;  // only where offsets are crowded
    return at;
  }
  std::size_t count() const { return count_; }
  Lanes pair(std::size_t at) const { return Lanes{padded_[kLanes * at], padded_[kLanes * at + 1]}; }

 private:
  std::size_t cell_of(double height_mm) const {
    const double cell = (height_mm - padded_[0]) * cells_per_mm_;
    return static_cast<std::size_t>(
        static_cast<std::int64_t>(std::min(std::max(cell, 0.0), last_cell_)));
  }
  std::size_t count_;
  std::vector<double> padded_;
  double cells_per_mm_ = 0, last_cell_ = 0;
  std::vector<std::uint32_t> lower_;
};

/// What the faces of one block add at two offsets, and what stays added from the first of them on.
struct Sums {
  Lanes shown_mm, hidden_mm, area_mm2, step_mm2;
};

}  // namespace

/// One direction: adds up faces. A plane cuts a face of heights low ≤ middle ≤ high at low < t ≤
/// high, in a segment that grows linearly from low to middle and shrinks to high, so ½ · longest ·
/// (high − low) is the area in the face's plane, times sin φ seen across. The section's area is
/// minus the flux of the normal through the skin below it (divergence theorem), a quadratic in the
/// same two ranges.
struct SweepPass {
  const Sweeper& part;
  Vec3 normal;
  Offsets offsets;
  std::vector<double> heights_mm;

  void add_face(std::size_t f, std::vector<Sums>& sums) const {
    const Triangle& t = part.triangles_[f];
    const double a = heights_mm[to_index(t[0])], b = heights_mm[to_index(t[1])],
                 c = heights_mm[to_index(t[2])];
    const double lower = std::min(a, b), upper = std::max(a, b);
    const double low = std::min(lower, c), high = std::max(upper, c),
                 middle = std::max(lower, std::min(upper, c));
    const double flux_mm2 = dot(part.area_vectors_[f], normal);
    const std::size_t first = offsets.first_above(low), last = offsets.first_above(high);
    std::size_t step = first;
    if (first < last) {
      add_crossings(f, {low, middle, high}, flux_mm2, {first / kLanes, (last + 1) / kLanes}, sums);
      step = (last + 1) / kLanes * kLanes;
    }
    sums[step / kLanes].step_mm2[step % kLanes] -= flux_mm2;
  }

  /// Over whole pairs: at an offset outside the face the length is 0, and the share of the face
  /// below it 0 or 1 by itself.
  void add_crossings(std::size_t f, const std::array<double, 3>& height, double flux_mm2,
                     std::pair<std::size_t, std::size_t> pairs, std::vector<Sums>& sums) const {
    const auto [low, middle, high] = height;
    const double across_mm2 = norm(cross(part.area_vectors_[f], normal)),
                 sine = across_mm2 / part.skin_[f].area_mm2;
    // sin φ times its grazing factor, without a branch.
    const double longest =
        2 * part.skin_[f].area_mm2 * std::max(sine, std::min(0.5, 4 * sine)) / (high - low);
    const Lanes shown = both(longest * part.skin_[f].shown_ratio),
                hidden = both(longest * part.skin_[f].hidden_ratio);
    const Lanes rise = both(1 / std::max(middle - low, kLeast)),
                fall = both(1 / std::max(high - middle, kLeast));
    // A flat upper side is cut at its own height and not above.
    const Lanes end = both(middle == high ? just_above(high) : high);
    const Lanes lows = both(low), middles = both(middle), highs = both(high),
                fluxes = both(flux_mm2 / (high - low));
    const Lanes upper = (highs - middles) * (highs - middles) * fall, zero = both(0);
    for (std::size_t p = pairs.first; p < pairs.second; ++p) {
      const Lanes t = offsets.pair(p);
      const Lanes share = most(zero, least((t - lows) * rise, (end - t) * fall));
      const Lanes up = least(most(t, lows), middles) - lows,
                  down = highs - least(most(t, middles), highs);
      sums[p].shown_mm += shown * share;
      sums[p].hidden_mm += hidden * share;
      sums[p].area_mm2 -= fluxes * (up * up * rise + (upper - down * down * fall));
    }
  }

  std::vector<Sums> add_faces(std::size_t begin, std::size_t end) const {
    std::vector<Sums> sums(offsets.count() / kLanes + 2, Sums{});
    for (std::size_t f = begin; f < end; ++f) add_face(f, sums);
    return sums;
  }
};

namespace {

std::vector<Sums> join(std::vector<Sums> left, const std::vector<Sums>& right) {
  if (left.empty()) return right;
  for (std::size_t i = 0; i < left.size(); ++i) {
    left[i].shown_mm += right[i].shown_mm;
    left[i].hidden_mm += right[i].hidden_mm;
    left[i].area_mm2 += right[i].area_mm2;
    left[i].step_mm2 += right[i].step_mm2;
  }
  return left;
}

SweepResult unpack(const std::vector<Sums>& sums, std::size_t count) {
  SweepResult result;
  double below_mm2 = 0;
  for (std::size_t i = 0; i < count; ++i) {
    const Sums& at = sums[i / kLanes];
    below_mm2 += at.step_mm2[i % kLanes];
    result.shown_mm.push_back(at.shown_mm[i % kLanes]);
    result.hidden_mm.push_back(at.hidden_mm[i % kLanes]);
    result.area_mm2.push_back(below_mm2 + at.area_mm2[i % kLanes]);
  }
  return result;
}

}  // namespace

Sweeper::Sweeper(const Solid& solid, std::span<const double> face_sight,
                 std::span<const double> face_weight)
    : points_(solid.points().begin(), solid.points().end()),
      triangles_(solid.triangles().begin(), solid.triangles().end()) {
  require(face_sight.size() == solid.face_count(), "one sight a face");
  require(face_weight.empty() || face_weight.size() == solid.face_count(),
          "one weight a face or none");
  area_vectors_.reserve(solid.face_count());
  skin_.reserve(solid.face_count());
  for (std::size_t f = 0; f < solid.face_count(); ++f) {
    const FaceId face = to_id<FaceId>(f);
    const bool is_skin = solid.origin(face).kind == OriginKind::skin;
    const double weight = is_skin ? (face_weight.empty() ? 1.0 : face_weight[f]) : 0.0;
    area_vectors_.push_back(solid.area_normal(face) / 2);
    // A face without area has no length either; any other number keeps its sine from being 0 / 0.
    const double area_mm2 = norm(area_vectors_.back());
    skin_.push_back(
        {face_sight[f] * weight, (1 - face_sight[f]) * weight, area_mm2 > 0 ? area_mm2 : 1});
  }
}

SweepResult Sweeper::sweep(Vec3 normal, std::span<const double> offsets_mm, const Run& run) const {
  if (offsets_mm.empty()) return {};
  require(std::is_sorted(offsets_mm.begin(), offsets_mm.end()), "offsets are ascending");
  SweepPass pass{*this, normal, Offsets(offsets_mm), {}};
  pass.heights_mm = map_index(
      points_.size(), run, [&](std::size_t v) { return dot(normal, points_[v]); }, 16384);
  const auto fold = [&](std::size_t begin, std::size_t end) { return pass.add_faces(begin, end); };
  return unpack(reduce_blocks(triangles_.size(), run, std::vector<Sums>{}, fold, join, 32768),
                offsets_mm.size());
}

SweepResult sweep(const Solid& solid, std::span<const double> face_sight, Vec3 normal,
                  std::span<const double> offsets_mm, const Run& run) {
  return Sweeper(solid, face_sight).sweep(normal, offsets_mm, run);
}

}  // namespace seamwright
