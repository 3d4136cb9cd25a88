#include "seamwright/profile/joinery.h"

#include <gtest/gtest.h>

#include "support/fields.h"

namespace seamwright {
namespace {

TEST(Joinery, IsWellDescribed) {
  testing::expect_well_described(Joinery{});
}

TEST(Joinery, HasTheKeysThatOutsideToolsRelyOn) {
  const auto keys = testing::keys_of(Joinery{});
  for (const char* key : {"key", "slide_clearance_mm"}) {
    EXPECT_TRUE(keys.contains(key)) << key;
  }
}

}  // namespace
}  // namespace seamwright
