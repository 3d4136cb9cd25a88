#include "seamwright/handoff/plan_json.h"

#include <gtest/gtest.h>

#include <limits>
#include <nlohmann/json.hpp>

#include "handoff/sample_hand_off.h"

namespace seamwright {
namespace {

using Json = nlohmann::ordered_json;
using Names = std::vector<std::string>;
using testing::sample_hand_off;

Names keys(const Json& object) {
  Names names;
  for (const auto& [name, value] : object.items()) names.push_back(name);
  return names;
}

// The lists below are the contract's, in its order (DESIGN, "The contract of `split`").
TEST(PlanJson, HasTheContractsKeys) {
  const Json plan = Json::parse(plan_json(sample_hand_off()));
  EXPECT_EQ(
      keys(plan),
      (Names{"schema",        "program",     "seed",   "complete",   "part",        "printers",
             "seams",         "pieces",      "joints", "channels",   "pockets",     "assembly",
             "totals",        "days",        "wear",   "bags",       "assumptions", "warnings",
             "retired_marks", "loose_parts", "lids",   "skin_marks", "rods",        "other_plans"}))
      << "the contract's, and added: days, wear, bags, marks not to be used again, loose parts, "
         "lids, marks on skin, rods, plans to compare";
  EXPECT_EQ(plan["schema"], "seamwright-plan/1");
  EXPECT_EQ(keys(plan["part"]),
            (Names{"file", "sha256", "unit", "scale_ratio", "size_mm", "volume_mm3",
                   "wired_volume_mm3", "area_mm2", "face_count", "worn_side", "mended"}));
  EXPECT_EQ(keys(plan["part"]["mended"][0]), (Names{"code", "count"}));
  EXPECT_EQ(
      keys(plan["printers"][0]),
      (Names{"name", "room_mm", "margin_mm", "nozzle_mm", "bed", "start_s", "recorded_count",
             "time_factor_ratio", "mass_factor_ratio", "time_band_ratio", "mass_band_ratio"}));
  EXPECT_EQ(
      keys(plan["seams"][0]),
      (Names{"id", "parent", "side", "normal", "offset_mm", "shown_mm", "hidden_mm", "maker_h",
             "detail_mm", "line_mm", "preferred", "locked", "forward_10mm_h", "back_10mm_h"}));
  EXPECT_EQ(keys(plan["totals"]),
            (Names{"piece_count", "piece_lower_bound", "shown_mm", "hidden_mm", "maker_h",
                   "print_s", "filament_mm", "mass_g", "time_band_ratio", "mass_band_ratio",
                   "price", "printer_price"}));
  EXPECT_EQ(keys(plan["assumptions"][0]), (Names{"key", "value", "source"}));
  EXPECT_EQ(keys(plan["warnings"][0]), (Names{"code", "message"}));
  EXPECT_EQ(keys(plan["assembly"][0]), (Names{"step", "joint"}));
}

TEST(PlanJson, PiecesJointsAndChannelsHaveTheContractsKeys) {
  const Json plan = Json::parse(plan_json(sample_hand_off()));
  EXPECT_EQ(keys(plan["pieces"][0]), (Names{"id",
                                            "mark",
                                            "file",
                                            "seam",
                                            "side",
                                            "volume_mm3",
                                            "volume_before_keys_mm3",
                                            "printer",
                                            "planned_for",
                                            "pose",
                                            "part_from_file",
                                            "size_mm",
                                            "print_s",
                                            "filament_mm",
                                            "mass_g",
                                            "support_g",
                                            "model_print_s",
                                            "model_mass_g",
                                            "fast_print_s",
                                            "work",
                                            "directions",
                                            "pads",
                                            "done"}));
  EXPECT_EQ(plan["pieces"][0]["part_from_file"].size(), 16u);
  EXPECT_EQ(keys(plan["joints"][0]), (Names{"id", "seam", "pieces", "kind", "glued", "area_mm2",
                                            "outline", "keys", "strength"}));
  EXPECT_EQ(keys(plan["joints"][0]["keys"][0]),
            (Names{"kind", "at", "axis", "diameter_mm", "depth_mm", "clearance_mm", "male",
                   "length_mm", "pole_above", "holder", "thread"}));
  EXPECT_EQ(keys(plan["channels"][0]),
            (Names{"id", "kind", "path", "length_mm", "diameter_mm", "governed_by", "crosses",
                   "least_wall_mm", "least_bend_mm", "bend_turn_deg", "off_skin_mm", "roofed_mm",
                   "crossings", "seam_runs"}))
      << "the contract's, and added: what the report says of a way";
}

TEST(PlanJson, APieceIsOnTheCalendarsPrinterAndSaysWhichItWasPlannedFor) {
  HandOff hand_off = testing::hand_off_on_two_printers();
  hand_off.pieces[1].print.model_print_s = 20000;
  const Json piece = Json::parse(plan_json(hand_off))["pieces"][1];
  EXPECT_EQ(piece["printer"], "right one");
  EXPECT_EQ(piece["planned_for"], "left one");
  EXPECT_NEAR(piece["model_print_s"].get<double>(), 20000.25 / 2 / 1.25, 1e-6)
      << "what a finished print is compared with, before that printer's factor";
  hand_off.pieces[1].is_done = true;
  EXPECT_EQ(Json::parse(plan_json(hand_off))["pieces"][1]["printer"], "left one");
}

TEST(PlanJson, WorkByKindAddsUpToTheWholePrint) {
  HandOff hand_off = sample_hand_off();
  hand_off.pieces[0].print = testing::sample_print(1.25);
  const Json plan = Json::parse(plan_json(hand_off));
  const Json& piece = plan["pieces"][0];
  double seconds = 0, filament_mm = 0;
  for (const Json& work : piece["work"]) {
    seconds += work["s"].get<double>();
    filament_mm += work["filament_mm"].get<double>();
  }
  EXPECT_NEAR(seconds, piece["print_s"].get<double>(), 1e-6 * seconds);
  EXPECT_NEAR(filament_mm, piece["filament_mm"].get<double>(), 1e-6 * filament_mm);
  EXPECT_EQ(piece["work"][0]["kind"], "outer wall");
  EXPECT_NEAR(piece["model_print_s"].get<double>() * 1.25, seconds, 1e-6 * seconds);
}

TEST(PlanJson, NamesReferToEachOther) {
  const Json plan = Json::parse(plan_json(sample_hand_off()));
  EXPECT_EQ(plan["seams"][0]["id"], "S1");
  EXPECT_TRUE(plan["seams"][0]["parent"].is_null());
  EXPECT_EQ(plan["pieces"][0]["seam"], "S1");
  EXPECT_EQ(plan["pieces"][1]["side"], "below");
  EXPECT_EQ(plan["joints"][0]["pieces"], Json::array({"S1+", "S1-"}));
  EXPECT_TRUE(plan["joints"][0]["keys"][0]["male"].is_null());
  EXPECT_EQ(plan["joints"][0]["keys"][1]["male"], "S1+");
  EXPECT_EQ(plan["assembly"][0]["joint"], plan["joints"][0]["id"]);
  EXPECT_EQ(plan["channels"][0]["crosses"], Json::array({"S1"}));
}

TEST(PlanJson, TellsOfAChannelWhatTheReportDoes) {
  HandOff hand_off = sample_hand_off();
  hand_off.channels[0].roofed_mm = 12.5;
  hand_off.channels[0].least_bend_mm = std::numeric_limits<double>::infinity();
  const SeamId seam = hand_off.seams.plan.seams[0].id;
  hand_off.crossings = {
      {.channel = 0, .seam = seam, .at = {50, 1, 2}, .way_mm = 40, .angle = Angle::degrees(72)}};
  hand_off.seam_runs = {{.channel = 0, .seam = seam, .length_mm = 31, .nearest_mm = 2.5}};
  const Json channel = Json::parse(plan_json(hand_off))["channels"][0];
  EXPECT_EQ(channel["roofed_mm"], 12.5);
  EXPECT_TRUE(channel["least_bend_mm"].is_null()) << "a straight way bends nowhere";
  ASSERT_EQ(channel["crossings"].size(), 1u);
  EXPECT_EQ(channel["crossings"][0]["seam"], "S1");
  EXPECT_NEAR(channel["crossings"][0]["angle_deg"].get<double>(), 72, 1e-9);
  EXPECT_EQ(channel["crossings"][0]["way_mm"], 40.0);
  ASSERT_EQ(channel["seam_runs"].size(), 1u);
  EXPECT_EQ(channel["seam_runs"][0],
            Json({{"seam", "S1"}, {"length_mm", 31.0}, {"nearest_mm", 2.5}}));
}

TEST(PlanJson, OutlinesLieOnTheirSeam) {
  const Json plan = Json::parse(plan_json(sample_hand_off()));
  for (const Json& p : plan["joints"][0]["outline"][0]) EXPECT_NEAR(p[0].get<double>(), 50, 1e-9);
}

TEST(PlanJson, NumbersReadBackAsTheSameDoubles) {
  HandOff hand_off = sample_hand_off();
  const double odd = 50.1 + 1e-13;
  hand_off.seams.plan.seams[0].plane.offset_mm = odd;
  hand_off.part.volume_mm3 = 1.0 / 3;
  const Json plan = Json::parse(plan_json(hand_off));
  EXPECT_EQ(plan["seams"][0]["offset_mm"].get<double>(), odd);
  EXPECT_EQ(plan["part"]["volume_mm3"].get<double>(), 1.0 / 3);
}

TEST(PlanJson, VolumesBeforeKeysAddUpToTheWiredVolume) {
  const HandOff hand_off = sample_hand_off();
  const Json plan = Json::parse(plan_json(hand_off));
  double sum_mm3 = 0;
  for (const Json& piece : plan["pieces"]) sum_mm3 += piece["volume_before_keys_mm3"].get<double>();
  EXPECT_NEAR(sum_mm3, hand_off.part.wired_volume_mm3, 1e-9 * sum_mm3);
}

TEST(PlanJson, NamesThatAreNotTextAreWrittenAllTheSame) {
  HandOff hand_off = sample_hand_off();
  hand_off.part.file = "fin\xff.stl";
  EXPECT_EQ(Json::parse(plan_json(hand_off))["part"]["file"], "fin\uFFFD.stl");
}

TEST(PlanJson, AnUncutPartHasNoSeam) {
  HandOff hand_off = sample_hand_off();
  hand_off.seams.plan.seams.clear();
  hand_off.seams.seam_costs.clear();
  hand_off.joints.clear();
  hand_off.assembly.clear();
  hand_off.pieces.pop_back();
  hand_off.pieces[0].planned.cut.id = "whole";
  hand_off.pieces[0].planned.cut.seam.reset();
  const Json plan = Json::parse(plan_json(hand_off));
  EXPECT_TRUE(plan["pieces"][0]["seam"].is_null());
  EXPECT_TRUE(plan["pieces"][0]["side"].is_null());
  EXPECT_EQ(plan["channels"][0]["crosses"], Json::array());
}

}  // namespace
}  // namespace seamwright
