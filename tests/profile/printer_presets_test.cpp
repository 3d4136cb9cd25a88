#include "seamwright/profile/printer_presets.h"

#include <gtest/gtest.h>

#include "support/fields.h"

namespace seamwright {
namespace {

bool is_clear(const Printer& printer, Vec2 at) {
  const Vec3 room = printer.room_mm;
  if (printer.bed == Bed::round) {
    const double radius = std::min(room.x, room.y) / 2 - printer.margin_mm;
    return norm(at - Vec2{room.x / 2, room.y / 2}) <= radius + 1e-9;
  }
  const bool is_left = at.x < room.x / 2, is_front = at.y < room.y / 2;
  const double x = is_left ? at.x : room.x - at.x, y = is_front ? at.y : room.y - at.y;
  const double blocked =
      is_front ? (is_left ? printer.blocked_front_left_mm : printer.blocked_front_right_mm)
               : (is_left ? printer.blocked_back_left_mm : printer.blocked_back_right_mm);
  const double margin = printer.margin_mm - 1e-9;
  return x >= margin && y >= margin && (x >= blocked - 1e-9 || y >= blocked - 1e-9);
}

void expect_all_clear(const Printer& printer) {
  for (const ClearBox& box : clear_boxes(printer)) {
    for (int i = 0; i <= 40; ++i) {
      for (int j = 0; j <= 40; ++j) {
        const Vec2 at = box.corner_mm + Vec2{box.size_mm.x * i / 40.0, box.size_mm.y * j / 40.0};
        EXPECT_TRUE(is_clear(printer, at)) << at.x << " " << at.y;
      }
    }
  }
}

TEST(PrinterPresets, EveryNameIsAPrinterWithPlausibleFigures) {
  for (const std::string_view name : kPrinterPresets) {
    const auto printer = preset_printer(name);
    ASSERT_TRUE(printer) << name;
    EXPECT_EQ(printer->preset, name);
    testing::expect_well_described(*printer);
    testing::expect_well_described(with_motion(*printer, Motion::fast));
    expect_all_clear(*printer);
  }
  EXPECT_EQ(preset_printer("mid")->room_mm, (Vec3{220, 220, 250}));
  EXPECT_EQ(preset_printer("round")->bed, Bed::round);
  EXPECT_FALSE(preset_printer("huge"));
}

TEST(PrinterPresets, MotionChangesSpeedsAndNothingElse) {
  const Printer mid = *preset_printer("mid");
  const Printer fast = with_motion(mid, Motion::fast);
  EXPECT_EQ(fast.room_mm, mid.room_mm);
  EXPECT_EQ(fast.acceleration_mm_per_s2, 5000);
  const PrintSettings print = settings_on(fast, {});
  EXPECT_EQ(print.outer_wall_speed(), 150);
  EXPECT_EQ(print.gap_speed(), 150);
  EXPECT_EQ(print.solid_fill_speed(), 200);
  EXPECT_EQ(print.support_speed(), 200);
  EXPECT_EQ(material_on(fast, {}).flow_limit_mm3_per_s, 12);
  const Printer back = with_motion(fast, Motion::slow);
  EXPECT_EQ(settings_on(back, {}).outer_wall_speed(), 25);
  EXPECT_EQ(material_on(back, {}).flow_limit_mm3_per_s, Material{}.flow_limit_mm3_per_s);
}

TEST(ClearBoxes, APlainBedHasOneBoxInsideItsMargins) {
  const auto boxes = clear_boxes({});
  ASSERT_EQ(boxes.size(), 1U);
  EXPECT_EQ(boxes[0].size_mm, Printer{}.usable_mm());
  EXPECT_EQ(boxes[0].corner_mm, (Vec2{5, 5}));
}

TEST(ClearBoxes, BlockedCornersAreNeverInABox) {
  Printer printer;
  printer.blocked_front_left_mm = 30;
  expect_all_clear(printer);
  EXPECT_EQ(clear_boxes(printer).size(), 2U);
  printer.blocked_back_right_mm = 20;
  printer.blocked_back_left_mm = 12;
  expect_all_clear(printer);
  EXPECT_GE(clear_boxes(printer).size(), 2U);
  printer.blocked_front_left_mm = 3;  // within the margin
  printer.blocked_back_right_mm = printer.blocked_back_left_mm = 0;
  EXPECT_EQ(clear_boxes(printer).size(), 1U);
}

TEST(ClearBoxes, ARoundBedHoldsAStripLongerThanItsSquare) {
  const Printer round = *preset_printer("round");
  const auto boxes = clear_boxes(round);
  EXPECT_NEAR(boxes[0].size_mm.x, 230 / std::sqrt(2.0), 1e-9);
  const auto strip = box_that_holds(boxes, {220, 30, 100});
  ASSERT_TRUE(strip);
  EXPECT_GT(*strip, 0U);
  EXPECT_FALSE(box_that_holds(boxes, {220, 100, 100}));
  EXPECT_FALSE(box_that_holds(boxes, {100, 100, 299}));
}

}  // namespace
}  // namespace seamwright
