#include "seamwright/app/command_line.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cstring>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <regex>
#include <sstream>

#include "seamwright/mesh/save.h"
#include "support/app_folder.h"
#include "support/shapes.h"

namespace seamwright {
namespace {

namespace fs = std::filesystem;
using ::testing::HasSubstr;
using ::testing::IsEmpty;
using testing::Outcome;
using testing::run_words;

/// A folder of its own for each test, with a rod that needs two pieces.
class CommandLine : public testing::AppFolder {
 protected:
  void SetUp() override {
    AppFolder::SetUp();
    write("rod.stl", stl_bytes(testing::make_box({400, 30, 20})));
  }
  Outcome split(std::vector<std::string> more, const std::atomic<Cancel>* cancel = nullptr) const {
    std::vector<std::string> words{"split",     path("rod.stl"), "--out",
                                   path("out"), "--records",     path("records")};
    words.insert(words.end(), more.begin(), more.end());
    if (std::find(more.begin(), more.end(), "--effort") == more.end()) {
      words.insert(words.end(), {"--effort", "quick"});
    }
    return run_words(words, cancel);
  }
};

TEST_F(CommandLine, HelpTeachesAndEndsWell) {
  const Outcome whole = run_words({"--help"});
  EXPECT_EQ(whole.exit, Exit::done);
  EXPECT_THAT(whole.out, HasSubstr("seamwright split"));
  EXPECT_THAT(run_words({"split", "--help"}).out, HasSubstr("--worn-side"));
  EXPECT_THAT(run_words({"--version"}).out, HasSubstr("seamwright"));
}

TEST_F(CommandLine, BadUsageEndsWithTwoAndSaysWhatIsWanted) {
  EXPECT_EQ(run_words({}).exit, Exit::bad_input);
  EXPECT_EQ(run_words({"splat"}).exit, Exit::bad_input);
  EXPECT_EQ(run_words({"split"}).exit, Exit::bad_input);
  const std::pair<std::vector<std::string>, const char*> cases[] = {
      {{"--printer", "180x180"}, "180x180x180"},
      {{"--printer", "5x180x180"}, "20 to 3000"},
      {{"--unit", "ell"}, "inch"},
      {{"--worn-side", "down"}, "-z"},
      {{"--poses", "leaning"}, "tilted"},
      {{"--effort", "some"}, "thorough"},
      {{"--key", "nail"}, "dowel"},
      {{"--margin", "86"}, "margin"},
      {{"--frobnicate"}, "frobnicate"},
      {{"--seed", "-1"}, "seed"},
      {{"--job", path("none.toml")}, "none.toml"}};
  for (const auto& [words, wanted] : cases) {
    const Outcome outcome = split(words);
    EXPECT_EQ(outcome.exit, Exit::bad_input) << words[0];
    EXPECT_THAT(outcome.err, HasSubstr(wanted));
    EXPECT_THAT(outcome.out, IsEmpty());
    EXPECT_FALSE(fs::exists(dir_ / "out"));
  }
}

TEST_F(CommandLine, BadFilesEndWithTwoNameTheFileAndWriteNothing) {
  write("empty.stl", "");
  write("short.stl", std::string(100, 'x'));
  for (const char* name : {"empty.stl", "short.stl", "missing.stl", "."}) {
    for (const char* command : {"check", "split"}) {
      const Outcome outcome = run_words({command, path(name)});
      EXPECT_EQ(outcome.exit, Exit::bad_input) << command << ' ' << name;
      EXPECT_THAT(outcome.err, HasSubstr(dir_.string()));
    }
  }
}

TEST_F(CommandLine, ACommandThatIsNoneIsNamedWithThoseThereAre) {
  const Outcome outcome = run_words({"frob"});
  EXPECT_EQ(outcome.exit, Exit::bad_input);
  EXPECT_THAT(outcome.err, HasSubstr("no such command \"frob\""));
  EXPECT_THAT(outcome.err, HasSubstr("check split days"));
}

TEST_F(CommandLine, AWrongLineNamesItsCommandAndItsHelp) {
  const Outcome nothing = run_words({});
  EXPECT_THAT(nothing.err, HasSubstr("give a command; there are check split days"));
  const Outcome missing = run_words({"check"});
  EXPECT_THAT(missing.err, HasSubstr("check: PART is required"));
  EXPECT_THAT(missing.err, HasSubstr("Try: seamwright check --help"));
  const Outcome mass = run_words({"record", "A1", "--time", "3h", "--mass", "abc"});
  EXPECT_EQ(mass.exit, Exit::bad_input);
  EXPECT_LT(mass.err.size(), 120u) << mass.err;
  const Outcome length = run_words({"split", "a.stl", "--length", "abc"});
  EXPECT_THAT(length.err, HasSubstr("split: not understood: --length = abc"));
}

TEST_F(CommandLine, ErrorsNameTheFileThatTheyAreAbout) {
  write("small.stl", stl_bytes(testing::make_box({0.4, 0.03, 0.02})));
  EXPECT_THAT(run_words({"check", path("small.stl")}).err, HasSubstr(path("small.stl")));
  write("job.toml",
        "[part]\nfile = \"rod.stl\"\nunit = \"mm\"\n[[wire]]\nname = \"w\"\nfrom = \"eye\"\nto = "
        "\"edge\"\ndiameter_mm = 3\n");
  const Outcome wire = run_words({"split", "--job", path("job.toml"), "--out", path("out")});
  EXPECT_THAT(wire.err, HasSubstr(path("job.toml") + ":5: wire \"w\": there is no pocket \"eye\""));
  write(
      "lamp.toml",
      "[part]\nfile = \"rod.stl\"\nunit = \"mm\"\n[[pocket]]\nat = [900, 0, 0]\nname = \"far\"\n");
  EXPECT_THAT(run_words({"split", "--job", path("lamp.toml"), "--out", path("out")}).err,
              HasSubstr(path("lamp.toml") + ":6: pocket \"far\": no skin"));
  write("worn.toml", "[part]\nfile = \"rod.stl\"\nunit = \"mm\"\nworn_side = \"under\"\n");
  EXPECT_THAT(run_words({"split", "--job", path("worn.toml"), "--out", path("out")}).err,
              HasSubstr("job file " + path("worn.toml")));
}

TEST_F(CommandLine, PrintersThatAreCalledAlikeAreToldApart) {
  const Outcome cubes = split({"--printer", "180x180x180", "--printer", "180x180x180", "--json"});
  ASSERT_EQ(cubes.exit, Exit::done) << cubes.err;
  EXPECT_THAT(cubes.out, HasSubstr("\"printer 180x180x180\""));
  EXPECT_THAT(cubes.out, HasSubstr("\"printer 180x180x180 (2)\""));
  const Outcome same = split({"--printer", "180x180x180:mine", "--printer", "small:mine"});
  EXPECT_EQ(same.exit, Exit::bad_input);
  EXPECT_THAT(same.err, HasSubstr("two printers are called \"mine\""));
}

TEST_F(CommandLine, LengthsThatNobodyMeansAreRefused) {
  for (const char* command : {"check", "split"}) {
    for (const char* length : {"-5", "0", "nan", "inf", "1e12", "-1e300"}) {
      const Outcome outcome =
          run_words({command, path("rod.stl"), std::string("--length=") + length});
      EXPECT_EQ(outcome.exit, Exit::bad_input) << length;
      EXPECT_THAT(outcome.err, HasSubstr("100 m")) << length;
      EXPECT_LT(outcome.err.size(), 200u);
    }
  }
}

TEST_F(CommandLine, AFolderThatCantBeMadeIsRefusedBeforeTheSearch) {
  const Outcome outcome = run_words({"split", path("rod.stl"), "--out", "/proc/nope/deeper"});
  EXPECT_EQ(outcome.exit, Exit::bad_input);
  EXPECT_THAT(outcome.err, HasSubstr("--out /proc/nope/deeper"));
  EXPECT_THAT(outcome.err, HasSubstr("can't be made"));
}

TEST_F(CommandLine, ALargeHoleThatWasFilledIsTold) {
  const Solid ball = testing::make_sphere(60, 3);
  std::string bytes = stl_bytes(ball);
  const auto kept = static_cast<std::uint32_t>(ball.face_count() - 40);
  std::memcpy(bytes.data() + 80, &kept, sizeof kept);
  bytes.resize(84 + 50 * std::size_t{kept});
  write("open.stl", bytes);
  const Outcome outcome = run_words({"split", path("open.stl"), "--out", path("out"), "--effort",
                                     "quick", "--records", path("records")});
  ASSERT_EQ(outcome.exit, Exit::done) << outcome.err;
  EXPECT_THAT(outcome.out, HasSubstr("! The part was open"));
  EXPECT_THAT(text_of("out/plan.json"), HasSubstr("large-hole-filled"));
}

TEST_F(CommandLine, CheckSaysTheFinishedSizeFirst) {
  const Outcome outcome = run_words({"check", path("rod.stl")});
  EXPECT_EQ(outcome.exit, Exit::done);
  EXPECT_LT(outcome.out.find("400"), 120u);
  EXPECT_THAT(outcome.out, HasSubstr("ready to split"));
  EXPECT_THAT(outcome.out, HasSubstr("no hole goes through"));
  EXPECT_THAT(outcome.out, ::testing::Not(HasSubstr("Euler")));
  const auto json = nlohmann::json::parse(run_words({"check", path("rod.stl"), "--json"}).out);
  EXPECT_EQ(json["face_count"], 12);
  EXPECT_EQ(json["is_closed"], true);
  EXPECT_EQ(json["euler_number"], 2);
  EXPECT_EQ(json["hole_count"], 0);
  EXPECT_NEAR(json["volume_mm3"].get<double>(), 240000, 1e-6);
}

TEST_F(CommandLine, CheckTellsFaultsInWordsAndTheirCodesInJson) {
  write("open.off", "OFF\n4 3 0\n0 0 0\n100 0 0\n0 100 0\n0 0 100\n3 0 2 1\n3 0 1 3\n3 0 3 2\n");
  const Outcome text = run_words({"check", path("open.off")});
  EXPECT_THAT(text.out, HasSubstr("fault: open edges, where the skin has a hole or a rim: 3"));
  EXPECT_THAT(text.out, ::testing::Not(HasSubstr("open-edge")));
  EXPECT_THAT(run_words({"check", path("open.off"), "--json"}).out, HasSubstr("\"open-edge\""));
}

TEST_F(CommandLine, TheFirstStopSaysWhatIsTrueOfTheCommand) {
  const auto answer = [](const std::string& word) {
    const std::vector<std::string> words{word, "part.stl"};
    return answer_to_stop(words);
  };
  EXPECT_THAT(answer("split").words, HasSubstr("best plan so far"));
  EXPECT_THAT(answer("days").words, HasSubstr("best days so far"));
  for (const char* search : {"split", "days"}) EXPECT_EQ(answer(search).wanted, Cancel::finish);
  for (const char* command : {"check", "record", "gauge", "sample"}) {
    EXPECT_EQ(answer(command).wanted, Cancel::stop) << "there is no plan to finish with";
    EXPECT_STREQ(answer(command).words, "stopping");
  }
  EXPECT_EQ(answer_to_stop({}).wanted, Cancel::stop);
}

TEST_F(CommandLine, AStoppedCheckTellsNothingOfThePart) {
  const std::atomic<Cancel> stop{Cancel::stop};
  const Outcome outcome = run_words({"check", path("rod.stl")}, &stop);
  EXPECT_EQ(outcome.exit, Exit::stopped);
  EXPECT_THAT(outcome.out, IsEmpty());
}

TEST_F(CommandLine, ImplausibleSizesEndWithTwoAndNameTheUnitThatWouldFit) {
  write("small.stl", stl_bytes(testing::make_box({0.4, 0.03, 0.02})));
  const Outcome outcome = run_words({"split", path("small.stl")});
  EXPECT_EQ(outcome.exit, Exit::bad_input);
  EXPECT_THAT(outcome.err, HasSubstr("--unit m"));
}

TEST_F(CommandLine, WhatThePiecesTakeAndWhatTheirStrapsTakeAddUpToWhatIsSaid) {
  write("plate.stl", stl_bytes(testing::make_box({300, 60, 2.4})));
  write("plate.toml",
        "[part]\nfile = \"plate.stl\"\nunit = \"mm\"\nworn_side = \"-z\"\n[search]\neffort = "
        "\"quick\"\n"
        "[[hide]]\ndirection = [0, 0, -1]\n");
  const Outcome outcome = run_words(
      {"split", "--job", path("plate.toml"), "--out", path("plate"), "--records", path("records")});
  ASSERT_EQ(outcome.exit, Exit::done) << outcome.err;
  double said_min = 0, sum_min = 0;
  std::istringstream lines(outcome.out);
  for (std::string line; std::getline(lines, line);) {
    std::smatch time;
    if (!std::regex_search(line, time, std::regex("(\\d+):(\\d\\d) h"))) continue;
    const double minutes = 60 * std::stod(time[1]) + std::stod(time[2]);
    if (line.starts_with("Printing"))
      said_min = minutes;
    else if (line.starts_with("  "))
      sum_min += minutes;
  }
  EXPECT_THAT(outcome.out, HasSubstr("straps and lids"));
  EXPECT_NEAR(sum_min, said_min, 2) << "each row is rounded to a minute";
}

TEST_F(CommandLine, OfAPartThatFitsItSaysSoAndNothingOfSeams) {
  write("small.stl", stl_bytes(testing::make_box({100, 30, 20})));
  const Outcome outcome = run_words({"split", path("small.stl"), "--out", path("small"),
                                     "--records", path("records"), "--effort", "quick"});
  ASSERT_EQ(outcome.exit, Exit::done) << outcome.err;
  EXPECT_THAT(outcome.out, HasSubstr("1 piece: the part fits as it is."));
  EXPECT_THAT(outcome.out, ::testing::Not(HasSubstr("of seam shown")));
}

TEST_F(CommandLine, SplitWritesAHandOffAndSaysWhere) {
  const Outcome outcome = split({"--json"});
  ASSERT_EQ(outcome.exit, Exit::done) << outcome.err;
  const auto plan = nlohmann::json::parse(outcome.out);
  EXPECT_EQ(plan["schema"], "seamwright-plan/1");
  EXPECT_EQ(plan["pieces"].size(), 2u);  // 200 mm lie across the 170 mm bed
  for (const auto& piece : plan["pieces"])
    EXPECT_TRUE(fs::exists(dir_ / "out" / piece["file"].get<std::string>()));
  EXPECT_TRUE(fs::exists(dir_ / "out" / "report.html"));
}

TEST_F(CommandLine, ASecondRunWritesTheSameBytesOnAnyThreadCount) {
  const Outcome first = split({"--json", "--threads", "1"}),
                second = split({"--json", "--threads", "2"});
  ASSERT_EQ(first.exit, Exit::done) << first.err;
  EXPECT_EQ(first.out, second.out);
}

TEST_F(CommandLine, AFolderThatIsNoHandOffIsNeverReplaced) {
  fs::create_directories(dir_ / "out");
  std::ofstream(dir_ / "out" / "diary.txt") << "dear diary";
  const Outcome outcome = split({});
  EXPECT_EQ(outcome.exit, Exit::bad_input);
  EXPECT_THAT(outcome.err, HasSubstr("not a hand-off"));
  EXPECT_TRUE(fs::exists(dir_ / "out" / "diary.txt"));
}

TEST_F(CommandLine, AnotherPartsHandOffIsNeverReplacedAndTheSamePartsIs) {
  ASSERT_EQ(split({}).exit, Exit::done);
  const std::string before = text_of("out/plan.json");
  write("fin.stl", stl_bytes(testing::make_box({90, 30, 20})));
  const auto split_into = [&](const std::string& part, const std::string& out) {
    return run_words({"split", path(part), "--out", path(out), "--records", path("records"),
                      "--effort", "quick"});
  };
  const Outcome other = split_into("fin.stl", "out");
  EXPECT_EQ(other.exit, Exit::bad_input);
  EXPECT_THAT(other.err, HasSubstr("--out " + path("out") +
                                   ": holds the hand-off of another part, rod.stl; name another"));
  EXPECT_EQ(text_of("out/plan.json"), before);
  write("build.toml", "[part]\nfile = \"rod.stl\"\nunit = \"mm\"\ncount = 2\n");
  const Outcome build = run_words({"split", "--job", path("build.toml"), "--out", path("out")});
  EXPECT_EQ(build.exit, Exit::bad_input);
  EXPECT_THAT(build.err, HasSubstr("a build needs a folder of its own"));

  // The same bytes under another name, then a changed model under the first name.
  fs::copy_file(path("rod.stl"), path("rod copy.stl"));
  EXPECT_EQ(split_into("rod copy.stl", "out").exit, Exit::done);
  fs::copy_file(path("fin.stl"), path("rod copy.stl"), fs::copy_options::overwrite_existing);
  EXPECT_EQ(split_into("rod copy.stl", "out").exit, Exit::done);
  EXPECT_THAT(text_of("out/plan.json"), HasSubstr("rod copy.stl"));
}

// The part is no mesh: whoever looked at it first would say so.
TEST_F(CommandLine, WhatWouldBeLostInAnOlderHandOffIsToldBeforeThePartIsRead) {
  fs::create_directories(dir_ / "out");
  write("out/plan.json", "{}");
  write("out/diary.txt", "dear diary");
  write("bad.stl", std::string(200, 'x'));
  const Outcome outcome = run_words({"split", path("bad.stl"), "--out", path("out")});
  EXPECT_EQ(outcome.exit, Exit::bad_input);
  EXPECT_THAT(outcome.err, HasSubstr("it holds diary.txt"));
}

TEST_F(CommandLine, TwoCtrlCsStopWithThreeAndLeaveTheOldHandOffWhole) {
  ASSERT_EQ(split({}).exit, Exit::done);
  const auto size_before = fs::file_size(dir_ / "out" / "plan.json");
  const std::atomic<Cancel> stop{Cancel::stop};
  const Outcome outcome = split({"--seed", "2"}, &stop);
  EXPECT_EQ(outcome.exit, Exit::stopped);
  EXPECT_THAT(outcome.err, HasSubstr("nothing is half written"));
  EXPECT_EQ(fs::file_size(dir_ / "out" / "plan.json"), size_before);
}

TEST_F(CommandLine, OneCtrlCFinishesWithThePlanSoFar) {
  const std::atomic<Cancel> finish{Cancel::finish};
  const Outcome outcome = split({"--json"}, &finish);
  ASSERT_EQ(outcome.exit, Exit::stopped) << outcome.err;
  EXPECT_EQ(nlohmann::json::parse(outcome.out)["complete"], false);
}

TEST_F(CommandLine, OneCtrlCBeforeThereIsAPlanStopsWithThreeAndWritesNothing) {
  write("job.toml", "[[forbid]]\nname = \"everywhere\"\ncenter = [0, 0, 0]\nradius_mm = 1000\n");
  const std::atomic<Cancel> finish{Cancel::finish};
  const Outcome outcome = split({"--job", path("job.toml")}, &finish);
  EXPECT_EQ(outcome.exit, Exit::stopped);
  EXPECT_THAT(outcome.err, HasSubstr("stopped before there was a plan"));
  EXPECT_FALSE(fs::exists(dir_ / "out"));
}

TEST_F(CommandLine, APartOfHundredsOfPiecesIsRefusedWithTwo) {
  write("rod.stl", stl_bytes(testing::make_box({1000, 30, 20})));
  const Outcome outcome = split({"--printer", "20x20x20"});
  EXPECT_EQ(outcome.exit, Exit::bad_input);
  EXPECT_THAT(outcome.err, HasSubstr("10 × 10 × 18 mm"));
  EXPECT_FALSE(fs::exists(dir_ / "out"));
}

TEST_F(CommandLine, WriteJobPrintsAJobThatSplitReads) {
  const Outcome job = run_words({"split", path("rod.stl"), "--write-job", "--seed", "7"});
  ASSERT_EQ(job.exit, Exit::done);
  EXPECT_THAT(job.out, HasSubstr("seed = 7"));
  write("job.toml", job.out);
  const Outcome outcome =
      run_words({"split", "--job", path("job.toml"), "--out", path("out"), "--effort", "quick"});
  EXPECT_EQ(outcome.exit, Exit::done) << outcome.err;
}

/// Where plan.json says that a setting's value comes from.
std::string source_of(const nlohmann::json& plan, const std::string& key) {
  for (const auto& entry : plan.at("assumptions"))
    if (entry.at("key") == key) return entry.at("source");
  return "not listed";
}

TEST_F(CommandLine, WhatTheMakerGaveIsToldAsGivenAndTheRestAsWhatItIs) {
  write("small.stl", stl_bytes(testing::make_box({90, 60, 40})));
  write("mine.toml",
        "[part]\nfile = \"small.stl\"\n[[printer]]\nname = \"mine\"\nroom_mm = [211, 205, 199]\n"
        "motion = \"fast\"\n[material]\nname = \"PETG\"\n[print]\nlayer_mm = 0.2\n"
        "[days]\nswap_min = 20\n[[bag]]\ninner_mm = [500, 400, 300]\n");
  const auto plan = nlohmann::json::parse(
      run_words({"split", "--job", path("mine.toml"), "--out", path("out"), "--records",
                 path("records"), "--margin", "7", "--key", "pin", "--json"})
          .out);
  const std::string in_file = "given in the job file", on_line = "given on the command line";
  EXPECT_EQ(source_of(plan, "printer.name"), in_file);
  EXPECT_EQ(source_of(plan, "printer.room_mm"), in_file);
  EXPECT_EQ(source_of(plan, "bag.inner_mm"), in_file);
  EXPECT_EQ(source_of(plan, "days.swap_min"), in_file);
  EXPECT_EQ(source_of(plan, "print.layer_mm"), in_file + ", the same as the default");
  EXPECT_EQ(source_of(plan, "printer.margin_mm"), on_line);
  EXPECT_EQ(source_of(plan, "joints.key"), on_line);
  EXPECT_EQ(source_of(plan, "printer.nozzle_mm"), "assumption");
  EXPECT_EQ(source_of(plan, "printer.acceleration_mm_per_s2"), "motion \"fast\": assumption");
  EXPECT_THAT(source_of(plan, "material.density_g_per_cm3"), HasSubstr("PETG by its name"));
  EXPECT_THAT(source_of(plan, "joints.magnet_diameter_mm"), ::testing::StartsWith("assumption;"));
}

TEST_F(CommandLine, APresetOfTheCommandLineIsGivenAndItsRoomAssumed) {
  write("small.stl", stl_bytes(testing::make_box({90, 60, 40})));
  const auto plan =
      nlohmann::json::parse(run_words({"split", path("small.stl"), "--out", path("out"),
                                       "--records", path("records"), "--printer", "mid", "--json"})
                                .out);
  EXPECT_EQ(source_of(plan, "printer.preset"), "given on the command line");
  EXPECT_EQ(source_of(plan, "printer.room_mm"), "preset \"mid\": assumption");
  EXPECT_EQ(source_of(plan, "printer.name"), "preset \"mid\": assumption");
}

}  // namespace
}  // namespace seamwright
