#include "seamwright/query/details.h"

#include <algorithm>

#include "query/directions.h"
#include "query/embree_scene.h"
#include "seamwright/core/parallel.h"
#include "seamwright/core/random.h"

namespace seamwright {
namespace {

/// Normals agree when the angle between them is under 60°: a letter's floor and
/// the skin around it, but not its walls nor the other side of a thin wall.
constexpr double kAgreeing = 0.5;
constexpr double kLiftPerSize = 4e-6;

/// Cells of 21 bits an axis, x running fastest.
std::uint64_t cell_key(std::array<std::int64_t, 3> cell) {
  return (static_cast<std::uint64_t>(cell[2]) << 42) | (static_cast<std::uint64_t>(cell[1]) << 21) |
         static_cast<std::uint64_t>(cell[0]);
}
std::array<std::int64_t, 3> cell_of(Vec3 p, Vec3 low, double cell_mm) {
  std::array<std::int64_t, 3> cell{};
  for (std::size_t k = 0; k < 3; ++k) {
    const double at = std::floor((p[k] - low[k]) / cell_mm);
    cell[k] = static_cast<std::int64_t>(std::clamp(at, 0.0, 2097151.0));
  }
  return cell;
}

/// Samples spread over the skin by area, one for each spacing² along the faces
/// in their order.
std::vector<DetailSample> spread_over_skin(const Solid& solid, const DetailOptions& options) {
  const double share_mm2 = options.spacing_mm * options.spacing_mm;
  double area_mm2 = Random(options.seed).uniform() * share_mm2;
  std::vector<DetailSample> samples;
  for (std::size_t f = 0; f < solid.face_count(); ++f) {
    const FaceId face = to_id<FaceId>(f);
    if (solid.origin(face).kind != OriginKind::skin) continue;
    const Vec3 n = solid.area_normal(face);
    const auto [a, b, c] = solid.corners(face);
    for (area_mm2 += norm(n) / 2; area_mm2 >= share_mm2; area_mm2 -= share_mm2) {
      const double k = static_cast<double>(samples.size());
      const double root = std::sqrt(wrapped(0.5 + k * 0.7548776662466927)),
                   side = wrapped(0.5 + k * 0.5698402909980532);
      samples.push_back({a * (1 - root) + b * (root * (1 - side)) + c * (root * side),
                         normalized(n), face, 0, 0});
    }
  }
  return samples;
}

/// Four candidates at a time, in single precision about a centre near them:
/// exact to 1e-5 mm over the reach. Plain vector types of the compiler.
using Lanes = float __attribute__((vector_size(16)));
using Mask = std::int32_t __attribute__((vector_size(16)));
constexpr std::size_t kLanes = 4;

Lanes all(double x) {
  const float value = static_cast<float>(x);
  return Lanes{value, value, value, value};
}
Lanes where(Mask mask, Lanes value) {
  return reinterpret_cast<Lanes>(mask & reinterpret_cast<Mask>(value));
}
double total(Lanes a) {
  return static_cast<double>(a[0]) + a[1] + a[2] + a[3];
}

/// The samples near one cell, laid out for the lanes; the last lanes are filled
/// up far away.
struct Crowd {
  struct Four {
    Lanes x, y, z, nx, ny, nz;
  };
  std::vector<Four> fours;
  Vec3 center;

