#include "seamwright/handoff/corner_pads.h"

#include <gtest/gtest.h>

#include <numbers>

#include "seamwright/query/mass_properties.h"
#include "support/shapes.h"

namespace seamwright {
namespace {

const std::vector<CornerPad> kPads{{{30, 40}, 20}, {{80, 40}, 10}};

TEST(CornerPads, AreClosedDiscsAsThickAsTheFirstLayer) {
  const Solid pads = pads_solid(kPads, 0.2);
  EXPECT_TRUE(Solid::make({{pads.points().begin(), pads.points().end()},
                           {pads.triangles().begin(), pads.triangles().end()},
                           {},
                           {},
                           {}}));
  const double wanted_mm3 = std::numbers::pi * (100 + 25) * 0.2;
  EXPECT_NEAR(volume_mm3(pads), wanted_mm3, 2e-3 * wanted_mm3);
  EXPECT_NEAR(pads.box().low.x, 20, 1e-9);
  EXPECT_NEAR(pads.box().high.z, 0.2, 1e-12);
}

TEST(CornerPads, KeepTheirPlaceBesideTheWrittenPiece) {
  const Solid box = testing::make_box({100, 60, 10});
  FinishedPiece piece{.planned = {.cut = {.solid = box}, .pose = {}}, .keyed = box};
  piece.planned.pose.bed_from_part.shift = {12, 15, 0};
  piece.pads = {{{112, 75}, 20}};
  Material shrinking;
  shrinking.shrink_ratio = 0.02;
  const Box3 written = solid_in_file(piece, shrinking).box();
  const Box3 pad = pads_in_file(piece, shrinking, 0.2).box();
  EXPECT_NEAR((pad.low.x + pad.high.x) / 2, written.high.x, 1e-9);
  EXPECT_NEAR((pad.low.y + pad.high.y) / 2, written.high.y, 1e-9);
  EXPECT_NEAR(pad.size().x, 20, 1e-9);
}

}  // namespace
}  // namespace seamwright
