#include "seamwright/core/run.h"

#include <gtest/gtest.h>

namespace seamwright {
namespace {

TEST(Run, IsNeverCancelledByDefault) {
  EXPECT_FALSE(seamwright::Run{}.should_finish());
  EXPECT_FALSE(seamwright::Run{}.should_stop());
}

TEST(Run, TellsFinishFromStop) {
  std::atomic<Cancel> flag{Cancel::finish};
  const seamwright::Run run{.cancel = &flag};
  EXPECT_TRUE(run.should_finish());
  EXPECT_FALSE(run.should_stop());
  flag = Cancel::stop;
  EXPECT_TRUE(run.should_finish());
  EXPECT_TRUE(run.should_stop());
}

TEST(Run, ReportsToItsListener) {
  double heard = 0;
  const seamwright::Run run{.progress = [&](double share) { heard = share; }};
  run.report(0.25);
  EXPECT_EQ(heard, 0.25);
}

}  // namespace
}  // namespace seamwright
