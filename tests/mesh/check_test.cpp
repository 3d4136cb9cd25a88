#include "seamwright/mesh/check.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "support/broken.h"
#include "support/soups.h"
#include "support/stl.h"

namespace seamwright {
namespace {

using testing::box_soup;
using testing::flipped;
using testing::merged;
using testing::sphere_soup;
using testing::torus_soup;
using testing::without_faces;

const HealthFinding* find(const HealthReport& report, const std::string& code) {
  for (const HealthFinding& finding : report.findings) {
    if (finding.code == code) return &finding;
  }
  return nullptr;
}
std::size_t count_of(const HealthReport& report, const std::string& code) {
  const HealthFinding* finding = find(report, code);
  return finding == nullptr ? 0 : finding->count;
}
std::string all_codes(const HealthReport& report) {
  std::string text;
  for (const HealthFinding& finding : report.findings) text += finding.code + " ";
  return text;
}

const TriangleSoup kBall = sphere_soup({10, 20, 30}, 100, 40, 20);

TEST(CheckMesh, FindsNothingWrongWithASoundMesh) {
  const HealthReport report = check_mesh(kBall);
  EXPECT_EQ(all_codes(report), "");
  EXPECT_TRUE(report.is_closed);
  EXPECT_EQ(report.shell_count, 1U);
  EXPECT_NEAR(report.size_mm.z, 200, 1e-9);
  EXPECT_NEAR(*report.volume_mm3, testing::volume_of(kBall), 1e-6 * testing::volume_of(kBall));
}

// Source: Euler's formula, V − E + F = 2 − 2g a shell.
TEST(CheckMesh, CountsEulersNumber) {
  EXPECT_EQ(check_mesh(kBall).euler_number, 2);
  EXPECT_EQ(check_mesh(torus_soup(40, 10, 24, 12)).euler_number, 0);
  EXPECT_EQ(check_mesh(merged({kBall, box_soup({300, 0, 0}, {310, 10, 10})})).euler_number, 4);
  EXPECT_EQ(check_mesh(without_faces(kBall, 200, 1)).euler_number, 1);
}

// Sources: a sphere has no way through, a torus one (Euler's formula as above).
TEST(CheckMesh, CountsTheHolesThatGoThrough) {
  const TriangleSoup ring = torus_soup(40, 10, 24, 12);
  EXPECT_EQ(check_mesh(kBall).hole_count, 0u);
  EXPECT_EQ(check_mesh(ring).hole_count, 1u);
  EXPECT_EQ(check_mesh(merged({ring, kBall})).hole_count, 1u) << "apart or one in the other";
  TriangleSoup inner = torus_soup(40, 6, 24, 12);
  for (Triangle& t : inner.triangles) std::swap(t[1], t[2]);
  EXPECT_EQ(check_mesh(merged({ring, inner})).hole_count, 1u)
      << "a hollow ring has one way through";
  EXPECT_EQ(check_mesh(without_faces(ring, 20, 1)).hole_count, std::nullopt) << "open";
  // Two boxes that touch in a point have no hole, though their Euler number is odd.
  const TriangleSoup touching =
      merged({box_soup({0, 0, 0}, {10, 10, 10}), box_soup({10, 10, 10}, {20, 20, 20})});
  EXPECT_EQ(check_mesh(touching).hole_count, 0u);
  EXPECT_EQ(check_mesh(touching).euler_number, 3);
}

TEST(CheckMesh, MeasuresAreaAndVolumeOfABox) {
  const HealthReport report = check_mesh(box_soup({0, 0, 0}, {30, 20, 10}));
  EXPECT_DOUBLE_EQ(report.area_mm2, 2200);
  EXPECT_DOUBLE_EQ(*report.volume_mm3, 6000);
}

TEST(CheckMesh, FindsOpenEdgesWithTheirPlaces) {
  const HealthReport report = check_mesh(without_faces(kBall, 200, 1));
  EXPECT_FALSE(report.is_closed);
  EXPECT_FALSE(report.volume_mm3);
  ASSERT_EQ(count_of(report, "open-edge"), 3U);
  const Triangle gone = kBall.triangles[200];
  const Vec3 corner = kBall.points[to_index(gone[0])];
  for (const Vec3& place : find(report, "open-edge")->places) EXPECT_LT(norm(place - corner), 20);
}

TEST(CheckMesh, NamesTenPlacesAtMost) {
  const HealthReport report = check_mesh(without_faces(kBall, 0, 100));
  EXPECT_GT(count_of(report, "open-edge"), 10U);
  EXPECT_EQ(find(report, "open-edge")->places.size(), 10U);
}

TEST(CheckMesh, FindsFlippedEdges) {
  TriangleSoup soup = kBall;
  std::swap(soup.triangles[200][0], soup.triangles[200][1]);
  const HealthReport report = check_mesh(soup);
  EXPECT_EQ(count_of(report, "flipped-edge"), 3U);
  EXPECT_EQ(count_of(report, "open-edge"), 0U);
}

TEST(CheckMesh, FindsNonManifoldEdges) {
  TriangleSoup soup = box_soup({0, 0, 0}, {10, 10, 10});
  soup.points.push_back({5, 5, 15});
  soup.triangles.push_back({VertexId{4}, VertexId{7}, VertexId{8}});
  const HealthReport report = check_mesh(soup);
  EXPECT_EQ(count_of(report, "non-manifold-edge"), 1U);
  EXPECT_TRUE(find(report, "non-manifold-edge")->is_fault);
}

TEST(CheckMesh, CallsBodiesThatTouchInAnEdgeNoFault) {
  const HealthReport report =
      check_mesh(merged({box_soup({0, 0, 0}, {10, 10, 10}), box_soup({10, 10, 0}, {20, 20, 10})}));
  ASSERT_EQ(count_of(report, "non-manifold-edge"), 1U);
  EXPECT_FALSE(find(report, "non-manifold-edge")->is_fault);
  EXPECT_TRUE(report.is_closed);
  EXPECT_EQ(report.shell_count, 2U);
}

TEST(CheckMesh, FindsDuplicateFaces) {
  TriangleSoup soup = kBall;
  soup.triangles.push_back(soup.triangles[3]);
  EXPECT_EQ(count_of(check_mesh(soup), "duplicate-face"), 1U);
}

TEST(CheckMesh, FindsFacesWithoutArea) {
  TriangleSoup soup = box_soup({0, 0, 0}, {10, 10, 10});
  soup.triangles.push_back({VertexId{0}, VertexId{0}, VertexId{1}});
  soup.points.push_back({5, 0, 0});
  soup.triangles.push_back({VertexId{0}, VertexId{8}, VertexId{1}});
  EXPECT_EQ(count_of(check_mesh(soup), "zero-area-face"), 2U);
}

TEST(CheckMesh, FindsUnusedPoints) {
  TriangleSoup soup = kBall;
  soup.points.push_back({1, 2, 3});
  EXPECT_EQ(count_of(check_mesh(soup), "unused-point"), 1U);
  EXPECT_FALSE(find(check_mesh(soup), "unused-point")->is_fault);
}

TEST(CheckMesh, FindsSelfCrossings) {
  TriangleSoup soup = testing::torus_soup(40, 10, 24, 12);
  // One corner pushed through the pipe's other side.
  soup.points[0] = soup.points[6 * 24] * 0.5;
  EXPECT_GT(count_of(check_mesh(soup), "self-crossing"), 0U);
  EXPECT_EQ(count_of(check_mesh(testing::torus_soup(40, 10, 24, 12)), "self-crossing"), 0U);
}

TEST(CheckMesh, FindsAFaceFoldedOntoItsNeighbour) {
  TriangleSoup soup;
  soup.points = {{0, 0, 0}, {10, 0, 0}, {5, 5, 0}, {5, 3, 0}};
  soup.triangles = {{VertexId{0}, VertexId{1}, VertexId{2}},
                    {VertexId{1}, VertexId{0}, VertexId{3}}};
  EXPECT_EQ(count_of(check_mesh(soup), "self-crossing"), 1U);
}

TEST(CheckMesh, FindsOverlappingBodies) {
  const HealthReport report =
      check_mesh(merged({box_soup({0, 0, 0}, {10, 10, 10}), box_soup({5, 5, 5}, {15, 15, 15})}));
  EXPECT_EQ(count_of(report, "overlapping-bodies"), 1U);
  EXPECT_EQ(count_of(report, "self-crossing"), 0U);
  EXPECT_FALSE(find(report, "overlapping-bodies")->is_fault) << "they pass as one part";
}

TEST(CheckMesh, FindsInsideOutShells) {
  EXPECT_EQ(count_of(check_mesh(flipped(kBall)), "inside-out-shell"), 1U);
  const HealthReport two =
      check_mesh(merged({kBall, flipped(box_soup({300, 0, 0}, {310, 10, 10}))}));
  EXPECT_EQ(count_of(two, "inside-out-shell"), 1U);
}

TEST(CheckMesh, FindsNestedShellsAndCallsThemNoFault) {
  const HealthReport report =
      check_mesh(merged({kBall, flipped(sphere_soup({10, 20, 30}, 90, 40, 20))}));
  EXPECT_EQ(count_of(report, "nested-shell"), 1U);
  EXPECT_FALSE(find(report, "nested-shell")->is_fault);
  EXPECT_EQ(count_of(report, "inside-out-shell"), 0U);
  EXPECT_EQ(count_of(report, "thin-wall"), 0U) << "the wall is 10 mm";
}

TEST(CheckMesh, FindsThinWallsAndSaysThatItSampled) {
  const HealthReport report = check_mesh(box_soup({0, 0, 0}, {100, 100, 0.5}));
  ASSERT_GT(count_of(report, "thin-wall"), 100U);
  EXPECT_THAT(find(report, "thin-wall")->advice,
              ::testing::AllOf(::testing::HasSubstr("sampled"), ::testing::HasSubstr("0.50 mm")));
  EXPECT_EQ(count_of(check_mesh(box_soup({0, 0, 0}, {100, 100, 1})), "thin-wall"), 0U);
}

TEST(CheckMesh, DoesNotDependOnTheThreadCount) {
  const TriangleSoup soup = merged({kBall, sphere_soup({60, 20, 30}, 90, 40, 20)});
  const HealthReport one = check_mesh(soup, {.thread_count = 1});
  for (int threads : {2, 7}) {
    const HealthReport many = check_mesh(soup, {.thread_count = threads});
    ASSERT_EQ(all_codes(one), all_codes(many));
    for (std::size_t i = 0; i < one.findings.size(); ++i) {
      EXPECT_EQ(one.findings[i].count, many.findings[i].count);
      EXPECT_EQ(one.findings[i].places, many.findings[i].places);
    }
  }
}

}  // namespace
}  // namespace seamwright
