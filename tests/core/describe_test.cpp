#include "seamwright/core/describe.h"

#include "support/fields.h"

namespace seamwright {
namespace {

struct Lamp {
  double power_w = 3;
  bool is_lit = true;
};

template <class Settings, class Visitor>
requires same_settings<Settings, Lamp>
void describe(Settings& lamp, Visitor&& visit) {
  visit(lamp.power_w, FieldDoc{"power_w", "electric power", "assumption", 0, 100});
  visit(lamp.is_lit, FieldDoc{"is_lit", "whether it is on", "assumption"});
}

TEST(Describe, ReadsConstAndWritesMutableSettingsByOneVisitor) {
  const Lamp as_made;
  double sum = 0;
  describe(as_made, [&](const auto& field, const FieldDoc&) { sum += static_cast<double>(field); });
  EXPECT_EQ(sum, 4);
  Lamp lamp;
  describe(lamp, [](auto& field, const FieldDoc&) { field = {}; });
  EXPECT_EQ(lamp.power_w, 0);
  EXPECT_FALSE(lamp.is_lit);
}

TEST(Describe, IsHeldToBeingWellDescribed) {
  testing::expect_well_described(Lamp{});
}

}  // namespace
}  // namespace seamwright
