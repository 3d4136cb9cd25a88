// Ways of bores between the tips of two bodies. One a body always; all 28 between eight tips with
// SEAMWRIGHT_ALL_CASES=1 in the environment. Times: wire_part_perf.cpp.

#include <gtest/gtest.h>

#include <cstdlib>

#include "seamwright/wiring/wire_part.h"
#include "wiring/wired_bodies.h"

namespace seamwright {
namespace {

class BodyRoutes : public ::testing::TestWithParam<const char*> {};

TEST_P(BodyRoutes, KeepClearBetweenAllTipsAndBendWithEightMillimetresOnNineInTen) {
  const testing::WiredBody body(GetParam());
  const std::vector<Vec3> tips = body.extremes();
  const bool has_all = std::getenv("SEAMWRIGHT_ALL_CASES") != nullptr;
  int led = 0, gentle = 0;
  double least_wall_mm = 1e9, least_bend_mm = 1e9;
  for (std::size_t a = 0; a < tips.size(); ++a) {
    for (std::size_t b = a + 1; b < tips.size(); ++b) {
      if (!has_all && led >= 1) continue;
      const Result<WiredPart> wired = wire_part(body.solid, {.wires = {{.name = "way",
                                                                        .from = tips[a],
                                                                        .to = tips[b],
                                                                        .kind = WireKind::bore,
                                                                        .diameter_mm = 4}}});
      EXPECT_TRUE(wired) << GetParam() << ' ' << a << '-' << b << ": " << wired.error().message;
      if (!wired) continue;
      ++led;
      const Channel& way = wired->channels[0];
      gentle += way.least_bend_mm >= 8;
      least_wall_mm = std::min(least_wall_mm, way.least_wall_mm);
      least_bend_mm = std::min(least_bend_mm, way.least_bend_mm);
    }
  }
  EXPECT_GE(least_wall_mm, 1.2);
  EXPECT_GE(gentle, 0.9 * led);
  RecordProperty("led", led);
  RecordProperty("bend_8_mm", gentle);
  RecordProperty("least_wall_mm", std::to_string(least_wall_mm));
  RecordProperty("least_bend_mm", std::to_string(least_bend_mm));
}
INSTANTIATE_TEST_SUITE_P(Through, BodyRoutes, ::testing::Values("elephant", "armadillo"),
                         [](const auto& tested) { return std::string(tested.param); });

}  // namespace
}  // namespace seamwright
