#include "seamwright/handoff/report.h"

#include <gtest/gtest.h>

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
