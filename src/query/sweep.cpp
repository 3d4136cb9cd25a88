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

/// How high a point lies, and the first offset above it: asked once a point, not once a corner.
struct Height {
  double mm = 0;
  std::uint32_t first_above = 0;
};

/// One face that offsets cross: what does not change from offset to offset.
struct Crossed {
  double low, middle, high, end;
  double rise, fall;         ///< 1 / (middle − low), 1 / (high − middle)
  double shown, hidden;      ///< of the longest segment, mm
  double flux_per_mm;        ///< of the normal through the face, mm² a mm of height
  std::size_t first, after;  ///< pairs of offsets
};

/// Over whole pairs of offsets: at an offset outside the face the length is 0, and the share of the
/// face below it 0 or 1 by itself.
void add_crossings(const Crossed& face, const Offsets& offsets, std::vector<Sums>& sums) {
  const Lanes low = both(face.low), middle = both(face.middle), high = both(face.high),
              end = both(face.end), rise = both(face.rise), fall = both(face.fall),
              whole = both(face.high - face.low), shown = both(face.shown),
              hidden = both(face.hidden), flux = both(face.flux_per_mm), zero = both(0);
  for (std::size_t p = face.first; p < face.after; ++p) {
    const Lanes t = offsets.pair(p);
    const Lanes up = t - low;
    const Lanes share = most(zero, least(up * rise, (end - t) * fall));
    sums[p].shown_mm += shown * share;
    sums[p].hidden_mm += hidden * share;
    sums[p].area_mm2 -= flux * (t < middle ? share * up : whole - share * (high - t));
  }
}

}  // namespace

/// One direction: adds up faces. A plane cuts a face of heights low ≤ middle ≤ high at low < t ≤
/// high, in a segment that grows linearly from low to middle and shrinks to high, so ½ · longest ·
/// (high − low) is the area in the face's plane, times sin φ seen across. The section's area is
/// minus the flux of the normal through the skin below it (divergence theorem), a quadratic in the
/// same two ranges. Faces go in groups, so that the loop whose length is hard to foresee (a face
/// crosses none to a dozen offsets) does not stand between one face's divisions and the next's.
struct SweepPass {
  static constexpr std::size_t kGroup = 32;

  const Sweeper& part;
  Vec3 normal;
  Offsets offsets;
  std::vector<Height> heights;

  Height height_of(Vec3 point) const {
    const double mm = dot(normal, point);
    return {mm, static_cast<std::uint32_t>(offsets.first_above(mm))};
  }

  /// Whether any offset crosses the face; what the face adds above itself is added here.
  bool meet(std::size_t f, Crossed& out, std::vector<Sums>& sums) const {
    const Triangle& t = part.triangles_[f];
    const Height &a = heights[to_index(t[0])], &b = heights[to_index(t[1])],
                 &c = heights[to_index(t[2])];
    const std::size_t first = std::min({a.first_above, b.first_above, c.first_above}),
                      last = std::max({a.first_above, b.first_above, c.first_above});
    const Vec3 area_vector = part.area_vectors_[f];
    const double flux_mm2 = dot(area_vector, normal);
    out.first = first / kLanes, out.after = (last + kLanes - 1) / kLanes;
    const std::size_t step = first < last ? out.after * kLanes : first;
    sums[step / kLanes].step_mm2[step % kLanes] -= flux_mm2;

    const double lower = std::min(a.mm, b.mm), upper = std::max(a.mm, b.mm);
    out.low = std::min(lower, c.mm), out.high = std::max(upper, c.mm);
    out.middle = std::max(lower, std::min(upper, c.mm));
    const double per_mm = 1 / std::max(out.high - out.low, kLeast);
    out.rise = 1 / std::max(out.middle - out.low, kLeast);
    out.fall = 1 / std::max(out.high - out.middle, kLeast);
    // A flat upper side is cut at its own height and not above.
    out.end = out.middle == out.high ? just_above(out.high) : out.high;
    // sin φ times its grazing factor, without a branch.
    const Sweeper::Skin& skin = part.skin_[f];
    const double across_mm2 = norm(cross(area_vector, normal));
    const double longest =
        2 * std::max(across_mm2, std::min(0.5 * skin.area_mm2, 4 * across_mm2)) * per_mm;
    out.shown = longest * skin.shown_ratio, out.hidden = longest * skin.hidden_ratio;
    out.flux_per_mm = flux_mm2 * per_mm;
    return first < last;
  }

  std::vector<Sums> add_faces(std::size_t begin, std::size_t end) const {
    std::vector<Sums> sums(offsets.count() / kLanes + 2, Sums{});
    std::array<Crossed, kGroup> group;
    for (std::size_t f = begin; f < end;) {
      std::size_t crossed = 0;
      for (const std::size_t last = std::min(end, f + kGroup); f < last; ++f)
        crossed += meet(f, group[crossed], sums) ? 1 : 0;
      for (std::size_t i = 0; i < crossed; ++i) add_crossings(group[i], offsets, sums);
    }
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
  pass.heights = map_index(
      points_.size(), run, [&](std::size_t v) { return pass.height_of(points_[v]); }, 16384);
  const auto fold = [&](std::size_t begin, std::size_t end) { return pass.add_faces(begin, end); };
  return unpack(reduce_blocks(triangles_.size(), run, std::vector<Sums>{}, fold, join, 32768),
                offsets_mm.size());
}

SweepResult sweep(const Solid& solid, std::span<const double> face_sight, Vec3 normal,
                  std::span<const double> offsets_mm, const Run& run) {
  return Sweeper(solid, face_sight).sweep(normal, offsets_mm, run);
}

}  // namespace seamwright
