// A ball of each bore's radius and a box as large as its connector are moved along its whole way in
// the pieces as written (floats, welded anew), put together again: ways between random places of
// the half-shell, the panel, and bodies of Debian's libcgal-demo, each wire threaded with its plug
// on, which decides the bore: a small plug, then larger ones. Thirteen cases always; all 48 with
// SEAMWRIGHT_ALL_CASES=1 in the environment. The demo carapace's own wires: tests/job.

#include <gtest/gtest.h>

#include <cstdlib>

#include "wiring/wired_bodies.h"
#include "wiring/written_way.h"

namespace seamwright {
namespace {

/// Three planes across the way, none of them along it.
SeamPlan plan_across(const Channel& channel, Random& random) {
  SeamPlan plan;
  std::optional<SeamId> parent;
  for (const double share : {0.3, 0.5, 0.7}) {
    const std::size_t at =
        static_cast<std::size_t>(share * static_cast<double>(channel.path.size()));
    const Vec3 along = normalized(channel.path[at + 1] - channel.path[at - 1]);
    const Vec3 normal = normalized(along + random.direction() * 0.4);
    plan = *apply(plan, AddSeam{parent, Side::above, {normal, dot(normal, channel.path[at])}});
    parent = plan.seams.back().id;
  }
  return plan;
}

struct WrittenCase {
  const char* body;
  int few, all;
  Vec3 plug_mm{3, 2, 6};
};

class WrittenChannels : public ::testing::TestWithParam<WrittenCase> {
 protected:
  static WireSpec wire_between(Vec3 from, Vec3 to, Vec3 plug_mm) {
    return {.name = "way",
            .from = from,
            .to = to,
            .conductors = {"2xAWG28"},
            .connector_mm = plug_mm,
            .pass = ConnectorPass::threaded};
  }
};

TEST_P(WrittenChannels, LetABallAndTheConnectorsBoxPassThroughAllPieces) {
  const bool has_all = std::getenv("SEAMWRIGHT_ALL_CASES") != nullptr;
  const int cases = has_all ? GetParam().all : GetParam().few;
  if (cases == 0) GTEST_SKIP() << "a body for SEAMWRIGHT_ALL_CASES=1";
  const testing::WiredBody body(GetParam().body);
  double least_bend_mm = 1e9;
  for (int i = 0; i < cases; ++i) {
    const auto [from, to] = body.random_pair(i);
    const Result<WiredPart> wired = wire_part(
        body.solid, {.wires = {wire_between(from, to, GetParam().plug_mm)}}, body.ridge_sight());
    ASSERT_TRUE(wired) << GetParam().body << " case " << i << ": " << wired.error().message;
    const Channel& channel = wired->channels[0];
    EXPECT_GE(channel.least_wall_mm, channel.kind == "rib" ? 1.4 : 1.2) << i;
    EXPECT_EQ(channel.governed_by, "connector") << i;
    // Six diameters of two AWG 28, 2 × 1.2 mm side by side, are 14.4 mm: fifteen is asked.
    EXPECT_GE(channel.least_bend_mm, 15) << i;
    least_bend_mm = std::min(least_bend_mm, channel.least_bend_mm);
    Random random(11, static_cast<std::uint64_t>(i));
    const SeamPlan plan = plan_across(channel, random);
    const std::vector<JointFace> faces = *find_joint_faces(plan, *cut_plan(wired->solid, plan));
    const auto crossings = find_crossings(plan, faces, wired->channels);
    EXPECT_GE(crossings.size(), 1u) << i;
    const Result<Solid> funnelled = cut_funnels(wired->solid, plan, crossings, wired->channels);
    ASSERT_TRUE(funnelled) << i << ": " << funnelled.error().message;
    const testing::WrittenPieces pieces(*cut_plan(*funnelled, plan));
    EXPECT_GE(pieces.least_room_mm(channel.path), channel.diameter_mm / 2 - 1e-3) << i;
    EXPECT_EQ(pieces.box_collisions(channel.path, *channel.wire.connector_mm), 0) << i;
  }
  RecordProperty("cases", cases);
  RecordProperty("least_bend_mm", std::to_string(least_bend_mm));
}
INSTANTIATE_TEST_SUITE_P(On, WrittenChannels,
                         ::testing::Values(WrittenCase{"shell", 2, 8}, WrittenCase{"panel", 1, 4},
                                           WrittenCase{"elephant", 1, 4},
                                           WrittenCase{"armadillo", 1, 4},
                                           WrittenCase{"bull", 1, 3}, WrittenCase{"homer", 1, 3},
                                           WrittenCase{"fandisk", 1, 3},
                                           WrittenCase{"femur", 1, 3}),
                         [](const auto& tested) { return std::string(tested.param.body); });
INSTANTIATE_TEST_SUITE_P(WithLargerPlugs, WrittenChannels,
                         ::testing::Values(WrittenCase{"shell", 1, 4, {5, 3, 9}},
                                           WrittenCase{"panel", 1, 4, {6, 3, 8}},
                                           WrittenCase{"elephant", 1, 4, {6, 4, 12}},
                                           WrittenCase{"armadillo", 1, 2, {5, 3, 9}},
                                           WrittenCase{"bull", 1, 2, {4, 4, 10}}),
                         [](const auto& tested) { return std::string(tested.param.body); });

}  // namespace
}  // namespace seamwright
