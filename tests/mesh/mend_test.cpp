#include "seamwright/mesh/mend.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "seamwright/core/random.h"
#include "seamwright/mesh/load.h"
#include "support/broken.h"
#include "support/soups.h"
#include "support/stl.h"

namespace seamwright {
namespace {

using ::testing::AnyOf;
using testing::box_soup;
using ::testing::Contains;
using ::testing::ElementsAre;
using testing::flipped;
using ::testing::HasSubstr;
using testing::merged;
using testing::sphere_soup;
using testing::unwelded;
using testing::volume_of;
using testing::without_faces;

std::vector<std::string> codes(const Mended& mended) {
  std::vector<std::string> out;
  for (const MendStep& step : mended.steps) out.push_back(step.code);
  return out;
}

Mended mended(TriangleSoup soup) {
  Result<Mended> result = mend(std::move(soup));
  if (!result) throw std::runtime_error(result.error().code + ": " + result.error().message);
  EXPECT_EQ(testing::unbalanced_edges(result->solid.triangles()), 0U);
  EXPECT_EQ(result->solid.origins().size(), result->solid.face_count());
  return std::move(result).value();
}

void expect_refused(TriangleSoup soup, const std::string& code, const std::string& part) {
  const Result<Mended> result = mend(std::move(soup));
  ASSERT_FALSE(result) << "expected " << code;
  EXPECT_EQ(result.error().code, code) << result.error().message;
  EXPECT_THAT(result.error().message, HasSubstr(part));
}

const TriangleSoup kBall = sphere_soup({10, 20, 30}, 100, 40, 20);

TEST(Mend, LeavesASoundMeshAlone) {
  const Mended result = mended(kBall);
  EXPECT_TRUE(result.steps.empty());
  EXPECT_EQ(result.solid.face_count(), kBall.triangles.size());
  EXPECT_DOUBLE_EQ(volume_of(result.solid), volume_of(kBall));
}

TEST(Mend, WeldsExactly) {
  const Mended result = mended(unwelded(kBall));
  EXPECT_THAT(codes(result), ElementsAre("weld"));
  EXPECT_EQ(result.solid.points().size(), kBall.points.size());
}

TEST(Mend, WeldsFloatCracksWithinTheLeastTolerance) {
  for (double crack : {1e-5, 1e-3}) {
    TriangleSoup soup = unwelded(kBall);
    Random random(3);
    for (Vec3& p : soup.points) p += random.direction() * (crack / 3);
    const Mended result = mended(soup);
    EXPECT_THAT(codes(result), ElementsAre("weld"));
    EXPECT_EQ(result.solid.points().size(), kBall.points.size()) << result.steps[0].detail;
    EXPECT_NEAR(volume_of(result.solid), volume_of(kBall), 1e-4 * volume_of(kBall));
  }
}

TEST(Mend, DropsDegenerateFaces) {
  TriangleSoup soup = kBall;
  soup.triangles.push_back({VertexId{3}, VertexId{3}, VertexId{5}});
  EXPECT_THAT(codes(mended(soup)), ElementsAre("drop-degenerate"));
}

TEST(Mend, DropsDuplicateFaces) {
  TriangleSoup soup = kBall;
  soup.triangles.push_back(soup.triangles[7]);
  const Triangle t = soup.triangles[9];
  soup.triangles.push_back({t[1], t[2], t[0]});
  const Mended result = mended(soup);
  EXPECT_THAT(codes(result), ElementsAre("drop-duplicates"));
  EXPECT_EQ(result.steps[0].count, 2U);
}

TEST(Mend, DropsADoubledBody) {
  const Mended result = mended(merged({kBall, kBall}));
  EXPECT_THAT(codes(result), Contains("drop-duplicates"));
  EXPECT_DOUBLE_EQ(volume_of(result.solid), volume_of(kBall));
}

TEST(Mend, OrientsFlippedFaces) {
  TriangleSoup soup = kBall;
  for (std::size_t f : {5U, 6U, 100U, 300U}) std::swap(soup.triangles[f][1], soup.triangles[f][2]);
  const Mended result = mended(soup);
  EXPECT_THAT(codes(result), ElementsAre("orient"));
  EXPECT_EQ(result.steps[0].count, 4U);
  EXPECT_DOUBLE_EQ(volume_of(result.solid), volume_of(kBall));
}

TEST(Mend, TurnsAnInsideOutBodyOutward) {
  const Mended result = mended(flipped(kBall));
  EXPECT_THAT(codes(result), ElementsAre("turn-outward"));
  EXPECT_NEAR(volume_of(result.solid), volume_of(kBall), 1e-6);
}

TEST(Mend, TurnsOneOfTwoBodiesOutward) {
  const Mended result = mended(merged({kBall, flipped(box_soup({300, 0, 0}, {310, 10, 10}))}));
  EXPECT_THAT(codes(result), ElementsAre("turn-outward"));
  EXPECT_NEAR(volume_of(result.solid), volume_of(kBall) + 1000, 1e-6);
}

TEST(Mend, KeepsTheVoidOfAHollowBody) {
  const TriangleSoup hollow = merged({kBall, flipped(sphere_soup({10, 20, 30}, 97, 40, 20))});
  const Mended sound = mended(hollow);
  EXPECT_TRUE(sound.steps.empty());
  const Mended turned = mended(flipped(hollow));
  EXPECT_THAT(codes(turned), ElementsAre("turn-outward"));
  EXPECT_NEAR(volume_of(turned.solid), volume_of(hollow), 1e-6);
}

TEST(Mend, TellsHolesThatMayBeMeantApartFromSlips) {
  // Faces of a fine ball of 100: one leaves a rim of some 5 mm, hundreds one of a twentieth and
  // more.
  const TriangleSoup fine = sphere_soup({10, 20, 30}, 100, 360, 180);
  EXPECT_THAT(codes(mended(without_faces(fine, 30000, 1))), ElementsAre("fill-holes"));
  EXPECT_THAT(codes(mended(without_faces(fine, 30000, 300))), ElementsAre("fill-large-holes"));
  EXPECT_THAT(codes(mended(without_faces(without_faces(fine, 30000, 300), 9000, 1))),
              ElementsAre("fill-holes", "fill-large-holes"));
}

TEST(Mend, EveryStepHasWords) {
  for (const char* code : {"weld", "drop-duplicates", "drop-degenerate", "drop-hanging-walls",
                           "orient", "stitch", "fill-holes", "fill-large-holes", "turn-outward"})
    EXPECT_THAT(mend_words(code), HasSubstr(" ")) << code;
}

TEST(Mend, FillsHoles) {
  const Mended result = mended(without_faces(kBall, 200, 6));
  EXPECT_THAT(codes(result), ElementsAre("fill-large-holes"));
  EXPECT_THAT(result.steps[0].detail, HasSubstr("mm round"));
  EXPECT_NEAR(volume_of(result.solid), volume_of(kBall), 1e-3 * volume_of(kBall));
}

TEST(Mend, GivesFilledFacesTheOriginOfANeighbour) {
  TriangleSoup soup = without_faces(kBall, 200, 6);
  soup.origins.assign(soup.triangles.size(), {OriginKind::cap, 42});
  const Mended result = mended(soup);
  for (const Origin& origin : result.solid.origins())
    EXPECT_EQ(origin, (Origin{OriginKind::cap, 42}));
}

TEST(Mend, KeepsOrigins) {
  TriangleSoup soup = kBall;
  std::swap(soup.triangles[5][1], soup.triangles[5][2]);
  soup.triangles.insert(soup.triangles.begin(), {VertexId{3}, VertexId{3}, VertexId{5}});
  const Mended result = mended(soup);
  for (std::size_t f = 0; f < result.solid.face_count(); ++f) {
    EXPECT_EQ(result.solid.origins()[f],
              (Origin{OriginKind::skin, static_cast<std::uint32_t>(f + 1)}))
        << "the face of the file as loaded";
  }
}

TEST(Mend, StitchesEdgesAtCornersThatLieOnThem) {
  // The box's top is split at the middle of one edge, its side is not.
  TriangleSoup soup = box_soup({0, 0, 0}, {10, 10, 10});
  std::erase_if(soup.triangles, [](const Triangle& t) {
    return std::all_of(t.begin(), t.end(), [](VertexId v) { return to_index(v) >= 4; });
  });
  soup.points.push_back({5, 0, 10});
  const auto v = [](std::uint32_t i) { return VertexId{i}; };
  soup.triangles.push_back({v(4), v(8), v(6)});
  soup.triangles.push_back({v(8), v(7), v(6)});
  soup.triangles.push_back({v(8), v(5), v(7)});
  const Mended result = mended(soup);
  EXPECT_THAT(codes(result), ElementsAre("stitch"));
  EXPECT_DOUBLE_EQ(volume_of(result.solid), 1000);
}

TEST(Mend, DropsAFinWithoutThickness) {
  TriangleSoup soup = box_soup({0, 0, 0}, {10, 10, 10});
  soup.points.push_back({5, 5, 15});
  soup.triangles.push_back(
      {VertexId{4}, VertexId{7}, VertexId{8}});  // stands on the top's diagonal
  const Mended result = mended(soup);
  EXPECT_THAT(codes(result), ElementsAre("drop-hanging-walls"));
  EXPECT_DOUBLE_EQ(volume_of(result.solid), 1000);
}

TEST(Mend, DropsAnInnerWall) {
  // Two boxes that share a wall, as joined in a modelling program and left standing.
  TriangleSoup left = box_soup({0, 0, 0}, {10, 10, 10}), right = box_soup({10, 0, 0}, {20, 10, 10});
  std::erase_if(right.triangles, [&](const Triangle& t) {
    return std::all_of(t.begin(), t.end(),
                       [&](VertexId v) { return right.points[to_index(v)].x == 10; });
  });
  const Mended result = mended(merged({left, right}));
  EXPECT_THAT(codes(result), Contains("drop-hanging-walls"));
  EXPECT_DOUBLE_EQ(volume_of(result.solid), 2000);
}

TEST(Mend, LetsOverlappingBodiesPass) {
  const Mended result =
      mended(merged({box_soup({0, 0, 0}, {10, 10, 10}), box_soup({5, 5, 5}, {15, 15, 15})}));
  EXPECT_TRUE(result.steps.empty());
}

TEST(Mend, RefusesASheetWithoutThickness) {
  TriangleSoup sheet;
  for (int j = 0; j <= 10; ++j) {
    for (int i = 0; i <= 10; ++i)
      sheet.points.push_back({i * 10.0, j * 10.0, std::sin(i * 0.3) * 5});
  }
  const auto v = [](int i, int j) { return static_cast<VertexId>(j * 11 + i); };
  for (int j = 0; j < 10; ++j) {
    for (int i = 0; i < 10; ++i) {
      sheet.triangles.push_back({v(i, j), v(i + 1, j), v(i + 1, j + 1)});
      sheet.triangles.push_back({v(i, j), v(i + 1, j + 1), v(i, j + 1)});
    }
  }
  expect_refused(sheet, "sheet-without-thickness", "2–3 mm");
  expect_refused(merged({sheet, flipped(sheet)}), "sheet-without-thickness", "2–3 mm");
}

TEST(Mend, RefusesAHemisphereWithoutThickness) {
  TriangleSoup half = sphere_soup({}, 100, 40, 20);
  std::erase_if(half.triangles, [&](const Triangle& t) {
    return std::any_of(t.begin(), t.end(),
                       [&](VertexId v) { return half.points[to_index(v)].z < -1; });
  });
  expect_refused(half, "sheet-without-thickness", "rim is 62");
}

TEST(Mend, RefusesAOneSidedSurfaceWithItsPlace) {
  TriangleSoup strip;
  const int n = 30;
  for (int i = 0; i < n; ++i) {
    const double a = 2 * std::numbers::pi * i / n;
    for (double w : {-5.0, 5.0}) {
      const double r = 50 + w * std::cos(a / 2);
      strip.points.push_back({r * std::cos(a), r * std::sin(a), w * std::sin(a / 2)});
    }
  }
  const auto v = [&](int i, int k) {
    return static_cast<VertexId>(2 * (i % n) + (i < n ? k : 1 - k));
  };
  for (int i = 0; i < n; ++i) {
    strip.triangles.push_back({v(i, 0), v(i + 1, 0), v(i + 1, 1)});
    strip.triangles.push_back({v(i, 0), v(i + 1, 1), v(i, 1)});
  }
  expect_refused(strip, "cannot-mend", "one-sided");
}

TEST(Mend, RefusesWhatIsNotFiniteOrEmpty) {
  TriangleSoup soup = kBall;
  soup.points[3].y = std::numeric_limits<double>::quiet_NaN();
  expect_refused(soup, "cannot-mend", "Point 3");
  expect_refused({}, "cannot-mend", "no faces");
}

TEST(Mend, GivesTheSameBytesEveryTime) {
  TriangleSoup soup = unwelded(without_faces(kBall, 200, 6));
  Random random(3);
  for (Vec3& p : soup.points) p += random.direction() * 1e-5;
  const Mended one = mended(soup), two = mended(soup);
  EXPECT_TRUE(std::ranges::equal(one.solid.points(), two.solid.points()));
  EXPECT_TRUE(std::ranges::equal(one.solid.triangles(), two.solid.triangles()));
}

TEST(Mend, SurvivesRandomDamage) {
  Random random(5);
  const TriangleSoup ball = sphere_soup({}, 50, 12, 8);
  for (int round = 0; round < 200; ++round) {
    TriangleSoup soup = round % 2 == 0 ? ball : unwelded(ball);
    for (int i = 0; i < 4; ++i) {
      const std::size_t f = random.below(soup.triangles.size());
      switch (random.below(5)) {
        case 0:
          soup.triangles.erase(soup.triangles.begin() + static_cast<std::ptrdiff_t>(f));
          break;
        case 1:
          soup.triangles.push_back(soup.triangles[f]);
          break;
        case 2:
          std::swap(soup.triangles[f][0], soup.triangles[f][1]);
          break;
        case 3:
          soup.triangles[f][0] = to_id<VertexId>(random.below(soup.points.size()));
          break;
        default:
          soup.points[random.below(soup.points.size())] += random.direction() * 1e-4;
          break;
      }
    }
    const Result<Mended> result = mend(soup);
    if (!result) {
      EXPECT_THAT(result.error().code, AnyOf("cannot-mend", "sheet-without-thickness"));
      continue;
    }
    EXPECT_EQ(testing::unbalanced_edges(result->solid.triangles()), 0U);
    EXPECT_GT(volume_of(result->solid), 0);
  }
}

}  // namespace
}  // namespace seamwright
