#include "seamwright/joints/laps.h"

#include <gtest/gtest.h>

#include "joints/box_pair.h"
#include "seamwright/query/mass_properties.h"

namespace seamwright {
namespace {

/// A wall 5 thick, cut across, its y = 5 side hidden; both halves lie on their backs.
struct LyingWall {
  testing::PosedParts pair = testing::box_pair({120, 5, 60});
  Solid whole = testing::make_box({120, 5, 120}, {0, 0, -60});
  std::vector<double> sight;
  std::vector<std::size_t> wanted{0};

  LyingWall() {
    for (std::size_t f = 0; f < whole.face_count(); ++f)
      sight.push_back(whole.area_normal(to_id<FaceId>(f)).y > 0 ? 0.0 : 1.0);
    for (std::size_t i = 0; i < 2; ++i)
      pair.poses[i] =
          testing::turned_pose(pair.pieces[i].solid, rotation({1, 0, 0}, Angle::degrees(90)));
  }
  std::vector<Lap> laps(const LapRules& rules = {}) const {
    return plan_laps(pair.plan, pair.posed(), pair.faces, wanted, {&whole, sight}, rules);
  }
};

TEST(Laps, LetHalfTheWallReachOverTheSeam) {
  const LyingWall wall;
  const auto laps = wall.laps();
  ASSERT_EQ(laps.size(), 1u);
  EXPECT_EQ(laps[0].male, to_id<PieceId>(0));
  EXPECT_GT(laps[0].length_mm, 110);
  const auto made =
      lap_pieces(wall.whole, wall.pair.plan, wall.pair.pieces, wall.pair.faces, laps, {});
  ASSERT_TRUE(made) << made.error().message;
  const Solid &male = (*made)[0].solid, &female = (*made)[1].solid;
  EXPECT_NEAR(male.box().low.z, -8, 1e-9);
  EXPECT_NEAR(volume_mm3(male), 120 * 5 * 60 + laps[0].length_mm * 2.5 * 8, 1);
  // The room is longer by the clearance at both ends, deeper by 0.3 at the tip, wider by 0.15.
  const double room_mm3 = (laps[0].length_mm + 0.3) * 2.65 * 8.3;
  EXPECT_NEAR(volume_mm3(female), 120 * 5 * 60 - room_mm3, 1);
  for (const Vec3 p : male.points()) {
    if (p.z < -1e-9) {
      EXPECT_GE(p.y, 2.5 - 1e-6);
    }
  }
  double step_mm = 1e9;
  for (const Vec3 p : female.points())
    if (p.z > -8.4 && p.z < -8.2) step_mm = std::min(step_mm, p.y);
  EXPECT_NEAR(step_mm, 2.35, 1e-6) << "the gap is the clearance";
}

TEST(Laps, AreNotMadeInThinWallsNorWhereBothFacesLieOnBeds) {
  LyingWall wall;
  EXPECT_TRUE(wall.laps({.least_wall_mm = 6}).empty());
  wall.pair.poses[0] = testing::turned_pose(wall.pair.pieces[0].solid, {});
  EXPECT_EQ(wall.laps().at(0).male, to_id<PieceId>(1)) << "the other reaches over then";
  wall.pair.poses[1] =
      testing::turned_pose(wall.pair.pieces[1].solid, rotation({1, 0, 0}, Angle::degrees(180)));
  EXPECT_TRUE(wall.laps().empty());
}

TEST(Laps, NeedToKnowTheHiddenSide) {
  const LyingWall wall;
  EXPECT_TRUE(
      plan_laps(wall.pair.plan, wall.pair.posed(), wall.pair.faces, wall.wanted, {}, {}).empty());
}

TEST(Laps, GiveTheSamePiecesOnAnyThreadCount) {
  const LyingWall wall;
  const auto made = [&](int threads) {
    return lap_pieces(wall.whole, wall.pair.plan, wall.pair.pieces, wall.pair.faces, wall.laps(),
                      {}, {.thread_count = threads})
        .value();
  };
  const auto one = made(1);
  for (const int threads : {2, 7}) {
    const auto many = made(threads);
    for (std::size_t p = 0; p < one.size(); ++p) {
      ASSERT_EQ(one[p].solid.points().size(), many[p].solid.points().size());
      for (std::size_t v = 0; v < one[p].solid.points().size(); ++v)
        EXPECT_EQ(one[p].solid.points()[v], many[p].solid.points()[v]);
    }
  }
}

}  // namespace
}  // namespace seamwright
