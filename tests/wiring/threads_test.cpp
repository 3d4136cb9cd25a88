// The same bits on any thread count, for every parallel function of the room: the body field, the
// hidden skin and the booleans' search of crossings, by parts wired through a bore and a ridge.

#include <gtest/gtest.h>

#include <cstring>

#include "seamwright/query/ray_tree.h"
#include "seamwright/wiring/wire_part.h"
#include "wiring/body_field.h"
#include "wiring/wired_bodies.h"

namespace seamwright {
namespace {

template <class T>
bool same_bits(std::span<const T> a, std::span<const T> b) {
  return a.size() == b.size() && std::memcmp(a.data(), b.data(), a.size_bytes()) == 0;
}

TEST(WiringThreads, GiveTheSameBodyFieldForOneTwoAndSeven) {
  const testing::WiredBody body("bull");
  const RayTree tree(body.solid);
  const wiring_detail::BodyField one(body.solid, tree, {.thread_count = 1});
  EXPECT_GT(
      std::count_if(one.depths_mm().begin(), one.depths_mm().end(), [](float d) { return d > 0; }),
      10000);
  for (const int threads : {2, 7}) {
    const wiring_detail::BodyField many(body.solid, tree, {.thread_count = threads});
    EXPECT_TRUE(same_bits(one.depths_mm(), many.depths_mm())) << threads;
  }
}

TEST(WiringThreads, GiveTheSameWiredPartForOneTwoAndSeven) {
  for (const WireKind kind : {WireKind::bore, WireKind::rib}) {
    const testing::WiredBody body(kind == WireKind::rib ? "panel" : "bull");
    const auto [from, to] = body.random_pair(0);
    const WiringSpec spec{
        .wires = {{.name = "way", .from = from, .to = to, .kind = kind, .diameter_mm = 4}}};
    const WiredPart one = *wire_part(body.solid, spec, body.ridge_sight(), {.thread_count = 1});
    for (const int threads : {2, 7}) {
      const WiredPart many =
          *wire_part(body.solid, spec, body.ridge_sight(), {.thread_count = threads});
      EXPECT_TRUE(same_bits<Vec3>(one.solid.points(), many.solid.points())) << threads;
      EXPECT_TRUE(same_bits<Triangle>(one.solid.triangles(), many.solid.triangles())) << threads;
      EXPECT_TRUE(same_bits<Vec3>(one.channels[0].path, many.channels[0].path)) << threads;
    }
  }
}

}  // namespace
}  // namespace seamwright
