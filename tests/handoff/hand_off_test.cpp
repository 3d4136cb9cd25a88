#include "seamwright/handoff/hand_off.h"

#include <gtest/gtest.h>

#include "handoff/sample_hand_off.h"

namespace seamwright {
namespace {

using testing::sample_hand_off;

Vec3 mapped(const std::array<double, 16>& m, Vec3 p) {
  return {m[0] * p.x + m[1] * p.y + m[2] * p.z + m[3], m[4] * p.x + m[5] * p.y + m[6] * p.z + m[7],
          m[8] * p.x + m[9] * p.y + m[10] * p.z + m[11]};
}

void expect_files_map_back(const HandOff& hand_off) {
  for (const FinishedPiece& piece : hand_off.pieces) {
    const Solid in_file = solid_in_file(piece, hand_off.material);
    const auto matrix = part_from_file(piece, hand_off.material);
    ASSERT_EQ(in_file.points().size(), piece.keyed.points().size());
    for (std::size_t i = 0; i < in_file.points().size(); ++i) {
      EXPECT_LT(norm(mapped(matrix, in_file.points()[i]) - piece.keyed.points()[i]), 1e-9);
    }
  }
}

TEST(HandOff, PartFromFilePutsEveryPointBack) {
  expect_files_map_back(sample_hand_off());
}

TEST(HandOff, PartFromFileUndoesTurnsAndShrinkage) {
  HandOff hand_off = sample_hand_off();
  hand_off.material.shrink_ratio = 0.004;
  Transform& turned = hand_off.pieces[0].planned.pose.bed_from_part;
  turned = rotation(normalized(Vec3{1, 2, 3}), Angle::degrees(37)) * turned;
  turned.shift = {1, 2, 300};
  expect_files_map_back(hand_off);
}

TEST(HandOff, FilesAreLargerByTheShrinkage) {
  HandOff hand_off = sample_hand_off();
  hand_off.material.shrink_ratio = 0.02;
  const Solid in_file = solid_in_file(hand_off.pieces[0], hand_off.material);
  EXPECT_NEAR(volume_mm3(in_file), 50 * 60 * 40 / std::pow(0.98, 3), 1e-6);
}

TEST(HandOff, FilesBeginAtTheMarginsAndOnTheBed) {
  HandOff hand_off = sample_hand_off();
  for (const double shrink : {0.0, 0.02}) {
    hand_off.material.shrink_ratio = shrink;
    for (const FinishedPiece& piece : hand_off.pieces) {
      const Box3 box = solid_in_file(piece, hand_off.material).box();
      EXPECT_NEAR(box.low.x, 5, 1e-12);
      EXPECT_NEAR(box.low.y, 5, 1e-12);
      EXPECT_EQ(box.low.z, 0);
    }
  }
}

TEST(HandOff, TheFootIsFlatDespiteTheRoundingOfThePose) {
  HandOff hand_off = sample_hand_off();
  hand_off.pieces[0].planned.pose.bed_from_part.shift.z += 1e-7;
  const Solid in_file = solid_in_file(hand_off.pieces[0], {});
  int on_bed = 0;
  for (const Vec3& p : in_file.points()) on_bed += p.z == 0;
  EXPECT_EQ(on_bed, 4);
}

TEST(HandOff, AChannelCrossesTheSeamsWhoseJointFacesItPasses) {
  HandOff hand_off = sample_hand_off();
  EXPECT_EQ(crossed_seams(hand_off, hand_off.channels[0]), std::vector{SeamId{1}});
  Channel beside = hand_off.channels[0];
  beside.path = {{10, 300, 20}, {90, 300, 20}};
  EXPECT_TRUE(crossed_seams(hand_off, beside).empty());
  Channel before = hand_off.channels[0];
  before.path = {{10, 30, 20}, {40, 30, 20}};
  EXPECT_TRUE(crossed_seams(hand_off, before).empty());
}

TEST(HandOff, AChannelThroughItsOwnHoleCountsAsCrossing) {
  HandOff hand_off = sample_hand_off();
  Region2& region = hand_off.joints[0].face.region;
  const Vec2 middle = PlaneFrame(hand_off.seams.plan.seams[0].plane).flatten({50, 30, 20});
  Loop2 hole;
  for (int i = 0; i < 24; ++i) {
    const double a = -2 * std::numbers::pi * i / 24;
    hole.push_back(middle + Vec2{3 * std::cos(a), 3 * std::sin(a)});
  }
  region.holes = {hole};
  EXPECT_EQ(crossed_seams(hand_off, hand_off.channels[0]).size(), 1u);
}

TEST(HandOff, TotalsAreSumsOverPiecesAndSeams) {
  HandOff hand_off = sample_hand_off();
  const PrintTotals totals = print_totals(hand_off);
  EXPECT_DOUBLE_EQ(totals.print_s, 50000.75);
  EXPECT_DOUBLE_EQ(totals.busiest_print_s, 50000.75);
  EXPECT_DOUBLE_EQ(totals.mass_g, 120.3);
  EXPECT_DOUBLE_EQ(totals.shown_mm, 120.25);
  hand_off.printers.push_back(Printer{});
  hand_off.pieces[1].planned.printer = 1;
  EXPECT_DOUBLE_EQ(print_totals(hand_off).busiest_print_s, 30000.5);
}

TEST(HandOff, NamesAreThoseOfTheFiles) {
  EXPECT_EQ(seam_name(SeamId{3}), "S3");
  EXPECT_EQ(joint_name(0), "J1");
  EXPECT_EQ(foot_name(Foot::flat_side), "flat-side");
  EXPECT_EQ(key_name(KeyKind::tongue), "tongue");
}

}  // namespace
}  // namespace seamwright
