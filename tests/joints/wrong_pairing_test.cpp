// The misfit of wrong pairings against a search over all turns and shifts, and over whole plans.
#include "seamwright/joints/wrong_pairing.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "joints/random_plan.h"
#include "seamwright/core/random.h"

namespace seamwright {
namespace {

std::vector<FlatKey> random_keys(Random& random, std::size_t count) {
  std::vector<FlatKey> keys;
  for (std::size_t i = 0; i < count; ++i)
    keys.push_back({{random.uniform(0, 40), random.uniform(0, 24)}, i % 2 == 0 ? 4.0 : 3.0});
  return keys;
}

std::vector<FlatKey> moved(const std::vector<FlatKey>& keys, double turn, Vec2 shift, bool mirror) {
  std::vector<FlatKey> out;
  for (const FlatKey& key : keys) {
    const Vec2 p{key.at.x, mirror ? -key.at.y : key.at.y};
    out.push_back({Vec2{std::cos(turn) * p.x - std::sin(turn) * p.y,
                        std::sin(turn) * p.x + std::cos(turn) * p.y} +
                       shift,
                   key.diameter_mm});
  }
  return out;
}

double worst(const std::vector<FlatKey>& rods, const std::vector<FlatKey>& holes, double extra) {
  double worst_mm = 0;
  for (const FlatKey& rod : rods) {
    double best = 1e9;
    for (const FlatKey& hole : holes)
      best = std::min(
          best, norm(rod.at - hole.at) + std::max(0.0, rod.diameter_mm - hole.diameter_mm - extra));
    worst_mm = std::max(worst_mm, best);
  }
  return worst_mm;
}

/// Every half degree; for each, the shift by descent from every pairing of one rod with one hole.
double by_search(const std::vector<FlatKey>& a, const std::vector<FlatKey>& b, double extra) {
  double least = 1e9;
  for (const bool mirror : {false, true}) {
    for (int half_deg = 0; half_deg < 720; ++half_deg) {
      const auto turned = moved(a, half_deg * std::numbers::pi / 360, {}, mirror);
      for (const FlatKey& rod : turned) {
        for (const FlatKey& hole : b) {
          Vec2 shift = hole.at - rod.at;
          double value = worst(moved(turned, 0, shift, false), b, extra);
          for (double step = 2; step > 0.02;) {
            bool better = false;
            for (int k = 0; k < 8; ++k) {
              const double angle = k * std::numbers::pi / 4;
              const Vec2 next = shift + Vec2{std::cos(angle), std::sin(angle)} * step;
              const double v = worst(moved(turned, 0, next, false), b, extra);
              if (v < value) value = v, shift = next, better = true;
            }
            if (!better) step /= 2;
          }
          least = std::min(least, value);
        }
      }
    }
  }
  return least;
}

TEST(WrongPairing, FitsTheSameLayoutMovedOrMirrored) {
  Random random(7);
  for (int k = 0; k < 20; ++k) {
    const auto keys = random_keys(random, 2 + random.below(4));
    const auto other =
        moved(keys, random.uniform(0, 6.28), {random.uniform(-90, 90), 5}, k % 2 == 0);
    EXPECT_NEAR(wrong_pairing_misfit_mm(keys, other, 0.3, 3), 0, 1e-9);
  }
}

TEST(WrongPairing, OfTwoPairsIsHalfTheDifferenceOfTheirDistances) {
  const std::vector<FlatKey> a{{{0, 0}, 3}, {{30, 0}, 3}}, b{{{5, 5}, 3}, {{5, 39}, 3}};
  EXPECT_NEAR(wrong_pairing_misfit_mm(a, b, 0.3, 9), 2, 1e-9);
}

TEST(WrongPairing, AgreesWithASearchOverTurnsAndShifts) {
  Random random(11);
  for (int k = 0; k < 6; ++k) {
    const auto a = random_keys(random, 3), b = random_keys(random, 3);
    const double searched = std::min(by_search(a, b, 0.3), by_search(b, a, 0.3));
    const double found = wrong_pairing_misfit_mm(a, b, 0.3, 20);
    EXPECT_LE(found, searched + 0.15) << k;
    EXPECT_GE(found, searched - 0.4) << k;  // the search's half degree is 0.2 mm at 24 mm
  }
}

TEST(WrongPairing, ARodForADeeperHoleKeepsTheJointFromClosing) {
  const std::vector<FlatKey> deep{{{0, 0}, 3, 6.5}, {{30, 0}, 3, 6.5}},
      shallow{{{0, 0}, 3, 4.5}, {{30, 0}, 3, 6.5}};
  EXPECT_NEAR(wrong_pairing_misfit_mm(deep, shallow, 0.3, 9), 0, 1e-9)
      << "rods may come from either";
  // Whichever face the rods come from, one 6.5 deep meets a hole of 4.5.
  const std::vector<FlatKey> turned{{{0, 0}, 3, 6.5}, {{30, 0}, 3, 4.5}, {{30, 20}, 3, 4.5}};
  const std::vector<FlatKey> other{{{0, 0}, 3, 4.5}, {{30, 0}, 3, 6.5}, {{30, 20}, 3, 4.5}};
  EXPECT_NEAR(wrong_pairing_misfit_mm(turned, other, 0.3, 9), 2, 1e-9);
}

/// Blocks side by side, each cut across the middle: equal joint faces, so that only the keys
/// tell them apart.
testing::PosedParts equal_blocks(std::size_t count, Vec2 size) {
  testing::PosedParts parts;
  parts.plan.seams.push_back({to_id<SeamId>(1), {}, Side::above, Plane{{0, 0, 1}, 0}});
  parts.plan.next_id = 2;
  for (std::size_t i = 0; i < count; ++i) {
    const double x = 100 * static_cast<double>(i);
    for (const bool is_above : {true, false}) {
      const Solid block = testing::make_box({size.x, size.y, 30}, {x, 0, is_above ? 0.0 : -30.0});
      parts.pieces.push_back({"S1" + std::string(is_above ? "+" : "-") + "." + std::to_string(i),
                              to_id<SeamId>(1), is_above ? Side::above : Side::below,
                              testing::with_cap_at_zero(block)});
      parts.poses.push_back(testing::turned_pose(block, rotation({1, 0, 0}, Angle::degrees(90))));
    }
  }
  parts.faces = find_joint_faces(parts.plan, parts.pieces).value();
  return parts;
}

void expect_none_fits_another(std::size_t count, Vec2 size) {
  const auto parts = equal_blocks(count, size);
  const KeyedPieces out = testing::keyed(parts, {.has_marks = false});
  ASSERT_EQ(out.joints.size(), count);
  const PlaneFrame frame(parts.plan.seams[0].plane);
  std::vector<std::vector<FlatKey>> layouts;
  for (const Joint& joint : out.joints) {
    layouts.emplace_back();
    for (const Key& key : joint.keys)
      layouts.back().push_back({frame.flatten(key.at), key.diameter_mm, key.depth_mm});
  }
  double least = 1e9;
  for (std::size_t i = 0; i < layouts.size(); ++i) {
    EXPECT_GE(layouts[i].size(), 2u);
    for (std::size_t k = 0; k < i; ++k)
      least = std::min(least, wrong_pairing_misfit_mm(layouts[i], layouts[k], 0.5, 3));
  }
  std::printf("%zu equal joints, %g x %g: least misfit of a wrong pairing %.2f mm\n", count, size.x,
              size.y, least);
  EXPECT_GE(least, 1.5);
  for (const JointWarning& warning : out.warnings) {
    EXPECT_NE(warning.code, "joints-can-be-mixed-up");
    EXPECT_NE(warning.code, "joint-can-turn");
  }
}

TEST(WrongPairing, NoneOfTwentyEqualJointsFitsAnother) {
  expect_none_fits_another(20, {60, 40});
}

TEST(WrongPairing, NoneOfTwelveEqualSmallJointsFitsAnother) {
  expect_none_fits_another(12, {40, 24});
  expect_none_fits_another(8, {24, 14});
}

}  // namespace
}  // namespace seamwright
