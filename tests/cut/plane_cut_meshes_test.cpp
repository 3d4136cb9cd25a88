#include <gtest/gtest.h>

#include <cstdlib>
#include <filesystem>

#include "cut/cut_checks.h"
#include "support/places.h"
#include "support/soups.h"
#include "support/stl.h"

namespace seamwright {
namespace {

constexpr SeamId kSeam{5};

std::string fault_of(const Solid& solid, std::uint64_t seed, std::uint64_t stream) {
  Random random(seed, stream);
  const Plane plane =
      testing::nasty_plane(solid, random, static_cast<int>(stream % testing::kNastyKinds));
  const std::string fault = testing::cut_fault(solid, plane, kSeam, plane_cut(solid, plane, kSeam));
  if (fault.empty()) return "";
  return fmt::format("{} at stream {}: normal ({:.17g}, {:.17g}, {:.17g}), offset {:.17g}", fault,
                     stream, plane.normal.x, plane.normal.y, plane.normal.z, plane.offset_mm);
}

class PlaneCutMeshes : public ::testing::TestWithParam<const char*> {};

// libcgal-demo's meshes, as they are and rounded to 5 mm.
TEST_P(PlaneCutMeshes, KeepEveryGuaranteeUnderNastyPlanes) {
  const Solid solid = testing::sized_mesh(GetParam());
  const std::uint64_t cuts = solid.face_count() > 40'000 ? 18 : 45;
  for (std::uint64_t i = 0; i < cuts; ++i) EXPECT_EQ(fault_of(solid, 21, i), "");
}
TEST_P(PlaneCutMeshes, KeepEveryGuaranteeRoundedToAGrid) {
  const Solid solid = testing::sized_mesh(GetParam(), 5);
  const std::uint64_t cuts = solid.face_count() > 40'000 ? 9 : 36;
  for (std::uint64_t i = 0; i < cuts; ++i) EXPECT_EQ(fault_of(solid, 22, i), "");
}
INSTANTIATE_TEST_SUITE_P(OpenData, PlaneCutMeshes,
                         ::testing::Values("armadillo", "bear", "camel", "refined_elephant", "bull",
                                           "anchor_dense", "fandisk", "knot1", "cow", "spool",
                                           "rotor", "couplingdown", "3torus"),
                         [](const auto& test) { return "Mesh_" + std::string(test.param); });

/// The archive's meshes that are closed, and those that close when points are rounded to 5 mm.
std::vector<Solid> closed_archive_meshes() {
  std::vector<std::string> names;
  for (const auto& entry : std::filesystem::directory_iterator(testing::parts_dir() + "/meshes")) {
    if (entry.path().extension() == ".off") names.push_back(entry.path().stem().string());
  }
  std::sort(names.begin(), names.end());
  std::vector<Solid> closed;
  for (const std::string& name : names) {
    for (const double grid_mm : {0.0, 5.0}) {
      try {
        Result<Solid> solid = testing::try_sized_mesh(name, grid_mm);
        if (solid && volume_mm3(*solid) > 1) closed.push_back(std::move(solid).value());
      } catch (const std::exception&) {
        continue;  // other kinds of OFF
      }
    }
  }
  return closed;
}

// 10,000 planes over all closed meshes of the archive with SEAMWRIGHT_ALL_CASES=1 in the
// environment, else two a mesh.
TEST(PlaneCutMeshes, EveryClosedMeshOfTheArchiveIsCut) {
  const bool has_all = std::getenv("SEAMWRIGHT_ALL_CASES") != nullptr;
  const std::vector<Solid> meshes = closed_archive_meshes();
  ASSERT_GE(meshes.size(), 90u);
  const std::size_t cuts = has_all ? 10'000 / meshes.size() + 1 : 2;
  std::size_t done = 0;
  for (const Solid& solid : meshes) {
    for (std::uint64_t i = 0; i < cuts; ++i) EXPECT_EQ(fault_of(solid, 24, done++), "");
  }
  std::printf("%zu cuts of %zu meshes\n", done, meshes.size());
}

// Found by the test above: a wall without area along the section, one edge of it divided.
TEST(PlaneCutMeshes, AWallWithoutAreaIsDividedOnce) {
  const Solid solid = testing::sized_mesh("mpi", 5);
  const Plane plane{{0.8, -0.6, 0}, 96};
  EXPECT_EQ(testing::cut_fault(solid, plane, kSeam, plane_cut(solid, plane, kSeam)), "");
}

TEST(PlaneCutMeshes, RandomTetrahedraThatCrossAreCut) {
  for (std::uint64_t stream = 0; stream < 60; ++stream) {
    Random random(23, stream);
    std::vector<TriangleSoup> soups;
    for (int i = 0; i < 12; ++i) {
      TriangleSoup soup{{}, {}, {}, {}, {}};
      for (int k = 0; k < 4;
           ++k) {  // a coarse grid: many corners coincide, many faces lie in one plane
        soup.points.push_back(
            {double(random.below(5)), double(random.below(5)), double(random.below(5))});
      }
      for (auto t : {std::array{0, 2, 1}, {0, 1, 3}, {0, 3, 2}, {1, 2, 3}}) {
        soup.triangles.push_back({VertexId(t[0]), VertexId(t[1]), VertexId(t[2])});
      }
      const Vec3 a = soup.points[0];
      const double six = dot(soup.points[1] - a, cross(soup.points[2] - a, soup.points[3] - a));
      if (six != 0) soups.push_back(six > 0 ? soup : testing::flipped(soup));
    }
    const Solid solid = testing::solid_of(testing::merged(soups));
    for (std::uint64_t i = 0; i < 36; ++i) EXPECT_EQ(fault_of(solid, stream, i), "");
    for (double z : {1.0, 2.0, 3.0}) {
      EXPECT_EQ(
          testing::cut_fault(solid, {{0, 0, 1}, z}, kSeam, plane_cut(solid, {{0, 0, 1}, z}, kSeam)),
          "");
    }
  }
}

}  // namespace
}  // namespace seamwright
