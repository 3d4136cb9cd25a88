#include "seamwright/handoff/write_hand_off.h"

#include <gtest/gtest.h>

#include "handoff/sample_hand_off.h"
#include "handoff/unzip.h"

namespace seamwright {
namespace {

namespace fs = std::filesystem;
using testing::folder_bytes;
using testing::sample_hand_off;
using testing::TempFolder;

/// Small pictures: these tests are about files.
Status write(const HandOff& hand_off, const fs::path& folder, const seamwright::Run& run = {}) {
  return write_hand_off(hand_off, folder, run, {{60, 40}, {40, 30}});
}

std::vector<std::string> names_in(const fs::path& folder) {
  std::vector<std::string> names;
  for (const auto& entry : fs::directory_iterator(folder))
    names.push_back(entry.path().filename().string());
  std::sort(names.begin(), names.end());
  return names;
}

TEST(WriteHandOff, WritesTheWholeFolderAndNothingBeside) {
  const TempFolder temp;
  ASSERT_TRUE(write(sample_hand_off(), temp.path() / "out"));
  const auto files = folder_bytes(temp.path() / "out");
  for (const char* name : {"pieces/A1.stl", "pieces/A1.3mf", "pieces/A2.stl", "pieces/A2.3mf",
                           "assembled.3mf", "plan.json", "pieces.csv", "report.html",
                           "pictures/assembled.png", "pictures/apart.png", "pictures/A1.png"}) {
    ASSERT_TRUE(files.contains(name)) << name;
    EXPECT_FALSE(files.at(name).empty()) << name;
  }
  EXPECT_EQ(names_in(temp.path()), std::vector<std::string>{"out"});
}

TEST(WriteHandOff, PieceFilesStandOnTheBedInsideTheMargins) {
  const TempFolder temp;
  ASSERT_TRUE(write(sample_hand_off(), temp.path() / "out"));
  const Vec3 room = Printer{}.room_mm;
  for (const auto& [name, bytes] : folder_bytes(temp.path() / "out" / "pieces")) {
    if (!name.ends_with(".stl")) continue;
    Box3 box;
    const TriangleSoup soup = testing::read_binary_stl(bytes);
    for (const Vec3& p : soup.points) box.extend(p);
    EXPECT_EQ(box.low.z, 0) << name;
    EXPECT_GE(box.low.x, 5 - 1e-4);
    EXPECT_GE(box.low.y, 5 - 1e-4);
    EXPECT_LE(box.high.x, room.x - 5 + 1e-4);
    EXPECT_LE(box.high.y, room.y - 5 + 1e-4);
    EXPECT_TRUE(testing::make_solid(soup)) << name << " is closed when welded again";
  }
}

TEST(WriteHandOff, TheAssembledPackageHoldsThePiecesByName) {
  const TempFolder temp;
  ASSERT_TRUE(write(sample_hand_off(), temp.path() / "out"));
  const std::string package = testing::file_bytes((temp.path() / "out/assembled.3mf").string());
  const std::string xml = testing::unzip(package).at("3D/3dmodel.model").bytes;
  EXPECT_NE(xml.find("name=\"A1\""), std::string::npos);
  EXPECT_NE(xml.find("name=\"A2\""), std::string::npos);
}

TEST(WriteHandOff, WritesTheSameBytesTwiceAndOnAnyThreadCount) {
  const TempFolder temp;
  const HandOff hand_off = sample_hand_off();
  ASSERT_TRUE(write(hand_off, temp.path() / "first", {.thread_count = 1}));
  const auto first = folder_bytes(temp.path() / "first");
  for (const int threads : {1, 2, 7}) {
    const fs::path folder = temp.path() / ("again" + std::to_string(threads));
    ASSERT_TRUE(write(hand_off, folder, {.thread_count = threads}));
    const auto again = folder_bytes(folder);
    ASSERT_EQ(again.size(), first.size());
    for (const auto& [name, bytes] : first)
      EXPECT_TRUE(bytes == again.at(name)) << name << " on " << threads;
  }
}

TEST(WriteHandOff, FilesNameNoPathOfTheMachine) {
  const TempFolder temp;
  ASSERT_TRUE(write(sample_hand_off(), temp.path() / "out"));
  for (const auto& [name, bytes] : folder_bytes(temp.path() / "out")) {
    EXPECT_EQ(bytes.find(temp.path().string()), std::string::npos) << name;
  }
}

TEST(WriteHandOff, ReplacesAnOlderHandOffWhole) {
  const TempFolder temp;
  HandOff hand_off = sample_hand_off();
  ASSERT_TRUE(write(hand_off, temp.path() / "out"));
  hand_off.pieces[1].mark = "B7";
  hand_off.pieces[1].file = "pieces/B7.stl";
  ASSERT_TRUE(write(hand_off, temp.path() / "out"));
  EXPECT_TRUE(fs::exists(temp.path() / "out/pieces/B7.stl"));
  EXPECT_FALSE(fs::exists(temp.path() / "out/pieces/A2.stl"));
  EXPECT_EQ(names_in(temp.path()), std::vector<std::string>{"out"});
}

TEST(WriteHandOff, ReplacesAHandOffWithCornerPads) {
  const TempFolder temp;
  HandOff hand_off = sample_hand_off();
  hand_off.pieces[0].pads = {{{20, 20}, 15}};
  ASSERT_TRUE(write(hand_off, temp.path() / "out"));
  EXPECT_TRUE(fs::exists(temp.path() / "out/pads/A1.stl"));
  EXPECT_TRUE(check_hand_off_folder(temp.path() / "out"));
  const Status again = write(hand_off, temp.path() / "out");
  EXPECT_TRUE(again) << again.error().message;
}

TEST(WriteHandOff, AStoppedRunLeavesTheOlderHandOffWholeAndNothingOfItsOwn) {
  const TempFolder temp;
  ASSERT_TRUE(write(sample_hand_off(), temp.path() / "out"));
  const auto before = folder_bytes(temp.path());
  std::atomic<Cancel> cancel{Cancel::none};
  int reports = 0;
  seamwright::Run run{.thread_count = 1, .cancel = &cancel, .progress = [&](double) {
                        if (++reports == 2) cancel = Cancel::stop;
                      }};
  HandOff changed = sample_hand_off();
  changed.seed = 2;
  const Status stopped = write(changed, temp.path() / "out", run);
  ASSERT_FALSE(stopped);
  EXPECT_EQ(stopped.error().code, "cancelled");
  EXPECT_EQ(folder_bytes(temp.path()), before);
  EXPECT_EQ(names_in(temp.path()), std::vector<std::string>{"out"});
}

TEST(WriteHandOff, AskedToFinishItStillWrites) {
  const TempFolder temp;
  std::atomic<Cancel> cancel{Cancel::finish};
  EXPECT_TRUE(
      write(sample_hand_off(), temp.path() / "out", {.thread_count = 1, .cancel = &cancel}));
  EXPECT_TRUE(fs::exists(temp.path() / "out/plan.json"));
}

void expect_refused(const fs::path& folder, const std::string& reason) {
  const Status refused = write(sample_hand_off(), folder);
  ASSERT_FALSE(refused) << folder;
  EXPECT_EQ(refused.error().code, "cannot-write");
  EXPECT_NE(refused.error().message.find(folder.filename().string()), std::string::npos)
      << refused.error().message;
  EXPECT_NE(refused.error().message.find(reason), std::string::npos) << refused.error().message;
}

TEST(WriteHandOff, RefusesATargetThatIsAFile) {
  const TempFolder temp;
  std::ofstream(temp.path() / "out") << "mine";
  expect_refused(temp.path() / "out", "it is a file");
  EXPECT_EQ(testing::file_bytes((temp.path() / "out").string()), "mine");
}

TEST(WriteHandOff, RefusesAFolderThatHoldsAnythingElse) {
  const TempFolder temp;
  fs::create_directories(temp.path() / "out/pieces");
  std::ofstream(temp.path() / "out/pieces/notes.txt") << "mine";
  expect_refused(temp.path() / "out", "pieces/notes.txt");
  EXPECT_TRUE(fs::exists(temp.path() / "out/pieces/notes.txt"));
}

TEST(WriteHandOff, TakesAnEmptyFolder) {
  const TempFolder temp;
  fs::create_directory(temp.path() / "out");
  EXPECT_TRUE(write(sample_hand_off(), temp.path() / "out"));
}

TEST(WriteHandOff, TakesAPathThatEndsInASlash) {
  const TempFolder temp;
  EXPECT_TRUE(write(sample_hand_off(), temp.path() / "deep" / "out" / ""));
  EXPECT_TRUE(fs::exists(temp.path() / "deep/out/plan.json"));
}

TEST(WriteHandOff, SaysWhyAFolderCannotBeMade) {
  const TempFolder temp;
  std::ofstream(temp.path() / "file") << "mine";
  expect_refused(temp.path() / "file" / "out", "Not a directory");
  expect_refused(temp.path() / std::string(300, 'x'), "File name too long");
  expect_refused("/proc/out", "");
}

TEST(WriteHandOff, SaysWhyAReadOnlyFolderIsRefused) {
  const TempFolder temp;
  fs::permissions(temp.path(), fs::perms::owner_read | fs::perms::owner_exec);
  if (::geteuid() == 0) {
    // No folder is read-only to the super-user, who can lose no right by chmod: the write succeeds.
    EXPECT_TRUE(write(sample_hand_off(), temp.path() / "out"));
  } else {
    expect_refused(temp.path() / "out", "Permission denied");
  }
  fs::permissions(temp.path(), fs::perms::owner_all);
}

TEST(WriteHandOff, ClearsWhatAKilledRunLeft) {
  const TempFolder temp;
  fs::create_directories(temp.path() / ".out.writing/pieces");
  std::ofstream(temp.path() / ".out.writing/pieces/Z9.stl") << "half";
  ASSERT_TRUE(write(sample_hand_off(), temp.path() / "out"));
  EXPECT_FALSE(fs::exists(temp.path() / "out/pieces/Z9.stl"));
  EXPECT_EQ(names_in(temp.path()), std::vector<std::string>{"out"});
}

}  // namespace
}  // namespace seamwright
