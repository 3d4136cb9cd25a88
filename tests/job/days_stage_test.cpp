#include <gtest/gtest.h>
#include <unistd.h>

#include <filesystem>
#include <fstream>

#include "seamwright/handoff/hand_off.h"
#include "seamwright/job/run_split.h"
#include "seamwright/mesh/save.h"
#include "seamwright/profile/printer_presets.h"
#include "support/shapes.h"

namespace seamwright {
namespace {

/// A beam of 300 mm: several small pieces, many of which share a bed.
class DaysStage : public ::testing::Test {
 protected:
  static void SetUpTestSuite() {
    path_ = std::filesystem::temp_directory_path() /
            ("seamwright_beam" + std::to_string(::getpid()) + ".stl");
    std::ofstream(path_, std::ios::binary) << stl_bytes(testing::make_box({300, 40, 30}));
  }
  static void TearDownTestSuite() { std::filesystem::remove(path_); }
  static Job job() {
    Job job;
    job.part.file = path_.string();
    job.search.effort = Effort::quick;
    job.days.per_load = PerLoad::many;
    job.days.start = "2026-10-01 18:00";
    return job;
  }
  static inline std::filesystem::path path_;
};

TEST_F(DaysStage, LoadsKeepToRoundBedsAndOutOfBlockedCorners) {
  std::vector<Printer> printers{*preset_printer("round"), Printer{}};
  printers[1].blocked_back_right_mm = 50;
  for (const Printer& printer : printers) {
    Job one = job();
    one.printers = {printer};
    const Result<HandOff> found = run_split(one);
    ASSERT_TRUE(found) << found.error().message;
    ASSERT_TRUE(found->days);
    EXPECT_LT(found->days->loads.size(), found->pieces.size()) << "no bed is shared";
    for (const Load& load : found->days->loads) {
      for (const NestPlace& place : *load.places[0]) {
        const Solid solid = solid_in_file(found->pieces[load.pieces[place.item]], found->material);
        for (const Vec3& p : solid.points()) {
          const Vec2 at = place.apply({p.x, p.y});
          if (printer.bed == Bed::round) {
            EXPECT_LE(norm(at - Vec2{printer.room_mm.x, printer.room_mm.y} / 2),
                      printer.usable_mm().x / 2 + 1e-3);
          } else {
            EXPECT_TRUE(at.x <= printer.room_mm.x - 50 + 1e-3 ||
                        at.y <= printer.room_mm.y - 50 + 1e-3);
          }
        }
      }
    }
  }
}

TEST_F(DaysStage, PlansWithTheTimesOfThePrintersRecord) {
  Job recorded = job();
  PrinterRecord record{
      .printer = recorded.printers[0].name, .prints = {}, .slide_clearance_mm = {}};
  for (int i = 0; i < 4; ++i) ASSERT_TRUE(add_print(record, {"A1", 10000, 100, 15000, 100}));
  recorded.records = {record};
  const Result<HandOff> plain = run_split(job()), fitted = run_split(recorded);
  ASSERT_TRUE(plain && fitted);
  const DaysInput &a = plain->days_input->input, &b = fitted->days_input->input;
  ASSERT_EQ(a.pieces.size(), b.pieces.size());
  for (std::size_t i = 0; i < a.pieces.size(); ++i)
    EXPECT_NEAR(*b.pieces[i].print_s[0] / *a.pieces[i].print_s[0], 1.5, 1e-6);
  EXPECT_NEAR(b.printers[0].load.once_s / a.printers[0].load.once_s, 1.5, 1e-9);
  EXPECT_EQ(a.band_ratio, 0.15);
  EXPECT_EQ(b.band_ratio, fit_record(record).time_band_ratio);
  EXPECT_GT(fitted->days->calendar.done_min, plain->days->calendar.done_min);
}

}  // namespace
}  // namespace seamwright
