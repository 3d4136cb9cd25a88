#include "seamwright/mesh/load.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <unistd.h>

#include <cstring>
#include <filesystem>
#include <fstream>

#include "seamwright/core/random.h"
#include "seamwright/mesh/save.h"
#include "support/places.h"
#include "support/shapes.h"
#include "support/soups.h"
#include "support/stl.h"

namespace seamwright {
namespace {

namespace fs = std::filesystem;
using ::testing::AllOf;
using testing::box_solid;
using ::testing::HasSubstr;

constexpr float kNan = std::numeric_limits<float>::quiet_NaN();
constexpr float kInf = std::numeric_limits<float>::infinity();

/// A binary STL of the given corners (9 floats a face) that claims `count` faces.
std::string binary_stl(const std::vector<float>& corners, std::uint32_t count,
                       const std::string& title = "part") {
  std::string bytes = title;
  bytes.resize(80);
  bytes.append(reinterpret_cast<const char*>(&count), 4);
  for (std::size_t f = 0; f < corners.size() / 9; ++f) {
    bytes.append(12, '\0');
    bytes.append(reinterpret_cast<const char*>(corners.data() + 9 * f), 36);
    bytes.append(2, '\0');
  }
  return bytes;
}

const std::vector<float> kTwoFaces{0, 0, 0, 1, 0, 0, 0, 1, 0, 1, 0, 0, 1, 1, 0, -0.0F, 1, -0.0F};

/// A new folder that goes away with its content.
class Folder {
 public:
  Folder()
      : path_(fs::temp_directory_path() /
              ("seamwright-load-" + std::to_string(::getpid()) + "-" +
               std::to_string(reinterpret_cast<std::uintptr_t>(this)))) {
    fs::create_directories(path_);
  }
  ~Folder() { fs::remove_all(path_); }
  fs::path put(const std::string& name, const std::string& content) const {
    std::ofstream(path_ / name, std::ios::binary) << content;
    return path_ / name;
  }
  const fs::path& path() const { return path_; }

