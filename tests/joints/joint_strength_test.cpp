#include "seamwright/joints/joint_strength.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "joints/box_pair.h"

namespace seamwright {
namespace {

Loop2 rectangle(double width, double height, Vec2 at = {}) {
  const double x = width / 2, y = height / 2;
  return {at + Vec2{-x, -y}, at + Vec2{x, -y}, at + Vec2{x, y}, at + Vec2{-x, y}};
}

Loop2 circle(double radius, int corners) {
  Loop2 loop;
  for (int i = 0; i < corners; ++i) {
    const double angle = 2 * std::numbers::pi * i / corners;
    loop.push_back({radius * std::cos(angle), radius * std::sin(angle)});
  }
  return loop;
}

Loop2 reversed(Loop2 loop) {
  std::reverse(loop.begin(), loop.end());
  return loop;
}

Loop2 turned(const Loop2& loop, double angle, Vec2 shift) {
  Loop2 out;
  const double c = std::cos(angle), s = std::sin(angle);
  for (Vec2 p : loop) out.push_back(Vec2{c * p.x - s * p.y, s * p.x + c * p.y} + shift);
  return out;
}

TEST(SectionModulus, AgreesWithTheHandbookOnTubes) {
  // Machinery's Handbook section tables (memory), derived: rectangle tube 40×60×3 Z 9128.4, round
  // tube 40×3 I 60066.47, over its radius of 20.
  const std::vector<Loop2> rectangular{rectangle(40, 60), reversed(rectangle(34, 54))};
  EXPECT_NEAR(section_modulus(rectangular).strong_mm3, 9128.4, 0.05);
  const std::vector<Loop2> round{circle(20, 20000), reversed(circle(17, 20000))};
  EXPECT_NEAR(section_modulus(round).weak_mm3, 60066.47 / 20, 0.01);
}

TEST(SectionModulus, DoesNotDependOnTheFigureslPlaceAndTurn) {
  const Loop2 loop{{0, 0}, {50, 0}, {50, 8}, {8, 8}, {8, 30}, {0, 30}};
  const std::vector<Loop2> plain{loop}, moved{turned(loop, 0.7, {-310, 95})};
  const SectionModulus a = section_modulus(plain), b = section_modulus(moved);
  EXPECT_NEAR(a.weak_mm3, b.weak_mm3, 1e-6 * a.weak_mm3);
  EXPECT_NEAR(a.strong_mm3, b.strong_mm3, 1e-6 * a.strong_mm3);
  EXPECT_LE(a.weak_mm3, a.strong_mm3);
}

TEST(SectionModulus, GivesTheStressOfACantilever) {
  // Roark table 8.1 case 1a (memory), derived: 10 N at 300 mm: 0.32864 MPa in the rectangle tube.
  const std::vector<Loop2> tube{rectangle(40, 60), reversed(rectangle(34, 54))};
  EXPECT_NEAR(10 * 300 / section_modulus(tube).strong_mm3, 0.32864, 1e-5);
}

TEST(JointStrength, WeighsTheLighterHalfOnItsSeam) {
  const auto pair = testing::box_pair({40, 60, 100});
  const KeyedPieces out = testing::keyed(pair);
  const std::vector<const CutPiece*> pieces{&pair.pieces[0], &pair.pieces[1]};
  const auto strengths = joint_strengths(pair.plan, pieces, out.joints, {}, {});
  ASSERT_EQ(strengths.size(), 1u);
  const JointStrength& s = strengths[0];
  // By hand: 240 cm³ of 1.24 g/cm³, 50 mm off; Z = 60·40²/6, A = 2400; 5 times its weight.
  EXPECT_NEAR(s.held_mass_g, 297.6, 1e-6);
  EXPECT_NEAR(s.lever_mm, 50, 1e-9);
  EXPECT_NEAR(s.section_modulus_mm3, 16000, 1e-6);
  const double force = 5 * 0.2976 * 9.80665;
  EXPECT_NEAR(s.stress_mpa, force * 50 / 16000 + force / 2400, 1e-9);
  EXPECT_NEAR(s.safety_ratio, 5 / s.stress_mpa, 1e-9);
  double shear = 0;
  for (const Key& key : out.joints[0].keys)
    shear += std::numbers::pi / 4 * key.diameter_mm * key.diameter_mm;
  EXPECT_NEAR(s.key_shear_area_mm2, shear, 1e-9);
  EXPECT_NEAR(s.glue_area_mm2, 2400, 1e-9);
}

// By hand: 297.6 g at five times its weight, 50 mm off; two screws 10 mm from the figure's middle,
// on its long axis, tip it over its long edge, 20 mm off both: M / (2 · 20), and half the pull.
TEST(JointStrength, ScrewsHoldAPlateThatTipsOverItsEdge) {
  const auto pair = testing::box_pair({40, 60, 100});
  KeyedPieces out = testing::keyed(pair, {.key = KeyKind::none});
  Joint& joint = out.joints[0];
  joint.kind = KeyKind::flange;
  joint.is_glued = false;
  for (double y : {20.0, 40.0})
    joint.keys.push_back({KeyKind::flange, {20, y, 0}, {0, 0, 1}, 3.4, 3, 0.2, {}});
  const std::vector<const CutPiece*> pieces{&pair.pieces[0], &pair.pieces[1]};
  const StrengthRules rules{.screw = insert_size(InsertThread::m3), .has_inserts = true};
  const JointStrength s = joint_strengths(pair.plan, pieces, out.joints, {}, rules).at(0);
  const double force = 5 * 0.2976 * 9.80665;
  EXPECT_EQ(s.screw_count, 2u);
  EXPECT_NEAR(s.screw_pull_n, force * 50 / 40 + force / 2, 0.01);
  EXPECT_NEAR(s.key_shear_area_mm2, 2 * 5.03, 1e-9);
  EXPECT_EQ(s.glue_area_mm2, 0) << "a joint that comes apart";
  EXPECT_EQ(s.stress_mpa, 0);
  // Under the head π/4 (5.5² − 3.4²) · 13 = 190.8 N; round the insert π · 4 · 5.7 · 5 = 358.1 N.
  EXPECT_NEAR(screw_allowed_n(rules), 190.8, 0.1);
  EXPECT_NEAR(screw_allowed_n({.head_mpa = 100, .screw = rules.screw, .has_inserts = true}), 358.1,
              0.1);
  EXPECT_NEAR(s.safety_ratio, screw_allowed_n(rules) / s.screw_pull_n, 1e-9);
  joint.keys.clear();
  EXPECT_EQ(joint_strengths(pair.plan, pieces, out.joints, {}, rules).at(0).safety_ratio, 0)
      << "nothing is known to hold it";
}

TEST(JointStrength, AStrapStiffensAThinWall) {
  const auto pair = testing::box_pair({120, 3, 60});
  const Solid whole = testing::make_box({120, 3, 120}, {0, 0, -60});
  std::vector<double> sight;
  for (std::size_t f = 0; f < whole.face_count(); ++f)
    sight.push_back(whole.area_normal(to_id<FaceId>(f)).y > 0 ? 0.0 : 1.0);
  const KeyedPieces out =
      key_pieces(pair.plan, pair.posed(), pair.faces, {}, {}, {&whole, sight}).value();
  const std::vector<const CutPiece*> pieces{&pair.pieces[0], &pair.pieces[1]};
  const auto bare = joint_strengths(pair.plan, pieces, out.joints, {}, {});
  const auto strapped = joint_strengths(pair.plan, pieces, out.joints, out.loose_parts, {});
  EXPECT_NEAR(bare[0].section_modulus_mm3, 120 * 9 / 6.0, 1e-6);
  EXPECT_GT(strapped[0].section_modulus_mm3, 2 * bare[0].section_modulus_mm3);
  EXPECT_NEAR(strapped[0].glue_area_mm2 - bare[0].glue_area_mm2,
              out.loose_parts[0].glue_area_mm2 / 2, 1e-9);
}

}  // namespace
}  // namespace seamwright
