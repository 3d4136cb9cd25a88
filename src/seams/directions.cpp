#include "seams/directions.h"

#include <Eigen/Eigenvalues>

namespace seamwright::search {
namespace {

/// Symmetric 3 × 3 sums of outer products.
class Spread {
 public:
  void add(Vec3 v, double weight) {
    const Eigen::Vector3d e(v.x, v.y, v.z);
    sum_ += weight * e * e.transpose();
  }
  /// The eigenvectors, least eigenvalue first, and the eigenvalues.
  std::pair<std::array<Vec3, 3>, std::array<double, 3>> axes() const {
    Eigen::SelfAdjointEigenSolver<Eigen::Matrix3d> solver(sum_);
    std::array<Vec3, 3> vectors;
    std::array<double, 3> values{};
    for (int i = 0; i < 3; ++i) {
      const Eigen::Vector3d v = solver.eigenvectors().col(i);
      vectors[static_cast<std::size_t>(i)] = {v.x(), v.y(), v.z()};
      values[static_cast<std::size_t>(i)] = solver.eigenvalues()[i];
    }
    return {vectors, values};
  }

 private:
  Eigen::Matrix3d sum_ = Eigen::Matrix3d::Zero();
};

bool is_in_patch(Vec3 p, const Plane& plane, const SkinPatch& patch) {
  if (std::abs(plane.distance(p)) > patch.reach_mm) return false;
  return !patch.center || norm(p - *patch.center) <= 2 * patch.reach_mm;
}

}  // namespace

Box3 extent_along(const ClipBody& body, const std::array<Vec3, 3>& axes) {
  Box3 box;
  for (const Vec3 p : body.points) box.extend({dot(p, axes[0]), dot(p, axes[1]), dot(p, axes[2])});
  return box;
}

std::array<Vec3, 3> turned_about(std::array<Vec3, 3> axes, std::size_t about, Angle by) {
  const double t = by.radians();
  const Vec3 a = axes[(about + 1) % 3], b = axes[(about + 2) % 3];
  axes[(about + 1) % 3] = a * std::cos(t) + b * std::sin(t);
  axes[(about + 2) % 3] = b * std::cos(t) - a * std::sin(t);
  return axes;
}

std::array<Vec3, 3> random_axes(Random& random) {
  const Vec3 a = random.direction();
  const Vec3 side = random.direction();
  const Vec3 b = normalized(side - a * dot(a, side));
  if (norm(b) == 0) return {a, any_perpendicular(a), cross(a, any_perpendicular(a))};
  return {a, b, cross(a, b)};
}

std::array<Vec3, 3> principal_axes(const ClipBody& body) {
  Vec3 mean;
  for (const Vec3 p : body.points) mean += p;
  mean = mean / std::max<double>(1, static_cast<double>(body.points.size()));
  Spread spread;
  for (const Vec3 p : body.points) spread.add(p - mean, 1);
  const std::array<Vec3, 3> least_first = spread.axes().first;
  return {least_first[2], least_first[1], cross(least_first[2], least_first[1])};
}

Vec3 point_on_plane(const ClipBody& body, const Plane& plane, Random& random) {
  const std::vector<Vec3>& points = body.points;
  Vec3 nearest = points[random.below(points.size())];
  for (int k = 0; k < 12; ++k) {
    const Vec3 p = points[random.below(points.size())];
    if (std::abs(plane.distance(p)) < std::abs(plane.distance(nearest))) nearest = p;
  }
  return nearest - plane.normal * plane.distance(nearest);
}

Plane square_to_skin(const ClipBody& body, const Plane& plane, const SkinPatch& patch) {
  constexpr double kLeastCosine = 0.643;    // of 50°
  constexpr double kMostSpreadRatio = 0.3;  // of a free end or a ball: no direction to be square to
  Spread spread;
  Vec3 middle;
  double area = 0;
  for (const BodyFace& f : body.faces) {
    const Vec3 a = body.points[f.corners[0]], b = body.points[f.corners[1]],
               c = body.points[f.corners[2]];
    if (!is_in_patch(a, plane, patch) && !is_in_patch(b, plane, patch) &&
        !is_in_patch(c, plane, patch))
      continue;
    const Vec3 normal = cross(b - a, c - a);
    const double size = norm(normal);
    if (size <= 0) continue;
    spread.add(normal / size, size);
    middle += (a + b + c) * (size / 3);
    area += size;
  }
  if (area <= 0) return plane;
  const auto [axes, values] = spread.axes();
  const double cosine = dot(axes[0], plane.normal);
  if (values[0] > kMostSpreadRatio * values[1] || std::abs(cosine) < kLeastCosine) return plane;
  const Vec3 normal = cosine < 0 ? -axes[0] : axes[0];
  const Vec3 pivot = middle / area;
  return {normal, dot(normal, pivot - plane.normal * plane.distance(pivot))};
}

}  // namespace seamwright::search
