#include "seamwright/handoff/loose_parts.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "handoff/sample_hand_off.h"
#include "seamwright/handoff/plan_json.h"

namespace seamwright {
namespace {

using ::testing::HasSubstr;

LoosePart sample_strap() {
  LoosePart part{KeyKind::strap, 0, "J1a", testing::make_box({2, 80, 20}, {51, 10, 5})};
  part.at = {50, 50, 15};
  part.bed_from_part.shift = {-51, -10, -5};
  part.size_mm = {2, 80, 20};
  part.length_mm = 80;
  part.glue_area_mm2 = 1600;
  return part;
}

HandOff with_strap() {
  HandOff hand_off = testing::sample_hand_off();
  hand_off.loose_parts.push_back(sample_strap());
  return hand_off;
}

TEST(LooseParts, FilesHoldThePartOnTheBedScaledForShrinkage) {
  const HandOff hand_off = with_strap();
  Material material = hand_off.material;
  material.shrink_ratio = 0.02;
  const LoosePart& part = hand_off.loose_parts[0];
  const Solid written = loose_part_in_file(part, material);
  EXPECT_NEAR(norm(written.box().low), 0, 1e-9);
  EXPECT_NEAR(written.box().high.y, 80 / 0.98, 1e-9);
  const auto m = part_from_loose_file(part, material);
  const Vec3 p = written.box().high;
  EXPECT_NEAR(m[0] * p.x + m[1] * p.y + m[2] * p.z + m[3], 53, 1e-9);
  EXPECT_NEAR(m[4] * p.x + m[5] * p.y + m[6] * p.z + m[7], 90, 1e-9);
  EXPECT_NEAR(m[8] * p.x + m[9] * p.y + m[10] * p.z + m[11], 25, 1e-9);
}

TEST(LooseParts, WeighTheirVolume) {
  EXPECT_NEAR(loose_part_mass_g(sample_strap(), Material{}), 3.2 * Material{}.density_g_per_cm3,
              1e-9);
}

TEST(LooseParts, LidsAreListedTimedAndScaledForShrinkage) {
  HandOff hand_off = testing::sample_hand_off();
  hand_off.channels.push_back({.name = "tray"});
  const std::size_t channel = hand_off.channels.size() - 1;
  hand_off.lids.push_back({"L1", channel, testing::make_box({150, 6, 1.2}), 150});
  hand_off.lid_prints.push_back({.print_s = 600, .filament_mm = 400, .mass_g = 1.3});
  EXPECT_THAT(loose_parts_csv(hand_off),
              HasSubstr("lid,L1,,1,lids/L1.stl,,150.0,150.00,6.00,1.20,1.30,600"));
  EXPECT_THAT(plan_json(hand_off), HasSubstr("lids/L1.stl"));
  EXPECT_NEAR(print_totals(hand_off).loose_mass_g, 1.3, 1e-9);
  Material material = hand_off.material;
  material.shrink_ratio = 0.02;
  EXPECT_NEAR(lid_in_file(hand_off.lids[0], material).box().high.x, 150 / 0.98, 1e-9);
}

TEST(LooseParts, TheListNamesStrapsAndRods) {
  const std::string csv = loose_parts_csv(with_strap());
  EXPECT_THAT(csv, HasSubstr("strap,J1a,J1,1,straps/J1a.stl"));
  EXPECT_THAT(csv, HasSubstr("rod,,,1,,4.00,19.00"));  // one dowel, 10 mm into each piece
}

TEST(LooseParts, StandInThePlan) {
  const std::string plan = plan_json(with_strap());
  EXPECT_THAT(plan, HasSubstr("\"loose_parts\""));
  EXPECT_THAT(plan, HasSubstr("straps/J1a.stl"));
  EXPECT_THAT(plan, HasSubstr("\"rods\""));
}

}  // namespace
}  // namespace seamwright
