#include "seamwright/core/time_words.h"

#include <gtest/gtest.h>

namespace seamwright {
namespace {

TEST(TimeWords, SayHoursAndMinutes) {
  EXPECT_EQ(clock_hours(0), "0:00 h");
  EXPECT_EQ(clock_hours(6 * 3600 + 38 * 60 + 29), "6:38 h");
  EXPECT_EQ(clock_hours(3599), "1:00 h");
  EXPECT_EQ(clock_hours(150 * 3600 + 58 * 60), "150:58 h");
}

TEST(TimeWords, AreAsFineAsAMakerPlansBy) {
  EXPECT_EQ(rough_duration(45 * 60), "45 min");
  EXPECT_EQ(rough_duration(3 * 3600 + 19 * 60), "3 h 20 min");
  EXPECT_EQ(rough_duration(2 * 3600 - 60), "2 h");
  EXPECT_EQ(rough_duration(58.2 * 3600), "58 h");
}

}  // namespace
}  // namespace seamwright