  Crowd(std::span<const DetailSample> samples,
        const std::vector<std::pair<std::size_t, std::size_t>>& ranges, Vec3 about)
      : center(about) {
    std::size_t lane = kLanes;
    for (const auto& [first, last] : ranges) {
      for (std::size_t i = first; i < last; ++i) {
        if (lane == kLanes) {
          fours.push_back({all(1e6), all(1e6), all(1e6), all(0), all(0), all(0)});
          lane = 0;
        }
        put(fours.back(), lane++, samples[i]);
      }
    }
  }
  void put(Four& four, std::size_t lane, const DetailSample& sample) const {
    const Vec3 p = sample.point - center;
    four.x[lane] = static_cast<float>(p.x);
    four.y[lane] = static_cast<float>(p.y);
    four.z[lane] = static_cast<float>(p.z);
    four.nx[lane] = static_cast<float>(sample.normal.x);
    four.ny[lane] = static_cast<float>(sample.normal.y);
    four.nz[lane] = static_cast<float>(sample.normal.z);
  }
};

/// Compares the mean offsets along the normal of the agreeing samples within
/// the two radii.
double relief_mm(const Crowd& crowd, const DetailSample& at, const DetailOptions& options) {
  const Vec3 p = at.point - crowd.center;
  const Lanes px = all(p.x), py = all(p.y), pz = all(p.z);
  const Lanes nx = all(at.normal.x), ny = all(at.normal.y), nz = all(at.normal.z);
  const double near2 = options.near_mm * options.near_mm, far2 = options.far_mm * options.far_mm;
  const Lanes near_limit = all(near2), far_limit = all(far2), agreeing = all(kAgreeing),
              one = all(1);
  Lanes near_sum = all(0), far_sum = all(0), near_count = all(0), far_count = all(0);
  for (const Crowd::Four& c : crowd.fours) {
    const Lanes x = c.x - px, y = c.y - py, z = c.z - pz;
    const Lanes apart2 = x * x + y * y + z * z;
    const Mask agrees = c.nx * nx + c.ny * ny + c.nz * nz > agreeing;
    const Mask is_far = agrees & (apart2 <= far_limit), is_near = agrees & (apart2 <= near_limit);
    const Lanes offset = x * nx + y * ny + z * nz;
    near_sum += where(is_near, offset);
    near_count += where(is_near, one);
    far_sum += where(is_far, offset);
    far_count += where(is_far, one);
  }
  if (total(near_count) == 0) return 0;
  // A surface curved evenly offers r² of its curvature: h grows by the square
  // of the radius.
  const double growth = far2 / near2;
  return std::abs(total(near_sum) / total(near_count) - total(far_sum) / total(far_count) / growth);
}

/// Casts the short rays.
struct LineRays {
  EmbreeScene scene;
  double lift_mm;
  std::vector<Sample4> pattern;
  const DetailOptions& options;

