#include "seamwright/cut/joint_faces.h"

#include <gtest/gtest.h>

#include <map>
#include <set>
#include <tuple>

#include "seamwright/core/random.h"
#include "support/soups.h"

namespace seamwright {
namespace {

using testing::box_solid;
using testing::box_soup;
using testing::merged;
using testing::solid_of;

SeamPlan planned(std::initializer_list<Edit> edits) {
  SeamPlan plan;
  for (const Edit& edit : edits) plan = seamwright::apply(plan, edit).value();
  return plan;
}

double caps_area_mm2(const Solid& solid, SeamId seam) {
  double area_mm2 = 0;
  for (std::size_t f = 0; f < solid.face_count(); ++f) {
    if (solid.origins()[f] != Origin{OriginKind::cap, static_cast<std::uint32_t>(seam)}) continue;
    area_mm2 += norm(solid.area_normal(to_id<FaceId>(f))) / 2;
  }
  return area_mm2;
}

/// Finds the joint faces and holds them to their guarantees.
std::vector<JointFace> checked_faces(const SeamPlan& plan, const std::vector<CutPiece>& pieces) {
  const auto faces = find_joint_faces(plan, pieces).value();
  std::map<std::pair<SeamId, PieceId>, double> covered_mm2;
  for (const JointFace& face : faces) {
    covered_mm2[{face.seam, face.above}] += face.area_mm2;
    covered_mm2[{face.seam, face.below}] += face.area_mm2;
    EXPECT_GT(loop_area_mm2(face.region.outer), 0);
    for (const Loop2& hole : face.region.holes) EXPECT_LT(loop_area_mm2(hole), 0);
    EXPECT_DOUBLE_EQ(face.area_mm2, region_area_mm2(face.region));
  }
  for (const Seam& seam : plan.seams) {
    for (std::size_t i = 0; i < pieces.size(); ++i) {
      const double caps_mm2 = caps_area_mm2(pieces[i].solid, seam.id);
      EXPECT_NEAR((covered_mm2[{seam.id, to_id<PieceId>(i)}]), caps_mm2,
                  std::max(0.01, 1e-6 * caps_mm2))
          << "S" << static_cast<int>(seam.id) << " of " << pieces[i].id;
      double regions_mm2 = 0;
      for (const Region2& region : cap_regions(pieces[i].solid, seam.id, seam.plane)) {
        regions_mm2 += region_area_mm2(region);
      }
      EXPECT_NEAR(regions_mm2, caps_mm2, 1e-9 * (1 + caps_mm2));
    }
  }
  return faces;
}

TEST(JointFaces, TwoHalvesMeetInOneFace) {
  const SeamPlan plan = planned({AddSeam{{}, {}, {{0, 0, 1}, 1}}});
  const auto pieces = cut_plan(box_solid({0, 0, 0}, {20, 30, 2}), plan).value();
  const auto faces = checked_faces(plan, pieces);
  ASSERT_EQ(faces.size(), 1u);
  EXPECT_NEAR(faces[0].area_mm2, 600, 1e-9);
  EXPECT_EQ(pieces[to_index(faces[0].above)].id, "S1+");
  EXPECT_EQ(pieces[to_index(faces[0].below)].id, "S1-");
}

TEST(JointFaces, ACapFacesEveryPieceOfTheOtherSide) {
  // The upper half is cut in two, the lower in two across: four cells on the first seam.
  const SeamPlan plan =
      planned({AddSeam{{}, {}, {{0, 0, 1}, 5}}, AddSeam{SeamId{1}, Side::above, {{1, 0, 0}, 3}},
               AddSeam{SeamId{1}, Side::below, {{0, 1, 0}, 4}}});
  const auto faces =
      checked_faces(plan, cut_plan(box_solid({0, 0, 0}, {10, 10, 10}), plan).value());
  ASSERT_EQ(faces.size(), 6u);
  std::vector<double> areas_mm2;
  for (const JointFace& face : faces) areas_mm2.push_back(face.area_mm2);
  const std::vector<double> expected{42, 28, 18, 12, 50, 50};
  for (std::size_t i = 0; i < 6; ++i) EXPECT_NEAR(areas_mm2[i], expected[i], 1e-4);
}

TEST(JointFaces, TwoLegsAreTwoFaces) {
  const Solid gate =
      solid_of(merged({box_soup({0, 0, 5}, {10, 2, 8}), box_soup({0, 0, 0}, {2, 2, 5}),
                       box_soup({8, 0, 0}, {10, 2, 5})}));
  const SeamPlan plan = planned({AddSeam{{}, {}, {{0, 0, 1}, 2}}});
  const auto faces = checked_faces(plan, cut_plan(gate, plan).value());
  ASSERT_EQ(faces.size(), 2u);
  EXPECT_EQ(faces[0].seam, SeamId{1});
}

TEST(JointFaces, ARingHasAHole) {
  const Solid torus = solid_of(testing::torus_soup(20, 5, 64, 32));
  const SeamPlan plan = planned({AddSeam{{}, {}, {{0, 0, 1}, 0.1}}});
  const auto faces = checked_faces(plan, cut_plan(torus, plan).value());
  ASSERT_EQ(faces.size(), 1u);
  EXPECT_EQ(faces[0].region.holes.size(), 1u);
}

TEST(JointFaces, NestedShellsAreNestedFaces) {
  const Solid nested = solid_of(
      merged({box_soup({0, 0, 0}, {10, 10, 10}), testing::flipped(box_soup({1, 1, 1}, {9, 9, 9})),
              box_soup({3, 3, 3}, {6, 6, 6})}));
  const SeamPlan plan = planned({AddSeam{{}, {}, {{0, 0, 1}, 5}}});
  const auto pieces = cut_plan(nested, plan).value();
  ASSERT_EQ(pieces.size(), 4u);
  const auto faces = checked_faces(plan, pieces);
  ASSERT_EQ(faces.size(), 2u);
  EXPECT_NEAR(faces[0].area_mm2, 36, 1e-9);
  EXPECT_NEAR(faces[1].area_mm2, 9, 1e-9);
}

TEST(JointFaces, CoverTheCapsOfRandomTrees) {
  const Solid torus = solid_of(testing::torus_soup(200, 60, 48, 24));
  for (std::uint64_t stream = 0; stream < 20; ++stream) {
    Random random(11, stream);
    SeamPlan plan;
    for (int i = 0; i < 9; ++i) {
      const Vec3 normal = random.direction();
      const Vec3 through{random.uniform(-200, 200), random.uniform(-200, 200),
                         random.uniform(-50, 50)};
      AddSeam add{{}, {}, {normal, dot(normal, through)}};
      if (!plan.seams.empty()) {
        add.parent = plan.seams[random.below(plan.seams.size())].id;
        add.side = random.below(2) ? Side::above : Side::below;
      }
      if (auto grown = apply(plan, add)) plan = *grown;
    }
    checked_faces(plan, cut_plan(torus, plan).value());
  }
}

TEST(JointFaces, AreOrderedBySeamThenPieces) {
  const SeamPlan plan =
      planned({AddSeam{{}, {}, {{0, 0, 1}, 5}}, AddSeam{SeamId{1}, Side::above, {{1, 0, 0}, 3}},
               AddSeam{SeamId{1}, Side::below, {{0, 1, 0}, 4}}});
  const auto faces =
      find_joint_faces(plan, cut_plan(box_solid({0, 0, 0}, {10, 10, 10}), plan).value()).value();
  EXPECT_TRUE(
      std::is_sorted(faces.begin(), faces.end(), [](const JointFace& l, const JointFace& r) {
        return std::tie(l.seam, l.above, l.below) < std::tie(r.seam, r.above, r.below);
      }));
}

TEST(CapRegions, AreCounterClockwiseOnBothSides) {
  const Plane plane{normalized({1, 2, 3}), 5};
  const auto cut = plane_cut(box_solid({0, 0, 0}, {10, 10, 10}), plane, SeamId{4}).value();
  for (const Solid* half : {&*cut.above, &*cut.below}) {
    const auto regions = cap_regions(*half, SeamId{4}, plane);
    ASSERT_EQ(regions.size(), 1u);
    EXPECT_GT(loop_area_mm2(regions[0].outer), 0);
    EXPECT_TRUE(cap_regions(*half, SeamId{5}, plane).empty());
  }
}

TEST(CapRegions, AreMadeOfTheSolidsOwnPoints) {
  const Plane plane{{0, 0, 1}, 1};
  const auto cut =
      plane_cut(solid_of(testing::torus_soup(20, 5, 24, 12)), plane, SeamId{4}).value();
  const PlaneFrame frame(plane);
  std::set<std::pair<double, double>> own;
  for (Vec3 p : cut.above->points()) own.emplace(frame.flatten(p).x, frame.flatten(p).y);
  for (const Region2& region : cap_regions(*cut.above, SeamId{4}, plane)) {
    for (Vec2 p : region.outer) EXPECT_TRUE(own.contains({p.x, p.y}));
  }
}

TEST(CapRegions, PartRegionsThatTouchInAPoint) {
  const Plane plane{{0, 0, 1}, 2};
  const Solid pair =
      solid_of(merged({box_soup({2, 2, 0}, {4, 4, 4}), box_soup({0, 0, 0}, {2, 2, 4})}));
  const auto cut = plane_cut(pair, plane, SeamId{1}).value();
  const auto regions = cap_regions(*cut.below, SeamId{1}, plane);
  ASSERT_EQ(regions.size(), 2u);
  for (const Region2& region : regions) EXPECT_NEAR(region_area_mm2(region), 4, 1e-12);
}

TEST(CapRegions, SplitOffAHoleThatTouchesTheOutline) {
  // A square void stands on its corner at the wall x = 0.
  TriangleSoup hole = box_soup({0, 0, 1}, {1, 1, 3});
  for (Vec3& p : hole.points) p = {p.x + p.y, 2 - p.x + p.y, p.z};
  const Solid block = solid_of(merged({box_soup({0, 0, 0}, {4, 4, 4}), testing::flipped(hole)}));
  const Plane plane{{0, 0, 1}, 2};
  const auto cut = plane_cut(block, plane, SeamId{1}).value();
  for (const Solid* half : {&*cut.above, &*cut.below}) {
    const auto regions = cap_regions(*half, SeamId{1}, plane);
    ASSERT_EQ(regions.size(), 1u);
    EXPECT_NEAR(loop_area_mm2(regions[0].outer), 16, 1e-12);
    ASSERT_EQ(regions[0].holes.size(), 1u);
    EXPECT_NEAR(loop_area_mm2(regions[0].holes[0]), -2, 1e-12);
  }
}

}  // namespace
}  // namespace seamwright
