#include "seamwright/job/given_setting.h"

#include <gtest/gtest.h>

#include "seamwright/job/job_file.h"

namespace seamwright {
namespace {

TEST(GivenSetting, TheLastOneLiesOverThoseBeforeIt) {
  const std::vector<GivenSetting> given{{"joints.key", "given in the job file"},
                                        {"joints.key", "given on the command line"}};
  ASSERT_NE(find_given(given, "joints.key"), nullptr);
  EXPECT_EQ(find_given(given, "joints.key")->by, "given on the command line");
  EXPECT_EQ(find_given(given, "joints.key_mm"), nullptr);
}

TEST(GivenSetting, AJobFilesSettingsKnowTheirLines) {
  const Job job = *read_job("[[stand]]\npiece = \"A1\"\n\n[print]\nlayer_mm = 0.2\n", "b/a.toml");
  EXPECT_EQ(place_of(job.given, "stand.0.piece"), "b/a.toml:2: ");
  EXPECT_EQ(place_without_folder(job.given, "print.layer_mm"), "a.toml:5: ");
  EXPECT_EQ(place_of(job.given, "print.fill_ratio"), "");
  EXPECT_EQ(place_without_folder(job.given, "print.fill_ratio"), "");
}

TEST(GivenSetting, AJobFileGivesWhatItHoldsAndNothingElse) {
  const Job job = *read_job(
      "[[printer]]\nname = \"a\"\n[[printer]]\nroom_mm = [200, 200, 200]\n[print]\nlayer_mm = "
      "0.2\n",
      "a.toml");
  for (const char* key : {"printer.0.name", "printer.1.room_mm", "print.layer_mm"})
    EXPECT_NE(find_given(job.given, key), nullptr) << key;
  for (const char* key : {"printer.1.name", "printer.0.room_mm", "print.fill_ratio"})
    EXPECT_EQ(find_given(job.given, key), nullptr) << key;
}

}  // namespace
}  // namespace seamwright
