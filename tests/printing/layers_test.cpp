#include "seamwright/printing/layers.h"

#include <gtest/gtest.h>

#include <cmath>

#include "seamwright/core/random.h"
#include "seamwright/query/mass_properties.h"
#include "support/shapes.h"
#include "support/soups.h"
#include "support/stl.h"

namespace seamwright {
namespace {

using testing::make_box;
using testing::make_frustum;

double area_mm2(const LayerLoops& layer) {
  double sum = 0;
  for (const Loop2& loop : layer.loops) sum += loop_area_mm2(loop);
  return sum;
}

std::vector<double> middles(double low_mm, double high_mm, std::size_t count) {
  std::vector<double> out;
  const double step = (high_mm - low_mm) / static_cast<double>(count);
  for (std::size_t i = 0; i < count; ++i) {
    out.push_back(low_mm + (static_cast<double>(i) + 0.5) * step);
  }
  return out;
}

double volume_by_layers_mm3(const Solid& solid, std::size_t count) {
  const Box3& box = solid.box();
  const Layers layers = slice_layers(solid, {}, middles(box.low.z, box.high.z, count));
  double sum = 0;
  for (const LayerLoops& layer : layers.layers) sum += area_mm2(layer);
  return sum * (box.high.z - box.low.z) / static_cast<double>(count);
}

TEST(Layers, AreasTimesHeightAreTheVolume) {
  for (const Solid& solid :
       {make_box({30, 20, 10}), make_frustum(10, 5, 12), testing::make_torus(20, 5)}) {
    EXPECT_NEAR(volume_by_layers_mm3(solid, 5000) / volume_mm3(solid), 1, 1e-6);
  }
}

// The middle rule's error falls with the square of the layer: 1e-6 for real meshes as well.
TEST(Layers, AreasTimesHeightAreTheVolumeOfRealMeshes) {
  for (const char* name : {"elephant", "camel"}) {
    const Solid part = testing::reference_part(name);
    EXPECT_NEAR(volume_by_layers_mm3(part, 6000) / volume_mm3(part), 1, 1e-6) << name;
  }
}

// Heights at the vertices themselves, where naive slicing leaves chains open.
TEST(Layers, NoChainOfAClosedMeshStaysOpenAtAnyHeight) {
  for (const char* name : {"elephant", "armadillo", "bracket", "panel", "shell"}) {
    const Solid part = testing::reference_part(name);
    std::vector<double> heights;
    for (std::size_t i = 0; i < part.points().size(); i += 37)
      heights.push_back(part.points()[i].z);
    std::sort(heights.begin(), heights.end());
    const Layers layers = slice_layers(part, {}, heights);
    EXPECT_EQ(layers.open_chain_count, 0U) << name;
    EXPECT_EQ(layers.layers.size(), heights.size());
  }
}

TEST(Layers, AMissingFaceIsReportedAsAnOpenChain) {
  const Solid box = make_box({10, 10, 10});
  std::vector<Triangle> faces(box.triangles().begin(), box.triangles().end());
  std::vector<Origin> origins(box.origins().begin(), box.origins().end());
  faces.erase(faces.begin() + 4);  // one of the sides
  origins.erase(origins.begin() + 4);
#ifndef SEAMWRIGHT_SANITIZED  // where adopt() throws on it
  const Solid open = Solid::adopt({box.points().begin(), box.points().end()}, faces, origins);
  EXPECT_GT(slice_layers(open, {}, std::vector{5.0}).open_chain_count, 0U);
#endif
}

TEST(Layers, MaterialIsOnTheLeft) {
  const Layers tube = slice_layers(testing::make_tube(10, 8, 5), {}, std::vector{2.5});
  ASSERT_EQ(tube.layers[0].loops.size(), 2U);
  const double a = loop_area_mm2(tube.layers[0].loops[0]),
               b = loop_area_mm2(tube.layers[0].loops[1]);
  EXPECT_LT(a * b, 0);
  EXPECT_GT(a + b, 0);
}

TEST(Layers, APlaneThroughAFaceTakesTheMaterialBelowIt) {
  const Solid box = make_box({10, 10, 10});
  const Layers layers = slice_layers(box, {}, std::vector{0.0, 10.0});
  EXPECT_EQ(layers.layers[0].loops.size(), 0U);  // all corners are at z >= 0: above
  ASSERT_EQ(layers.layers[1].loops.size(), 1U);
  EXPECT_DOUBLE_EQ(area_mm2(layers.layers[1]), 100);
}

TEST(Layers, OverlappingShellsGiveOverlappingLoops) {
  const Solid pair = testing::solid_of(testing::merged(
      {testing::box_soup({0, 0, 0}, {10, 10, 10}), testing::box_soup({5, 0, 0}, {15, 10, 10})}));
  EXPECT_EQ(slice_layers(pair, {}, std::vector{5.0}).layers[0].loops.size(), 2U);
}

TEST(Layers, TheSolidIsMovedOntoTheBed) {
  const Transform up{{Vec3{1, 0, 0}, Vec3{0, 0, -1}, Vec3{0, 1, 0}}, {0, 0, 3}};
  const Layers layers = slice_layers(make_box({10, 20, 30}), up, std::vector{2.9, 3.1, 22.9, 23.1});
  EXPECT_EQ(layers.layers[0].loops.size(), 0U);
  EXPECT_NEAR(area_mm2(layers.layers[1]), 300, 1e-9);
  EXPECT_NEAR(area_mm2(layers.layers[2]), 300, 1e-9);
  EXPECT_EQ(layers.layers[3].loops.size(), 0U);
}

TEST(Layers, TheSameBitsOnAnyThreadCount) {
  const Solid part = testing::reference_part("camel");
  const std::vector<double> heights = middles(part.box().low.z, part.box().high.z, 300);
  const Layers one = slice_layers(part, {}, heights, seamwright::Run{1});
  for (const int threads : {2, 7}) {
    const Layers many = slice_layers(part, {}, heights, seamwright::Run{threads});
    for (std::size_t i = 0; i < heights.size(); ++i) {
      EXPECT_EQ(one.layers[i].loops, many.layers[i].loops);
    }
  }
}

TEST(Layers, SlabsStackUpToThePiecesTop) {
  const auto slabs = layer_slabs(20, 0.2, 0.2);
  ASSERT_EQ(slabs.size(), 100U);
  EXPECT_NEAR(slabs.back().bottom_mm, 19.8, 1e-9);
  EXPECT_EQ(layer_slabs(20, 0.3, 0.2).size(), 99U);  // a middle at the very top is outside
  EXPECT_EQ(layer_slabs(0.05, 0.2, 0.2).size(), 1U);
  EXPECT_EQ(layer_slabs(20.09, 0.2, 0.2).size(), 100U);
  EXPECT_EQ(layer_slabs(20.11, 0.2, 0.2).size(), 101U);
}

}  // namespace
}  // namespace seamwright
