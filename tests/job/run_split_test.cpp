#include "seamwright/job/run_split.h"

#include <fmt/format.h>
#include <gtest/gtest.h>
#include <unistd.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <numbers>

#include "seamwright/job/job_file.h"
#include "seamwright/mesh/save.h"
#include "seamwright/profile/printer_presets.h"
#include "seamwright/query/mass_properties.h"
#include "support/shapes.h"

namespace seamwright {
namespace {

/// A block with a wire through it, in a file of its own.
class RunSplit : public ::testing::Test {
 protected:
  static void SetUpTestSuite() {
    path_ = std::filesystem::temp_directory_path() /
            ("seamwright_block" + std::to_string(::getpid()) + ".stl");
    std::ofstream(path_, std::ios::binary) << stl_bytes(testing::make_box({300, 60, 40}));
    hand_off_ = new Result<HandOff>(run_split(job()));
  }
  static void TearDownTestSuite() {
    delete hand_off_;
    std::filesystem::remove(path_);
  }
  static Job job() {
    Job job;
    job.part.file = path_.string();
    job.search.effort = Effort::quick;
    job.wiring.wires.push_back(
        {.name = "glow", .from = {0, 30, 20}, .to = {300, 30, 20}, .diameter_mm = 5});
    return job;
  }
  static const HandOff& found() { return hand_off_->value(); }

