// Ridges between random pairs of places on three bodies. One pair a body always; all 40 a body
// with SEAMWRIGHT_ALL_CASES=1 in the environment. Times: wire_part_perf.cpp.

#include <gtest/gtest.h>

#include <cstdlib>

#include "seamwright/mesh/save.h"
#include "seamwright/query/ray_tree.h"
#include "seamwright/wiring/wire_part.h"
#include "support/stl.h"
#include "wiring/wired_bodies.h"

namespace seamwright {
namespace {

constexpr double kBoreMm = 5;

/// Least plastic round the tunnel along rays across it, in the solid as written; its ends aside.
double wall_by_rays_mm(const RayTree& written, const std::vector<Vec3>& path, double end_mm) {
  double least_mm = 1e9;
  for (std::size_t i = 1; i + 1 < path.size(); ++i) {
    const Vec3 p = path[i];
    if (std::min(norm(p - path.front()), norm(p - path.back())) < end_mm) continue;
    const Vec3 along = normalized(path[i + 1] - path[i - 1]);
    const Vec3 right = any_perpendicular(along), up = cross(along, right);
    for (int k = 0; k < 24; ++k) {
      const double angle = 2 * std::numbers::pi * k / 24;
      const Vec3 out = right * std::cos(angle) + up * std::sin(angle);
      const auto tunnel = written.first_hit(p, out, 0);
      if (!tunnel) return 0;  // the tunnel is open there
      const auto skin = written.first_hit(p, out, tunnel->distance_mm + 1e-3);
      if (skin) least_mm = std::min(least_mm, skin->distance_mm - tunnel->distance_mm);
    }
  }
  return least_mm;
}

class RibPairs : public ::testing::TestWithParam<const char*> {};

TEST_P(RibPairs, AreClosedWithTheirBoreAndAWallOfFourteenTenths) {
  const testing::WiredBody body(GetParam());
  const int pairs = std::getenv("SEAMWRIGHT_ALL_CASES") != nullptr ? 40 : 1;
  double least_wall_mm = 1e9, least_room_mm = 1e9;
  for (int i = 0; i < pairs; ++i) {
    const auto [from, to] = body.random_pair(i);
    const Result<WiredPart> wired = wire_part(body.solid,
                                              {.wires = {{.name = "ridge",
                                                          .from = from,
                                                          .to = to,
                                                          .kind = WireKind::rib,
                                                          .diameter_mm = kBoreMm}}},
                                              body.sight);
    ASSERT_TRUE(wired) << GetParam() << " pair " << i << ": " << wired.error().message;
    const Result<Solid> written =
        testing::make_solid(testing::read_binary_stl(stl_bytes(wired->solid)));
    ASSERT_TRUE(written) << GetParam() << " pair " << i << ": " << written.error().message;
    const RayTree tree(*written);
    const std::vector<Vec3>& path = wired->channels[0].path;
    double room_mm = 1e9;
    for (const Vec3& p : path) {
      ASSERT_FALSE(tree.contains(p));
      room_mm = std::min(room_mm, tree.nearest(p)->distance_mm);
    }
    const double wall_mm = wall_by_rays_mm(tree, path, kBoreMm / 2 + 10);
    EXPECT_GE(room_mm, kBoreMm / 2 - 1e-4) << GetParam() << " pair " << i;
    EXPECT_GE(wall_mm, 1.4) << GetParam() << " pair " << i;
    EXPECT_GE(wired->channels[0].least_wall_mm, 1.4) << GetParam() << " pair " << i;
    least_room_mm = std::min(least_room_mm, room_mm);
    least_wall_mm = std::min(least_wall_mm, wall_mm);
  }
  RecordProperty("pairs", pairs);
  RecordProperty("least_room_mm", std::to_string(least_room_mm));
  RecordProperty("least_wall_mm", std::to_string(least_wall_mm));
}
INSTANTIATE_TEST_SUITE_P(On, RibPairs, ::testing::Values("shell", "elephant", "armadillo"),
                         [](const auto& tested) { return std::string(tested.param); });

}  // namespace
}  // namespace seamwright
