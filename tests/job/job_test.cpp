#include "seamwright/job/job.h"

#include "support/fields.h"

namespace seamwright {
namespace {

TEST(Job, ItsSectionsAreWellDescribed) {
  testing::expect_well_described(PartChoice{});
  testing::expect_well_described(SearchChoice{});
  testing::expect_well_described(LockChoice{});
  testing::expect_well_described(WireSpec{});
}

TEST(Job, HasThePartAndWireKeysThatOutsideToolsRelyOn) {
  for (const char* key : {"file", "unit", "length_mm", "worn_side"}) {
    EXPECT_TRUE(testing::keys_of(PartChoice{}).contains(key)) << key;
  }
  for (const char* key : {"name", "from", "to", "via", "diameter_mm", "conductors"}) {
    EXPECT_TRUE(testing::keys_of(WireSpec{}).contains(key)) << key;
  }
}

// The contract: PART alone works, on a 180 mm cube.
TEST(Job, HasOneDefaultPrinter) {
  EXPECT_EQ(Job{}.printers.front().room_mm, (Vec3{180, 180, 180}));
}

}  // namespace
}  // namespace seamwright
