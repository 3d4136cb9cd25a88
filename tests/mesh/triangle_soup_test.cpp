#include "seamwright/mesh/triangle_soup.h"

#include <gtest/gtest.h>

namespace seamwright {
namespace {

TEST(TriangleSoup, OriginIsSkinUnlessSaidOtherwise) {
  EXPECT_EQ(Origin{}, (Origin{OriginKind::skin, 0}));
  EXPECT_NE(Origin{}, (Origin{OriginKind::cap, 0}));
  EXPECT_NE(Origin{}, (Origin{OriginKind::skin, 1}));
}

TEST(TriangleSoup, TriangleTakesTwelveBytes) {
  // A million faces are held many times over by the search's caches.
  EXPECT_EQ(sizeof(Triangle), 12U);
  EXPECT_LE(sizeof(Origin), 8U);
}

TEST(TriangleSoup, MayBeAnything) {
  TriangleSoup soup;
  soup.points = {{0, 0, 0}};
  soup.triangles = {{VertexId{0}, VertexId{0}, VertexId{7}}};
  EXPECT_TRUE(soup.origins.empty());
  EXPECT_TRUE(soup.groups.empty());
}

}  // namespace
}  // namespace seamwright
