#include "seamwright/handoff/report.h"

#include <fmt/format.h>
#include <gtest/gtest.h>

#include <array>
#include <regex>

#include "handoff/sample_hand_off.h"

namespace seamwright {
namespace {

using testing::sample_hand_off;

std::string page_of(const HandOff& hand_off, int threads = 0) {
  const seamwright::Run run{.thread_count = threads};
  const auto pictures = draw_pictures(hand_off, {{60, 40}, {40, 30}}, run);
  return report_html(hand_off, pictures.value(), {}, run);
}

bool holds(const std::string& page, const std::string& text) {
  return page.find(text) != std::string::npos;
}

TEST(Report, IsOneFileThatAsksForNoOther) {
  const std::string page = page_of(sample_hand_off());
  EXPECT_FALSE(std::regex_search(
      page, std::regex("https?://|@import|url\\(|<link|<iframe|fetch\\(|XMLHttp")));
  const std::regex source("src=\"([^\"]{0,30})");
  for (std::sregex_iterator it(page.begin(), page.end(), source), end; it != end; ++it) {
    EXPECT_EQ((*it)[1].str().rfind("data:image/png;base64,", 0), 0u) << (*it)[1];
  }
}

TEST(Report, SaysHowManyHowLongHowMuchAndWhatToStartWith) {
  const std::string page = page_of(sample_hand_off());
  EXPECT_TRUE(holds(page, "2 pieces"));
  EXPECT_TRUE(holds(page, "about 0.6 print days"));  // 50,000.75 s over 86,400 s
  EXPECT_TRUE(holds(page, "13 h 55 min"));
  EXPECT_TRUE(holds(page, "1 spool"));
  EXPECT_TRUE(holds(page, "100 × 60 × 40 mm"));
  // A2 prints faster than A1, and the two are joined first.
  const std::size_t start = page.find("Start with");
  ASSERT_NE(start, std::string::npos);
  EXPECT_LT(page.find(">A2<", start), page.find(">A1<", start));
}

TEST(Report, TheTwoPiecesOfAJointAreNeverOnTwoLines) {
  const std::string page = page_of(sample_hand_off());
  EXPECT_TRUE(holds(page, ".pair{white-space:nowrap}"));
  const std::size_t joints = page.find("<section id=\"joints\">");
  const std::string table = page.substr(joints, page.find("</section>", joints) - joints);
  EXPECT_TRUE(std::regex_search(
      table, std::regex("data-h=\"Pieces\"><span class=\"pair\"><b [^>]*>A[12]</b> <b "
                        "[^>]*>A[12]</b></span></td>")));
}

TEST(Report, EveryPieceHasOneColourThatItsChipsGoBy) {
  const std::string page = page_of(sample_hand_off());
  for (const std::string piece : {"piece0", "piece1"}) {
    const std::size_t rule = page.find("." + piece + "{--c:#");
    ASSERT_NE(rule, std::string::npos) << piece;
    EXPECT_EQ(page.find("." + piece + "{", rule + 1), std::string::npos) << piece;
  }
  EXPECT_TRUE(holds(page, "<b class=\"chip piece0\">A1</b>"));
  EXPECT_TRUE(holds(page, "<b class=\"chip piece1\">A2</b>"));
}

TEST(Report, PiecesAndDaysNameTheSamePrinter) {
  const std::string page = page_of(testing::hand_off_on_two_printers());
  const std::size_t pieces = page.find("<section id=\"pieces\">");
  const std::string table = page.substr(pieces, page.find("</section>", pieces) - pieces);
  EXPECT_LT(table.find(">left one<"), table.find(">right one<"));
  EXPECT_TRUE(holds(table, "2 h 45 min"));  // A2 on the right one: 10,000 s
  EXPECT_TRUE(holds(table, "the one of the calendar"));
}

TEST(Report, ATongueHasAThicknessALengthAndLipsAndNoDiameter) {
  HandOff hand_off = sample_hand_off();
  Key tongue{KeyKind::tongue, {50, 30, 20}, {1, 0, 0}, 1.67, 2.5, 0.15, PieceId{0}, 9};
  tongue.lip_mm = 1.2;
  Key strap{KeyKind::strap, {50, 30, 0}, {1, 0, 0}, 20, 2, 0.15, {}, 60};
  hand_off.joints[0].keys = {tongue, strap};
  const std::string page = page_of(hand_off);
  EXPECT_TRUE(
      holds(page, "1 tongue, 1.7 mm thick, 0.9 cm long, 2.5 mm deep, lips of 1.2 mm or more"));
  EXPECT_TRUE(holds(page, "1 strap, 6.0 cm in all"));
  EXPECT_FALSE(holds(page, "⌀ 1.67"));
}

TEST(Report, DrawsTheTimeOfEachLayerAndWhereTheTimeGoes) {
  HandOff hand_off = sample_hand_off();
  for (FinishedPiece& piece : hand_off.pieces) piece.print = testing::sample_print(1.25);
  const std::string page = page_of(hand_off);
  EXPECT_TRUE(holds(page, "<svg class=\"curve\""));
  EXPECT_TRUE(holds(page, "60 layers"));
  EXPECT_TRUE(holds(page, "outer wall"));
  EXPECT_TRUE(holds(page, "heating and homing"));
  EXPECT_TRUE(holds(page, "± 15 %"));
  EXPECT_FALSE(holds(page_of(sample_hand_off()), "<svg class=\"curve\""));
}

TEST(Report, TellsTheLongestPullBetweenOpenings) {
  HandOff hand_off = sample_hand_off();
  hand_off.channels = {{.name = "spine", .kind = "bore", .length_mm = 100, .diameter_mm = 4},
                       {.name = "rim", .kind = "clips", .length_mm = 90, .diameter_mm = 4}};
  hand_off.channels[0].path = {{0, 0, 0}, {100, 0, 0}};
  hand_off.channels[1].path = {{0, 9, 0}, {90, 9, 0}};
  hand_off.crossings.clear();
  for (const double way_mm : {20.0, 85.0})
    hand_off.crossings.push_back({.channel = 0,
                                  .seam = SeamId{1},
                                  .at = {way_mm, 0, 0},
                                  .way_mm = way_mm,
                                  .before = PieceId{0},
                                  .after = PieceId{1}});
  const std::string page = page_of(hand_off);
  // 20, 65 and 15 mm between the ends and the two seams.
  EXPECT_TRUE(holds(page, "Longest pull 6.5 cm through one piece, 10.0 cm once all is glued"));
  EXPECT_TRUE(holds(page, "clips, printed with the piece"));
  EXPECT_TRUE(holds(page, "Laid in from above, nothing to pull."));
}

TEST(Report, NamesThePieceThatHoldsAChannelWithoutASeam) {
  HandOff hand_off = sample_hand_off();
  hand_off.channels = {{.name = "short", .kind = "bore", .length_mm = 30, .diameter_mm = 4}};
  hand_off.channels[0].path = {{0, 0, 0}, {30, 0, 0}};
  hand_off.crossings.clear();
  FinishedPiece& holder = hand_off.pieces.back();
  TriangleSoup soup;
  const Solid& solid = holder.keyed;
  soup.points.assign(solid.points().begin(), solid.points().end());
  soup.triangles.assign(solid.triangles().begin(), solid.triangles().end());
  soup.origins.assign(solid.origins().begin(), solid.origins().end());
  soup.origins[0] = {OriginKind::channel, 0};
  holder.keyed = Solid::make(std::move(soup)).value();
  const std::string page = page_of(hand_off);
  const std::size_t at = page.find("<li><b>short</b>: ");
  ASSERT_NE(at, std::string::npos);
  const std::string item = page.substr(at, page.find("</li>", at) - at);
  EXPECT_TRUE(holds(item, holder.mark)) << item;
  EXPECT_TRUE(holds(item, " alone")) << item;
}

TEST(Report, NamesWiresAndPocketsOnTheAssemblySheet) {
  HandOff hand_off = sample_hand_off();
  ASSERT_FALSE(hand_off.assembly.empty());
  hand_off.channels = {{.name = "glow <wire>", .kind = "bore", .length_mm = 30, .diameter_mm = 4}};
  hand_off.channels[0].path = {{0, 0, 0}, {30, 0, 0}};
  hand_off.pockets = {
      {.name = "left lamp", .at = {0, 0, 0}, .axis = {0, 0, -1}, .size_mm = {5, 5, 9}}};
  hand_off.crossings = {{.channel = 0,
                         .seam = hand_off.joints[hand_off.assembly[0]].face.seam,
                         .at = {15, 0, 0},
                         .way_mm = 15,
                         .before = PieceId{0},
                         .after = PieceId{1}}};
  const std::string page = page_of(hand_off);
  const std::size_t at = page.find("<section id=\"assembly\">");
  ASSERT_NE(at, std::string::npos);
  const std::string sheet = page.substr(at, page.find("</section>", at) - at);
  EXPECT_TRUE(
      holds(sheet, "Before you glue, leave a draw-string through <b>glow &lt;wire&gt;</b>."));
  EXPECT_TRUE(holds(sheet, "set it into its pocket: <b>left lamp</b>."));
}

std::string section_of(const std::string& page, const std::string& id) {
  const std::size_t at = page.find("<section id=\"" + id + "\"");
  return at == std::string::npos ? "" : page.substr(at, page.find("</section>", at) - at);
}

std::size_t count_of(const std::string& text, const std::string& part) {
  std::size_t count = 0;
  for (std::size_t at = text.find(part); at != std::string::npos; at = text.find(part, at + 1))
    ++count;
  return count;
}

TEST(Report, StrengthIsSaidOnceASeamAndItsLoadIsNoCapacity) {
  HandOff hand_off = sample_hand_off();
  hand_off.joints.push_back(hand_off.joints[0]);
  JointStrength large{
      .glue_area_mm2 = 2790, .held_mass_g = 414, .stress_mpa = 0.05, .safety_ratio = 93.4};
  JointStrength small = large;
  small.glue_area_mm2 = 50;
  hand_off.strengths = {large, small};
  const std::string strength = section_of(page_of(hand_off), "strength");
  EXPECT_EQ(count_of(strength, "93.4 ×"), 1u);
  EXPECT_TRUE(holds(strength, "J1, J2"));
  EXPECT_TRUE(holds(strength, "28.4 cm²"));  // both together
  EXPECT_TRUE(holds(strength, "0.5 cm²"));   // the small one's own
  EXPECT_FALSE(holds(strength, "Holds"));
}

TEST(Report, WhatComesBeforeTheGlueIsSaidBeforeItAndStrapsSayWhereTheyGo) {
  HandOff hand_off = sample_hand_off();
  hand_off.crossings = {{.channel = 0,
                         .seam = SeamId{1},
                         .at = {50, 30, 20},
                         .before = PieceId{0},
                         .after = PieceId{1}}};
  hand_off.loose_parts = {
      LoosePart{.mark = "J1a", .solid = testing::make_box({1, 1, 1}), .at = {50, 12, 0}}};
  const std::string sheet = section_of(page_of(hand_off), "assembly");
  ASSERT_TRUE(holds(sheet, "leave a draw-string"));
  EXPECT_LT(sheet.find("leave a draw-string"), sheet.find("Glue, hold"));
  EXPECT_TRUE(holds(sheet, "on the side that nobody sees: <b>J1a</b> at (50, 12, 0) mm"));
}

TEST(Report, WarningsAreWordsAndNotCodes) {
  HandOff hand_off = sample_hand_off();
  hand_off.part.mended = {{"fill-holes", 2, ""}};
  hand_off.warnings = {{"part-size", "FINISHED SIZE 1 x 1"}};
  for (int i = 0; i < 4; ++i) hand_off.warnings.push_back({"lies-on-supports", "A1 lies"});
  const std::string warnings = section_of(page_of(hand_off), "warnings");
  EXPECT_TRUE(holds(warnings, "small holes filled: 2"));
  EXPECT_TRUE(holds(warnings, "all 4 of this kind"));
  for (const char* raw : {"fill-holes", "lies-on-supports", "FINISHED SIZE"})
    EXPECT_FALSE(holds(warnings, raw)) << raw;
}

TEST(Report, DaysAreForThisPartAloneAndTheCautionIsOneText) {
  HandOff hand_off = testing::hand_off_on_two_printers();
  hand_off.days->night_count = 1;
  const std::string page = page_of(hand_off);
  EXPECT_TRUE(holds(section_of(page, "days"), "for this part alone"));
  EXPECT_TRUE(holds(section_of(page, "days"), "10 h<"));  // an entry of 600 minutes
  EXPECT_EQ(count_of(page, "is a fire risk"), 2u);
  EXPECT_EQ(count_of(page, "leave it alone in an empty house. Your insurer"), 2u);
}

/// The boxes of the names in the first wiring picture, as wide as the report draws them.
std::vector<std::array<double, 4>> name_boxes(const std::string& page) {
  const std::size_t from = page.find("<figure class=\"wiring\">");
  const std::string figure = page.substr(from, page.find("</figure>", from) - from);
  const std::regex name("<text x=\"([-0-9]+)\" y=\"([-0-9]+)\"[^>]*>([^<]*)</text>");
  std::vector<std::array<double, 4>> boxes;
  for (std::sregex_iterator it(figure.begin(), figure.end(), name), end; it != end; ++it) {
    const double x = std::stod((*it)[1]), y = std::stod((*it)[2]);
    boxes.push_back({x, y - 15, x + 9 * static_cast<double>((*it)[3].length()), y + 4});
  }
  return boxes;
}

TEST(Report, NamesInTheWiringPictureDoNotLieOverEachOther) {
  HandOff hand_off = sample_hand_off();
  hand_off.channels.clear();
  hand_off.pockets.clear();
  for (int i = 0; i < 5; ++i) {
    const double y = 2.0 * i;
    hand_off.channels.push_back(
        {.name = fmt::format("wire {}", i), .path = {{0, y, 0}, {9, y, 0}}});
    hand_off.pockets.push_back({.name = fmt::format("lamp {}", i), .at = {0, y, 0}});
  }
  const auto pictures = draw_pictures(hand_off, {{1200, 900}, {40, 30}}, {});
  const auto boxes = name_boxes(report_html(hand_off, pictures.value(), {}, {}));
  ASSERT_EQ(boxes.size(), 10u);
  for (std::size_t i = 0; i < boxes.size(); ++i) {
    for (std::size_t k = i + 1; k < boxes.size(); ++k) {
      const bool is_apart = boxes[i][2] <= boxes[k][0] || boxes[k][2] <= boxes[i][0] ||
                            boxes[i][3] <= boxes[k][1] || boxes[k][3] <= boxes[i][1];
      EXPECT_TRUE(is_apart) << i << " over " << k;
    }
  }
}

TEST(Report, SaysThatTimesAreFittedOncePrintsAreRecorded) {
  HandOff hand_off = sample_hand_off();
  hand_off.fits = {PrinterFit{3, 3, 1.18, 1.04, 0.08, 0.05}};
  const std::string page = page_of(hand_off);
  EXPECT_TRUE(holds(page, "fitted to your finished prints"));
  EXPECT_TRUE(holds(page, "± 8 %"));
}

TEST(Report, SaysWhyAPieceStandsAsItDoes) {
  HandOff hand_off = sample_hand_off();
  Direction chosen{hand_off.pieces[0].planned.pose, 0, {0, 0, -1}, 7200, {0.5, 0.25}};
  Direction other = chosen;
  other.hours.steps_h = 3;
  hand_off.directions = {PieceDirections{{chosen, other}, false}, PieceDirections{{chosen}, true}};
  const std::string page = page_of(hand_off);
  EXPECT_TRUE(holds(page, "<b>chosen</b>"));
  EXPECT_TRUE(holds(page, "set by you"));
  EXPECT_TRUE(holds(page, "<b>0.75</b>"));
  EXPECT_TRUE(holds(page, "<b>3.75</b>"));
}

TEST(Report, SaysWhyScrewHolesAndInsertBoresStayRound) {
  HandOff hand_off = sample_hand_off();
  EXPECT_EQ(page_of(hand_off).find("stay round"), std::string::npos);
  for (Key& key : hand_off.joints[0].keys) key.kind = KeyKind::flange;
  for (FinishedPiece& piece : hand_off.pieces) piece.print = testing::sample_print(1.25);
  std::string page = page_of(hand_off);
  EXPECT_NE(page.find("Screws' holes, ⌀ 3.4 mm, stay round"), std::string::npos);
  EXPECT_NE(page.find("(common practice, no source)"), std::string::npos);
  hand_off.joinery.insert = InsertThread::m4;
  page = page_of(hand_off);
  EXPECT_NE(page.find("and inserts' bores, ⌀ 5.6 mm, stay round"), std::string::npos);
  const std::size_t in_joints = page.find("stay round", page.find("id=\"joints\""));
  EXPECT_LT(in_joints, page.find("</section>", page.find("id=\"joints\"")));
  const std::size_t in_printing = page.find("stay round", page.find("id=\"printing\""));
  EXPECT_LT(in_printing, page.find("</section>", page.find("id=\"printing\"")));
}

TEST(Report, ShowsTheCautionsInGeneralWords) {
  const std::string page = page_of(sample_hand_off());
  for (const char* word :
       {"styrene", "Dust", "fumes", "Fuse", "Lithium", "unattended", "60 °C", "overhead",
        "local codes and licensed practice", "an estimate, not a proof"}) {
    EXPECT_TRUE(holds(page, word)) << word;
  }
}

TEST(Report, ShowsWarningsAssumptionsAndMending) {
  const std::string page = page_of(sample_hand_off());
  EXPECT_TRUE(holds(page, "worn side given as -z"));
  EXPECT_TRUE(holds(page, "makers&#39; data sheets, from memory"));
  EXPECT_TRUE(holds(page, "at 0.0006 mm"));
}

TEST(Report, NamesAreTextAndNeverMarkup) {
  HandOff hand_off = sample_hand_off();
  hand_off.part.file = "<script>alert(1)</script>\".stl";
  hand_off.printers[0].name = "a&b<c>";
  hand_off.pieces[0].mark = "</script><b>";
  const std::string page = page_of(hand_off);
  EXPECT_FALSE(holds(page, "<script>alert"));
  EXPECT_FALSE(holds(page, "</script><b>"));
  EXPECT_TRUE(holds(page, "a&amp;b&lt;c&gt;"));
}

TEST(Report, EveryElementIsClosed) {
  const std::string page = page_of(sample_hand_off());
  const std::string body =
      page.substr(page.find("<body>"), page.find("<script>") - page.find("<body>"));
  const std::regex tag("<(/?)([a-z][a-z0-9]*)([^>]*)>");
  std::vector<std::string> open;
  for (std::sregex_iterator it(body.begin(), body.end(), tag), end; it != end; ++it) {
    const std::string name = (*it)[2];
    if (name == "img" || name == "input" || name == "br" || name == "meta") continue;
    if ((*it)[1].length() == 0) {
      open.push_back(name);
      continue;
    }
    ASSERT_FALSE(open.empty()) << name;
    EXPECT_EQ(open.back(), name);
    open.pop_back();
  }
  EXPECT_EQ(open, std::vector<std::string>{"body"});
}

// The page draws a seam's lines by these sorts: what lies in a seam, and what is engraved in skin.
TEST(Report, TheTurnablePictureTellsJointFacesFromMarks) {
  HandOff hand_off = sample_hand_off();
  const Solid& plain = hand_off.pieces[0].keyed;
  std::vector<Origin> origins{plain.origins().begin(), plain.origins().end()};
  const auto skin = std::find_if(origins.begin(), origins.end(),
                                 [](const Origin& o) { return o.kind == OriginKind::skin; });
  skin->kind = OriginKind::mark;
  hand_off.pieces[0].keyed =
      Solid::adopt({plain.points().begin(), plain.points().end()},
                   {plain.triangles().begin(), plain.triangles().end()}, origins);
  const std::string page = page_of(hand_off);
  EXPECT_TRUE(holds(page, "\"skins\":9,\"caps\":2,")) << "a box's 12 faces: 2 of a joint, 1 mark";
  EXPECT_TRUE(holds(page, "\"skins\":10,\"caps\":2,"));
}

TEST(Report, WhatIsNoPieceIsSaidToBeAStrapOrALidAndCountedBesideThePieces) {
  EXPECT_FALSE(holds(page_of(sample_hand_off()), "What is no piece"));
  HandOff hand_off = testing::hand_off_on_two_printers();
  hand_off.lid_prints.push_back({.print_s = 1800, .mass_g = 12});
  const std::string page = page_of(hand_off);
  EXPECT_TRUE(holds(page, "What is no piece is a strap or a lid"));
  EXPECT_TRUE(holds(page, "Straps and lids, 30 min and 12 g more"));
}

TEST(Report, AnUncutPartHasAReportToo) {
  HandOff hand_off = sample_hand_off();
  hand_off.seams.plan.seams.clear();
  hand_off.seams.seam_costs.clear();
  hand_off.joints.clear();
  hand_off.assembly.clear();
  hand_off.channels.clear();
  hand_off.pieces.pop_back();
  const std::string page = page_of(hand_off);
  EXPECT_TRUE(holds(page, "1 piece"));
  EXPECT_TRUE(holds(page, "the part fits as it is"));
}

TEST(Report, AnIncompletePlanSaysSo) {
  HandOff hand_off = sample_hand_off();
  EXPECT_FALSE(holds(page_of(hand_off), "stopped early"));
  hand_off.is_complete = false;
  EXPECT_TRUE(holds(page_of(hand_off), "stopped early"));
}

TEST(Report, IsTheSameOnAnyThreadCount) {
  const HandOff hand_off = sample_hand_off();
  const std::string one = page_of(hand_off, 1);
  EXPECT_EQ(page_of(hand_off, 2), one);
  EXPECT_EQ(page_of(hand_off, 7), one);
}

}  // namespace
}  // namespace seamwright
