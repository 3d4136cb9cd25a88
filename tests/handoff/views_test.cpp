#include "seamwright/handoff/views.h"

#include <gtest/gtest.h>

#include "handoff/sample_hand_off.h"
#include "seamwright/handoff/colour_distance.h"

namespace seamwright {
namespace {

using testing::sample_hand_off;

/// A row of boxes along x, each joined to the next.
HandOff row_of_boxes(std::size_t count) {
  HandOff hand_off = sample_hand_off();
  hand_off.pieces.clear();
  hand_off.joints.clear();
  for (std::size_t i = 0; i < count; ++i) {
    const Solid box = testing::make_box({10, 10, 10}, {10.0 * static_cast<double>(i), 0, 0});
    hand_off.pieces.push_back(testing::half_piece(box, true, Printer{}));
    if (i == 0) continue;
    Joint joint = testing::sample_joint();
    joint.face.above = to_id<PieceId>(i);
    joint.face.below = to_id<PieceId>(i - 1);
    hand_off.joints.push_back(joint);
  }
  return hand_off;
}

/// How differently two pieces look to eyes of one kind.
double apart(const PieceColours& a, const PieceColours& b, Eyes eyes) {
  return colour_distance(lab_of(seen_by(eyes, a.skin)), lab_of(seen_by(eyes, b.skin)));
}

/// The least that such eyes are to see between any two pieces. A difference of 2.3 is just
/// noticed (M. Mahy, L. Van Eycken, A. Oosterlinck, Color Research and Application 19 (1994), for
/// L*a*b*); as many times more as here is common practice, no source.
double least_apart(Eyes eyes) {
  return eyes == Eyes::common ? 14.5 : 8;
}

// A shell's grid of pieces, each joined to the next in its row and in its column.
HandOff grid_of_boxes(std::size_t columns, std::size_t rows) {
  HandOff hand_off = row_of_boxes(columns * rows);
  hand_off.joints.clear();
  const auto join = [&](std::size_t a, std::size_t b) {
    hand_off.joints.push_back(testing::sample_joint());
    hand_off.joints.back().face.above = to_id<PieceId>(a);
    hand_off.joints.back().face.below = to_id<PieceId>(b);
  };
  for (std::size_t i = 0; i < columns * rows; ++i) {
    if ((i + 1) % columns != 0) join(i, i + 1);
    if (i + columns < columns * rows) join(i, i + columns);
  }
  return hand_off;
}

TEST(Views, NeighboursDifferClearlyToAllEyesHoweverManyPieces) {
  for (const HandOff& hand_off : {row_of_boxes(60), grid_of_boxes(4, 3), grid_of_boxes(9, 8)}) {
    const auto colours = piece_colours(hand_off);
    for (const Joint& joint : hand_off.joints) {
      const PieceColours &a = colours[to_index(joint.face.above)],
                         &b = colours[to_index(joint.face.below)];
      EXPECT_GE(apart(a, b, Eyes::common), 20);
      for (const Eyes eyes : kEyes) EXPECT_GE(apart(a, b, eyes), least_apart(eyes));
    }
  }
}

TEST(Views, EighteenPiecesHaveEighteenColoursThatAllEyesTellApart) {
  const auto colours = piece_colours(row_of_boxes(18));
  for (std::size_t a = 0; a < colours.size(); ++a) {
    for (std::size_t b = a + 1; b < colours.size(); ++b) {
      for (const Eyes eyes : kEyes) {
        EXPECT_GE(apart(colours[a], colours[b], eyes), least_apart(eyes)) << a << " and " << b;
      }
    }
  }
}

TEST(Views, MovedApartPiecesOnTwoSidesOfASeamPart) {
  const HandOff hand_off = row_of_boxes(5);
  const auto moves = moves_apart(hand_off);
  for (std::size_t i = 1; i < moves.size(); ++i) EXPECT_GT(moves[i].x, moves[i - 1].x + 1);
  for (const Vec3& move : moves) EXPECT_NEAR(move.y, 0, 1e-9);
}

TEST(Views, TheViewerStandsOppositeTheWornSide) {
  PartFacts part;
  for (const auto& [worn, show] : std::vector<std::pair<std::string, Vec3>>{
           {"-z", {0, 0, 1}}, {"+z", {0, 0, -1}}, {"wall -y", {0, 1, 0}}, {"+x", {-1, 0, 0}}}) {
    part.worn_side = worn;
    EXPECT_GT(dot(viewer_direction(part), show), 0.5) << worn;
  }
  part.worn_side = "";
  EXPECT_LT(viewer_direction(part).y, -0.5);
  part.worn_side = "around z";
  EXPECT_GT(viewer_direction(part).z, 0);
}

TEST(Views, UprightTurnsUpToZ) {
  PartFacts part;
  for (const auto& [up, direction] : std::vector<std::pair<std::string, Vec3>>{
           {"+x", {1, 0, 0}}, {"-y", {0, -1, 0}}, {"-z", {0, 0, -1}}, {"", {0, 0, 1}}}) {
    part.up = up;
    const Transform turn = upright_from_part(part);
    EXPECT_NEAR(turn.apply(direction).z, 1, 1e-12) << up;
    EXPECT_NEAR(dot(turn.rows[0], cross(turn.rows[1], turn.rows[2])), 1, 1e-12) << up;
  }
}

TEST(Views, SurfaceEdgesAreWhereSkinMeetsCap) {
  const Solid half = testing::with_cap(testing::make_box({50, 60, 40}), 50);
  const auto edges = surface_edges(half);
  double length_mm = 0;
  for (const SurfaceEdge& edge : edges) {
    EXPECT_TRUE(edge.is_skin);
    EXPECT_EQ(edge.from.x, 50);
    EXPECT_EQ(edge.to.x, 50);
    length_mm += norm(edge.to - edge.from);
  }
  EXPECT_DOUBLE_EQ(length_mm, 2 * (60 + 40));
}

TEST(Views, DrawsEveryPieceAndWritesMarksOnThem) {
  const auto pictures = draw_pictures(sample_hand_off(), {{120, 80}, {60, 50}});
  ASSERT_TRUE(pictures);
  EXPECT_EQ(pictures->pieces.size(), 2u);
  EXPECT_EQ(pictures->assembled.labels.size(), 2u);
  for (const PictureLabel& label : pictures->apart.labels) EXPECT_GT(label.shown_ratio, 0.01);
  for (const ShownPicture& piece : pictures->pieces)
    EXPECT_GT(piece.labels.at(0).shown_ratio, 0.01);
}

TEST(Views, TheSameOnAnyThreadCount) {
  const HandOff hand_off = sample_hand_off();
  const PictureSizes sizes{{120, 80}, {60, 50}};
  const auto one = draw_pictures(hand_off, sizes, {.thread_count = 1});
  for (const int threads : {2, 7}) {
    const auto more = draw_pictures(hand_off, sizes, {.thread_count = threads});
    EXPECT_EQ(more->assembled.png, one->assembled.png);
    EXPECT_EQ(more->apart.png, one->apart.png);
    EXPECT_EQ(more->pieces[1].png, one->pieces[1].png);
  }
}

TEST(Views, StopsWhenAsked) {
  const std::atomic<Cancel> cancel{Cancel::stop};
  const auto stopped = draw_pictures(sample_hand_off(), {}, {.cancel = &cancel});
  ASSERT_FALSE(stopped);
  EXPECT_EQ(stopped.error().code, "cancelled");
}

}  // namespace
}  // namespace seamwright
