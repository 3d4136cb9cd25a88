#include "seamwright/profile/printer_kinds.h"

#include <gtest/gtest.h>

#include "seamwright/core/describe.h"

namespace seamwright {
namespace {

TEST(PrinterKinds, EveryWordNamesItsKind) {
  EXPECT_EQ(value_named<Bed>("round"), Bed::round);
  EXPECT_EQ(value_named<CornerRule>("deviation"), CornerRule::deviation);
  EXPECT_EQ(value_named<Motion>("fast"), Motion::fast);
  EXPECT_EQ(name_of(Bed::rectangle), "rectangle");
  EXPECT_EQ(value_named<Bed>("oval"), std::nullopt);
}

}  // namespace
}  // namespace seamwright
