#include "pose/layer_sums.h"

#include <algorithm>

namespace seamwright::pose_detail {
namespace {

/// A face as layers see it.
struct SlicedFace {
  std::array<Vec3, 3> low_first;  ///< corners by height
  Vec2 along;                ///< direction of its sections, material on the left; zero when flat
  double facing_up_mm2 = 0;  ///< projected area, negative facing down
  double longest_mm = 0;     ///< length of its section at the middle corner
};

SlicedFace sliced(Vec3 a, Vec3 b, Vec3 c) {
  SlicedFace face{{a, b, c}, {}, 0, 0};
  const Vec3 normal = cross(b - a, c - a);
  face.facing_up_mm2 = normal.z / 2;
  face.along = normalized(Vec2{-normal.y, normal.x});
  auto& v = face.low_first;
  std::stable_sort(v.begin(), v.end(), [](Vec3 p, Vec3 q) { return p.z < q.z; });
  if (v[2].z > v[0].z) {
    const Vec3 across = v[0] + (v[2] - v[0]) * ((v[1].z - v[0].z) / (v[2].z - v[0].z)) - v[1];
    face.longest_mm = std::hypot(across.x, across.y);
  }
  return face;
}

/// Share of the face's area below z.
double share_below(const SlicedFace& face, double z) {
  const double z0 = face.low_first[0].z, z1 = face.low_first[1].z, z2 = face.low_first[2].z;
  if (z >= z2) return 1;
  if (z <= z0) return 0;
  if (z < z1) return (z - z0) * (z - z0) / ((z1 - z0) * (z2 - z0));
  return 1 - (z2 - z) * (z2 - z) / ((z2 - z0) * (z2 - z1));
}

void add_section(const SlicedFace& face, const LayerGrid& grid, std::vector<LayerSums>& layers) {
  const auto& v = face.low_first;
  const Vec2 outward{face.along.y, -face.along.x};
  // The section's distance from the origin is linear in z: take it at the lowest corner and the
  // slope from the corner that is farthest in height.
  const double at_low = dot(outward, {v[0].x, v[0].y}), at_high = dot(outward, {v[2].x, v[2].y});
  const double rise = v[2].z - v[0].z;
  const std::size_t end = grid.first_at(v[2].z);
  for (std::size_t k = grid.first_at(v[0].z); k < end; ++k) {
    const double z = grid.middle_mm(k);
    const double length = face.longest_mm * (z < v[1].z        ? (z - v[0].z) / (v[1].z - v[0].z)
                                             : v[2].z > v[1].z ? (v[2].z - z) / (v[2].z - v[1].z)
                                                               : 1);
    layers[k].edge_mm += length;
    layers[k].area_mm2 += length / 2 * (at_low + (at_high - at_low) * ((z - v[0].z) / rise));
  }
}

/// Gives the face's projected area to the layers that lie bare in it.
void add_bare(const SlicedFace& face, const LayerGrid& grid, std::vector<LayerSums>& layers) {
  if (face.facing_up_mm2 == 0) return;
  const bool is_up = face.facing_up_mm2 > 0;
  const double area_mm2 = std::abs(face.facing_up_mm2);
  double before = 0;
  // Strip k lies between the middles of layers k − 1 and k: the top of the one or the bottom of the
  // other.
  const std::size_t first = grid.first_at(face.low_first[0].z),
                    last = grid.first_at(face.low_first[2].z);
  for (std::size_t strip = first; strip <= last; ++strip) {
    const double below = strip == last ? 1 : share_below(face, grid.middle_mm(strip));
    const double bare_mm2 = area_mm2 * (below - before);
    before = below;
    if (is_up && strip > 0) layers[strip - 1].bare_top_mm2 += bare_mm2;
    if (!is_up && strip < layers.size()) layers[strip].bare_bottom_mm2 += bare_mm2;
  }
}

constexpr double kNodesPerDoubling = 4;

/// A corner's place on the scale of sharpness: between two nodes, so that the mean is kept.
struct Sharpness {
  std::size_t node = 0;
  double low_share = 0, high_share = 0;
};

Sharpness sharpness_of(Vec2 in, Vec2 out) {
  const double sharp = std::max(std::abs(out.x - in.x), std::abs(out.y - in.y));
  if (sharp < sharpness_ratio(0)) return {};
  const double place =
      std::log2(sharp) * kNodesPerDoubling + (kSharpnessCount - 1) - kNodesPerDoubling;
  const auto node = std::min(static_cast<std::size_t>(std::max(place, 0.0)), kSharpnessCount - 2);
  const double low = sharpness_ratio(node), high = sharpness_ratio(node + 1);
  const double share = std::clamp((sharp - low) / (high - low), 0.0, 1.0);
  return {node, 1 - share, share};
}

/// A directed edge of a face.
struct HalfEdge {
  std::uint32_t low = 0, high = 0;  ///< by height, then index
  bool is_rising = false;
  std::uint32_t face = 0;
};

/// What the edges' corners give, as steps that are summed up over the layers.
class CornerSteps {
 public:
  explicit CornerSteps(const LayerGrid& grid) : grid_(grid), steps_(grid.count() + 1) {}

