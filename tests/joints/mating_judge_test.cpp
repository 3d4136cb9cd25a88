// Whole plans put together, judged by CGAL: pieces in place overlap nothing and slide together
// along the seam's normal. SEAMWRIGHT_PLANS sets how many random plans; CI runs a few.
#include <gtest/gtest.h>

#include <cstdlib>

#include "joints/judge_mesh.h"
#include "joints/random_plan.h"
#include "joints/self_crossing.h"
#include "seamwright/query/mass_properties.h"
#include "support/stl.h"

namespace seamwright {
namespace {

std::size_t wanted_plans() {
  const char* text = std::getenv("SEAMWRIGHT_PLANS");
  return text != nullptr ? static_cast<std::size_t>(std::atoi(text)) : 8;
}

constexpr const char* kParts[] = {"bracket",  "panel", "ring",      "rod",
                                  "elephant", "camel", "armadillo", "shell"};
constexpr KeyKind kKinds[] = {KeyKind::dowel, KeyKind::pin, KeyKind::tongue, KeyKind::magnet};

struct Tally {
  std::size_t plans = 0, pieces = 0, joints = 0, keyed = 0, keys = 0, meeting = 0, open = 0,
              crossed = 0;
};

/// A piece that is a hair (1e-4 mm) off its place and meets nothing overlaps by less than 1e-4 mm
/// times the joint's area; from there on out, nothing may be in the way.
void check_mating(const KeyedPieces& out, const Joint& joint, Vec3 normal, Tally& tally) {
  const auto below = testing::judge_mesh(out.solids[to_index(joint.face.below)]);
  for (double way_mm : {1e-4, 0.4, 1.5, 4.0, 12.0}) {
    const auto above = testing::judge_mesh(out.solids[to_index(joint.face.above)], normal * way_mm);
    if (!testing::surfaces_meet(above, below)) continue;
    ++tally.meeting;
    ADD_FAILURE() << "pieces meet " << way_mm << " mm apart";
    return;
  }
}

void check_plan(const Solid& part, std::uint64_t seed, KeyKind kind, Tally& tally) {
  const auto parts = testing::cut_and_pose(part, testing::random_plan(part, seed, 2));
  const KeyedPieces out = testing::keyed(parts, {.key = kind});
  ++tally.plans;
  for (std::size_t p = 0; p < out.solids.size(); ++p) {
    ++tally.pieces;
    const Solid &solid = out.solids[p], &bare = parts.pieces[p].solid;
    tally.open += find_open_edge(solid.points(), solid.triangles()).has_value();
    tally.crossed += testing::float_crossings(solid) > testing::float_crossings(bare);
    const double expected = volume_mm3(bare) + out.added_volume_mm3[p];
    EXPECT_NEAR(volume_mm3(solid), expected, 1e-6 * std::max(1.0, expected));
  }
  for (const Joint& joint : out.joints) {
    ++tally.joints;
    tally.keyed += !joint.keys.empty();
    tally.keys += joint.keys.size();
    if (joint.keys.empty()) continue;
    check_mating(out, joint, find_seam(parts.plan, joint.face.seam)->plane.normal, tally);
  }
}

TEST(Mating, RandomPlansGoTogetherWithoutOverlap) {
  Tally tally;
  for (std::size_t k = 0; k < wanted_plans(); ++k) {
    const char* name = kParts[k % std::size(kParts)];
    const KeyKind kind = kKinds[(k / std::size(kParts) + k) % std::size(kKinds)];
    SCOPED_TRACE(std::string(name) + " plan " + std::to_string(k));
    check_plan(testing::reference_part(name), 1000 + k, kind, tally);
  }
  std::printf(
      "%zu plans, %zu pieces (%zu open, %zu crossed), %zu joints, %zu keyed with %zu keys, %zu "
      "meet\n",
      tally.plans, tally.pieces, tally.open, tally.crossed, tally.joints, tally.keyed, tally.keys,
      tally.meeting);
  EXPECT_EQ(tally.open, 0u);
  EXPECT_EQ(tally.crossed, 0u);
  EXPECT_EQ(tally.meeting, 0u);
}

}  // namespace
}  // namespace seamwright
