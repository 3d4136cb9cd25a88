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

double segment_distance_mm(Vec3 a, Vec3 b, Vec3 p) {
  const Vec3 along = b - a;
  const double length2 = dot(along, along);
  const double t = length2 > 0 ? std::clamp(dot(p - a, along) / length2, 0.0, 1.0) : 0.0;
  return norm(p - (a + along * t));
}

/// By projection and clamping to edges, apart from the program's own.
double face_distance_mm(const std::array<Vec3, 3>& t, Vec3 p) {
  const Vec3 n = normalized(cross(t[1] - t[0], t[2] - t[0]));
  bool inside = norm(n) > 0;
  for (std::size_t i = 0; i < 3; ++i) {
    inside &= dot(cross(t[(i + 1) % 3] - t[i], p - t[i]), n) >= 0;
  }
  if (inside) return std::abs(dot(p - t[0], n));
  double least = 1e9;
  for (std::size_t i = 0; i < 3; ++i)
    least = std::min(least, segment_distance_mm(t[i], t[(i + 1) % 3], p));
  return least;
}

/// Each hole's points under its mouth against all of the bare piece but the seam's cap: brute
/// force.
double least_wall_mm(const Solid& bare, const Solid& keyed_solid, std::uint32_t id, const Key& key,
                     SeamId seam) {
  std::vector<Vec3> points;
  Box3 box;
  for (std::size_t f = 0; f < keyed_solid.face_count(); ++f) {
    if (!(keyed_solid.origins()[f] == Origin{OriginKind::key, id})) continue;
    for (Vec3 c : keyed_solid.corners(to_id<FaceId>(f))) {
      if (std::abs(dot(c - key.at, key.axis)) < 0.5) continue;  // the mouth's bevel is no wall
      points.push_back(c);
      box.extend(c);
    }
  }
  const Vec3 reach{2, 2, 2};
  double least = 2;
  for (std::size_t f = 0; f < bare.face_count(); ++f) {
    if (bare.origins()[f] == Origin{OriginKind::cap, static_cast<std::uint32_t>(seam)}) continue;
    const auto corners = bare.corners(to_id<FaceId>(f));
    Box3 own;
    for (Vec3 c : corners) own.extend(c);
    bool far = false;
    for (std::size_t i = 0; i < 3; ++i) {
      far |= own.low[i] > box.high[i] + reach[i] || own.high[i] < box.low[i] - reach[i];
    }
    if (far) continue;
    for (Vec3 p : points) least = std::min(least, face_distance_mm(corners, p));
  }
  return least;
}

/// How far the outline, turned by half about `twice_middle` / 2, is from itself at most.
double uncovered_mm(const Region2& region, Vec2 twice_middle) {
  double farthest = 0;
  for (const Vec2 p : region.outer)
    farthest = std::max(farthest, region_edge_distance_mm(region, twice_middle - p));
  return farthest;
}

/// The best shift of the half turn about the region's middle, by a plain grid: the greater of the
/// shift and of the worst key's distance to a hole that takes it.
double half_turn_misfit_mm(const Joint& joint, const Plane& plane) {
  const PlaneFrame frame(plane);
  double area = 0;
  Vec2 moment;
  const auto add = [&](const Loop2& loop) {
    for (std::size_t i = 0; i < loop.size(); ++i) {
      const Vec2 a = loop[i], b = loop[(i + 1) % loop.size()];
      area += cross(a, b) / 2;
      moment = moment + (a + b) * (cross(a, b) / 6);
    }
  };
  add(joint.face.region.outer);
  for (const Loop2& hole : joint.face.region.holes) add(hole);
  const Vec2 middle = moment / area;
  double best = 1e9;
  for (double x = -3; x <= 3; x += 0.1) {
    for (double y = -3; y <= 3; y += 0.1) {
      double worst = std::hypot(x, y);
      for (const Key& key : joint.keys) {
        const Vec2 turned = 2 * middle - frame.flatten(key.at) + Vec2{x, y};
        double nearest = 1e9;
        for (const Key& hole : joint.keys) {
          const double too_thick = std::max(0.0, key.diameter_mm - hole.diameter_mm - 0.5);
          const double aside = norm(turned - frame.flatten(hole.at)) + too_thick;
          nearest = std::min(nearest, std::max(aside, key.depth_mm - hole.depth_mm));
        }
        worst = std::max(worst, nearest);
      }
      if (worst < 1.5 && worst < best)
        worst = std::max(worst, uncovered_mm(joint.face.region, 2 * middle + Vec2{x, y}));
      best = std::min(best, worst);
    }
  }
  return best;
}

void check_keys(const PosedParts& parts, const KeyedPieces& out, const Joinery& joinery) {
  std::uint32_t id = 0;
  for (const Joint& joint : out.joints) {
    const Seam& seam = *find_seam(parts.plan, joint.face.seam);
    bool can_turn = joint.keys.size() < 2 || joint.kind == KeyKind::tongue;  // not round
    for (const JointWarning& w : out.warnings) can_turn |= w.code == "joint-can-turn";
    if (!can_turn) {
      EXPECT_GE(half_turn_misfit_mm(joint, seam.plane), 1.5 - 0.1);
    }
    for (const Key& key : joint.keys) {
      for (PieceId piece : {joint.face.above, joint.face.below}) {
        if (key.male == piece) continue;
        const std::size_t p = to_index(piece);
        EXPECT_GE(least_wall_mm(parts.pieces[p].solid, out.solids[p], id, key, seam.id),
                  joinery.wall_to_skin_mm - 1e-6)
            << parts.pieces[p].id << " key " << id;
      }
      ++id;
    }
  }
}

class ReferenceParts : public ::testing::TestWithParam<const char*> {};

#ifdef SEAMWRIGHT_SANITIZED
constexpr std::uint64_t kPlans = 1;
#else
constexpr std::uint64_t kPlans = 2;
#endif

TEST_P(ReferenceParts, StayClosedAndUncrossedWithKeys) {
  const Solid part = testing::reference_part(GetParam());
  Tally tally;
  for (std::uint64_t seed = 1; seed <= kPlans; ++seed) {
    const PosedParts parts = cut_and_pose(part, random_plan(part, seed, 2));
    for (KeyKind kind : {KeyKind::dowel, KeyKind::pin}) {
      const KeyedPieces out = keyed(parts, {.key = kind});
      check_pieces(parts, out, "seed " + std::to_string(seed));
      check_keys(parts, out, {.key = kind});
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
