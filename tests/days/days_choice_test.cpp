#include "seamwright/days/days_choice.h"

#include <gtest/gtest.h>

#include "seamwright/days/hours.h"
#include "support/fields.h"

namespace seamwright {
namespace {

TEST(DaysChoice, IsWellDescribed) {
  testing::expect_well_described(DaysChoice{});
}

TEST(DaysChoice, DefaultHoursCanBeRead) {
  const DaysChoice choice;
  for (const auto& rules : {choice.awake, choice.home, choice.asleep})
    EXPECT_TRUE(parse_week_hours(rules).has_value());
}

}  // namespace
}  // namespace seamwright
