#include <gtest/gtest.h>

#include <algorithm>
#include <map>
#include <set>

#include "cut/cut_checks.h"
#include "support/soups.h"
#include "support/stl.h"

namespace seamwright {
namespace {

using testing::box_soup;
using testing::flipped;
using testing::merged;
using testing::solid_of;

double total_mm3(const std::vector<Solid>& parts) {
  double total = 0;
  for (const Solid& part : parts) total += volume_mm3(part);
  return total;
}

/// Shells by walking from face to face over shared edges, the plainest way. Right only where
/// no edge has four faces.
std::size_t count_shells(const Solid& solid) {
  std::map<std::pair<VertexId, VertexId>, std::vector<std::size_t>> faces_of;
  for (std::size_t f = 0; f < solid.face_count(); ++f) {
    const Triangle& t = solid.triangles()[f];
    for (std::size_t i = 0; i < 3; ++i) faces_of[std::minmax(t[i], t[(i + 1) % 3])].push_back(f);
  }
  std::vector<bool> is_seen(solid.face_count());
  std::size_t shells = 0;
  for (std::size_t start = 0; start < solid.face_count(); ++start) {
    if (is_seen[start]) continue;
    ++shells;
    std::vector<std::size_t> open{start};
    is_seen[start] = true;
    while (!open.empty()) {
      const Triangle t = solid.triangles()[open.back()];
      open.pop_back();
      for (std::size_t i = 0; i < 3; ++i) {
        for (std::size_t g : faces_of[std::minmax(t[i], t[(i + 1) % 3])]) {
          if (!is_seen[g]) is_seen[g] = true, open.push_back(g);
        }
      }
    }
  }
  return shells;
}

TEST(SplitComponents, OneBodyComesBackAsItIs) {
  const Solid torus = solid_of(testing::torus_soup(20, 5, 24, 12));
  const auto parts = split_components(torus);
  ASSERT_EQ(parts.size(), 1u);
  EXPECT_TRUE(std::ranges::equal(parts[0].points(), torus.points()));
  EXPECT_TRUE(std::ranges::equal(parts[0].triangles(), torus.triangles()));
  EXPECT_TRUE(std::ranges::equal(parts[0].origins(), torus.origins()));
}

TEST(SplitComponents, TouchingVerticesDoNotJoinBodies) {
  TriangleSoup soup = merged({box_soup({0, 0, 0}, {1, 1, 1}), box_soup({1, 1, 1}, {2, 2, 2})});
  for (Triangle& t : soup.triangles) {
    for (VertexId& v : t) v = v == VertexId{8} ? VertexId{7} : v;
  }
  const auto parts = split_components(solid_of(soup));
  ASSERT_EQ(parts.size(), 2u);
  for (const Solid& part : parts) EXPECT_EQ(part.points().size(), 8u);
}

/// Wedges around the z axis that share its edge by index: each is a body of its own.
TEST(SplitComponents, WedgesAroundOneEdgeComeApart) {
  for (std::size_t wedges = 2; wedges <= 5; ++wedges) {
    TriangleSoup soup{{{0, 0, 0}, {0, 0, 1}}, {}, {}, {}, {}};
    for (std::size_t w = 0; w < wedges; ++w) {
      const double a = 0.3 + 6.28 * static_cast<double>(w) / static_cast<double>(wedges),
                   b = a + 0.9;
      const auto first = static_cast<std::uint32_t>(soup.points.size());
      soup.points.push_back({std::cos(a), std::sin(a), 0.5});
      soup.points.push_back({std::cos(b), std::sin(b), 0.5});
      const VertexId low{0}, high{1}, p{first}, q{first + 1};
      soup.triangles.insert(soup.triangles.end(),
                            {{low, p, high}, {low, high, q}, {low, q, p}, {high, p, q}});
    }
    const auto parts = split_components(solid_of(soup));
    ASSERT_EQ(parts.size(), wedges);
    for (const Solid& part : parts) EXPECT_EQ(part.face_count(), 4u);
  }
}

TEST(SplitComponents, AreOrderedByTheirLeastVertex) {
  const auto parts = split_components(
      solid_of(merged({box_soup({5, 0, 0}, {6, 1, 1}), box_soup({0, 3, 0}, {1, 4, 1}),
                       box_soup({0, 0, 2}, {1, 1, 3}), box_soup({0, 0, 0}, {1, 1, 1})})));
  ASSERT_EQ(parts.size(), 4u);
  EXPECT_EQ(parts[0].box().low, (Vec3{0, 0, 0}));
  EXPECT_EQ(parts[1].box().low, (Vec3{0, 0, 2}));
  EXPECT_EQ(parts[2].box().low, (Vec3{0, 3, 0}));
  EXPECT_EQ(parts[3].box().low, (Vec3{5, 0, 0}));
}

TEST(SplitComponents, NestVoidsInTheShellAroundThemNotInTheBoxAroundThem) {
  // A hollow ball lies in the hole of a ring: inside the ring's box, outside the ring.
  TriangleSoup ring = testing::torus_soup(20, 5, 48, 24);
  const Solid all = solid_of(merged({ring, testing::sphere_soup({0, 0, 0}, 4, 24, 12),
                                     flipped(testing::sphere_soup({0, 0, 0}, 2, 24, 12))}));
  const auto parts = split_components(all);
  ASSERT_EQ(parts.size(), 2u);
  EXPECT_EQ(parts[0].face_count(), ring.triangles.size());
  EXPECT_NEAR(total_mm3(parts), volume_mm3(all), 1e-9);
}

TEST(SplitComponents, TheInnerWallOfATubeBelongsToTheTube) {
  const Solid hollow = solid_of(
      merged({testing::torus_soup(20, 5, 48, 24), flipped(testing::torus_soup(20, 4, 48, 24))}));
  EXPECT_EQ(split_components(hollow).size(), 1u);
  const auto cut = plane_cut(hollow, {normalized({1, 2, 0.5}), 1}, SeamId{1}).value();
  EXPECT_EQ(split_components(*cut.above).size(), 1u);
}

TEST(SplitComponents, MatchAWalkOverSharedEdges) {
  for (const char* name : {"camel", "bull", "anchor_dense", "spool"}) {
    const Solid solid = testing::make_solid(testing::cgal_demo_mesh(name)).value();
    for (std::uint64_t i = 0; i < 12; ++i) {
      Random random(31, i);
      const auto cut =
          plane_cut(solid, testing::nasty_plane(solid, random, i % 2 ? 0 : 7), SeamId{1}).value();
      for (const auto* half : {&cut.above, &cut.below}) {
        if (!*half) continue;
        const auto parts = split_components(**half);
        std::size_t shells = 0;
        for (const Solid& part : parts) {
          EXPECT_FALSE(find_open_edge(part.points(), part.triangles()));
          EXPECT_GT(volume_mm3(part), 0);
          shells += count_shells(part);
        }
        EXPECT_EQ(shells, count_shells(**half)) << name << " stream " << i;
        EXPECT_NEAR(total_mm3(parts), volume_mm3(**half), 1e-12 * volume_mm3(**half));
      }
    }
  }
}

TEST(SplitComponents, TellsTouchingBodiesApart) {
  TriangleSoup soup = merged({box_soup({0, 0, 0}, {1, 1, 1}), box_soup({1, 1, 0}, {2, 2, 1})});
  for (Triangle& t : soup.triangles) {
    for (VertexId& v : t) {
      if (v == VertexId{8}) v = VertexId{3};
      if (v == VertexId{12}) v = VertexId{7};
    }
  }
  const auto parts = split_components(solid_of(soup));
  ASSERT_EQ(parts.size(), 2u);
  for (const Solid& part : parts) EXPECT_NEAR(volume_mm3(part), 1, 1e-12);
  EXPECT_EQ(parts[0].box().low, (Vec3{0, 0, 0}));
}

TEST(SplitComponents, NestsVoidsByContainment) {
  // A body with a void, in it a loose body with a void of its own, and another body beside.
  const Solid all = solid_of(
      merged({box_soup({20, 0, 0}, {21, 1, 1}), testing::flipped(box_soup({1, 1, 1}, {9, 9, 9})),
              box_soup({0, 0, 0}, {10, 10, 10}), testing::flipped(box_soup({4, 4, 4}, {5, 5, 5})),
              box_soup({3, 3, 3}, {6, 6, 6})}));
  const auto parts = split_components(all);
  ASSERT_EQ(parts.size(), 3u);
  EXPECT_NEAR(volume_mm3(parts[0]), 1000 - 512, 1e-9);
  EXPECT_NEAR(volume_mm3(parts[1]), 27 - 1, 1e-9);
  EXPECT_NEAR(volume_mm3(parts[2]), 1, 1e-12);
}

}  // namespace
}  // namespace seamwright