  void add(double low_z, double high_z, Vec2 in, Vec2 out) {
    const std::size_t first = grid_.first_at(low_z), end = grid_.first_at(high_z);
    if (first >= end) return;
    const Sharpness sharp = sharpness_of(in, out);
    const double c = dot(in, out), s = cross(in, out);
    // A corner sharper than 127° counts as that: its mitre would be cut off.
    const double shrink_ratio = 2 * std::clamp(s / std::max(1 + c, 1e-9), -2.0, 2.0);
    const double turn_n = std::atan2(s, c) / (2 * std::numbers::pi);
    for (const auto& [layer, sign] : {std::pair(first, 1.0), std::pair(end, -1.0)}) {
      LayerSums& step = steps_[layer];
      step.shrink_ratio += sign * shrink_ratio;
      step.turn_n += sign * turn_n;
      step.corner_n[sharp.node] += sign * sharp.low_share;
      step.corner_n[sharp.node + 1] += sign * sharp.high_share;
    }
  }
  void sum_into(std::vector<LayerSums>& layers) const {
    LayerSums sum;
    for (std::size_t k = 0; k < layers.size(); ++k) {
      accumulate(sum, steps_[k]);
      accumulate(layers[k], sum);
    }
  }

 private:
  static void accumulate(LayerSums& to, const LayerSums& corners) {
    to.shrink_ratio += corners.shrink_ratio;
    to.turn_n += corners.turn_n;
    for (std::size_t k = 0; k < kSharpnessCount; ++k) to.corner_n[k] += corners.corner_n[k];
  }

