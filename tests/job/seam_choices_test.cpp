#include "seamwright/job/seam_choices.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <unistd.h>

#include <filesystem>
#include <fstream>

#include "seamwright/job/job_file.h"
#include "seamwright/job/run_split.h"
#include "seamwright/mesh/save.h"
#include "support/shapes.h"

namespace seamwright {
namespace {

using ::testing::HasSubstr;

/// A block of 300 × 60 × 40 as an OBJ with its top (z = 40) in a group of its own, cut into finer
/// faces so that single ones can be marked.
class SeamChoices : public ::testing::Test {
 protected:
  static void SetUpTestSuite() {
    folder_ = std::filesystem::temp_directory_path() /
              ("seamwright_choices" + std::to_string(::getpid()));
    std::filesystem::create_directory(folder_);
    const Solid block = testing::subdivide(testing::make_box({300, 60, 40}), 2);
    std::ofstream obj(folder_ / "block.obj");
    for (const Vec3 p : block.points()) obj << "v " << p.x << ' ' << p.y << ' ' << p.z << '\n';
    for (const bool is_top : {true, false}) {
      obj << "g " << (is_top ? "lid" : "rest") << '\n';
      for (std::size_t f = 0; f < block.face_count(); ++f) {
        if ((block.area_normal(to_id<FaceId>(f)).z > 0) != is_top) continue;
        const Triangle& t = block.triangle(to_id<FaceId>(f));
        obj << "f " << to_index(t[0]) + 1 << ' ' << to_index(t[1]) + 1 << ' ' << to_index(t[2]) + 1
            << '\n';
      }
    }
  }
  static void TearDownTestSuite() { std::filesystem::remove_all(folder_); }

  static Job job() {
    Job job;
    job.part.file = (folder_ / "block.obj").string();
    job.part.unit = "mm";
    job.search.effort = Effort::quick;
    return job;
  }
  static std::string error_of(const Job& job) {
    const Result<HandOff> found = run_split(job);
    return found ? "none" : found.error().message;
  }
  /// The sight of the faces that look up, and of those that look down.
  static std::pair<double, double> top_and_bottom(const HandOff& found) {
    double top = -1, bottom = -1;
    for (std::size_t f = 0; f < found.wired.face_count(); ++f) {
      const Vec3 n = normalized(found.wired.area_normal(to_id<FaceId>(f)));
      if (n.z > 0.9) top = std::max(top, found.sight[f]);
      if (n.z < -0.9) bottom = std::max(bottom, found.sight[f]);
    }
    return {top, bottom};
  }

