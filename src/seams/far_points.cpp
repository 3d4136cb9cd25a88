#include "seams/far_points.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include "pose/outline.h"

namespace seamwright::search {
namespace {

/// The inside of the octagon of the extremes along both axes and both diagonals, less a micron.
class InnerOctagon {
 public:
  explicit InnerOctagon(std::span<const Vec2> points) {
    const std::array<Vec2, 8> at = pose_detail::extremes(points);
    for (std::size_t i = 0; i < 8; ++i) {
      middle_ = middle_ + at[i] / 8;
      const Vec2 edge = at[(i + 1) % 8] - at[i];
      if (edge.x != 0 || edge.y != 0) sides_[count_++] = {edge, cross(edge, at[i]) + 1e-6};
    }
    double reach_mm = std::numeric_limits<double>::infinity();
    for (std::size_t i = 0; i < count_; ++i) {
      const auto& [along, least] = sides_[i];
      reach_mm = std::min(reach_mm, (cross(along, middle_) - least) / norm(along));
    }
    circle_mm2_ = count_ > 0 && reach_mm > 0 ? reach_mm * reach_mm : 0;
  }

  bool contains(Vec2 p) const {
    const Vec2 off = p - middle_;
    if (dot(off, off) < circle_mm2_) return true;
    for (std::size_t i = 0; i < count_; ++i) {
      if (cross(sides_[i].along, p) < sides_[i].least) return false;
    }
    return count_ > 0;
  }

 private:
  struct Side {
    Vec2 along;
    double least = 0;  ///< along × p of what is inside
  };
  std::array<Side, 8> sides_;
  std::size_t count_ = 0;
  Vec2 middle_;
  double circle_mm2_ = 0;  ///< about the middle, wholly inside: most points need no other test
};

void drop_inside(std::vector<Vec2>& points) {
  if (points.size() < 24) return;
  const InnerOctagon inside(points);
  std::erase_if(points, [&](Vec2 p) { return inside.contains(p); });
}

/// To the nearest 2⁻²⁰ mm, for lengths under 2³¹ mm: a sum this large has no finer bits left.
double snapped(double mm) {
  constexpr double kNoFinerBits = 0x1.8p32;
  return mm + kNoFinerBits - kNoFinerBits;
}

}  // namespace

Vec3 spread_direction(int k, int n) {
  const double z = 1 - (2 * k + 1.0) / n, phi = 2.399963229728653 * k;
  const double r = std::sqrt(1 - z * z);
  return {r * std::cos(phi), r * std::sin(phi), z};
}

std::optional<Vec3> hull_facet_near(std::span<const Vec3> points, Vec3 down) {
  constexpr double kApart_mm = 1e-9;
  Vec3 a = points.front();
  double most = dot(a, down);
  for (const Vec3 p : points) {
    const double along = dot(p, down);
    if (along > most) most = along, a = p;
  }
  // The point that the least turn, whichever way, brings down beside it: the one seen lowest.
  double its_up = 1, its_out2 = 0;  // as a fraction: none yet, so infinite
  Vec3 b;
  for (const Vec3 p : points) {
    const Vec3 from_a = p - a;
    const double along = dot(from_a, down), out2 = dot(from_a, from_a) - along * along;
    if (out2 > kApart_mm * kApart_mm && along * along * its_out2 < its_up * its_up * out2)
      its_up = along, its_out2 = out2, b = p;
  }
  if (its_out2 == 0) return std::nullopt;
  const Vec3 edge = normalized(b - a);
  const Vec3 facing = normalized(down - edge * dot(edge, down));
  // Turned on about that edge, the way that meets another point sooner.
  const Vec3 side = cross(edge, facing);
  double up_of_c = 1, out_of_c = 0;
  Vec3 c;
  for (const Vec3 p : points) {
    const double up = -dot(p - a, facing), out = std::abs(dot(p - a, side));
    if (out > kApart_mm && up * out_of_c < up_of_c * out) up_of_c = up, out_of_c = out, c = p;
  }
  if (out_of_c == 0) return std::nullopt;
  Vec3 normal = normalized(cross(b - a, c - a));
  if (dot(normal, facing) < 0) normal = -normal;
  return norm(normal) > 0.5 ? std::optional(normal) : std::nullopt;
}

std::vector<Vec3> farthest_points(std::span<const Vec3> points) {
  constexpr int kDirections = 48;
  std::vector<Vec3> far;
  const auto keep = [&](Vec3 p) {
    if (std::find(far.begin(), far.end(), p) == far.end()) far.push_back(p);
  };
  for (int k = 0; k < kDirections / 2; ++k) {
    const Vec3 d = spread_direction(k, kDirections);
    Vec3 first = points[0], last = first;
    double least = dot(first, d), most = least;
    for (const Vec3 p : points) {
      const double along = dot(p, d);
      if (along < least) least = along, first = p;
      if (along > most) most = along, last = p;
    }
    keep(last);
    keep(first);
  }
  return far;
}

void cast_shadow(std::span<const Vec3> points, const ShadowFrame& frame,
                 std::vector<Vec2>& shadow) {
  constexpr std::size_t kSamples = 64;
  const auto flat = [&](Vec3 p) { return Vec2{dot(frame.u, p), dot(frame.v, p)}; };
  shadow.clear();
  if (points.size() < 4 * kSamples) {
    for (const Vec3 p : points) shadow.push_back(flat(p));
    return;
  }
  // A few points show well enough where the middle is.
  for (std::size_t k = 0; k < kSamples; ++k)
    shadow.push_back(flat(points[k * points.size() / kSamples]));
  const InnerOctagon inside(shadow);
  shadow.clear();
  for (const Vec3 p : points) {
    const Vec2 at = flat(p);
    if (!inside.contains(at)) shadow.push_back(at);
  }
}

std::vector<Vec2> quick_outline(std::vector<Vec2>& points) {
  drop_inside(points);
  // Points of one cut differ in their last bits; sorted by those, a side of the outline would run
  // to and fro and lose its corner.
  for (Vec2& p : points) p = {snapped(p.x), snapped(p.y)};
  std::sort(points.begin(), points.end(),
            [](Vec2 a, Vec2 b) { return a.x != b.x ? a.x < b.x : a.y < b.y; });
  std::vector<Vec2> hull;
  hull.reserve(points.size() + 1);
  const auto add = [&](Vec2 p, std::size_t least) {
    while (hull.size() > least &&
           cross(hull.back() - hull[hull.size() - 2], p - hull.back()) <= 1e-9) {
      hull.pop_back();
    }
    hull.push_back(p);
  };
  for (const Vec2 p : points) add(p, 1);
  const std::size_t upper = hull.size();
  for (auto p = points.rbegin() + (points.empty() ? 0 : 1); p < points.rend(); ++p) add(*p, upper);
  if (!hull.empty()) hull.pop_back();
  return hull.size() < 3 ? std::vector<Vec2>{} : hull;
}

}  // namespace seamwright::search