  const LayerGrid& grid_;
  std::vector<LayerSums> steps_;
};

std::vector<HalfEdge> sorted_edges(std::span<const Vec3> points,
                                   std::span<const Triangle> triangles) {
  std::vector<HalfEdge> edges;
  edges.reserve(3 * triangles.size());
  for (std::size_t f = 0; f < triangles.size(); ++f) {
    for (std::size_t i = 0; i < 3; ++i) {
      const auto a = static_cast<std::uint32_t>(to_index(triangles[f][i]));
      const auto b = static_cast<std::uint32_t>(to_index(triangles[f][(i + 1) % 3]));
      if (points[a].z == points[b].z) continue;  // crossed by no layer
      const bool is_rising = points[b].z > points[a].z;
      edges.push_back(
          {is_rising ? a : b, is_rising ? b : a, is_rising, static_cast<std::uint32_t>(f)});
    }
  }
  std::sort(edges.begin(), edges.end(), [](const HalfEdge& p, const HalfEdge& q) {
    if (p.low != q.low) return p.low < q.low;
    if (p.high != q.high) return p.high < q.high;
    return p.is_rising != q.is_rising ? p.is_rising : p.face < q.face;
  });
  return edges;
}

/// Seen from outside, a section runs to the right: it leaves a face through its rising edge. Edges
/// where four faces touch are paired in order; which is which changes nothing that matters here.
void add_corners(std::span<const Vec3> points, std::span<const Triangle> triangles,
                 std::span<const Vec2> alongs, CornerSteps& steps) {
  const std::vector<HalfEdge> edges = sorted_edges(points, triangles);
  for (std::size_t begin = 0, end = 0; begin < edges.size(); begin = end) {
    while (end < edges.size() && edges[end].low == edges[begin].low &&
           edges[end].high == edges[begin].high)
      ++end;
    const std::size_t half = (end - begin) / 2;
    for (std::size_t i = 0; i < half; ++i) {
      const HalfEdge &left = edges[begin + i], &entered = edges[begin + half + i];
      steps.add(points[left.low].z, points[left.high].z, alongs[left.face], alongs[entered.face]);
    }
  }
}

}  // namespace

double sharpness_ratio(std::size_t node) {
  static const std::array<double, kSharpnessCount> kScale = [] {
    std::array<double, kSharpnessCount> scale{};
    for (std::size_t k = 0; k < kSharpnessCount; ++k)
      scale[k] = std::exp2((static_cast<double>(k) - (kSharpnessCount - 1) + kNodesPerDoubling) /
                           kNodesPerDoubling);
    return scale;
  }();
  return kScale[node];
}

LayerGrid::LayerGrid(double height_mm, const PrintSettings& print)
    : first_mm_(print.first_layer_mm), layer_mm_(print.layer_mm) {
  while (middle_mm(count_) < height_mm - 1e-9) ++count_;
}

double LayerGrid::middle_mm(std::size_t layer) const {
  return layer == 0 ? first_mm_ / 2 : first_mm_ + (static_cast<double>(layer) - 0.5) * layer_mm_;
}

std::size_t LayerGrid::first_at(double z_mm) const {
  if (z_mm <= first_mm_ / 2) return 0;
  const double above = std::ceil((z_mm - first_mm_) / layer_mm_ + 0.5);
  auto layer = std::min(count_, static_cast<std::size_t>(std::max(above, 1.0)));
  while (layer > 1 && middle_mm(layer - 1) >= z_mm) --layer;  // rounding
  while (layer < count_ && middle_mm(layer) < z_mm) ++layer;
  return layer;
}

std::vector<LayerSums> sum_layers(const Solid& solid, const Transform& bed_from_part,
                                  const LayerGrid& grid, const PrintSettings& print) {
  std::vector<Vec3> points;
  points.reserve(solid.points().size());
  for (const Vec3 p : solid.points()) points.push_back(bed_from_part.apply(p));
  std::vector<LayerSums> layers(grid.count());
  std::vector<Vec2> alongs;
  alongs.reserve(solid.face_count());
  for (const Triangle& t : solid.triangles()) {
    const SlicedFace face =
        sliced(points[to_index(t[0])], points[to_index(t[1])], points[to_index(t[2])]);
    alongs.push_back(face.along);
    add_section(face, grid, layers);
    add_bare(face, grid, layers);
  }
  CornerSteps steps(grid);
  add_corners(points, solid.triangles(), alongs, steps);
  steps.sum_into(layers);
  if (print.has_support) {
    add_support_columns(points, solid.triangles(), print.support_angle_deg, grid, layers);
  }
  return layers;
}

void spread_skins(std::vector<LayerSums>& layers, int top_layers, int bottom_layers) {
  const auto count = static_cast<std::ptrdiff_t>(layers.size());
  std::vector<double> steps(layers.size() + 1);
  const auto add = [&](std::ptrdiff_t first, std::ptrdiff_t end, double area_mm2) {
    steps[static_cast<std::size_t>(std::max<std::ptrdiff_t>(first, 0))] += area_mm2;
    steps[static_cast<std::size_t>(std::min(end, count))] -= area_mm2;
  };
  for (std::ptrdiff_t k = 0; k < count; ++k) {
    const LayerSums& layer = layers[static_cast<std::size_t>(k)];
    add(k - top_layers + 1, k + 1, layer.bare_top_mm2);
    add(k, k + bottom_layers, layer.bare_bottom_mm2);
  }
  double sum = 0;
  for (std::size_t k = 0; k < layers.size(); ++k)
    layers[k].skin_mm2 = std::max(0.0, sum += steps[k]);
}

}  // namespace seamwright::pose_detail