  LineRays(const Solid& solid, const DetailOptions& with)
      : scene(solid.box().center(), norm(solid.box().size()) / 2),
        lift_mm(norm(solid.box().size()) * kLiftPerSize),
        pattern(spread_samples(static_cast<std::size_t>(with.rays_per_sample))),
        options(with) {
    scene.add(solid.points(), solid.triangles());
    scene.commit();
  }
  double line_ratio(const DetailSample& at, std::size_t turn) const {
    const Frame3 frame(at.normal);
    const double shift = wrapped(static_cast<double>(turn) / std::numbers::phi);
    int hits = 0;
    for (const Sample4& s : pattern) {
      const Vec3 direction = frame.lift(cosine_direction(s[0], wrapped(s[1] + shift)));
      hits += scene.is_blocked(at.point + at.normal * lift_mm, direction, 0, options.line_reach_mm)
                  ? 1
                  : 0;
    }
    return static_cast<double>(hits) / static_cast<double>(pattern.size());
  }
};

/// Measures every sample against `bare`, cell by cell: the samples of a cell
/// share their neighbours.
std::vector<DetailSample> measure(const Solid& solid, const DetailMap& bare,
                                  const DetailOptions& options, const Run& run) {
  const LineRays rays(solid, options);
  const std::vector<std::size_t> starts = bare.cell_starts();
  const Vec3 reach{options.far_mm, options.far_mm, options.far_mm};
  std::vector<DetailSample> samples(bare.samples().begin(), bare.samples().end());
  const auto measure_cell = [&](std::size_t cell) {
    if (run.should_finish()) return;
    Box3 box;
    for (std::size_t i = starts[cell]; i < starts[cell + 1]; ++i) box.extend(samples[i].point);
    const Crowd crowd(bare.samples(), bare.ranges_near(box.low - reach, box.high + reach),
                      box.center());
    for (std::size_t i = starts[cell]; i < starts[cell + 1]; ++i) {
      samples[i].relief_mm = relief_mm(crowd, samples[i], options);
      samples[i].line_ratio = rays.line_ratio(samples[i], i);
    }
  };
  for_each_index(starts.size() - 1, run, measure_cell, 8);
  return samples;
}

}  // namespace

DetailMap::DetailMap(std::vector<DetailSample> samples, double cell_mm) : cell_mm_(cell_mm) {
  Box3 box;
  for (const DetailSample& s : samples) box.extend(s.point);
  low_ = box.is_empty() ? Vec3{} : box.low;
  std::vector<std::pair<std::uint64_t, std::size_t>> order;
  order.reserve(samples.size());
  for (std::size_t i = 0; i < samples.size(); ++i) {
    order.emplace_back(cell_key(cell_of(samples[i].point, low_, cell_mm_)), i);
  }
  std::sort(order.begin(), order.end());
  for (const auto& [key, i] : order) {
    keys_.push_back(key);
    samples_.push_back(samples[i]);
  }
}

std::vector<std::pair<std::size_t, std::size_t>> DetailMap::ranges_near(Vec3 low, Vec3 high) const {
  const auto from = cell_of(low, low_, cell_mm_), to = cell_of(high, low_, cell_mm_);
  std::vector<std::pair<std::size_t, std::size_t>> ranges;
  for (std::int64_t z = from[2]; z <= to[2]; ++z) {
    for (std::int64_t y = from[1]; y <= to[1]; ++y) {
      const auto first = std::ranges::lower_bound(keys_, cell_key({from[0], y, z}));
      const auto last = std::upper_bound(first, keys_.end(), cell_key({to[0], y, z}));
      if (first == last) continue;
      ranges.emplace_back(first - keys_.begin(), last - keys_.begin());
    }
  }
  return ranges;
}

std::vector<std::size_t> DetailMap::cell_starts() const {
  std::vector<std::size_t> starts;
  for (std::size_t i = 0; i < keys_.size(); ++i) {
    if (i == 0 || keys_[i] != keys_[i - 1]) starts.push_back(i);
  }
  starts.push_back(keys_.size());
  return starts;
}

std::optional<DetailSample> DetailMap::at(Vec3 point, Vec3 normal, double reach_mm) const {
  const Vec3 reach{reach_mm, reach_mm, reach_mm};
  std::optional<DetailSample> best;
  double best2 = reach_mm * reach_mm;
  for (const auto& [first, last] : ranges_near(point - reach, point + reach)) {
    for (std::size_t i = first; i < last; ++i) {
      const Vec3 apart = samples_[i].point - point;
      const double apart2 = dot(apart, apart);
      if (dot(samples_[i].normal, normal) <= kAgreeing || apart2 > best2 ||
          (best && apart2 == best2))
        continue;
      best = samples_[i];
      best2 = apart2;
    }
  }
  return best;
}

FaceDetails face_details(const Solid& solid, const DetailMap& map) {
  FaceDetails details{std::vector<double>(solid.face_count(), 0),
                      std::vector<double>(solid.face_count(), 0)};
  std::vector<double> counts(solid.face_count(), 0);
  for (const DetailSample& s : map.samples()) {
    details.relief_mm[to_index(s.face)] += s.relief_mm;
    details.line_ratio[to_index(s.face)] += s.line_ratio;
    ++counts[to_index(s.face)];
  }
  for (std::size_t f = 0; f < solid.face_count(); ++f) {
    if (counts[f] > 0) {
      details.relief_mm[f] /= counts[f];
      details.line_ratio[f] /= counts[f];
      continue;
    }
    const auto [a, b, c] = solid.corners(to_id<FaceId>(f));
    const std::optional<DetailSample> near =
        map.at((a + b + c) / 3, normalized(cross(b - a, c - a)));
    if (near) details.relief_mm[f] = near->relief_mm, details.line_ratio[f] = near->line_ratio;
  }
  return details;
}

Result<DetailMap> find_details(const Solid& solid, const DetailOptions& options, const Run& run) {
  require(options.spacing_mm > 0 && options.far_mm > options.near_mm && options.rays_per_sample > 0,
          "sound detail options");
  const double cell_mm = options.far_mm / 2;
  const DetailMap bare(spread_over_skin(solid, options), cell_mm);
  std::vector<DetailSample> samples = measure(solid, bare, options, run);
  if (run.should_finish()) return Error{"cancelled", "the look for details was stopped"};
  return DetailMap(std::move(samples), cell_mm);
}

}  // namespace seamwright
