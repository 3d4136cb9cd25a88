#include <gtest/gtest.h>
#include <unistd.h>

#include <algorithm>
#include <filesystem>
#include <fstream>

#include "seamwright/handoff/hand_off.h"
#include "seamwright/handoff/report.h"
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
  // Longer prints fail more often, which moves seams; the same pieces are to be compared.
  Job simple = job();
  simple.cost.failure_h = 0;
  Job recorded = simple;
  PrinterRecord record{
      .printer = recorded.printers[0].name, .prints = {}, .slide_clearance_mm = {}};
  for (int i = 0; i < 4; ++i) ASSERT_TRUE(add_print(record, {"A1", 10000, 100, 15000, 100}));
  recorded.records = {record};
  const Result<HandOff> plain = run_split(simple), fitted = run_split(recorded);
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

std::vector<std::string> marks_in(const HandOff& found) {
  std::vector<std::string> marks;
  for (const Load& load : found.days->loads) {
    for (const std::size_t piece : load.pieces)
      marks.push_back(found.days_input->input.pieces[piece].mark);
  }
  std::sort(marks.begin(), marks.end());
  return marks;
}

/// A calendar may begin with a load of straps alone.
void expect_report_starts_with_a_strap(HandOff found) {
  DayPlan& plan = *found.days;
  for (Load& load : plan.loads) load.pieces.assign(1, found.pieces.size());
  const auto pictures = draw_pictures(found, {{60, 40}, {40, 30}}, {});
  ASSERT_TRUE(pictures);
  const std::string page = report_html(found, *pictures, {}, {});
  const std::size_t start = page.find("Start with");
  ASSERT_NE(start, std::string::npos);
  EXPECT_EQ(page.find("<strong>" + found.loose_parts.front().mark + "</strong>", start),
            page.find("<strong>", start));
}

TEST_F(DaysStage, StrapsArePrintedInLoadsToo) {
  const auto shell = path_.parent_path() / ("seamwright_plate" + std::to_string(::getpid()));
  std::ofstream(shell, std::ios::binary) << stl_bytes(testing::make_box({320, 120, 3}));
  Job thin = job();
  thin.part.file = shell.string();
  thin.part.wall_side = "-z";
  thin.joinery.key = KeyKind::strap;
  const Result<HandOff> found = run_split(thin);
  std::filesystem::remove(shell);
  ASSERT_TRUE(found) << found.error().message;
  ASSERT_FALSE(found->loose_parts.empty()) << found->warnings.at(1).message;
  std::vector<std::string> all;
  for (const FinishedPiece& piece : found->pieces) all.push_back(piece.mark);
  for (const LoosePart& part : found->loose_parts) all.push_back(part.mark);
  std::sort(all.begin(), all.end());
  EXPECT_EQ(marks_in(*found), all);
  const std::vector<DayPiece>& pieces = found->days_input->input.pieces;
  for (std::size_t i = 0; i < found->loose_parts.size(); ++i) {
    const DayPiece& piece = pieces[found->pieces.size() + i];
    EXPECT_EQ(piece.mark, found->loose_parts[i].mark);
    EXPECT_NEAR(*piece.print_s[0], found->loose_prints[i].alone_print_s, 1e-6);
    EXPECT_GE(*piece.print_s[0], found->loose_prints[i].print_s);
    EXPECT_EQ(piece.mass_g, found->loose_prints[i].mass_g);
  }
  expect_report_starts_with_a_strap(*found);
}

}  // namespace
}  // namespace seamwright
