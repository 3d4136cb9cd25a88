#include <gtest/gtest.h>

#include <cstring>

#include "joints/random_plan.h"
#include "joints/self_crossing.h"
#include "seamwright/query/mass_properties.h"
#include "support/stl.h"

namespace seamwright {
namespace {

using testing::cut_and_pose;
using testing::keyed;
using testing::PosedParts;
using testing::random_plan;

/// Closed, volume as computed, and no crossing that the bare piece did not have.
void check_pieces(const PosedParts& parts, const KeyedPieces& out, const std::string& what) {
  for (std::size_t p = 0; p < parts.pieces.size(); ++p) {
    const Solid &bare = parts.pieces[p].solid, &solid = out.solids[p];
    SCOPED_TRACE(what + " " + parts.pieces[p].id);
    EXPECT_FALSE(find_open_edge(solid.points(), solid.triangles()));
    const double expected = volume_mm3(bare) + out.added_volume_mm3[p];
    EXPECT_NEAR(volume_mm3(solid), expected, 1e-6 * std::max(1.0, expected));
    EXPECT_LE(testing::float_crossings(solid), testing::float_crossings(bare));
  }
}

struct Tally {
  std::size_t faces = 0, keyed = 0, keys = 0, marks = 0, warnings = 0;
  void add(const KeyedPieces& out) {
    faces += out.joints.size();
    for (const Joint& j : out.joints) keyed += !j.keys.empty(), keys += j.keys.size();
    marks += out.marks.size();
    warnings += out.warnings.size();
  }
};

class ReferenceParts : public ::testing::TestWithParam<const char*> {};

TEST_P(ReferenceParts, StayClosedAndUncrossedWithKeys) {
  const Solid part = testing::reference_part(GetParam());
  Tally tally;
  for (std::uint64_t seed = 1; seed <= 2; ++seed) {
    const PosedParts parts = cut_and_pose(part, random_plan(part, seed, 2));
    for (KeyKind kind : {KeyKind::dowel, KeyKind::pin}) {
      const KeyedPieces out = keyed(parts, {.key = kind});
      check_pieces(parts, out, "seed " + std::to_string(seed));
      tally.add(out);
    }
  }
  EXPECT_EQ(tally.faces > 0 && tally.keyed > 0, std::string(GetParam()) != "shell");
}

INSTANTIATE_TEST_SUITE_P(All, ReferenceParts,
                         ::testing::Values("rod", "bracket", "panel", "ring", "shell", "armadillo",
                                           "elephant", "camel"),
                         [](const auto& value) { return std::string(value.param); });

TEST(KeyPieces, GivesTheSameBytesOnAnyThreadCount) {
  const Solid part = testing::reference_part("elephant");
  const PosedParts parts = cut_and_pose(part, random_plan(part, 7, 2));
  const KeyedPieces one = keyed(parts, {.key = KeyKind::pin}, 1);
  for (int threads : {2, 7}) {
    const KeyedPieces other = keyed(parts, {.key = KeyKind::pin}, threads);
    ASSERT_EQ(one.solids.size(), other.solids.size());
    for (std::size_t p = 0; p < one.solids.size(); ++p) {
      const auto a = one.solids[p].points(), b = other.solids[p].points();
      ASSERT_EQ(a.size(), b.size());
      EXPECT_EQ(std::memcmp(a.data(), b.data(), a.size_bytes()), 0);
      const auto s = one.solids[p].triangles(), t = other.solids[p].triangles();
      ASSERT_EQ(s.size(), t.size());
      EXPECT_EQ(std::memcmp(s.data(), t.data(), s.size_bytes()), 0);
    }
  }
}

}  // namespace
}  // namespace seamwright