 private:
  fs::path path_;
};

void expect_error(const Result<TriangleSoup>& read, const std::string& code,
                  const std::string& part) {
  ASSERT_FALSE(read) << "expected " << code;
  EXPECT_EQ(read.error().code, code) << read.error().message;
  EXPECT_THAT(read.error().message, HasSubstr(part));
}

TEST(ReadStl, WeldsCornersByExactPosition) {
  const TriangleSoup soup = read_stl(binary_stl(kTwoFaces, 2), "part.stl").value();
  ASSERT_EQ(soup.triangles.size(), 2U);
  EXPECT_EQ(soup.points.size(), 4U) << "-0 and 0 are one position";
  EXPECT_EQ(soup.triangles[0][1], soup.triangles[1][0]);
  EXPECT_EQ(soup.triangles[0][2], soup.triangles[1][2]);
}

TEST(ReadStl, KeepsNeighboursThatDifferInTheLastBit) {
  std::vector<float> corners = kTwoFaces;
  corners[9] = std::nextafter(1.0F, 2.0F);
  EXPECT_EQ(read_stl(binary_stl(corners, 2), "part.stl").value().points.size(), 5U);
}

TEST(ReadStl, AgreesWithThePlainReader) {
  const std::string bytes = testing::file_bytes(testing::parts_dir() + "/elephant.stl");
  const TriangleSoup own = read_stl(bytes, "elephant.stl").value(),
                     plain = testing::read_binary_stl(bytes);
  EXPECT_EQ(own.points, plain.points);
  EXPECT_EQ(own.triangles, plain.triangles);
}

TEST(ReadStl, DoesNotDependOnTheThreadCount) {
  const std::string bytes = testing::file_bytes(testing::parts_dir() + "/armadillo.stl");
  const TriangleSoup one = read_stl(bytes, "", {.thread_count = 1}).value();
  for (int threads : {2, 7}) {
    const TriangleSoup many = read_stl(bytes, "", {.thread_count = threads}).value();
    EXPECT_EQ(one.points, many.points);
    EXPECT_EQ(one.triangles, many.triangles);
  }
}

TEST(ReadStl, ReadsABinaryFileWhoseHeaderBeginsSolid) {
  const auto soup =
      read_stl(binary_stl(kTwoFaces, 2, "solid made by a careless program"), "part.stl");
  EXPECT_EQ(soup.value().triangles.size(), 2U);
}

TEST(ReadStl, RefusesABinaryFileThatBeginsSolidAndIsTruncated) {
  std::string bytes = binary_stl(kTwoFaces, 2, "solid made by a careless program");
  bytes.pop_back();
  expect_error(read_stl(bytes, "part.stl"), "file-truncated", "part.stl");
}

TEST(ReadStl, RefusesALyingCountBeforeAllocating) {
  for (std::uint32_t count : {19U, 1000000000U, 0xffffffffU}) {
    std::string bytes = binary_stl(kTwoFaces, count);
    bytes.resize(1000);
    expect_error(read_stl(bytes, "part.stl"), "file-truncated", std::to_string(count));
  }
}

TEST(ReadStl, RefusesMoreBytesThanItsCountSays) {
  expect_error(read_stl(binary_stl(kTwoFaces, 1), "part.stl"), "file-malformed", "50 bytes more");
}

TEST(ReadStl, RefusesNumbersThatAreNotFiniteAndNamesThem) {
  for (float bad : {kNan, kInf, -kInf}) {
    std::vector<float> corners = kTwoFaces;
    corners[9 + 4] = bad;
    expect_error(read_stl(binary_stl(corners, 2), "part.stl"), "file-not-finite",
                 "triangle 2 (byte 162): y of corner 2");
  }
}

TEST(ReadStl, RefusesAnEmptyFile) {
  expect_error(read_stl("", "part.stl"), "file-empty", "part.stl");
}

TEST(ReadStl, RefusesAFileWithoutFaces) {
  expect_error(read_stl(binary_stl({}, 0), "part.stl"), "no-faces", "0 triangles");
  expect_error(read_stl("solid nothing\nendsolid nothing\n", "part.stl"), "no-faces", "part.stl");
}

TEST(ReadStl, RefusesEveryShorteningOfABinaryFile) {
  const std::string bytes = binary_stl(kTwoFaces, 2);
  for (std::size_t size = 0; size < bytes.size(); ++size) {
    const auto read = read_stl(std::string_view(bytes).substr(0, size), "part.stl");
    ASSERT_FALSE(read) << size;
    EXPECT_THAT(read.error().message, HasSubstr("part.stl"));
  }
}

const std::string kText =
    "solid fin\n facet normal 0 0 1\n  outer loop\n   vertex 0 0 0\n   vertex 1 0 0\n   vertex 0 1 "
    "0\n  endloop\n endfacet\n"
    "facet normal nan nan nan outer loop vertex +1.0e0 0 0 vertex 1 1 0 vertex -0 1 -0.0 endloop "
    "endfacet\nendsolid fin\n";

TEST(ReadStl, ReadsText) {
  const TriangleSoup soup = read_stl(kText, "fin.stl").value();
  EXPECT_EQ(soup.triangles.size(), 2U);
  EXPECT_EQ(soup.points.size(), 4U);
}

TEST(ReadStl, ReadsTextInCapitalsWithOtherLineEnds) {
  std::string text;
  for (char c : kText)
    text += c == '\n' ? std::string("\r\n") : std::string(1, static_cast<char>(std::toupper(c)));
  EXPECT_EQ(read_stl(text, "fin.stl").value().triangles.size(), 2U);
}

TEST(ReadStl, ReadsSeveralTextSolids) {
  EXPECT_EQ(read_stl(kText + kText, "fin.stl").value().triangles.size(), 4U);
}

TEST(ReadStl, NamesTheLineOfMalformedText) {
  std::string text = kText;
  text.replace(text.find("vertex 1 0 0"), 12, "vertex 1 0,5 0");
  expect_error(read_stl(text, "fin.stl"), "file-malformed", "fin.stl, line 5: \"0,5\"");
  text = kText;
  text.replace(text.find("endloop"), 7, "endlop");
  expect_error(read_stl(text, "fin.stl"), "file-malformed", "line 7");
}

TEST(ReadStl, NamesTheLineOfNumbersThatAreNotFinite) {
  for (const char* bad : {"nan", "inf", "-inf", "1e999"}) {
    std::string text = kText;
    text.replace(text.find("vertex 1 0 0"), 12, std::string("vertex 1 ") + bad + " 0");
    expect_error(read_stl(text, "fin.stl"), "file-not-finite", "line 5");
  }
}

TEST(ReadStl, RefusesEveryShorteningOfText) {
  for (std::size_t size = 0; size + 5 < kText.find("endsolid") + 8; ++size) {
    EXPECT_FALSE(read_stl(std::string_view(kText).substr(0, size), "fin.stl")) << size;
  }
}

TEST(ReadStl, StopsWhenToldTo) {
  const std::atomic<Cancel> cancel{Cancel::stop};
  expect_error(read_stl(kText, "fin.stl", {.cancel = &cancel}), "cancelled", "fin.stl");
}

TEST(ReadStl, SurvivesRandomDamage) {
  Random random(7);
  const std::string binary = stl_bytes(box_solid({}, {3, 2, 1}));
  for (int round = 0; round < 2000; ++round) {
    std::string bytes = round % 2 == 0 ? binary : kText;
    for (int i = 0; i < 3; ++i)
      bytes[random.below(bytes.size())] = static_cast<char>(random.below(256));
    bytes.resize(bytes.size() - random.below(3));
    const auto read = read_stl(bytes, "part.stl");
    if (!read) continue;
    for (const Triangle& t : read->triangles) {
      for (VertexId v : t) ASSERT_LT(to_index(v), read->points.size());
    }
  }
}

TEST(LoadMesh, NamesWhatIsWrongWithThePath) {
  const Folder folder;
  expect_error(load_mesh(folder.path() / "none.stl"), "file-not-found", "none.stl");
  expect_error(load_mesh(folder.path()), "file-is-folder", "folder");
  expect_error(load_mesh("/dev/null"), "file-not-regular", "/dev/null");
  expect_error(load_mesh(folder.put("empty.stl", "")), "file-empty", "empty.stl");
  expect_error(load_mesh(folder.put("notes.txt", "dear diary")), "file-kind-unknown", "STL, OBJ");
}

TEST(LoadMesh, NamesMissingPermission) {
  const Folder folder;
  const fs::path file = folder.put("locked.stl", binary_stl(kTwoFaces, 2));
  fs::permissions(file, fs::perms::none);
  if (::geteuid() == 0) {
    // The superuser may read everything: as another user the same call must be refused.
    fs::permissions(folder.path(), fs::perms::all);
    ASSERT_EQ(::seteuid(65534), 0);
    const auto read = load_mesh(file);
    ASSERT_EQ(::seteuid(0), 0);
    expect_error(read, "file-no-permission", "locked.stl");
  } else {
    expect_error(load_mesh(file), "file-no-permission", "locked.stl");
  }
}

TEST(LoadMesh, TellsTheKindByContentBeforeTheEnding) {
  const Folder folder;
  EXPECT_EQ(load_mesh(folder.put("stl.obj", kText)).value().triangles.size(), 2U);
  EXPECT_EQ(load_mesh(folder.put("binary.ply", binary_stl(kTwoFaces, 2))).value().triangles.size(),
            2U);
  const std::string off = "OFF\n3 1 0\n0 0 0\n1 0 0\n0 1 0\n3 0 1 2\n";
  EXPECT_EQ(load_mesh(folder.put("off.stl", off)).value().triangles.size(), 1U);
  EXPECT_EQ(load_mesh(folder.put("obj.txt", "v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 3\n"))
                .value()
                .triangles.size(),
            1U);
}

// Source: OBJ's format appendix (CHECKS "Files"): 1-based and negative indices, v, v/vt, v//vn,
// v/vt/vn.
TEST(LoadMesh, ReadsEveryFormOfObjFace) {
  const Folder folder;
  const std::string head = "v 0 0 0\nv 1 0 0\nv 0 1 0\nvt 0 0\nvn 0 0 1\n";
  for (const char* face :
       {"f 1 2 3\n", "f 1/1 2/1 3/1\n", "f 1//1 2//1 3//1\n", "f 1/1/1 2/1/1 3/1/1\n",
        "f -3 -2 -1\n", "f -3//-1 -2//-1 -1//-1\n", "f 1 2 \\\n3\n"}) {
    const TriangleSoup soup = load_mesh(folder.put("face.obj", head + face)).value();
    ASSERT_EQ(soup.triangles.size(), 1U) << face;
    EXPECT_EQ(soup.points[to_index(soup.triangles[0][1])], (Vec3{1, 0, 0})) << face;
    EXPECT_EQ(soup.points[to_index(soup.triangles[0][2])], (Vec3{0, 1, 0})) << face;
  }
}

TEST(LoadMesh, KeepsObjGroupsAndMaterials) {
  const Folder folder;
  const std::string text =
      "v 0 0 0\nv 1 0 0\nv 0 1 0\nv 1 1 0\ng shell\nusemtl green\nf 1 2 3\nusemtl gold\nf 2 4 3\ng "
      "rim\nf 1 3 4\n";
  const TriangleSoup soup = load_mesh(folder.put("beetle.obj", text)).value();
  ASSERT_EQ(soup.triangles.size(), 3U);
  ASSERT_EQ(soup.groups.size(), 3U);
  EXPECT_THAT(soup.group_names, ::testing::ElementsAre("shell/green", "shell/gold", "rim/gold"));
  EXPECT_EQ(soup.groups, (std::vector<std::uint32_t>{0, 1, 2}));
  EXPECT_EQ(soup.points.size(), 4U) << "groups share their corners";
}

TEST(LoadMesh, DividesPolygonsWithoutOpeningThem) {
  const Folder folder;
  // An L-shaped prism: two concave hexagons and six quadrilaterals.
  const std::string text =
      "OFF\n12 8 0\n0 0 0\n3 0 0\n3 1 0\n1 1 0\n1 3 0\n0 3 0\n0 0 2\n3 0 2\n3 1 2\n1 1 2\n1 3 2\n0 "
      "3 2\n"
      "6 5 4 3 2 1 0\n6 6 7 8 9 10 11\n4 0 1 7 6\n4 1 2 8 7\n4 2 3 9 8\n4 3 4 10 9\n4 4 5 11 10\n4 "
      "5 0 6 11\n";
  const Solid solid = testing::solid_of(load_mesh(folder.put("l.off", text)).value());
  EXPECT_EQ(solid.face_count(), 20U);
  double volume = 0;
  for (std::size_t f = 0; f < solid.face_count(); ++f) {
    const auto [a, b, c] = solid.corners(to_id<FaceId>(f));
    volume += dot(a, cross(b, c)) / 6;
  }
  EXPECT_NEAR(volume, 10, 1e-12) << "5 mm² times 2 mm";
}

TEST(LoadMesh, RefusesLyingCountsInHeaders) {
  const Folder folder;
  expect_error(load_mesh(folder.put("a.off", "OFF\n4294967295 4294967295 0\n0 0 0\n")),
               "file-truncated", "4294967295");
  expect_error(
      load_mesh(folder.put("a.ply",
                           "ply\nformat ascii 1.0\nelement vertex 4294967295\nproperty float x\n"
                           "property float y\nproperty float z\nelement face 1\n"
                           "property list uchar int vertex_indices\nend_header\n0 0 0\n")),
      "file-truncated", "4294967295");
}

TEST(LoadMesh, NeverThrowsOnDamagedFilesOfAnyKind) {
  const Folder folder;
  Random random(11);
  const std::string models = "/usr/share/assimp/models";
  for (const char* name :
       {"/OBJ/box.obj", "/PLY/cube.ply", "/PLY/cube_binary.ply", "/OFF/Cube.off", "/3MF/box.3mf"}) {
    const std::string whole = testing::file_bytes(models + name);
    for (int round = 0; round < 40; ++round) {
      std::string bytes = whole;
      for (int i = 0; i < 4; ++i)
        bytes[random.below(bytes.size())] = static_cast<char>(random.below(256));
      if (round % 2 == 0) bytes.resize(random.below(bytes.size()));
      EXPECT_NO_THROW({
        const auto read =
            load_mesh(folder.put("damaged" + fs::path(name).extension().string(), bytes));
        if (!read) {
          EXPECT_FALSE(read.error().message.empty());
        }
      }) << name;
    }
  }
}

TEST(ReadStl, ABinaryFileShorterThanItsHeaderSaysSo) {
  const Result<TriangleSoup> read = read_stl(std::string(50, '\0'), "a.stl");
  ASSERT_FALSE(read);
  EXPECT_EQ(read.error().code, "file-truncated");
  EXPECT_THAT(read.error().message, ::testing::HasSubstr("has 50 bytes"));
  EXPECT_THAT(read.error().message, ::testing::HasSubstr("begins with 84"));
}

TEST(ReadStl, AHeaderOfLettersCutShortIsToldAsTooShortNotAsBadText) {
  for (const std::string title :
       {"solid made by a careless program", "Exported part of a beetle", "facade 7", "\n \n"}) {
    std::string header = title;
    header.resize(50, ' ');
    expect_error(read_stl(header, "a.stl"), "file-truncated", "has 50 bytes, too few");
  }
  expect_error(read_stl("solid a\n facet normal 0 O 1 outer lop", "a.stl"), "file-malformed",
               "line 2: \"lop\"");
}

}  // namespace
}  // namespace seamwright
