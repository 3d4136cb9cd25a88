#include "seamwright/mesh/units.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "support/soups.h"

namespace seamwright {
namespace {

using testing::box_soup;
using ::testing::HasSubstr;

UnitChoice chosen(Vec3 size, std::optional<Unit> unit, std::optional<double> length_mm) {
  return choose_unit(box_soup({}, size), unit, length_mm).value();
}

// Source: the inch is 25.4 mm exactly (international yard and pound agreement, 1959).
TEST(Units, KnowTheirMillimetres) {
  EXPECT_EQ(unit_mm(Unit::mm), 1);
  EXPECT_EQ(unit_mm(Unit::cm), 10);
  EXPECT_EQ(unit_mm(Unit::m), 1000);
  EXPECT_EQ(unit_mm(Unit::inch), 25.4);
}

TEST(Units, NamesGoBothWays) {
  for (Unit unit : {Unit::mm, Unit::cm, Unit::m, Unit::inch})
    EXPECT_EQ(unit_named(unit_name(unit)), unit);
  EXPECT_EQ(unit_named("foot"), std::nullopt);
}

TEST(ChooseUnit, TakesMillimetresWhenTheSizeIsPlausible) {
  for (double longest : {20.0, 640.0, 3000.0}) {
    const UnitChoice choice = chosen({longest, 10, 5}, std::nullopt, std::nullopt);
    EXPECT_EQ(choice.unit, Unit::mm);
    EXPECT_EQ(choice.scale_ratio, 1);
    EXPECT_FALSE(choice.was_given);
  }
}

TEST(ChooseUnit, SaysTheFinishedSizeFirst) {
  const UnitChoice choice = chosen({64, 46, 19}, Unit::cm, std::nullopt);
  EXPECT_TRUE(
      choice.message.starts_with("FINISHED SIZE 640.0 × 460.0 × 190.0 mm (64.0 × 46.0 × 19.0 cm)"))
      << choice.message;
}

TEST(ChooseUnit, RefusesImplausibleSizesWithTheUnitThatWouldFit) {
  for (const auto& [longest, unit] :
       {std::pair{0.64, "--unit m"}, {6.4, "--unit cm"}, {19.0, "--unit inch"}}) {
    const auto choice =
        choose_unit(box_soup({}, {longest, longest / 2, longest / 2}), std::nullopt, std::nullopt);
    ASSERT_FALSE(choice);
    EXPECT_EQ(choice.error().code, "implausible-size");
    EXPECT_THAT(choice.error().message, HasSubstr(unit));
  }
}

TEST(ChooseUnit, SaysSoWhenNoUnitFits) {
  const auto choice = choose_unit(box_soup({}, {1e6, 1, 1}), std::nullopt, std::nullopt);
  ASSERT_FALSE(choice);
  EXPECT_THAT(choice.error().message, HasSubstr("--length MM"));
}

TEST(ChooseUnit, GivenUnitOverrides) {
  const UnitChoice choice = chosen({2, 1, 1}, Unit::inch, std::nullopt);
  EXPECT_EQ(choice.scale_ratio, 25.4);
  EXPECT_TRUE(choice.was_given);
}

TEST(ChooseUnit, LengthScalesTheLongestSide) {
  const UnitChoice choice = chosen({2, 8, 1}, std::nullopt, 600);
  EXPECT_DOUBLE_EQ(choice.scale_ratio, 75);
  EXPECT_TRUE(choice.was_given);
}

TEST(ChooseUnit, RefusesLengthsThatCannotBeMade) {
  for (double length_mm : {0.0, -5.0, 1e12, 100001.0, std::numeric_limits<double>::quiet_NaN(),
                           std::numeric_limits<double>::infinity()}) {
    EXPECT_FALSE(choose_unit(box_soup({}, {1, 1, 1}), std::nullopt, length_mm));
  }
}

TEST(ChooseUnit, IgnoresPointsThatNoFaceUses) {
  TriangleSoup soup = box_soup({}, {100, 50, 25});
  soup.points.push_back({1e9, 0, 0});
  EXPECT_TRUE(choose_unit(soup, std::nullopt, std::nullopt));
}

TEST(ChooseUnit, RefusesAPartWithoutExtent) {
  EXPECT_FALSE(choose_unit(TriangleSoup{}, std::nullopt, std::nullopt));
}

}  // namespace
}  // namespace seamwright
