#include "seamwright/wear/wear_choice.h"

#include <gtest/gtest.h>

#include "support/fields.h"

namespace seamwright {
namespace {

TEST(WearChoice, IsWellDescribed) {
  testing::expect_well_described(WearChoice{});
  testing::expect_well_described(MountChoice{});
}

}  // namespace
}  // namespace seamwright