  static inline std::filesystem::path folder_;
};

TEST_F(SeamChoices, HidesAGroupAndShowsADirection) {
  Job marked = job();
  marked.hides.push_back({.group = "lid"});
  marked.shows.push_back({.direction = Vec3{0, 0, -1}, .angle_deg = 10});
  const Result<HandOff> found = run_split(marked);
  ASSERT_TRUE(found) << found.error().message;
  const auto [top, bottom] = top_and_bottom(*found);
  EXPECT_EQ(top, 0);
  EXPECT_EQ(bottom, 1);
}

TEST_F(SeamChoices, SymmetryDoesNotGoWithWhatAsksForSeamsOfItsOwn) {
  Job locked = job(), compared = job();
  locked.search.symmetric = compared.search.symmetric = Symmetry::x;
  locked.locks.push_back({{1, 0, 0}, 118});
  compared.search.other_plans = 2;
  EXPECT_EQ(run_split(locked).error().code, "job-bad-value");
  EXPECT_EQ(run_split(compared).error().code, "job-bad-value");
}

TEST_F(SeamChoices, MarksWhatLiesInABoxOrABall) {
  Job marked = job();
  marked.hides.push_back({.low = Vec3{-1, -1, 39}, .high = Vec3{301, 61, 41}});
  marked.shows.push_back({.center = Vec3{150, 30, -300}, .radius_mm = 360});
  const Result<HandOff> found = run_split(marked);
  ASSERT_TRUE(found) << found.error().message;
  EXPECT_EQ(top_and_bottom(*found).first, 0);
  EXPECT_EQ(top_and_bottom(*found).second, 1);
}

TEST_F(SeamChoices, TakesPaintedFacesFromAFile) {
  Job marked = job();
  marked.part.painted = (folder_ / "faces.json").string();
  std::ofstream(marked.part.painted) << R"({"hidden": [0, 1]})";
  const Result<HandOff> found = run_split(marked);
  ASSERT_TRUE(found) << found.error().message;
  std::size_t hidden = 0;
  for (std::size_t f = 0; f < found->sight.size(); ++f) hidden += found->sight[f] == 0;
  EXPECT_EQ(hidden, 2U);
  std::ofstream(marked.part.painted) << R"({"hidden": [100000]})";
  EXPECT_THAT(error_of(marked), HasSubstr("faces.json: \"hidden\" holds 100000"));
  std::ofstream(marked.part.painted) << "[]";
  EXPECT_THAT(error_of(marked), HasSubstr("is not a JSON object"));
}

TEST_F(SeamChoices, NobodySeesWhatLiesAgainstTheBodyOfAFile) {
  Job worn = job();
  worn.part.body = (folder_ / "wearer.stl").string();
  const auto write_body = [&](Vec3 low) {
    std::ofstream(worn.part.body, std::ios::binary)
        << stl_bytes(testing::make_box({320, 80, 20}, low));
  };
  write_body({-10, -10, -20});
  const Result<HandOff> found = run_split(worn);
  ASSERT_TRUE(found) << found.error().message;
  EXPECT_EQ(top_and_bottom(*found).first, 1);
  EXPECT_EQ(top_and_bottom(*found).second, 0);
  EXPECT_EQ(found->part.worn_side, "against wearer.stl");
  write_body({-10, -10, -520});
  EXPECT_THAT(error_of(worn), HasSubstr("wearer.stl\": along z it goes from -520 to -500 mm"));
  worn.part.worn_side = "-z";
  EXPECT_THAT(error_of(worn), HasSubstr("give one of worn_side"));
}

TEST_F(SeamChoices, EachPieceGoesToThePrinterOnWhichItCostsLeast) {
  Job shared = job();
  shared.printers.assign(2, shared.printers.at(0));
  shared.printers[1].name = "second cube";
  for (const bool is_first_cheap : {true, false}) {
    shared.printers[0].price_per_h = is_first_cheap ? 0.5 : 1;
    shared.printers[1].price_per_h = is_first_cheap ? 1 : 0.5;
    const Result<HandOff> found = run_split(shared);
    ASSERT_TRUE(found) << found.error().message;
    for (const FinishedPiece& piece : found->pieces)
      EXPECT_EQ(piece.planned.printer, is_first_cheap ? 0u : 1u);
  }
  // Half the price an hour, and more than twice the hours.
  shared.printers[0].price_per_h = 1;
  shared.printers[1].time_factor_ratio = 2.5;
  const Result<HandOff> slow = run_split(shared);
  ASSERT_TRUE(slow) << slow.error().message;
  for (const FinishedPiece& piece : slow->pieces) EXPECT_EQ(piece.planned.printer, 0u);
}

TEST_F(SeamChoices, NamesTheGroupsThereAreWhenOneIsMissing) {
  Job marked = job();
  marked.shows.push_back({.group = "eyes"});
  EXPECT_THAT(error_of(marked), HasSubstr("[[show]] group \"eyes\": the part has no face of it"));
  EXPECT_THAT(error_of(marked), HasSubstr("lid"));
}

TEST_F(SeamChoices, KeepsDonePiecesWithTheirMarksAndCountsThemNoMore) {
  const Result<HandOff> before = run_split(job());
  ASSERT_TRUE(before) << before.error().message;
  ASSERT_GE(before->pieces.size(), 2U);
  const FinishedPiece& kept = before->pieces.front();
  EarlierMarks earlier;
  for (const FinishedPiece& piece : before->pieces) {
    earlier.pieces.push_back({piece.mark, leaf_cell(before->seams.plan, piece.planned.cut.seam,
                                                    piece.planned.cut.side)});
  }
  Job again = job();
  again.search.seed = 9;
  again.dones.push_back({kept.mark});
  const Result<HandOff> found = run_split(again, earlier);
  ASSERT_TRUE(found) << found.error().message;
  std::size_t same = 0;
  for (const FinishedPiece& piece : found->pieces) {
    if (piece.mark != kept.mark) continue;
    EXPECT_TRUE(piece.is_done);
    EXPECT_EQ(piece.planned.cut.solid.box().low, kept.planned.cut.solid.box().low);
    EXPECT_EQ(piece.planned.cut.solid.box().high, kept.planned.cut.solid.box().high);
    ++same;
  }
  EXPECT_EQ(same, 1U);
  double all_s = 0;
  for (const FinishedPiece& piece : found->pieces)
    if (!piece.is_done) all_s += piece.print.print_s;
  EXPECT_NEAR(print_totals(*found).print_s, all_s, 1e-6);
  again.dones.push_back({"Q7"});
  EXPECT_EQ(run_split(again, earlier).error().code, "job-bad-value");
}

TEST_F(SeamChoices, KeysOfDonePiecesStayWhereTheyArePrinted) {
  const Result<HandOff> before = run_split(job());
  ASSERT_TRUE(before) << before.error().message;
  const FinishedPiece& kept = before->pieces.front();
  EarlierMarks earlier;
  for (const FinishedPiece& piece : before->pieces) {
    earlier.pieces.push_back({piece.mark, leaf_cell(before->seams.plan, piece.planned.cut.seam,
                                                    piece.planned.cut.side)});
  }
  // As if they had come out 2 mm nearer to each other than a search puts them now.
  std::vector<KeptKey>& keys = earlier.pieces.front().keys;
  for (const Joint& joint : before->joints) {
    if (joint.face.above != PieceId{} && joint.face.below != PieceId{}) continue;
    Vec3 middle;
    for (const Key& key : joint.keys)
      middle = middle + key.at / static_cast<double>(joint.keys.size());
    for (const Key& key : joint.keys)
      keys.push_back(
          {key.kind, key.at + normalized(middle - key.at) * 2.0, key.diameter_mm, key.depth_mm});
  }
  ASSERT_GE(keys.size(), 2U);
  Job again = job();
  again.search.seed = 9;
  again.dones.push_back({kept.mark});
  const Result<HandOff> found = run_split(again, earlier);
  ASSERT_TRUE(found) << found.error().message;
  for (const auto& warning : found->warnings)
    EXPECT_NE(warning.code, "done-piece-changed") << warning.message;
  for (const KeptKey& key : keys) {
    double nearest_mm = 1e9;
    for (const Joint& joint : found->joints) {
      for (const Key& now : joint.keys) nearest_mm = std::min(nearest_mm, norm(now.at - key.at));
    }
    EXPECT_LT(nearest_mm, 1e-6);
  }
}

TEST_F(SeamChoices, AreReadFromAJobFileAndWrittenBack) {
  const Job read = *read_job(R"(
[search]
most_pieces = 12
longest_print_h = 9.5
other_plans = 2
[[prefer]]
normal = [0, 1, 0]
offset_mm = 30
discount_ratio = 0.25
[[forbid]]
name = "eye"
center = [1, 2, 3]
radius_mm = 20
[[show]]
group = "lid"
[[hide]]
direction = [0, 0, -1]
angle_deg = 30
[[done]]
piece = "B2"
)",
                             "beetle.toml");
  EXPECT_EQ(read.search.most_pieces, 12);
  EXPECT_EQ(read.search.longest_print_h, 9.5);
  EXPECT_EQ(read.search.other_plans, 2);
  EXPECT_EQ(read.prefers.at(0).discount_ratio, 0.25);
  EXPECT_EQ(read.forbids.at(0).radius_mm, 20);
  EXPECT_EQ(read.shows.at(0).group, "lid");
  EXPECT_EQ(read.hides.at(0).direction, (Vec3{0, 0, -1}));
  EXPECT_EQ(read.dones.at(0).piece, "B2");
  EXPECT_EQ(write_job(*read_job(write_job(read), "again.toml")), write_job(read));
}

TEST_F(SeamChoices, AreRefusedWhenARegionIsHalfGiven) {
  const auto refusal = [](std::string_view toml) {
    const Result<Job> read = read_job(toml, "beetle.toml");
    return read ? std::string("none") : read.error().message;
  };
  EXPECT_THAT(refusal("[[forbid]]\nname = \"eye\"\ncenter = [1, 2, 3]\n"),
              HasSubstr("[[forbid]] \"eye\": give low and high of a box"));
  EXPECT_THAT(refusal("[[forbid]]\nlow = [0, 0, 9]\nhigh = [5, 5, 1]\n"),
              HasSubstr("high over low on every axis"));
  EXPECT_THAT(refusal("[[show]]\n"), HasSubstr("[[show]] give one of group"));
  EXPECT_THAT(refusal("[[hide]]\ngroup = \"lid\"\nradius_mm = 5\n"),
              HasSubstr("[[hide]] give one of group"));
  EXPECT_THAT(refusal("[[prefer]]\nnormal = [0, 0, 0]\n"), HasSubstr("zero vector"));
}

}  // namespace
}  // namespace seamwright
