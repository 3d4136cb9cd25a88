#include "seamwright/wiring/pocket_spec.h"

#include <gtest/gtest.h>

#include "support/fields.h"

namespace seamwright {
namespace {

TEST(PocketSpec, EveryFieldIsDescribedWithADefaultInItsRange) {
  testing::expect_well_described(PocketSpec{});
}

}  // namespace
}  // namespace seamwright
