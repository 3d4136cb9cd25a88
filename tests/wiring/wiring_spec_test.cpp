#include "seamwright/wiring/wiring_spec.h"

#include <gtest/gtest.h>

#include "support/fields.h"

namespace seamwright {
namespace {

TEST(WiringSpec, EveryFieldIsDescribedWithADefaultInItsRange) {
  testing::expect_well_described(WireSpec{});
  testing::expect_well_described(SparSpec{});
}

TEST(WiringSpec, TroughsAreWiresWhoseKindIsTrough) {
  const WiringSpec spec{
      .pockets = {}, .wires = {{.name = "a"}}, .troughs = {{.name = "b"}}, .spars = {}};
  const std::vector<WireSpec> all = spec.all_wires();
  ASSERT_EQ(all.size(), 2u);
  EXPECT_EQ(all[0].kind, WireKind::automatic);
  EXPECT_EQ(all[1].kind, WireKind::trough);
}

}  // namespace
}  // namespace seamwright
