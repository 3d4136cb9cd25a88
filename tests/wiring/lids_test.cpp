#include "seamwright/wiring/lids.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "seamwright/query/mass_properties.h"

namespace seamwright {
namespace {

Channel trough_along(std::vector<Vec3> way, std::vector<Vec3> ups) {
  Channel channel;
  channel.kind = "trough";
  for (std::size_t i = 0; i + 1 < way.size(); ++i) channel.lid_mm.x += norm(way[i + 1] - way[i]);
  channel.lid_mm.y = 6, channel.lid_mm.z = 1.2;
  channel.lid_way = std::move(way), channel.lid_ups = std::move(ups);
  return channel;
}

/// A quarter of a circle of 100 mm, in steps of 1°; its middle at the origin.
Channel quarter(bool is_in_plane) {
  std::vector<Vec3> way, ups;
  for (int k = 0; k <= 90; ++k) {
    const double a = std::numbers::pi / 180 * k;
    const Vec3 out{std::cos(a), std::sin(a), 0};
    way.push_back(out * 100);
    ups.push_back(is_in_plane ? Vec3{0, 0, 1} : out);
  }
  return trough_along(way, ups);
}

TEST(Lids, ASidewaysBendIsKeptAndAnUpwardOneLaidFlat) {
  const double arc_mm = 50 * std::numbers::pi;
  const std::vector<Channel> channels{quarter(true), quarter(false)};
  const std::vector<ChannelLid> lids = lids_of(channels, 300);
  ASSERT_EQ(lids.size(), 2u);
  // The ring's quarter: π/4 · (103² − 97²) · 1.2.
  EXPECT_NEAR(volume_mm3(lids[0].solid), std::numbers::pi / 4 * (103 * 103 - 97 * 97) * 1.2, 2);
  EXPECT_NEAR(lids[0].solid.box().size().x, 103, 3.2);
  // Bent over a cylinder it is a straight strip.
  EXPECT_NEAR(lids[1].solid.box().size().x, arc_mm, 0.05);
  EXPECT_NEAR(lids[1].solid.box().size().y, 6, 1e-9);
  EXPECT_NEAR(volume_mm3(lids[1].solid), arc_mm * 6 * 1.2, 0.5);
}

TEST(Lids, LieFlatInPiecesThatFitTheBedAndAddUp) {
  const std::vector<Channel> channels{quarter(false), Channel{}, quarter(true)};
  const std::vector<ChannelLid> lids = lids_of(channels, 70);
  double length_mm[3] = {};
  for (std::size_t i = 0; i < lids.size(); ++i) {
    const Box3 box = lids[i].solid.box();
    EXPECT_EQ(lids[i].mark, "L" + std::to_string(i + 1));
    EXPECT_NEAR(norm(box.low), 0, 1e-9);
    EXPECT_NEAR(box.high.z, 1.2, 1e-9);
    EXPECT_LE(std::max(box.high.x, box.high.y), 70);
    length_mm[lids[i].channel] += lids[i].length_mm;
  }
  EXPECT_NEAR(length_mm[0], channels[0].lid_mm.x, 1e-9);
  EXPECT_EQ(length_mm[1], 0);
  EXPECT_NEAR(length_mm[2], channels[2].lid_mm.x, 1e-9);
}

}  // namespace
}  // namespace seamwright
