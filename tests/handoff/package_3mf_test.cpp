#include "seamwright/handoff/package_3mf.h"

#include <assimp/postprocess.h>
#include <assimp/scene.h>
#include <gtest/gtest.h>

#include <assimp/Importer.hpp>
#include <regex>
#include <set>

#include "handoff/unzip.h"
#include "seamwright/query/mass_properties.h"
#include "support/shapes.h"

namespace seamwright {
namespace {

using testing::make_box;
using testing::unzip;

/// A solid of unit cubes that share their corner points.
Solid voxels(const std::set<std::array<int, 3>>& cubes) {
  TriangleSoup soup;
  std::map<std::array<int, 3>, VertexId> point_of;
  const auto point = [&](std::array<int, 3> at) {
    const auto [found, is_new] = point_of.try_emplace(at, to_id<VertexId>(soup.points.size()));
    if (is_new) soup.points.push_back(Vec3{10.0 * at[0], 10.0 * at[1], 10.0 * at[2]});
    return found->second;
  };
  for (const auto& cube : cubes) {
    for (int axis = 0; axis < 3; ++axis) {
      for (const int way : {0, 1}) {
        std::array<int, 3> beside = cube;
        beside[axis] += way == 1 ? 1 : -1;
        if (cubes.contains(beside)) continue;
        std::array<std::array<int, 3>, 4> corner;
        for (int i = 0; i < 4; ++i) {
          const int u = i == 1 || i == 2, v = i >= 2;
          corner[i] = cube;
          corner[i][axis] += way;
          corner[i][(axis + 1) % 3] += way == 1 ? u : v;
          corner[i][(axis + 2) % 3] += way == 1 ? v : u;
        }
        soup.triangles.push_back({point(corner[0]), point(corner[1]), point(corner[2])});
        soup.triangles.push_back({point(corner[0]), point(corner[2]), point(corner[3])});
      }
    }
  }
  return Solid::make(std::move(soup)).value();
}

struct ReadMesh {
  std::string name;
  std::vector<Vec3> points;
  std::vector<std::array<int, 3>> triangles;
};

/// The objects of a 3MF model part, by the plainest scan.
std::vector<ReadMesh> read_model(const std::string& xml) {
  std::vector<ReadMesh> meshes;
  const std::regex tag(R"re(<(object|vertex|triangle) ([^>]*)/?>)re");
  const std::regex field(R"re((\w+)="([^"]*)")re");
  for (std::sregex_iterator it(xml.begin(), xml.end(), tag), end; it != end; ++it) {
    std::map<std::string, std::string> fields;
    const std::string inner = (*it)[2];
    for (std::sregex_iterator f(inner.begin(), inner.end(), field); f != end; ++f)
      fields[(*f)[1]] = (*f)[2];
    const std::string kind = (*it)[1];
    if (kind == "object") meshes.push_back({fields["name"], {}, {}});
    if (kind == "vertex")
      meshes.back().points.push_back(
          {std::stod(fields["x"]), std::stod(fields["y"]), std::stod(fields["z"])});
    if (kind == "triangle")
      meshes.back().triangles.push_back(
          {std::stoi(fields["v1"]), std::stoi(fields["v2"]), std::stoi(fields["v3"])});
  }
  return meshes;
}

/// 3MF core specification, meshes: every edge is shared by exactly two triangles, in opposite
/// order.
void expect_manifold_by_index(const ReadMesh& mesh) {
  std::map<std::pair<int, int>, int> count;
  for (const auto& t : mesh.triangles) {
    for (int k = 0; k < 3; ++k) ++count[{t[k], t[(k + 1) % 3]}];
  }
  for (const auto& [edge, times] : count) {
    EXPECT_EQ(times, 1) << edge.first << "-" << edge.second;
    EXPECT_TRUE(count.contains({edge.second, edge.first})) << edge.first << "-" << edge.second;
  }
}

double signed_volume(const ReadMesh& mesh) {
  double sum = 0;
  for (const auto& t : mesh.triangles)
    sum += dot(mesh.points[t[0]], cross(mesh.points[t[1]], mesh.points[t[2]])) / 6;
  return sum;
}

std::string package_of(const Solid& solid) {
  const NamedSolid named{"A1", &solid};
  return package_3mf({&named, 1}, "seamwright test").value();
}

std::string model_of(const std::string& package) {
  return unzip(package).at("3D/3dmodel.model").bytes;
}

TEST(Package3mf, HoldsOneModelInMillimetres) {
  const auto entries = unzip(package_of(make_box({10, 20, 30})));
  ASSERT_TRUE(entries.contains("[Content_Types].xml"));
  ASSERT_TRUE(entries.contains("_rels/.rels"));
  std::size_t model_count = 0;
  for (const auto& [name, entry] : entries) model_count += name.ends_with(".model");
  EXPECT_EQ(model_count, 1u);
  const std::string& xml = entries.at("3D/3dmodel.model").bytes;
  EXPECT_NE(xml.find("unit=\"millimeter\""), std::string::npos);
  EXPECT_NE(xml.find("http://schemas.microsoft.com/3dmanufacturing/core/2015/02"),
            std::string::npos);
}

TEST(Package3mf, KeepsNamesPlacesAndVolumes) {
  const Solid a = make_box({10, 20, 30}), b = make_box({5, 5, 5}, {100, 0, 0});
  const std::vector<NamedSolid> solids{{"A1", &a}, {"B2 & <C>", &b}};
  const auto meshes = read_model(model_of(package_3mf(solids, "seamwright test").value()));
  ASSERT_EQ(meshes.size(), 2u);
  EXPECT_EQ(meshes[0].name, "A1");
  EXPECT_NEAR(signed_volume(meshes[0]), 6000, 1e-6);
  EXPECT_NEAR(signed_volume(meshes[1]), 125, 1e-6);
  EXPECT_EQ(meshes[1].points[0].x, 100);
}

TEST(Package3mf, EveryEdgeHasTwoTrianglesByIndexWhereCubesTouchAlongAnEdge) {
  const Solid touching = voxels({{0, 0, 0}, {1, 1, 0}});
  const auto meshes = read_model(model_of(package_of(touching)));
  expect_manifold_by_index(meshes.at(0));
  EXPECT_NEAR(signed_volume(meshes[0]), 2000, 1e-6);
  EXPECT_EQ(meshes[0].points.size(), 16u) << "both cubes have their own corners";
}

TEST(Package3mf, EveryEdgeHasTwoTrianglesByIndexWhereCubesTouchInAPoint) {
  const auto meshes = read_model(model_of(package_of(voxels({{0, 0, 0}, {1, 1, 1}}))));
  expect_manifold_by_index(meshes.at(0));
  EXPECT_EQ(meshes[0].points.size(), 16u);
}

TEST(Package3mf, AnEdgeWhoseSheetsHangTogetherAtBothEndsIsHalved) {
  std::set<std::array<int, 3>> cubes{{0, 0, 1}, {1, 1, 1}};
  for (const int z : {0, 2})
    for (const int x : {0, 1})
      for (const int y : {0, 1}) cubes.insert({x, y, z});
  const Solid pinched = voxels(cubes);
  const auto meshes = read_model(model_of(package_of(pinched)));
  expect_manifold_by_index(meshes.at(0));
  EXPECT_NEAR(signed_volume(meshes[0]), 10000, 1e-6);
  EXPECT_EQ(meshes[0].triangles.size(), pinched.face_count() + 2);
}

TEST(Package3mf, AnyHeapOfCubesIsManifoldByIndex) {
  std::uint64_t state = 12345;
  for (int round = 0; round < 40; ++round) {
    std::set<std::array<int, 3>> cubes{{0, 0, 0}};
    for (int i = 0; i < 27; ++i) {
      state = state * 6364136223846793005ULL + 1442695040888963407ULL;
      if (state >> 63) cubes.insert({i % 3, i / 3 % 3, i / 9});
    }
    const auto meshes = read_model(model_of(package_of(voxels(cubes))));
    expect_manifold_by_index(meshes.at(0));
    EXPECT_NEAR(signed_volume(meshes[0]), 1000.0 * static_cast<double>(cubes.size()), 1e-6);
  }
}

TEST(Package3mf, IsTheSameBytesEveryTimeWithAPlainDate) {
  const Solid torus = testing::make_torus(20, 5);
  const std::string first = package_of(torus);
  EXPECT_EQ(first, package_of(torus));
  constexpr std::uint32_t kFirstOf1980 = 0x00210000;
  for (const auto& [name, entry] : unzip(first)) {
    EXPECT_EQ(entry.dos_date, kFirstOf1980) << name;
    EXPECT_EQ(entry.local_dos_date, kFirstOf1980) << name;
  }
}

TEST(Package3mf, AssimpReadsTheSameVolume) {
  const Solid torus = testing::make_torus(20, 5);
  const std::string package = package_of(torus);
  Assimp::Importer importer;
  const aiScene* scene =
      importer.ReadFileFromMemory(package.data(), package.size(), aiProcess_Triangulate, "3mf");
  ASSERT_NE(scene, nullptr) << importer.GetErrorString();
  double volume = 0;
  for (unsigned m = 0; m < scene->mNumMeshes; ++m) {
    const aiMesh& mesh = *scene->mMeshes[m];
    for (unsigned f = 0; f < mesh.mNumFaces; ++f) {
      const auto at = [&](int k) {
        const aiVector3D& p = mesh.mVertices[mesh.mFaces[f].mIndices[k]];
        return Vec3{p.x, p.y, p.z};
      };
      volume += dot(at(0), cross(at(1), at(2))) / 6;
    }
  }
  EXPECT_NEAR(volume, volume_mm3(torus), 1e-4 * volume);
}

}  // namespace
}  // namespace seamwright
