// A ball of each bore's radius is moved along its whole way in the pieces as written (floats,
// welded anew), put together again. Six cases always; all 40 with SEAMWRIGHT_ALL_CASES=1 in the
// environment.

#include <gtest/gtest.h>

#include <cstdlib>

#include "seamwright/core/random.h"
#include "seamwright/mesh/save.h"
#include "seamwright/query/ray_tree.h"
#include "seamwright/query/sight.h"
#include "seamwright/wiring/funnels.h"
#include "support/stl.h"

namespace seamwright {
namespace {

struct Body {
  std::string name;
  Solid solid;
  std::vector<double> sight;  ///< empty: only bores
  std::vector<std::uint32_t> mouths;
};

Body body_of(const std::string& name) {
  Body body{name, testing::reference_part(name), {}, {}};
  if (name == "shell")
    body.sight = *face_sight(body.solid, {.mode = SightMode::worn, .rays_per_face = 16});
  for (std::uint32_t f = 0; f < body.solid.face_count(); ++f) {
    // A ridge starts on the hidden side, away from the rim at z = 0.
    const bool is_mouth = body.sight.empty() ||
                          (body.sight[f] < 0.3 && body.solid.corners(to_id<FaceId>(f))[0].z > 30);
    if (is_mouth) body.mouths.push_back(f);
  }
  return body;
}

Vec3 middle_of(const Solid& solid, std::uint32_t face) {
  const auto [a, b, c] = solid.corners(to_id<FaceId>(face));
  return (a + b + c) / 3;
}

/// Three planes across the way, none of them along it.
SeamPlan plan_across(const Channel& channel, Random& random) {
  SeamPlan plan;
  std::optional<SeamId> parent;
  for (const double share : {0.3, 0.5, 0.7}) {
    const std::size_t at =
        static_cast<std::size_t>(share * static_cast<double>(channel.path.size()));
    const Vec3 along = normalized(channel.path[at + 1] - channel.path[at - 1]);
    const Vec3 normal = normalized(along + random.direction() * 0.4);
    const Side side = Side::above;
    plan = *apply(plan, AddSeam{parent, side, {normal, dot(normal, channel.path[at])}});
    parent = plan.seams.back().id;
  }
  return plan;
}

Solid as_written(const Solid& solid) {
  return testing::make_solid(testing::read_binary_stl(stl_bytes(solid))).value();
}

void expect_ball_passes(const std::string& what, const Channel& channel,
                        const std::vector<CutPiece>& pieces) {
  for (const CutPiece& piece : pieces) {
    const RayTree tree(as_written(piece.solid));
    for (const Vec3& p : channel.path) {
      ASSERT_GE(tree.nearest(p)->distance_mm, channel.diameter_mm / 2 - 0.03)
          << what << " in piece " << piece.id << " at " << p.x << ' ' << p.y << ' ' << p.z;
      ASSERT_FALSE(tree.contains(p)) << what;
    }
  }
}

void run_case(const Body& body, int number) {
  Random random(11, static_cast<std::uint64_t>(number));
  Vec3 from, to;
  do {
    from = middle_of(body.solid, body.mouths[random.below(body.mouths.size())]);
    to = middle_of(body.solid, body.mouths[random.below(body.mouths.size())]);
  } while (norm(to - from) < 120);
  const std::string what = body.name + " case " + std::to_string(number);
  const Result<WiredPart> wired =
      wire_part(body.solid, {.wires = {{.name = "way", .from = from, .to = to, .diameter_mm = 4}}},
                body.sight);
  ASSERT_TRUE(wired) << what << ": " << wired.error().message;
  const Channel& channel = wired->channels[0];
  EXPECT_GE(channel.least_wall_mm, 1.2 - 1e-6) << what;
  const SeamPlan plan = plan_across(channel, random);
  const std::vector<CutPiece> first = *cut_plan(wired->solid, plan);
  const auto crossings = find_crossings(plan, *find_joint_faces(plan, first), wired->channels);
  EXPECT_GE(crossings.size(), 1u) << what;
  const Result<Solid> funnelled = cut_funnels(wired->solid, plan, crossings, wired->channels);
  ASSERT_TRUE(funnelled) << what << ": " << funnelled.error().message;
  expect_ball_passes(what, channel, *cut_plan(*funnelled, plan));
}

TEST(WrittenChannels, LetABallOfTheBoresRadiusPassThroughAllPieces) {
  const bool has_all = std::getenv("SEAMWRIGHT_ALL_CASES") != nullptr;
  int number = 0;
  for (const auto& [name, few, all] : {std::tuple{"shell", 3, 20}, std::tuple{"elephant", 1, 10},
                                       std::tuple{"armadillo", 2, 10}}) {
    const Body body = body_of(name);
    for (int i = 0; i < (has_all ? all : few); ++i) run_case(body, number++);
  }
}

}  // namespace
}  // namespace seamwright
