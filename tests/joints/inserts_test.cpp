#include "seamwright/joints/inserts.h"

#include <gtest/gtest.h>

namespace seamwright {
namespace {

// Fittings, trade values: common practice, from memory.
TEST(Inserts, BoresAreThoseOfTheTrade) {
  EXPECT_EQ(insert_size(InsertThread::m2).bore_mm, 3.2);
  EXPECT_EQ(insert_size(InsertThread::m2_5).bore_mm, 3.6);
  EXPECT_EQ(insert_size(InsertThread::m3).bore_mm, 4.0);
  EXPECT_EQ(insert_size(InsertThread::m4).bore_mm, 5.6);
  EXPECT_EQ(insert_size(InsertThread::none).screw_mm, insert_size(InsertThread::m3).screw_mm);
  for (const InsertThread thread :
       {InsertThread::m2, InsertThread::m2_5, InsertThread::m3, InsertThread::m4}) {
    const InsertSize size = insert_size(thread);
    EXPECT_EQ(size.wall_mm, 2);
    EXPECT_NEAR(size.depth_mm() - size.length_mm, 1.5, 1e-12);
    EXPECT_LT(size.screw_mm, size.bore_mm);
    EXPECT_GT(size.head_mm, size.screw_mm);
  }
}

// ISO 68-1 and 898-1: the stress area is that of the mean of pitch and minor diameter, pitches of
// ISO 261's coarse row: π/4 (d − 0.9382 P)².
TEST(Inserts, StressAreasAreThoseOfTheThreads) {
  const auto area = [](double d, double pitch) {
    const double mean = d - 0.9382 * pitch;
    return 3.14159265358979 / 4 * mean * mean;
  };
  EXPECT_NEAR(insert_size(InsertThread::m2).stress_area_mm2, area(2, 0.4), 0.01);
  EXPECT_NEAR(insert_size(InsertThread::m2_5).stress_area_mm2, area(2.5, 0.45), 0.01);
  EXPECT_NEAR(insert_size(InsertThread::m3).stress_area_mm2, area(3, 0.5), 0.01);
  EXPECT_NEAR(insert_size(InsertThread::m4).stress_area_mm2, area(4, 0.7), 0.01);
}

// Through 3 mm of flange into a bore of 7.2 mm: 8 mm ends 2.2 mm over its floor, 10 would 0.2 mm.
TEST(Inserts, ScrewsEndHalfAMillimetreOverTheBoresFloor) {
  const InsertSize m3 = insert_size(InsertThread::m3);
  EXPECT_EQ(insert_screw_mm(m3, 3), 8);
  EXPECT_EQ(insert_screw_mm(m3, 5), 10);
  EXPECT_LE(insert_screw_mm(m3, 3), 3 + m3.depth_mm() - 0.5);
}

TEST(Inserts, ScrewsStandAMillimetreOutOfTheirNuts) {
  const InsertSize m3 = insert_size(InsertThread::m3);
  EXPECT_EQ(nut_screw_mm(m3, 6), 10);  // 6 + 2.4 + 1
  EXPECT_EQ(nut_screw_mm(m3, 7), 12);
}

}  // namespace
}  // namespace seamwright
