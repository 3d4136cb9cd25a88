#include "seamwright/query/sweep.h"

#include "seamwright/core/parallel.h"

namespace seamwright {
namespace {

/// Finds the first offset above a height through a table of equal cells, in about one step.
class OffsetFinder {
 public:
  explicit OffsetFinder(std::span<const double> offsets_mm) : offsets_(offsets_mm) {
    const double span_mm = offsets_.back() - offsets_.front();
    const std::size_t cells = 2 * offsets_.size();
    cells_per_mm_ = span_mm > 0 ? static_cast<double>(cells - 1) / span_mm : 0;
    // How many offsets lie in lower cells: never more than are at or under a height of this cell.
    lower_.assign(cells + 1, 0);
    for (double offset : offsets_) ++lower_[cell_of(offset) + 1];
    for (std::size_t c = 1; c < lower_.size(); ++c) lower_[c] += lower_[c - 1];
  }

  /// Position of the first offset > `height_mm`.
  std::size_t first_above(double height_mm) const {
    if (height_mm < offsets_.front()) return 0;
    std::size_t at = lower_[cell_of(height_mm)];
    while (at < offsets_.size() && offsets_[at] <= height_mm) ++at;
    return at;
  }

 private:
  std::size_t cell_of(double height_mm) const {
    const double cell = (height_mm - offsets_.front()) * cells_per_mm_;
    return static_cast<std::size_t>(std::min(cell, static_cast<double>(lower_.size() - 2)));
  }
  std::span<const double> offsets_;
  double cells_per_mm_ = 0;
  std::vector<std::uint32_t> lower_;
};

/// What the faces of one block add at each offset. `steps_mm2` are what stays added from there on.
struct Sums {
  struct At {
    double shown_mm = 0, hidden_mm = 0, area_mm2 = 0, step_mm2 = 0;
  };
  std::vector<At> at;
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
  std::span<const double> offsets;
  OffsetFinder finder;
  std::vector<double> heights_mm;

  void add_face(std::size_t f, Sums& sums) const {
    const Triangle& t = part.triangles_[f];
    const double a = heights_mm[to_index(t[0])], b = heights_mm[to_index(t[1])],
                 c = heights_mm[to_index(t[2])];
    const double low = std::min({a, b, c}), high = std::max({a, b, c});
    const double flux_mm2 = dot(part.area_vectors_[f], normal);
    std::size_t at = finder.first_above(low);
    if (at < offsets.size() && offsets[at] <= high) {
      const double middle = std::max(std::min(a, b), std::min(std::max(a, b), c));
      at = add_crossings(f, at, {low, middle, high}, flux_mm2, sums);
    }
    if (at < offsets.size()) sums.at[at].step_mm2 -= flux_mm2;
  }

  std::size_t add_crossings(std::size_t f, std::size_t at, const std::array<double, 3>& height,
                            double flux_mm2, Sums& sums) const {
    const auto [low, middle, high] = height;
    const Vec3 area = part.area_vectors_[f];
    const double across_mm2 = norm(cross(area, normal));
    const double whole_mm2 = norm(area);
    const double sine = whole_mm2 > 0 ? across_mm2 / whole_mm2 : 1;
    const double longest = 2 * across_mm2 / (high - low) * grazing_factor(sine);
    const double shown = longest * part.skin_[f].shown_ratio,
                 hidden = longest * part.skin_[f].hidden_ratio;
    const double rise = 1 / (middle - low), fall = 1 / (high - middle), all = 1 / (high - low);
    for (; at < offsets.size() && offsets[at] <= middle; ++at) {
      const double up = offsets[at] - low, share = up * rise;
      sums.at[at].shown_mm += shown * share;
      sums.at[at].hidden_mm += hidden * share;
      sums.at[at].area_mm2 -= flux_mm2 * (up * all * share);
    }
    for (; at < offsets.size() && offsets[at] <= high; ++at) {
      const double down = high - offsets[at], share = down * fall;
      sums.at[at].shown_mm += shown * share;
      sums.at[at].hidden_mm += hidden * share;
      sums.at[at].area_mm2 -= flux_mm2 * (1 - down * all * share);
    }
    return at;
  }

  Sums add_faces(std::size_t begin, std::size_t end) const {
    Sums sums;
    sums.at.resize(offsets.size());
    for (std::size_t f = begin; f < end; ++f) add_face(f, sums);
    return sums;
  }
};

namespace {

Sums join(Sums left, const Sums& right) {
  if (left.at.empty()) return right;
  for (std::size_t i = 0; i < left.at.size(); ++i) {
    left.at[i].shown_mm += right.at[i].shown_mm;
    left.at[i].hidden_mm += right.at[i].hidden_mm;
    left.at[i].area_mm2 += right.at[i].area_mm2;
    left.at[i].step_mm2 += right.at[i].step_mm2;
  }
  return left;
}

SweepResult unpack(const Sums& sums) {
  SweepResult result;
  double below_mm2 = 0;
  for (const Sums::At& at : sums.at) {
    below_mm2 += at.step_mm2;
    result.shown_mm.push_back(at.shown_mm);
    result.hidden_mm.push_back(at.hidden_mm);
    result.area_mm2.push_back(below_mm2 + at.area_mm2);
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
    skin_.push_back({face_sight[f] * weight, (1 - face_sight[f]) * weight});
  }
}

SweepResult Sweeper::sweep(Vec3 normal, std::span<const double> offsets_mm, const Run& run) const {
  if (offsets_mm.empty()) return {};
  require(std::is_sorted(offsets_mm.begin(), offsets_mm.end()), "offsets are ascending");
  SweepPass pass{*this, normal, offsets_mm, OffsetFinder(offsets_mm), {}};
  pass.heights_mm = map_index(
      points_.size(), run, [&](std::size_t v) { return dot(normal, points_[v]); }, 16384);
  const auto fold = [&](std::size_t begin, std::size_t end) { return pass.add_faces(begin, end); };
  return unpack(reduce_blocks(triangles_.size(), run, Sums{}, fold, join, 32768));
}

SweepResult sweep(const Solid& solid, std::span<const double> face_sight, Vec3 normal,
                  std::span<const double> offsets_mm, const Run& run) {
  return Sweeper(solid, face_sight).sweep(normal, offsets_mm, run);
}

}  // namespace seamwright
