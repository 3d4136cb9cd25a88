#include "seamwright/printing/line_kind.h"

#include <gtest/gtest.h>

#include <set>

namespace seamwright {
namespace {

TEST(LineKind, EveryKindHasItsOwnName) {
  std::set<std::string_view> names;
  for (std::size_t k = 0; k < kLineKindCount; ++k) names.insert(name_of(static_cast<LineKind>(k)));
  EXPECT_EQ(names.size(), kLineKindCount);
  EXPECT_EQ(name_of(LineKind::outer_wall), "outer wall");
}

}  // namespace
}  // namespace seamwright
