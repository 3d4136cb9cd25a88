#include "seamwright/pose/tilted.h"

#include <gtest/gtest.h>

#include "support/pieces.h"
#include "support/shapes.h"

namespace seamwright {
namespace {

using testing::expect_in_room;
using testing::make_box;
using testing::random_polytope;
using testing::with_cap;

constexpr Vec3 kRoom{180, 180, 180};

bool fits_tilted(Vec3 size, Vec3 room) {
  return tilt_to_fit(make_box(size).points(), room).has_value();
}

TEST(TiltToFit, TakesARodOf250IntoACubeOf180AndNone280) {
  EXPECT_TRUE(fits_tilted({250, 20, 20}, kRoom));
  EXPECT_FALSE(fits_tilted({280, 20, 20}, kRoom));
}

TEST(TiltToFit, FindsTheLongestRodToATenthOfAMillimetre) {
  // Square rods of side 20 in a cube of 180: found here by a dense search (steps of 0.5°, refined).
  const auto sampled_excess_mm = [](double length) {
    double best = 1e9;
    const auto extent = [&](Vec3 along, Vec3 a, Vec3 b, std::size_t k) {
      return length * std::abs(along[k]) + 20 * std::abs(a[k]) + 20 * std::abs(b[k]);
    };
    // By symmetry the diagonal is the centre of the best region; the roll about it is free.
    for (int roll = 0; roll < 240; ++roll) {
      const Vec3 along = normalized({1, 1, 1});
      const Vec3 u = any_perpendicular(along), v = cross(along, u);
      const double t = roll * std::numbers::pi / 480;
      const Vec3 a = u * std::cos(t) + v * std::sin(t), b = v * std::cos(t) - u * std::sin(t);
      const double worst =
          std::max({extent(along, a, b, 0), extent(along, a, b, 1), extent(along, a, b, 2)});
      best = std::min(best, worst - 180);
    }
    return best;
  };
  double longest = 240;
  while (sampled_excess_mm(longest) <= 0) longest += 0.05;
  EXPECT_GT(longest, 250);
  EXPECT_TRUE(fits_tilted({longest - 0.15, 20, 20}, kRoom)) << longest;
}

TEST(TiltToFit, TakesQuartersOfTheRod) {
  EXPECT_TRUE(fits_tilted({250, 30, 20}, kRoom));
}

TEST(TiltToFit, UsesAllSidesOfARoomInAnyOrder) {
  EXPECT_TRUE(fits_tilted({99, 49, 19}, {20, 100, 50}));
  EXPECT_TRUE(fits_tilted({49, 19, 99}, {50, 100, 20}));
  EXPECT_FALSE(fits_tilted({101, 51, 21}, {50, 100, 20}));
}

TEST(TiltToFit, FitsWhateverFitsUnturned) {
  Random random(31);
  for (int round = 0; round < 50; ++round) {
    const Solid piece = random_polytope(random, 20, {150, 120, 90});
    EXPECT_TRUE(tilt_to_fit(piece.points(), piece.box().size()));
  }
}

TEST(TiltToFit, NeverAcceptsFalsely) {
  Random random(32);
  std::size_t accepted = 0, denied = 0;
  for (int round = 0; round < 200; ++round) {
    const Solid piece = random_polytope(random, 8 + random.below(80), {240, 120, 90});
    const Vec3 room{random.uniform(100, 200), random.uniform(100, 200), random.uniform(60, 160)};
    const auto laid = tilt_to_fit(piece.points(), room);
    (laid ? accepted : denied) += 1;
    if (laid) expect_in_room(piece, *laid, room);
  }
  EXPECT_GT(accepted, 20u);
  EXPECT_GT(denied, 20u);
}

TEST(TiltToFit, FindsMostOfWhatIsHiddenInARandomRotation) {
  // Pieces that fit their room with 1 % to spare in a rotation that only the test knows.
  Random random(33);
  int found = 0;
  constexpr int kRounds = 200;
  for (int round = 0; round < kRounds; ++round) {
    const Solid piece = random_polytope(random, 40, {200, 120, 80});
    const Transform hidden = rotation(random.direction(), Angle::degrees(random.uniform(0, 360)));
    const Vec3 room = piece.box().size() * 1.01;
    found += tilt_to_fit(piece.transformed(hidden).points(), room).has_value();
  }
  EXPECT_GE(found, kRounds * 97 / 100);
}

/// By how much points exceed a room in a frame whose axes lie along its sides as they come.
double excess_mm(std::span<const Vec3> points, const std::array<Vec3, 3>& frame, Vec3 room) {
  double most = -1e300;
  for (std::size_t k = 0; k < 3; ++k) {
    double low = 1e300, high = -1e300;
    for (const Vec3 p : points) {
      low = std::min(low, dot(frame[k], p));
      high = std::max(high, dot(frame[k], p));
    }
    most = std::max(most, high - low - room[k]);
  }
  return most;
}

/// The least excess that many random frames and a patient refinement of the best of them find.
double dense_excess_mm(std::span<const Vec3> points, Vec3 room, Random& random, int frames,
                       int refined) {
  using Found = std::pair<double, std::array<Vec3, 3>>;
  std::vector<Found> found;
  for (int i = 0; i < frames; ++i) {
    const Vec3 a = random.direction(), side = random.direction();
    const Vec3 b = normalized(side - a * dot(a, side));
    const std::array<Vec3, 3> frame{a, b, cross(a, b)};
    found.push_back({excess_mm(points, frame, room), frame});
  }
  std::partial_sort(found.begin(), found.begin() + refined, found.end(),
                    [](const Found& a, const Found& b) { return a.first < b.first; });
  double least = 1e300;
  for (int i = 0; i < refined; ++i) {
    auto [now_mm, frame] = found[static_cast<std::size_t>(i)];
    for (double step_deg = 2; step_deg > 5e-4;) {
      bool is_better = false;
      for (int turn = 0; turn < 12; ++turn) {
        const Transform by = rotation(random.direction(), Angle::degrees(step_deg));
        const std::array<Vec3, 3> next{by.rotate(frame[0]), by.rotate(frame[1]),
                                       by.rotate(frame[2])};
        const double next_mm = excess_mm(points, next, room);
        if (next_mm >= now_mm) continue;
        now_mm = next_mm;
        frame = next;
        is_better = true;
      }
      if (!is_better) step_deg /= 2;
    }
    least = std::min(least, now_mm);
  }
  return least;
}

TEST(TiltToFit, FindsNinetyNineOfAHundredThatADenseSearchFinds) {
  // The project's own aim (issue 6): of what 20,000 frames with 40 refinements accept, in rooms
  // that leave the best rotation found so at most 2 mm.
#ifdef SEAMWRIGHT_SANITIZED
  constexpr int kPieces = 2, kFrames = 2000, kRefined = 4;
#else
  constexpr int kPieces = 200, kFrames = 20'000, kRefined = 40;
#endif
  Random random(34);
  int found = 0, posed = 0;
  for (int i = 0; i < kPieces; ++i) {
    const Solid piece = random_polytope(random, 20 + random.below(120),
                                        {220, random.uniform(60, 200), random.uniform(20, 140)});
    const Vec3 tight{random.uniform(120, 200), random.uniform(120, 200), random.uniform(80, 200)};
    const double dense_mm = dense_excess_mm(piece.points(), tight, random, kFrames, kRefined);
    const Vec3 room = tight + Vec3{1, 1, 1} * (dense_mm + random.uniform(0, 2));
    found += tilt_to_fit(piece.points(), room).has_value();
    // The pose that counts is looked for harder: a search of seams ends with what only just fits.
    posed += tilted_pose(piece, tight + Vec3{1, 1, 1} * (dense_mm + 0.1)).has_value();
  }
  std::printf("%d of %d found, %d posed in rooms that leave 0.1 mm\n", found, kPieces, posed);
  EXPECT_GE(found, kPieces - kPieces / 100);
  EXPECT_GE(posed, kPieces - kPieces / 100);
}

TEST(TiltToFit, KeepsARememberedRotationThatStillFits) {
  const Solid rod = make_box({250, 30, 20});
  const Transform first = tilt_to_fit(rod.points(), kRoom).value();
  const Transform again = tilt_to_fit(rod.points(), kRoom, &first).value();
  EXPECT_EQ(first.rows, again.rows);
  const Transform useless;
  EXPECT_TRUE(tilt_to_fit(rod.points(), kRoom, &useless)) << "a bad memory does no harm";
}

TEST(TiltedPose, LaysTheRodAndCountsItsSupport) {
  const Solid rod = with_cap(make_box({250, 30, 20}), {1, 0, 0}, SeamId{1});
  const auto pose = tilted_pose(rod, kRoom);
  ASSERT_TRUE(pose);
  EXPECT_EQ(pose->foot, Foot::tilted);
  EXPECT_FALSE(pose->foot_seam);
  EXPECT_GT(pose->support_mm2, 0);
  expect_in_room(rod, pose->bed_from_part, kRoom);
  EXPECT_FALSE(tilted_pose(make_box({280, 30, 20}), kRoom));
}

TEST(TiltedPose, PrefersTheRotationWithLeastSupport) {
  // Stands flat without any support in some of the frames that fit.
  const auto pose = tilted_pose(make_box({100, 80, 60}), kRoom);
  ASSERT_TRUE(pose);
  EXPECT_NEAR(pose->support_mm2, 0, 1e-9);
  EXPECT_TRUE(pose->is_stable);
}

TEST(TiltedPose, KeepsARememberedRotation) {
  const Solid rod = make_box({250, 30, 20});
  const auto first = tilted_pose(rod, kRoom);
  ASSERT_TRUE(first);
  const auto again = tilted_pose(rod, kRoom, &first->bed_from_part);
  ASSERT_TRUE(again);
  expect_in_room(rod, again->bed_from_part, kRoom);
}

}  // namespace
}  // namespace seamwright
