#include "mesh/crossings.h"

#include <CGAL/Bbox_3.h>
#include <CGAL/Exact_predicates_inexact_constructions_kernel.h>
#include <CGAL/box_intersection_d.h>
#include <CGAL/intersections.h>

#include <algorithm>

#include "seamwright/core/parallel.h"

namespace seamwright {
namespace {

using Kernel = CGAL::Exact_predicates_inexact_constructions_kernel;
using Point = Kernel::Point_3;
using Pair = std::pair<std::uint32_t, std::uint32_t>;
using Box = CGAL::Box_intersection_d::Box_with_info_d<double, 3, std::uint32_t>;

class Judge {
 public:
  Judge(std::span<const Vec3> points, std::span<const Triangle> triangles)
      : points_(points), triangles_(triangles) {}

  bool has_area(std::uint32_t f) const {
    const Triangle& t = triangles_[f];
    return !CGAL::collinear(at(t[0]), at(t[1]), at(t[2]));
  }
  Box box(std::uint32_t f) const {
    CGAL::Bbox_3 box;
    for (VertexId v : triangles_[f]) box += at(v).bbox();
    return {box, f};
  }
  bool crosses(Pair pair) const {
    const Triangle a = triangles_[pair.first], b = triangles_[pair.second];
    std::array<std::size_t, 3> in_a{}, in_b{};
    std::size_t shared = 0;
    for (std::size_t i = 0; i < 3; ++i) {
      for (std::size_t k = 0; k < 3; ++k) {
        if (a[i] != b[k] || shared == 3) continue;
        in_a[shared] = i;
        in_b[shared++] = k;
      }
    }
    if (shared == 0) return CGAL::do_intersect(whole(a), whole(b));
    if (shared == 1) return crosses_at_corner(a, in_a[0], b, in_b[0]);
    if (shared == 2) return folds_over(a, in_a, b, in_b);
    return false;
  }

 private:
  Point at(VertexId v) const {
    const Vec3& p = points_[to_index(v)];
    return {p.x, p.y, p.z};
  }
  Kernel::Triangle_3 whole(const Triangle& t) const { return {at(t[0]), at(t[1]), at(t[2])}; }
  Kernel::Segment_3 across(const Triangle& t, std::size_t corner) const {
    return {at(t[(corner + 1) % 3]), at(t[(corner + 2) % 3])};
  }
  /// Two faces with one corner in common meet elsewhere when the side across from it of one meets
  /// the other.
  bool crosses_at_corner(const Triangle& a, std::size_t in_a, const Triangle& b,
                         std::size_t in_b) const {
    return CGAL::do_intersect(whole(a), across(b, in_b)) ||
           CGAL::do_intersect(whole(b), across(a, in_a));
  }
  /// Two faces with a side in common meet elsewhere only when flat and folded onto each other.
  bool folds_over(const Triangle& a, const std::array<std::size_t, 3>& in_a, const Triangle& b,
                  const std::array<std::size_t, 3>& in_b) const {
    const Point p = at(a[in_a[0]]), q = at(a[in_a[1]]);
    const Point r = at(a[3 - in_a[0] - in_a[1]]), s = at(b[3 - in_b[0] - in_b[1]]);
    return CGAL::coplanar(p, q, r, s) && CGAL::coplanar_orientation(p, q, r, s) == CGAL::POSITIVE;
  }

  std::span<const Vec3> points_;
  std::span<const Triangle> triangles_;
};

}  // namespace

std::vector<Pair> find_crossings(std::span<const Vec3> points, std::span<const Triangle> triangles,
                                 const Run& run) {
  const Judge judge(points, triangles);
  std::vector<Box> boxes;
  for (std::uint32_t f = 0; f < triangles.size(); ++f) {
    if (judge.has_area(f)) boxes.push_back(judge.box(f));
  }
  std::vector<Pair> pairs;
  CGAL::box_self_intersection_d(boxes.begin(), boxes.end(), [&](const Box& a, const Box& b) {
    pairs.push_back(std::minmax(a.info(), b.info()));
  });
  const std::vector<char> is_crossing = map_index(
      pairs.size(), run, [&](std::size_t i) { return static_cast<char>(judge.crosses(pairs[i])); },
      256);
  std::vector<Pair> crossings;
  for (std::size_t i = 0; i < pairs.size(); ++i) {
    if (is_crossing[i] != 0) crossings.push_back(pairs[i]);
  }
  std::sort(crossings.begin(), crossings.end());
  return crossings;
}

}  // namespace seamwright
