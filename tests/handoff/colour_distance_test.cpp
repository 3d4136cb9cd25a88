#include "seamwright/handoff/colour_distance.h"

#include <gtest/gtest.h>

namespace seamwright {
namespace {

// Source: Sharma, Wu, Dalal (2005), table 1: pairs that go through every branch of the formula.
TEST(ColourDistance, IsThePublishedOneForThePublishedPairs) {
  struct Pair {
    LabColour a, b;
    double distance;
  };
  const Pair pairs[] = {{{50, 2.6772, -79.7751}, {50, 0, -82.7485}, 2.0425},
                        {{50, 3.1571, -77.2803}, {50, 0, -82.7485}, 2.8615},
                        {{50, 2.8361, -74.0200}, {50, 0, -82.7485}, 3.4412},
                        {{50, -1.3802, -84.2814}, {50, 0, -82.7485}, 1.0000},
                        {{50, 0, 0}, {50, -1, 2}, 2.3669},
                        {{50, 2.4900, -0.0010}, {50, -2.4900, 0.0009}, 7.1792},
                        {{50, 2.4900, -0.0010}, {50, -2.4900, 0.0011}, 7.2195},
                        {{50, 2.5, 0}, {50, 0, -2.5}, 4.3065},
                        {{50, 2.5, 0}, {73, 25, -18}, 27.1492},
                        {{60.2574, -34.0099, 36.2677}, {60.4626, -34.1751, 39.4387}, 1.2644},
                        {{90.8027, -2.0831, 1.4410}, {91.1528, -1.6435, 0.0447}, 1.4441},
                        {{2.0776, 0.0795, -1.1350}, {0.9033, -0.0636, -0.5514}, 0.9082}};
  for (const Pair& pair : pairs) {
    EXPECT_NEAR(colour_distance(pair.a, pair.b), pair.distance, 5e-5);
    EXPECT_NEAR(colour_distance(pair.b, pair.a), pair.distance, 5e-5);
  }
}

TEST(ColourDistance, OfAColourToItselfIsNone) {
  for (const Colour c : {Colour{0, 0, 0}, {255, 255, 255}, {40, 120, 192}})
    EXPECT_EQ(colour_distance(lab_of(c), lab_of(c)), 0);
}

// By definition: white is L* 100, black 0, greys have neither red nor yellow.
TEST(LabOf, WhiteIsLightestBlackDarkestAndGreysHaveNoHue) {
  EXPECT_NEAR(lab_of({255, 255, 255}).value, 100, 1e-3);
  EXPECT_NEAR(lab_of({0, 0, 0}).value, 0, 1e-9);
  for (const std::uint8_t v : {std::uint8_t{30}, std::uint8_t{128}, std::uint8_t{255}}) {
    EXPECT_NEAR(lab_of({v, v, v}).red, 0, 0.02);
    EXPECT_NEAR(lab_of({v, v, v}).yellow, 0, 0.02);
  }
}

// What such eyes are known for: they confuse red with green, those without blue cones don't, and
// greys stay grey.
TEST(SeenBy, EyesWithoutRedOrGreenConesConfuseRedWithGreen) {
  const Colour red{190, 100, 90}, green{120, 135, 80};
  const auto apart = [&](Eyes eyes) {
    return colour_distance(lab_of(seen_by(eyes, red)), lab_of(seen_by(eyes, green)));
  };
  EXPECT_LT(apart(Eyes::no_green), apart(Eyes::common) / 2);
  EXPECT_LT(apart(Eyes::no_red), apart(Eyes::common) / 2);
  EXPECT_GT(apart(Eyes::no_blue), apart(Eyes::common) / 2);
  for (const Eyes eyes : kEyes) EXPECT_EQ(seen_by(eyes, {128, 128, 128}), (Colour{128, 128, 128}));
}

}  // namespace
}  // namespace seamwright
