#include <gtest/gtest.h>

#include <array>

#include "seamwright/cut/plane_cut.h"
#include "seamwright/pose/pose_probe.h"
#include "seamwright/pose/quick_estimate.h"
#include "seamwright/printing/print_estimate.h"
#include "support/places.h"
#include "support/stl.h"

namespace seamwright {
namespace {

/// What a part has inside a box, its largest solid, cut out by planes.
Solid cut_out(const Solid& part, Vec3 low, Vec3 high) {
  Solid piece = part;
  for (std::uint32_t k = 0; k < 6; ++k) {
    const std::size_t axis = k / 2;
    Plane plane{{0, 0, 0}, k % 2 == 0 ? low[axis] : -high[axis]};
    plane.normal[axis] = k % 2 == 0 ? 1 : -1;
    piece = std::move(plane_cut(piece, plane, SeamId{k + 1}).value().above).value();
  }
  const std::vector<Solid> solids = split_components(piece);
  return *std::max_element(solids.begin(), solids.end(), [](const Solid& a, const Solid& b) {
    return a.face_count() < b.face_count();
  });
}

TEST(QuickEstimate, AgreesWithTheFullModelOnStandingPieces) {
  // PRINTING.md's prototype of the quick estimate had a mean error of 6.6 % and a worst of 15 %.
  constexpr std::array<Vec3, 1> kRoom{{{170, 170, 178}}};
  constexpr std::array kParts{"rod", "bracket", "ring", "armadillo", "camel"};
  double sum_ratio = 0;
  for (const char* name : kParts) {
    const std::string path = testing::parts_dir() + "/" + name + ".stl";
    const Solid part = Solid::make(testing::read_binary_stl(testing::file_bytes(path))).value();
    const Vec3 at = part.point(to_id<VertexId>(part.points().size() / 3)), half{35, 35, 30};
    const Solid piece = cut_out(part, at - half, at + half);
    const BestPose best = best_standing_pose(piece, kRoom, Foot::flat_side);
    ASSERT_TRUE(best.pose) << name;
    const QuickEstimate quick = quick_estimate(piece, *best.pose, {}, {}, {});
    const PrintEstimate full = estimate_print(piece, best.pose->bed_from_part, {}, {}, {}).value();
    EXPECT_NEAR(quick.print_s / full.print_s, 1, 0.15) << name;
    EXPECT_NEAR(quick.mass_g / full.mass_g, 1, 0.06) << name;
    sum_ratio += std::abs(quick.print_s / full.print_s - 1);
  }
  EXPECT_LE(sum_ratio / kParts.size(), 0.066);
}

}  // namespace
}  // namespace seamwright