  static inline std::filesystem::path path_;
  static inline Result<HandOff>* hand_off_ = nullptr;
};

TEST_F(RunSplit, VolumesBeforeKeysAddUpToTheWiredPart) {
  double sum_mm3 = 0;
  for (const FinishedPiece& piece : found().pieces) sum_mm3 += volume_mm3(piece.planned.cut.solid);
  EXPECT_NEAR(sum_mm3 / found().part.wired_volume_mm3, 1, 1e-9);
  EXPECT_LT(found().part.wired_volume_mm3, found().part.volume_mm3);
}

TEST_F(RunSplit, EveryPieceWithItsKeysFitsItsPrinter) {
  ASSERT_GE(found().pieces.size(), 2u);
  for (const FinishedPiece& piece : found().pieces) {
    const Printer& printer = found().printers[piece.planned.printer];
    const Solid on_bed = piece.keyed.transformed(piece.planned.pose.bed_from_part);
    const Vec3 usable = printer.usable_mm();
    EXPECT_GE(on_bed.box().low.z, -2e-6);
    EXPECT_GE(on_bed.box().low.x, printer.margin_mm - 2e-6);
    EXPECT_GE(on_bed.box().low.y, printer.margin_mm - 2e-6);
    EXPECT_LE(on_bed.box().high.x, printer.margin_mm + usable.x + 2e-6);
    EXPECT_LE(on_bed.box().high.y, printer.margin_mm + usable.y + 2e-6);
    EXPECT_LE(on_bed.box().high.z, usable.z + 2e-6);
  }
}

TEST_F(RunSplit, JointsHaveKeysThatKeepClearOfTheWire) {
  ASSERT_FALSE(found().joints.empty());
  for (const Joint& joint : found().joints) {
    EXPECT_GE(joint.keys.size(), 2u);
    for (const Key& key : joint.keys) {
      for (const Vec3& p : found().channels[0].path) {
        EXPECT_GT(norm(p - key.at),
                  2.5 + key.diameter_mm / 2 + found().joinery.wall_to_skin_mm - 0.1);
      }
    }
  }
}

TEST_F(RunSplit, EveryPieceHasTimeFilamentAndMass) {
  for (const FinishedPiece& piece : found().pieces) {
    EXPECT_GT(piece.print.print_s, piece.fast_print.print_s);
    // Density times filament volume: CHECKS's 2.40528 mm² of 1.75 mm filament, PLA 1.24 g/cm³.
    EXPECT_NEAR(piece.print.mass_g, piece.print.filament_mm * 2.40528 * 1.24e-3,
                1e-3 * piece.print.mass_g);
  }
}

TEST_F(RunSplit, AssemblyIsTheCutOrderReversed) {
  EXPECT_EQ(found().assembly.size(), found().joints.size());
}

TEST_F(RunSplit, AssumptionsNameTheirSource) {
  EXPECT_GT(found().assumptions.size(), 30u);
  for (const Assumption& assumption : found().assumptions)
    EXPECT_FALSE(assumption.source.empty()) << assumption.key;
}

TEST_F(RunSplit, GivesTheSamePlanOnAnyThreadCount) {
  for (const int threads : {1, 2, 7}) {
    const Result<HandOff> again = run_split(job(), {}, seamwright::Run{.thread_count = threads});
    ASSERT_TRUE(again) << again.error().message;
    ASSERT_EQ(again->pieces.size(), found().pieces.size());
    for (std::size_t i = 0; i < again->pieces.size(); ++i) {
      EXPECT_EQ(stl_bytes(again->pieces[i].keyed), stl_bytes(found().pieces[i].keyed));
      EXPECT_EQ(again->pieces[i].print.print_s, found().pieces[i].print.print_s);
    }
  }
}

TEST_F(RunSplit, APartThatFitsIsOnePiece) {
  const auto small = std::filesystem::temp_directory_path() /
                     ("seamwright_small" + std::to_string(::getpid()) + ".stl");
  std::ofstream(small, std::ios::binary) << stl_bytes(testing::make_box({60, 40, 30}));
  Job job;
  job.part.file = small.string();
  const Result<HandOff> whole = run_split(job);
  std::filesystem::remove(small);
  ASSERT_TRUE(whole) << whole.error().message;
  EXPECT_EQ(whole->pieces.size(), 1u);
  EXPECT_TRUE(whole->joints.empty());
  EXPECT_EQ(whole->pieces[0].mark, "A1");
}

TEST_F(RunSplit, APieceOnSupportsIsToldWithTheirGramsAndShare) {
  const auto ball = std::filesystem::temp_directory_path() /
                    ("seamwright_ball" + std::to_string(::getpid()) + ".stl");
  std::ofstream(ball, std::ios::binary) << stl_bytes(testing::make_sphere(25, 3));
  Job job;
  job.part.file = ball.string();
  const Result<HandOff> whole = run_split(job);
  std::filesystem::remove(ball);
  ASSERT_TRUE(whole) << whole.error().message;
  const PrintEstimate& print = whole->pieces.at(0).print;
  ASSERT_GT(print.support_g, 0);
  const auto said = std::find_if(whole->warnings.begin(), whole->warnings.end(),
                                 [](const Warning& w) { return w.code == "lies-on-supports"; });
  ASSERT_NE(said, whole->warnings.end());
  EXPECT_NE(said->message.find(fmt::format("{:.0f} g of its {:.0f} g are support, {:.0f} %",
                                           print.support_g, print.mass_g,
                                           100 * print.support_g / print.mass_g)),
            std::string::npos)
      << said->message;
}

TEST_F(RunSplit, AJointIsChosenByItsPiecesAndAChoiceForNoneIsTold) {
  const Joint& first = found().joints.at(0);
  const std::string above = found().pieces[to_index(first.face.above)].mark,
                    below = found().pieces[to_index(first.face.below)].mark;
  Job asked = job();
  asked.joinery.choices = {{"", {below, above}, KeyKind::none}, {"S77", {}, KeyKind::pin}};
  const Result<HandOff> hand_off = run_split(asked);
  ASSERT_TRUE(hand_off) << hand_off.error().message;
  EXPECT_TRUE(hand_off->joints.at(0).keys.empty());
  std::vector<std::string> idle;
  for (const Warning& warning : hand_off->warnings)
    if (warning.code == "joint-choice-idle") idle.push_back(warning.message);
  ASSERT_EQ(idle.size(), 1u);
  EXPECT_NE(idle[0].find("seam = \"S77\""), std::string::npos);
}

TEST_F(RunSplit, APieceStandsAsTheMakerSaysAndOtherwiseInItsCheapestWay) {
  ASSERT_EQ(found().directions.size(), found().pieces.size());
  for (const PieceDirections& piece : found().directions) {
    ASSERT_FALSE(piece.ranked.empty());
    EXPECT_FALSE(piece.is_fixed);
    for (const Direction& other : piece.ranked)
      EXPECT_GE(other.hours.total_h(), piece.ranked.front().hours.total_h());
  }
  Job fixed = job();
  const std::string mark = found().pieces[0].mark;
  fixed.stands.push_back({mark, {0, 0, 1}});
  const Result<HandOff> hand_off = run_split(fixed);
  ASSERT_TRUE(hand_off) << hand_off.error().message;
  EXPECT_TRUE(hand_off->directions[0].is_fixed);
  EXPECT_NEAR(hand_off->pieces[0].planned.pose.bed_from_part.rows[2].z, -1, 1e-9);
}

// Such a name ended the run after its whole search.
TEST_F(RunSplit, WhatThePlanDoesNotHaveIsToldWithItsLineAndWhatThereIsAndThePlanIsKept) {
  Job asked = job();
  const Job read = *read_job(
      "[[stand]]\npiece = \"Z9\"\n[[stand]]\npiece = \"A1\"\ndown = [1, 0, 0]\n"
      "[travel]\nseams = [\"S77\"]\n[days]\nsame_spool = [\"A1 Y7\"]\n"
      "[[joint]]\nseam = \"S78\"\n",
      "jobs/block.toml");
  asked.stands = read.stands;
  asked.travel = read.travel;
  asked.days = read.days;
  asked.joinery.choices = read.joinery.choices;
  asked.given = read.given;
  asked.printers[0].room_mm.z = 100;
  const Result<HandOff> hand_off = run_split(asked);
  ASSERT_TRUE(hand_off) << hand_off.error().message;
  const std::pair<const char*, const char*> cases[] = {
      {"stand-idle", "block.toml:2: [[stand]] piece = \"Z9\": this plan has no such piece"},
      {"stand-does-not-fit", "block.toml:4: [[stand]] piece = \"A1\": it fits no printer"},
      {"travel-seam-idle", "block.toml:7: [travel] seams names S77: "},
      {"same-spool-idle", "block.toml:9: [days] same_spool names Y7: "},
      {"joint-choice-idle", "block.toml:11: [[joint]] seam = \"S78\": "}};
  for (const auto& [code, begin] : cases) {
    const auto said = std::find_if(hand_off->warnings.begin(), hand_off->warnings.end(),
                                   [&](const Warning& w) { return w.code == code; });
    ASSERT_NE(said, hand_off->warnings.end()) << code;
    EXPECT_TRUE(said->message.starts_with(begin)) << said->message;
  }
  const auto has = [&](const char* words) {
    return std::any_of(hand_off->warnings.begin(), hand_off->warnings.end(), [&](const Warning& w) {
      return w.message.find(words) != std::string::npos;
    });
  };
  EXPECT_TRUE(has("it has A1, "));
  EXPECT_TRUE(has("no such joint, so nothing came of it; it has S"));
}

TEST_F(RunSplit, ALyingBoreIsRoofedAndAPieceWithoutRoomForItIsTold) {
  Job wide = job();
  wide.wiring.wires[0].diameter_mm = 8;
  for (const PieceDirections& piece : found().directions) ASSERT_FALSE(piece.ranked.empty());
  for (const FinishedPiece& piece : found().pieces) wide.stands.push_back({piece.mark, {0, 0, -1}});
  const Result<HandOff> roofed = run_split(wide);
  ASSERT_TRUE(roofed) << roofed.error().message;
  EXPECT_GE(roofed->channels[0].roofed_mm, 270);
  wide.wiring.wires[0].from = {0, 30, 33.5};
  wide.wiring.wires[0].to = {300, 30, 33.5};
  const Result<HandOff> told = run_split(wide);
  ASSERT_TRUE(told) << told.error().message;
  const auto count = std::count_if(told->warnings.begin(), told->warnings.end(), [](const auto& w) {
    return w.code == "bore-stays-round" && w.message.find("5.7 mm bridge") != std::string::npos;
  });
  EXPECT_EQ(static_cast<std::size_t>(count), told->pieces.size());
}

TEST_F(RunSplit, ALockedSeamAlongAWireAndASparThatMeetsItAskewAreTold) {
  Job locked = job();
  locked.wiring.wires[0].from = {0, 20, 10};
  locked.wiring.wires[0].to = {300, 20, 10};
  locked.wiring.spars = {{.name = "rod", .from = {0, 10, 30}, .to = {300, 50, 30}}};
  locked.locks = {{.normal = {0, 1, 0}, .offset_mm = 23}};
  const Result<HandOff> told = run_split(locked);
  ASSERT_TRUE(told) << told.error().message;
  const auto says = [&](const char* code, const std::string& words) {
    return std::any_of(told->warnings.begin(), told->warnings.end(), [&](const Warning& w) {
      return w.code == code && w.message.find(words) != std::string::npos;
    });
  };
  ASSERT_EQ(told->seam_runs.size(), 2u);
  EXPECT_NEAR(told->seam_runs[0].length_mm, 300, 3);
  EXPECT_NEAR(told->seam_runs[0].nearest_mm, 3, 1e-6);
  // The rod lies within 5 mm of the seam over 10 mm / sin 7.6°, in 1 mm steps.
  EXPECT_NEAR(told->seam_runs[1].length_mm, 10 / std::sin(std::atan(40.0 / 300)), 2);
  const std::string length = std::to_string(std::lround(told->seam_runs[0].length_mm));
  EXPECT_TRUE(says("seam-runs-along", "S1 runs " + length + " mm beside bore"));
  EXPECT_TRUE(says("wire-crosses-askew", "spar \"rod\" crosses seam S1 at 8°"));  // atan 40 / 300
}

TEST_F(RunSplit, RoundBedsAndBlockedCornersStayClear) {
  Job shaped = job();
  shaped.wiring.wires.clear();
  shaped.printers = {*preset_printer("round")};
  shaped.printers.push_back(Printer{});
  shaped.printers[1].blocked_front_left_mm = 40;
  for (const Printer& printer : shaped.printers) {
    Job one = shaped;
    one.printers = {printer};
    const Result<HandOff> hand_off = run_split(one);
    ASSERT_TRUE(hand_off) << hand_off.error().message;
    for (const FinishedPiece& piece : hand_off->pieces) {
      for (const Vec3 p : piece.keyed.points()) {
        const Vec3 at = piece.planned.pose.bed_from_part.apply(p);
        if (printer.bed == Bed::round) {
          EXPECT_LE(norm(Vec2{at.x - 120, at.y - 120}), 115 + 1e-4);
        } else {
          EXPECT_TRUE(at.x >= 40 - 1e-4 || at.y >= 40 - 1e-4);
        }
      }
    }
  }
}

TEST_F(RunSplit, PadsHoldTheCornersThatLiftWhenAskedFor) {
  Job job;
  const auto plate = path_.parent_path() / ("seamwright_plate" + std::to_string(::getpid()));
  std::ofstream(plate, std::ios::binary) << stl_bytes(testing::make_box({150, 140, 8}));
  job.part.file = plate.string();
  job.search.effort = Effort::quick;
  job.material = *preset_material("ABS");
  const HandOff bare = run_split(job).value();
  job.print.corner_pad_mm = 20;
  const HandOff padded = run_split(job).value();
  job.material = *preset_material("PLA");
  const HandOff calm = run_split(job).value();
  std::filesystem::remove(plate);

  const auto has = [](const HandOff& out, std::string_view code) {
    return std::any_of(out.warnings.begin(), out.warnings.end(),
                       [&](const Warning& w) { return w.code == code; });
  };
  ASSERT_EQ(bare.pieces.size(), 1U);
  EXPECT_TRUE(has(bare, "corner-pads"));
  EXPECT_TRUE(bare.pieces[0].pads.empty());
  EXPECT_TRUE(calm.pieces[0].pads.empty()) << "PLA lifts no foot of 210 cm²";
  // 170 wide: room for a pad on each side of 150 and on each of 140.
  const FinishedPiece& piece = padded.pieces[0];
  ASSERT_EQ(piece.pads.size(), 4U);
  for (const CornerPad& pad : piece.pads) {
    EXPECT_GE(pad.at_mm.x, 5 + 10 - 1e-5);
    EXPECT_LE(pad.at_mm.x, 175 - 10 + 1e-5);
  }
  const double pad_mm2 = 4 * 0.75 * std::numbers::pi * 100;
  const double brim_mm = piece.print.line_mm[to_index(LineKind::brim)];
  EXPECT_NEAR(brim_mm * 0.4, pad_mm2, 0.03 * pad_mm2);
  EXPECT_GT(piece.print.print_s, bare.pieces[0].print.print_s);
  EXPECT_GT(piece.print.mass_g, bare.pieces[0].print.mass_g);
}

TEST_F(RunSplit, RefusesProfilesThatMakeNoSense) {
  Job thick = job();
  thick.print.layer_mm = 0.5;
  EXPECT_EQ(run_split(thick).error().code, "bad-profile");
}

TEST_F(RunSplit, FlangesAndLapsAreShapedWhereAskedForElseTold) {
  const auto wall = path_.parent_path() / ("seamwright_wall" + std::to_string(::getpid()));
  std::ofstream(wall, std::ios::binary) << stl_bytes(testing::make_box({240, 5, 120}));
  for (const KeyKind kind : {KeyKind::flange, KeyKind::lap}) {
    Job job;
    job.part.file = wall.string();
    job.search.effort = Effort::quick;
    job.joinery.key = kind;
    job.part.wall_side = "+y";
    job.locks.push_back({{1, 0, 0}, 118});
    job.stands = {{"A1", {0, 0, -1}}, {"A2", {0, 0, -1}}};
    const Result<HandOff> hand_off = run_split(job);
    ASSERT_TRUE(hand_off) << hand_off.error().message;
    ASSERT_EQ(hand_off->joints.size(), 1U);
    const Joint& joint = hand_off->joints[0];
    ASSERT_EQ(joint.kind, kind) << (hand_off->warnings.empty() ? ""
                                                               : hand_off->warnings.back().message);
    EXPECT_NEAR(joint.face.area_mm2, kind == KeyKind::lap ? 600 : joint.face.area_mm2, 1e-6);
    double keyed_mm3 = 0;
    for (const FinishedPiece& piece : hand_off->pieces) {
      keyed_mm3 += volume_mm3(piece.keyed);
      const Box3 on_bed = piece.keyed.transformed(piece.planned.pose.bed_from_part).box();
      EXPECT_GE(std::min(on_bed.low.x, on_bed.low.y), 5 - 2e-6);
      EXPECT_LE(std::max(on_bed.high.x, on_bed.high.y), 175 + 2e-6);
      EXPECT_NEAR(on_bed.size().x, piece.planned.pose.size_mm.x, 1e-6);
    }
    // Flanges stand 8 mm over the wall, 3 mm on each side; a lap takes its clearances off.
    if (kind == KeyKind::flange) {
      EXPECT_GT(keyed_mm3, 240 * 5 * 120 + 80 * 8 * 6);
    }
    if (kind == KeyKind::lap) {
      EXPECT_LT(keyed_mm3, 240 * 5 * 120 - 100 * 8 * 0.15);
    }
    job.part.wall_side.clear();
    const HandOff unknown = run_split(job).value();
    EXPECT_TRUE(
        std::any_of(unknown.warnings.begin(), unknown.warnings.end(),
                    [&](const Warning& w) { return w.code == key_name(kind) + "-left-out"; }));
  }
  std::filesystem::remove(wall);
}

TEST_F(RunSplit, SeamsThatTravelAreScrewedOrHeldByMagnetsNeverGlued) {
  const auto wall = path_.parent_path() / ("seamwright_travel" + std::to_string(::getpid()));
  std::ofstream(wall, std::ios::binary) << stl_bytes(testing::make_box({240, 5, 120}));
  Job job;
  job.part.file = wall.string();
  job.search.effort = Effort::quick;
  job.part.wall_side = "+y";
  job.locks.push_back({{1, 0, 0}, 118});
  job.stands = {{"A1", {0, 0, -1}}, {"A2", {0, 0, -1}}};
  job.travel.seams = {"S1"};
  job.travel.key = TravelKey::flange;
  job.joinery.insert = InsertThread::m3;
  const Result<HandOff> screwed = run_split(job);
  ASSERT_TRUE(screwed) << screwed.error().message;
  const Joint& joint = screwed->joints.at(0);
  EXPECT_EQ(joint.kind, KeyKind::flange);
  EXPECT_FALSE(joint.is_glued);
  ASSERT_GE(joint.keys.size(), 2u);
  for (const Key& key : joint.keys) {
    EXPECT_EQ(key.length_mm, 8);
    EXPECT_TRUE(key.holder == joint.face.above || key.holder == joint.face.below);
  }
  EXPECT_GT(screwed->strengths.at(0).screw_pull_n, 0);
  EXPECT_EQ(screwed->strengths[0].screw_count, joint.keys.size());
  EXPECT_TRUE(screwed->loose_parts.empty());

  job.travel.key = TravelKey::by_joints;  // magnets, for which 5 mm are too thin: no strap instead
  const HandOff loose = run_split(job).value();
  EXPECT_FALSE(loose.joints.at(0).is_glued);
  EXPECT_TRUE(loose.loose_parts.empty());
  EXPECT_TRUE(std::any_of(loose.warnings.begin(), loose.warnings.end(),
                          [](const Warning& w) { return w.code == "travel-joint-loose"; }));
  std::filesystem::remove(wall);
}

// At each end two grooves left a speck of 0.1 mm² of the joint face, and the groove was given up.
TEST_F(RunSplit, GroovesTheShownEdgesOfAWallRoundItsCorners) {
  const auto wall = path_.parent_path() / ("seamwright_groove" + std::to_string(::getpid()));
  std::ofstream(wall, std::ios::binary) << stl_bytes(testing::make_box({240, 5, 120}));
  Job job;
  job.part.file = wall.string();
  job.search.effort = Effort::quick;
  job.part.wall_side = "+y";
  job.locks.push_back({{1, 0, 0}, 118});
  job.joinery.edge = SeamEdge::weld;
  const HandOff hand_off = run_split(job).value();
  ASSERT_EQ(hand_off.joints.size(), 1u);
  EXPECT_LT(hand_off.joints[0].face.area_mm2, 500)
      << "600 less a groove of 1.1 mm round three sides";
  EXPECT_TRUE(std::none_of(hand_off.warnings.begin(), hand_off.warnings.end(),
                           [](const Warning& w) { return w.code == "groove-left-out"; }));
  std::filesystem::remove(wall);
}

TEST_F(RunSplit, PiecesLeaveRoomForShrinkage) {
  Job shrinking = job();
  shrinking.wiring.wires.clear();
  shrinking.material.shrink_ratio = 0.02;
  const Result<HandOff> hand_off = run_split(shrinking);
  ASSERT_TRUE(hand_off) << hand_off.error().message;
  for (const FinishedPiece& piece : hand_off->pieces) {
    const Solid written = solid_in_file(piece, hand_off->material);
    const Printer& printer = hand_off->printers[piece.planned.printer];
    EXPECT_LE(written.box().high.x, printer.margin_mm + printer.usable_mm().x + 1e-4);
    EXPECT_LE(written.box().high.y, printer.margin_mm + printer.usable_mm().y + 1e-4);
    EXPECT_LE(written.box().high.z, printer.usable_mm().z + 1e-4);
  }
}

TEST_F(RunSplit, RefusesTwoWaysOfBeingWorn) {
  Job both = job();
  both.part.worn_side = "-z";
  both.part.around = "x";
  EXPECT_EQ(run_split(both).error().code, "job-bad-value");
}

}  // namespace
}  // namespace seamwright
