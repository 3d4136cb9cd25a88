#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <chrono>

#include "seamwright/core/random.h"
#include "seamwright/query/ray_tree.h"
#include "seamwright/query/sight.h"
#include "seamwright/wiring/wire_part.h"
#include "support/stl.h"

namespace seamwright {
namespace {

using ::testing::HasSubstr;

struct HalfShell {
  Solid solid = testing::reference_part("shell");
  std::vector<double> sight = *face_sight(solid, {.mode = SightMode::worn, .rays_per_face = 16});
};
const HalfShell& half_shell() {
  static const HalfShell shell;
  return shell;
}

WireSpec across_the_shell() {
  return {.name = "spine", .from = {-210, 20, 120}, .to = {210, -20, 120}, .diameter_mm = 5};
}

TEST(Ribs, AHalfShellOfThreeMillimetresGetsATunnelOfFive) {
  const auto& [solid, sight] = half_shell();
  const WiredPart wired = *wire_part(solid, {.wires = {across_the_shell()}}, sight);
  const Channel& channel = wired.channels[0];
  EXPECT_EQ(channel.kind, "rib");
  EXPECT_GT(channel.length_mm, 400);
  EXPECT_GE(channel.least_wall_mm, 1.4);
  EXPECT_GE(channel.least_bend_mm, 15);
}

TEST(Ribs, AreRefusedWhileTheHiddenSideIsUnknown) {
  const Result<WiredPart> wired = wire_part(half_shell().solid, {.wires = {across_the_shell()}});
  ASSERT_FALSE(wired);
  std::string words = wired.error().message;
  for (const std::string& line : wired.error().context) words += " " + line;
  EXPECT_THAT(words, HasSubstr("worn_side"));
}

}  // namespace
}  // namespace seamwright
