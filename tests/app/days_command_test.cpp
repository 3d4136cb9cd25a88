#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <filesystem>
#include <fstream>

#include "seamwright/app/command_line.h"
#include "seamwright/mesh/load.h"
#include "seamwright/mesh/save.h"
#include "support/app_folder.h"
#include "support/shapes.h"

namespace seamwright {
namespace {

namespace fs = std::filesystem;
using ::testing::HasSubstr;
using ::testing::Not;
using testing::Outcome;
using testing::run_words;

class DaysCommand : public testing::AppFolder {
 protected:
  void SetUp() override {
    AppFolder::SetUp();
    write("rod.stl", stl_bytes(testing::make_box({400, 30, 20})));
  }
};

TEST_F(DaysCommand, PlansAHandOffAndWritesItsCalendar) {
  ASSERT_EQ(run_words({"split", path("rod.stl"), "--out", path("out"), "--effort", "quick"}).exit,
            Exit::done);
  EXPECT_TRUE(fs::exists(path("out/loads/load-01.3mf")));
  EXPECT_TRUE(fs::exists(path("out/shopping.csv")));
  EXPECT_FALSE(fs::exists(path("out/calendar.ics"))) << "no date, no calendar file";
  const Outcome days =
      run_words({"days", path("out"), "--start", "2026-10-01 18:00", "--deadline", "2026-10-20"});
  EXPECT_EQ(days.exit, Exit::done) << days.err;
  EXPECT_THAT(days.out, HasSubstr("Thu 1 Oct 18:00"));
  EXPECT_THAT(days.out, HasSubstr("is kept"));
  EXPECT_THAT(text_of("out/calendar.ics"), HasSubstr("BEGIN:VEVENT"));
  const Outcome late = run_words(
      {"days", path("out"), "--start", "2026-10-01 18:00", "--deadline", "2026-10-01 20:00"});
  EXPECT_THAT(late.out, HasSubstr("IS MISSED BY"));
  EXPECT_THAT(late.out, HasSubstr("Planned anew"));
}

// "By the 30th" may mean its evening: what is understood is said wherever it is asked for.
TEST_F(DaysCommand, ADeadlineWithoutAnHourIsSaidToBeItsFirstMinute) {
  EXPECT_THAT(run_words({"days", "--help"}).out, HasSubstr("first minute"));
  EXPECT_THAT(run_words({"split", "--write-job"}).out,
              HasSubstr("a date alone is its first minute"));
}

TEST_F(DaysCommand, RefusesWhatIsNoHandOff) {
  const std::pair<std::string, const char*> cases[] = {{path("nothing"), "does not exist"},
                                                       {path("rod.stl"), "is a file"},
                                                       {dir_.string(), "no days.json"}};
  for (const auto& [from, wanted] : cases) {
    const Outcome outcome = run_words({"days", from});
    EXPECT_EQ(outcome.exit, Exit::bad_input);
    EXPECT_THAT(outcome.err, HasSubstr(from + ": "));
    EXPECT_THAT(outcome.err, HasSubstr(wanted));
  }
  write("days.json", "{}");
  const Outcome bad = run_words({"days", dir_.string(), "--start", "2026-10-01"});
  EXPECT_EQ(bad.exit, Exit::bad_input);
  EXPECT_THAT(bad.err, HasSubstr("days.json"));
}

TEST_F(DaysCommand, PlansABuildOfCopiesAndMirrorImagesTogether) {
  write("build.toml",
        "[[part]]\nfile = \"rod.stl\"\nunit = \"mm\"\ncount = 2\nmirrored = 1\n[search]\neffort = "
        "\"quick\"\n"
        "[days]\nstart = \"2026-10-01 18:00\"\n");
  const Outcome built = run_words({"split", "--job", path("build.toml"), "--out", path("build")});
  ASSERT_EQ(built.exit, Exit::done) << built.err;
  EXPECT_TRUE(fs::exists(path("build/rod/plan.json")));
  EXPECT_TRUE(fs::exists(path("build/rod-mirrored/plan.json")));
  EXPECT_THAT(built.out, HasSubstr("== the whole build"));
  EXPECT_THAT(built.out, HasSubstr("rod 2 A1"));
  EXPECT_THAT(built.out, HasSubstr("rod-mirrored A1"));
  EXPECT_THAT(text_of("build/shopping.csv"), HasSubstr("2 of rod, each:"));
  EXPECT_THAT(built.out, HasSubstr("To buy, for all of it"));
  EXPECT_TRUE(fs::exists(path("build/calendar.ics")));
  EXPECT_EQ(run_words({"days", path("build"), "--start", "2026-11-01"}).exit, Exit::done);

  // Every bed of the whole build, by the days command too; as many as the table has loads.
  const auto beds_in = [&](const std::string& folder) {
    return std::distance(fs::directory_iterator(path(folder)), fs::directory_iterator());
  };
  const Outcome again = run_words({"days", path("build"), "--loads", path("beds")});
  ASSERT_EQ(again.exit, Exit::done) << again.err;
  EXPECT_GE(beds_in("build/loads"), 2);
  EXPECT_EQ(beds_in("beds/loads"), beds_in("build/loads"));
  const Result<TriangleSoup> bed = load_mesh(path("build/loads/load-01.3mf"));
  ASSERT_TRUE(bed) << bed.error().message;
  EXPECT_GT(bed->triangles.size(), 12u);
  const Outcome refused = run_words({"days", path("build.toml"), "--loads", path("beds")});
  EXPECT_EQ(refused.exit, Exit::bad_input);
  EXPECT_THAT(refused.err, HasSubstr("hand-off folder"));
}

TEST_F(DaysCommand, ABuildRefusesWiresAndMountsOfWhichPartNobodyKnows) {
  write("build.toml", "[[part]]\nfile = \"rod.stl\"\ncount = 2\n[[mount]]\nat = [0, 0, 0]\n");
  const Outcome built = run_words({"split", "--job", path("build.toml"), "--out", path("build")});
  EXPECT_EQ(built.exit, Exit::bad_input);
  EXPECT_THAT(built.err, HasSubstr("one part"));
}

// The part is no mesh: whoever looked at it first would say so.
TEST_F(DaysCommand, WhatTheLineSaysIsJudgedBeforeAnyPartIsRead) {
  write("bad.stl", std::string(200, 'x'));
  write("job.toml", "[part]\nfile = \"bad.stl\"\n");
  write("build.toml", "[part]\nfile = \"bad.stl\"\ncount = 2\n");
  write("worn.toml", "[part]\nfile = \"bad.stl\"\nworn_side = \"under\"\n");
  const std::pair<std::vector<std::string>, const char*> cases[] = {
      {{"job.toml", "--start", "soon"}, "--start: \"soon\": write a date"},
      {{"job.toml", "--deadline", "2026-13-01"}, "--deadline: "},
      {{"job.toml", "--start", "2026-10-02", "--deadline", "2026-10-01"}, "does not lie after"},
      {{"job.toml", "--per-load", "all"}, "one, few or many"},
      {{"job.toml", "--ics", dir_.string()}, "is a folder"},
      {{"job.toml", "--svg", path("none/days.svg")}, "make it first"},
      {{"job.toml", "nothing"}, "a hand-off folder of split"},
      {{"build.toml"}, "holds several parts"},
      {{"worn.toml"}, "worn_side \"under\""}};
  for (const auto& [words, wanted] : cases) {
    std::vector<std::string> line{"days"};
    for (const std::string& word : words)
      line.push_back(word == "nothing" || word.ends_with(".toml") ? path(word) : word);
    const Outcome outcome = run_words(line);
    EXPECT_EQ(outcome.exit, Exit::bad_input);
    EXPECT_THAT(outcome.err, HasSubstr(wanted));
  }
}

TEST_F(DaysCommand, ABuildsLastPartIsJudgedBeforeItsFirstIsSplit) {
  write("build.toml",
        "[[part]]\nfile = \"rod.stl\"\nunit = \"mm\"\n[[part]]\nfile = \"fin.stl\"\n");
  const Outcome missing = run_words({"split", "--job", path("build.toml"), "--out", path("build")});
  EXPECT_EQ(missing.exit, Exit::bad_input);
  EXPECT_THAT(missing.err, HasSubstr("fin.stl does not exist"));
  EXPECT_THAT(missing.out, Not(HasSubstr("== rod")));
  EXPECT_FALSE(fs::exists(path("build/rod")));
}

TEST_F(DaysCommand, AJobsPaintAndBodyLieBesideItAsForSplit) {
  write("job.toml",
        "[part]\nfile = \"rod.stl\"\nunit = \"mm\"\npainted = \"paint.json\"\n"
        "[search]\neffort = \"quick\"\n");
  const Outcome missing = run_words({"days", path("job.toml")});
  EXPECT_EQ(missing.exit, Exit::bad_input);
  EXPECT_THAT(missing.err, HasSubstr(path("paint.json") + " does not exist"));
  write("paint.json", "{\"shown\": [0]}");
  const Outcome days = run_words({"days", path("job.toml"), "--ics", path("days.ics")});
  EXPECT_EQ(days.exit, Exit::done) << days.err;
}

TEST_F(DaysCommand, WhatAJobAsksForInVainIsToldWithItsFile) {
  const std::string rod =
      "[part]\nfile = \"rod.stl\"\nunit = \"mm\"\n[search]\neffort = \"quick\"\n";
  write("wire.toml",
        rod + "[[wire]]\nname = \"w\"\nfrom = \"eye\"\nto = \"edge\"\ndiameter_mm = 3\n");
  const Outcome wire = run_words({"days", path("wire.toml"), "--ics", path("days.ics")});
  EXPECT_EQ(wire.exit, Exit::bad_input);
  EXPECT_THAT(wire.err, HasSubstr(path("wire.toml") + ":7: wire \"w\""));
  write("small.toml", rod + "most_pieces = 1\n");
  const Outcome none = run_words({"days", path("small.toml"), "--ics", path("days.ics")});
  EXPECT_THAT(none.err, HasSubstr("job file " + path("small.toml")));
  write("spool.toml", rod + "[days]\nsame_spool = [\"Y7\"]\n");
  const Outcome spool = run_words({"days", path("spool.toml"), "--ics", path("days.ics")});
  EXPECT_EQ(spool.exit, Exit::done) << spool.err;
  EXPECT_THAT(spool.out, HasSubstr("! spool.toml:7: [days] same_spool names Y7"));
}

TEST_F(DaysCommand, JudgesMountsAndPacksBags) {
  write("rod.toml",
        "[part]\nfile = \"rod.stl\"\nunit = \"mm\"\n[search]\neffort = \"quick\"\n[[mount]]\nat = "
        "[0, 15, 10]\n"
        "[[bag]]\nname = \"case\"\ninner_mm = [240, 240, 100]\n");
  const Outcome split =
      run_words({"split", "--job", path("rod.toml"), "--out", path("out"), "--json"});
  ASSERT_EQ(split.exit, Exit::done) << split.err;
  EXPECT_THAT(split.out, HasSubstr("\"bending_nmm\""));
  // 400 mm glued together don't go into a case of 240 mm, not even across; apart they do.
  EXPECT_THAT(split.out, HasSubstr("does-not-travel"));
  EXPECT_THAT(split.out, HasSubstr("name them in [travel] seams"));
  const std::string report = text_of("out/report.html");
  EXPECT_THAT(report, HasSubstr("Does it hold"));
  EXPECT_THAT(report, HasSubstr("Travel"));
}

}  // namespace
}  // namespace seamwright
