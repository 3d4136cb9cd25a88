#include "seamwright/printing/lay_lines.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "support/shapes.h"
#include "support/soups.h"
#include "support/stl.h"

namespace seamwright {
namespace {

using testing::box_soup;
using testing::make_box;
using testing::make_frustum;
using testing::merged;
using testing::solid_of;

constexpr double kPi = std::numbers::pi;

LaidPiece lay(const Solid& solid, const PrintSettings& print = {}, int threads = 0) {
  return lay_lines(solid, {}, print, seamwright::Run{threads}).value();
}

double length_mm(const LaidLayer& layer, const LaidLine& line) {
  const auto points = layer.points_of(line);
  double sum = line.is_loop ? norm(points.front() - points.back()) : 0;
  for (std::size_t i = 1; i < points.size(); ++i) sum += norm(points[i] - points[i - 1]);
  return sum;
}

double kind_mm(const LaidLayer& layer, LineKind kind) {
  double sum = 0;
  for (const LaidLine& line : layer.lines) sum += line.kind == kind ? length_mm(layer, line) : 0;
  return sum;
}

double kind_mm(const LaidPiece& piece, LineKind kind) {
  double sum = 0;
  for (const LaidLayer& layer : piece.layers) sum += kind_mm(layer, kind);
  return sum;
}

double volume_mm3(const LaidPiece& piece) {
  double sum = 0;
  for (const LaidLayer& layer : piece.layers) {
    for (const LaidLine& line : layer.lines) {
      sum += length_mm(layer, line) * static_cast<double>(line.width_mm) * layer.height_mm;
    }
  }
  return sum;
}

/// A plate on a post: overlapping shells, as makers' files have them.
Solid table() {
  return solid_of(
      merged({box_soup({15, 15, 0}, {25, 25, 21}), box_soup({0, 0, 20}, {40, 40, 22})}));
}

// PRINTING.md, closed forms: inside 17.32² of fill.
TEST(LayLines, FillLinesReachIntoTheLastWall) {
  const LaidPiece cube = lay(make_box({20, 20, 20}));
  const LaidLayer& layer = cube.layers[1];  // solid
  Vec2 low{100, 100}, high{-100, -100};
  double along_mm = 0;  // without the links, which run along the walls
  for (const LaidLine& line : layer.lines) {
    if (line.kind != LineKind::solid_fill) continue;
    const auto points = layer.points_of(line);
    for (std::size_t i = 0; i < points.size(); ++i) {
      low = {std::min(low.x, points[i].x), std::min(low.y, points[i].y)};
      high = {std::max(high.x, points[i].x), std::max(high.y, points[i].y)};
      const Vec2 d = i > 0 ? points[i] - points[i - 1] : Vec2{};
      if (std::abs(d.x) > 1e-3 && std::abs(d.y) > 1e-3) along_mm += norm(d);
    }
  }
  EXPECT_NEAR(high.x - low.x, 17.32, 0.3);
  EXPECT_NEAR(high.y - low.y, 17.32, 0.3);
  EXPECT_NEAR(along_mm * 0.4, 17.32 * 17.32, 0.01 * 17.32 * 17.32);
}

TEST(LayLines, SparseFillIsItsShareOfTheInside) {
  const LaidPiece block = lay(make_box({100, 100, 20}));
  // One direction a layer, 0.4 / 0.15 apart; the links along the wall come on top.
  const double lines_mm = 97.32 * 97.32 * 0.15 / 0.4;
  const double laid_mm = kind_mm(block.layers[50], LineKind::sparse_fill);
  EXPECT_GT(laid_mm, lines_mm);
  EXPECT_LT(laid_mm, 1.12 * lines_mm);
}

TEST(LayLines, SkinsAreAsManyLayersAsAskedFor) {
  PrintSettings print;
  print.top_layers = 3;
  print.bottom_layers = 2;
  const LaidPiece cube = lay(make_box({20, 20, 4}), print);
  ASSERT_EQ(cube.layers.size(), 20U);
  for (std::size_t i = 0; i < 20; ++i) {
    EXPECT_EQ(kind_mm(cube.layers[i], LineKind::sparse_fill) == 0, i < 2 || i >= 17) << i;
    EXPECT_EQ(kind_mm(cube.layers[i], LineKind::top_skin) > 0, i == 19) << i;
  }
}

// PRINTING.md, trap 9.
TEST(LayLines, ZeroTopAndBottomLayersLeaveNoSkin) {
  PrintSettings print;
  print.top_layers = print.bottom_layers = 0;
  const LaidPiece cube = lay(make_box({20, 20, 4}), print);
  EXPECT_EQ(kind_mm(cube, LineKind::solid_fill) + kind_mm(cube, LineKind::top_skin), 0);
  EXPECT_GT(kind_mm(cube, LineKind::sparse_fill), 0);
}

// The skin rule: walls of the neighbour do not count as cover.
TEST(LayLines, ASlopingWallHasSkinBehindIt) {
  // 45°: each layer's inside is 0.2 mm smaller than the last one's; four layers make a 0.8 mm ring.
  const LaidPiece cone = lay(make_frustum(20, 10, 10, 256));
  const double skin_mm2 = 0.4 * kind_mm(cone.layers[25], LineKind::solid_fill) +
                          0.4 * kind_mm(cone.layers[25], LineKind::top_skin);
  const double radius_mm = 20 - 5.1 - 1.2;
  const double ring_mm2 = std::numbers::pi * (radius_mm * radius_mm - std::pow(radius_mm - 0.8, 2));
  EXPECT_NEAR(skin_mm2, ring_mm2, 0.1 * ring_mm2);
}

// PRINTING.md, trap 5: overlapping shells count once.
TEST(LayLines, OverlappingShellsCountOnce) {
  PrintSettings print;
  print.fill_ratio = 1;
  const Solid pair =
      solid_of(merged({box_soup({0, 0, 0}, {10, 10, 4}), box_soup({5, 0, 0}, {15, 10, 4})}));
  EXPECT_NEAR(volume_mm3(lay(pair, print)), 600, 12);
}

// PRINTING.md, trap 5: a mesh that is inside out would vanish.
TEST(LayLines, AnInsideOutMeshIsAnError) {
#ifndef SEAMWRIGHT_SANITIZED  // where adopt() throws on it
  const Solid box = make_box({10, 10, 10});
  std::vector<Triangle> faces;
  for (const Triangle& t : box.triangles()) faces.push_back({t[0], t[2], t[1]});
  const Solid turned = Solid::adopt({box.points().begin(), box.points().end()}, faces,
                                    {box.origins().begin(), box.origins().end()});
  const auto laid = lay_lines(turned, {}, {});
  ASSERT_FALSE(laid);
  EXPECT_EQ(laid.error().code, "inside-out");
#endif
}

TEST(LayLines, APieceBelowTheBedIsAnError) {
  const auto laid = lay_lines(make_box({10, 10, 10}, {0, 0, -1}), {}, {});
  ASSERT_FALSE(laid);
  EXPECT_EQ(laid.error().code, "below-bed");
}

TEST(LayLines, StoppingGivesUp) {
  const std::atomic<Cancel> stop{Cancel::stop};
  seamwright::Run run;
  run.cancel = &stop;
  const auto laid = lay_lines(make_box({10, 10, 10}), {}, {}, run);
  ASSERT_FALSE(laid);
  EXPECT_EQ(laid.error().code, "cancelled");
}

TEST(LayLines, SupportFillsItsShareBelowOverhangs) {
  const LaidPiece piece = lay(table());
  // All below the plate but the post, 0.4 / 0.15 apart; links between rows come on top.
  const double column_mm2 = 40 * 40 - 10 * 10;
  const double rows_mm = column_mm2 * 0.15 / 0.4;
  const double laid_mm = kind_mm(piece.layers[50], LineKind::support);
  EXPECT_GT(laid_mm, 0.95 * rows_mm);
  EXPECT_LT(laid_mm, 1.15 * rows_mm);
  EXPECT_GT(kind_mm(piece.layers[98], LineKind::support), 0);
  EXPECT_EQ(kind_mm(piece.layers[100], LineKind::support), 0);
  PrintSettings none;
  none.has_support = false;
  EXPECT_EQ(kind_mm(lay(table(), none), LineKind::support), 0);
}

TEST(LayLines, SupportStandsOnThePartWhereThePartIsInTheWay) {
  // A roof over a floor: support begins on the floor's top, not on the bed.
  const Solid bridge =
      solid_of(merged({box_soup({0, 0, 0}, {30, 30, 4}), box_soup({0, 0, 0}, {4, 30, 14}),
                       box_soup({0, 0, 12}, {30, 30, 14})}));
  const LaidPiece piece = lay(bridge);
  EXPECT_EQ(kind_mm(piece.layers[10], LineKind::support), 0);
  EXPECT_GT(kind_mm(piece.layers[40], LineKind::support), 26 * 30 * 0.15 / 0.4 * 0.9);
}

// Sloping overhangs give columns without gaps: the part just above does not cut them off.
TEST(LayLines, SupportUnderABallFillsItsShadow) {
  const Solid ball = testing::make_sphere(30);
  const Transform lift{Transform{}.rows, {0, 0, 30}};
  const LaidPiece piece = lay_lines(ball, lift, {}).value();
  // Faces under 45° reach out to R sin 45°; at 3 mm the ball itself takes the middle.
  const double area_mm2 = std::numbers::pi * (450 - (900 - 27 * 27));
  const double rows_mm = area_mm2 * 0.15 / 0.4;
  const double laid_mm = kind_mm(piece.layers[15], LineKind::support);
  EXPECT_GT(laid_mm, 0.85 * rows_mm);
  EXPECT_LT(laid_mm, 1.25 * rows_mm);
}

TEST(LayLines, WithoutSupportABridgeRunsFromBankToBank) {
  // A deck of 12 mm over a gap of 20 mm between two posts: the shorter way has no banks.
  PrintSettings print;
  print.has_support = false;
  const Solid bridge =
      solid_of(merged({box_soup({0, 0, 0}, {8, 12, 5}), box_soup({28, 0, 0}, {36, 12, 5}),
                       box_soup({0, 0, 4.8}, {36, 12, 8})}));
  const LaidPiece piece = lay(bridge, print);
  const LaidLayer& deck = piece.layers[24];
  double along_mm = 0, all_mm = 0;
  for (const LaidLine& line : deck.lines) {
    if (line.kind != LineKind::bridge) continue;
    const auto points = deck.points_of(line);
    for (std::size_t i = 1; i < points.size(); ++i) {
      all_mm += norm(points[i] - points[i - 1]);
      along_mm += std::abs(points[i].x - points[i - 1].x);
    }
  }
  EXPECT_GT(all_mm, 20 * 9.6 / 0.4);
  EXPECT_GT(along_mm, 0.9 * all_mm);
  EXPECT_EQ(kind_mm(piece.layers[30], LineKind::bridge), 0);
  EXPECT_EQ(kind_mm(lay(bridge), LineKind::bridge), 0);  // carried by support
}

TEST(LayLines, OnlyFacesFlatterThanTheAngleAreSupported) {
  const auto support_mm = [](double angle_deg) {
    PrintSettings print;
    print.support_angle_deg = angle_deg;
    return kind_mm(lay(make_frustum(5, 15, 10), print), LineKind::support);  // leans 45°
  };
  EXPECT_EQ(support_mm(40), 0);
  EXPECT_GT(support_mm(50), 0);
}

TEST(LayLines, ABrimRunsRoundTheFirstLayerOnly) {
  PrintSettings print;
  print.brim_mm = 4;
  const LaidPiece piece = lay(make_box({20, 20, 4}), print);
  double expected_mm = 0;  // ten loops, mitred
  for (int k = 0; k < 10; ++k) expected_mm += 4 * (20 + 2 * (k + 0.5) * 0.4);
  EXPECT_NEAR(kind_mm(piece.layers[0], LineKind::brim), expected_mm, 0.01 * expected_mm);
  EXPECT_EQ(kind_mm(piece.layers[1], LineKind::brim), 0);
  EXPECT_EQ(piece.layers[0].lines.front().kind, LineKind::brim);
}

// Half a pad lies outside a straight edge, three quarters outside a right corner.
TEST(LayLines, PadsFillWhatTheyReachBeyondThePieceOnTheFirstLayerOnly) {
  const std::vector<CornerPad> pads{{{0, 0}, 20}, {{20, 40}, 16}};
  const LaidPiece piece = lay_lines(make_box({40, 40, 4}), {}, {}, {}, pads).value();
  const double wanted_mm2 = kPi * (0.75 * 100 + 0.5 * 64);
  EXPECT_NEAR(kind_mm(piece.layers[0], LineKind::brim) * 0.4, wanted_mm2, 0.02 * wanted_mm2);
  EXPECT_EQ(kind_mm(piece.layers[1], LineKind::brim), 0);
  PrintSettings print;
  print.brim_mm = 4;
  const double brim_mm = kind_mm(lay(make_box({40, 40, 4}), print).layers[0], LineKind::brim);
  const LaidPiece both = lay_lines(make_box({40, 40, 4}), {}, print, {}, {pads.data(), 1}).value();
  const double left_mm2 = (kind_mm(both.layers[0], LineKind::brim) - brim_mm) * 0.4;
  // The disc less what lies above x = -4 and y = -4, where piece and brim are.
  const double covered_mm2 = kPi * 25 + 16 + 4 * std::sqrt(84.0) + 100 * std::asin(0.4);
  EXPECT_NEAR(left_mm2, kPi * 100 - covered_mm2, 0.02 * kPi * 100);
}

// The check: within 1 %.
TEST(LayLines, SumsOfLinesAreTheVolumeOfSolidPieces) {
  PrintSettings print;
  print.fill_ratio = 1;
  print.has_support = false;
  for (const double side_mm : {3.0, 3.7, 5.0, 8.0, 20.0, 60.0}) {
    const double volume = side_mm * side_mm * 10;
    EXPECT_NEAR(volume_mm3(lay(make_box({side_mm, side_mm, 10}), print)), volume, 0.01 * volume)
        << side_mm;
  }
  const Solid ball = testing::make_sphere(20);
  std::vector<Vec3> points;
  for (const Vec3 p : ball.points()) points.push_back(p + Vec3{0, 0, 20});
  const Solid lifted = Solid::adopt(points, {ball.triangles().begin(), ball.triangles().end()},
                                    {ball.origins().begin(), ball.origins().end()});
  const double volume = 4.0 / 3 * std::numbers::pi * 8000;
  EXPECT_NEAR(volume_mm3(lay(lifted, print)), volume, 0.01 * volume);
}

// PRINTING.md, trap 7.
TEST(LayLines, RealPiecesHaveNoOpenChain) {
  PrintSettings coarse;
  coarse.layer_mm = coarse.first_layer_mm = 0.4;
  for (const char* name : {"bracket", "ring"}) {
    const Solid part = testing::reference_part(name);
    const Transform lift{{Vec3{1, 0, 0}, Vec3{0, 1, 0}, Vec3{0, 0, 1}}, {0, 0, -part.box().low.z}};
    EXPECT_EQ(lay_lines(part, lift, coarse).value().open_chain_count, 0U) << name;
  }
}

// PRINTING.md, trap 8: each layer starts from where the one before ended.
TEST(LayLines, TheSameBytesOnAnyThreadCount) {
  const LaidPiece one = lay(table(), {}, 1);
  for (const int threads : {2, 7}) {
    const LaidPiece many = lay(table(), {}, threads);
    ASSERT_EQ(one.layers.size(), many.layers.size());
    for (std::size_t i = 0; i < one.layers.size(); ++i) {
      EXPECT_EQ(one.layers[i].points, many.layers[i].points);
      ASSERT_EQ(one.layers[i].lines.size(), many.layers[i].lines.size());
    }
  }
}

TEST(LayLines, ALayerBeginsNearTheEndOfTheLast) {
  const LaidPiece piece = lay(make_box({60, 60, 4}));
  for (std::size_t i = 1; i < piece.layers.size(); ++i) {
    const LaidLayer& last = piece.layers[i - 1];
    const LaidLine& end = last.lines.back();
    const Vec2 at = last.points[end.is_loop ? end.point_begin : end.point_end - 1];
    double nearest_mm = 1e9;
    for (const LaidLine& line : piece.layers[i].lines) {
      if (line.kind != LineKind::outer_wall && line.kind != LineKind::inner_wall) continue;
      for (const Vec2 p : piece.layers[i].points_of(line))
        nearest_mm = std::min(nearest_mm, norm(p - at));
    }
    EXPECT_NEAR(norm(piece.layers[i].points.front() - at), nearest_mm, 1e-12) << i;
  }
}

TEST(LayLines, EveryIslandIsPrintedInOneGo) {
  const Solid posts =
      solid_of(merged({box_soup({0, 0, 0}, {10, 10, 4}), box_soup({20, 0, 0}, {30, 10, 4}),
                       box_soup({40, 0, 0}, {50, 10, 4})}));
  const LaidPiece piece = lay(posts);
  for (const LaidLayer& layer : piece.layers) {
    std::size_t change_count = 0;
    for (std::size_t i = 1; i < layer.lines.size(); ++i) {
      const auto island = [&](std::size_t k) {
        return std::lround(layer.points[layer.lines[k].point_begin].x / 20 - 0.25);
      };
      change_count += island(i) != island(i - 1) ? 1 : 0;
    }
    EXPECT_EQ(change_count, 2U);
  }
}

}  // namespace
}  // namespace seamwright
