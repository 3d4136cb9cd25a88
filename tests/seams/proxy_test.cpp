#include "seams/proxy.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "seamwright/query/simplify.h"
#include "support/shapes.h"

namespace seamwright::search {
namespace {

constexpr double kRing_mm = 120, kPipe_mm = 30;

/// Of a torus about z, in closed form.
Vec3 torus_normal(Vec3 p) {
  const double r = std::hypot(p.x, p.y);
  return normalized(p - Vec3{p.x / r, p.y / r, 0} * kRing_mm);
}

double area_mm2(const Solid& solid, std::size_t face) {
  return norm(solid.area_normal(to_id<FaceId>(face)));
}

/// Root mean square over the area of the angles, in degrees, between some normals of faces and the
/// torus's own.
template <class NormalOf>
double mean_lean_deg(const Solid& coarse, const NormalOf& normal_of) {
  double sum = 0, area = 0;
  for (std::size_t f = 0; f < coarse.face_count(); ++f) {
    const auto [a, b, c] = coarse.corners(to_id<FaceId>(f));
    const double cosine = dot(normal_of(f), torus_normal((a + b + c) / 3));
    const double lean_deg = std::acos(std::min(1.0, cosine)) * 180 / std::numbers::pi;
    sum += area_mm2(coarse, f) * lean_deg * lean_deg;
    area += area_mm2(coarse, f);
  }
  return std::sqrt(sum / area);
}

TEST(StoodFor, TellsHowTheSkinLeansBetterThanTheStandInDoes) {
  const Solid part = testing::make_torus(kRing_mm, kPipe_mm);
  const Solid fair = simplify(part, 700);
  // Swollen unevenly, as what encloses the part is: the faces lean, the skin behind them does not.
  std::vector<Vec3> points(fair.points().begin(), fair.points().end());
  for (std::size_t i = 0; i < points.size(); ++i)
    points[i] += torus_normal(points[i]) * (0.4 * static_cast<double>(i % 5));
  const Solid coarse =
      Solid::adopt(std::move(points), {fair.triangles().begin(), fair.triangles().end()},
                   {fair.origins().begin(), fair.origins().end()});
  const StoodFor behind(part, RayTree(part), coarse, {});
  const auto own = [&](std::size_t f) { return normalized(coarse.area_normal(to_id<FaceId>(f))); };
  const double own_deg = mean_lean_deg(coarse, own);
  const double behind_deg =
      mean_lean_deg(coarse, [&](std::size_t f) { return behind.normal(f, own(f)); });
  std::printf("own normals lean by %.2f degrees, those behind by %.2f\n", own_deg, behind_deg);
  EXPECT_LT(behind_deg, 0.6 * own_deg);
}

TEST(StoodFor, GivesTheMeansOfWhatIsKnownOfThePart) {
  const Solid part = testing::make_torus(kRing_mm, kPipe_mm), coarse = simplify(part, 700);
  const StoodFor behind(part, RayTree(part), coarse, {});
  std::vector<double> heights;
  for (std::size_t f = 0; f < part.face_count(); ++f) {
    const auto [a, b, c] = part.corners(to_id<FaceId>(f));
    heights.push_back((a.z + b.z + c.z) / 3);
  }
  const std::vector<double> means = behind.means(heights);
  ASSERT_EQ(means.size(), coarse.face_count());
  double well_mm2 = 0, all_mm2 = 0;
  for (std::size_t f = 0; f < means.size(); ++f) {
    const auto [a, b, c] = coarse.corners(to_id<FaceId>(f));
    const double off_mm = std::abs(means[f] - (a.z + b.z + c.z) / 3);
    all_mm2 += area_mm2(coarse, f);
    if (off_mm < 4) well_mm2 += area_mm2(coarse, f);  // a face of the part is 4 to 10 mm long
  }
  EXPECT_GT(well_mm2, 0.98 * all_mm2);  // a few slivers are folded over and stand for nothing
  for (const double one : behind.means({})) EXPECT_EQ(one, 1);
}

}  // namespace
}  // namespace seamwright::search
