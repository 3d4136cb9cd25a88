#include <gtest/gtest.h>
#include <unistd.h>

#include <filesystem>
#include <fstream>

#include "seamwright/job/run_split.h"
#include "seamwright/mesh/save.h"
#include "support/shapes.h"

namespace seamwright {
namespace {

/// A round bar along x from 0 to 300 mm, 50 thick, with a neck of 20 from x = 146 to 154.
Solid necked_bar() {
  const std::vector<double> at{0, 140, 146, 154, 160, 300}, radius{25, 25, 10, 10, 25, 25};
  constexpr std::size_t kAround = 48;
  std::vector<Vec3> points{{0, 0, 0}, {300, 0, 0}};
  std::vector<std::array<std::size_t, 3>> faces;
  const auto index = [&](std::size_t ring, std::size_t i) {
    return 2 + ring * kAround + i % kAround;
  };
  for (std::size_t ring = 0; ring < at.size(); ++ring) {
    for (std::size_t i = 0; i < kAround; ++i) {
      const double turn = testing::shapes_detail::turn(i, kAround);
      points.push_back({at[ring], radius[ring] * std::cos(turn), radius[ring] * std::sin(turn)});
      const std::size_t last = at.size() - 1;
      if (ring == 0) faces.push_back({0, index(0, i + 1), index(0, i)});
      if (ring == last) faces.push_back({1, index(last, i), index(last, i + 1)});
      if (ring == last) continue;
      faces.push_back({index(ring, i), index(ring, i + 1), index(ring + 1, i)});
      faces.push_back({index(ring, i + 1), index(ring + 1, i + 1), index(ring + 1, i)});
    }
  }
  return testing::shapes_detail::solid_of(std::move(points), faces);
}

class MovedSeams : public ::testing::Test {
 protected:
  MovedSeams() {
    const std::string name = "seamwright_neck" + std::to_string(::getpid()) + ".stl";
    path_ = std::filesystem::temp_directory_path() / name;
    std::ofstream(path_, std::ios::binary) << stl_bytes(necked_bar());
    job_.part.file = path_.string();
    job_.search.effort = Effort::quick;
    job_.mounts = {{"wall", {0, 0, 25}}};
    job_.wear.bond_mpa = job_.wear.bond_shear_mpa = 0.2;
    job_.given_plan = seam_at(150);
  }
  ~MovedSeams() override { std::filesystem::remove(path_); }

  static SeamPlan seam_at(double x_mm) {
    return apply(SeamPlan{}, AddSeam{{}, Side::above, Plane{{1, 0, 0}, x_mm}}).value();
  }

  std::filesystem::path path_;
  Job job_;
};

TEST_F(MovedSeams, OffANeckASeamHoldsAndTheForetoldLoadIsTheOneFound) {
  const Result<HandOff> neck = run_split(job_);
  ASSERT_TRUE(neck) << neck.error().message;
  ASSERT_EQ(neck->wear->seams.size(), 1u);
  const SeamLoad& load = neck->wear->seams[0];
  EXPECT_GT(load.use_ratio, 2);
  ASSERT_TRUE(load.moved);
  EXPECT_EQ(std::abs(load.moved->by_mm), 10);  // 5 mm is still in the neck's slope
  EXPECT_EQ(load.moved->direction.x, load.moved->by_mm / 10);
  EXPECT_LE(load.moved->use_ratio, 1);

  job_.given_plan = seam_at(150 + load.moved->by_mm);
  const Result<HandOff> moved = run_split(job_);
  ASSERT_TRUE(moved) << moved.error().message;
  // The foretold weighs by mean density, without keys.
  EXPECT_NEAR(moved->wear->seams[0].use_ratio, load.moved->use_ratio, 0.1 * load.use_ratio);
  EXPECT_LE(moved->wear->seams[0].use_ratio, 1);
  EXPECT_FALSE(moved->wear->seams[0].moved) << "it holds where it is";
  EXPECT_NEAR(moved->seams.maker_h - neck->seams.maker_h, load.moved->more_h, 1e-9);
}

// Funnels give the part new faces; what is known of the old ones must go with them.
TEST_F(MovedSeams, AreFoundWhereAWireCrossesThem) {
  job_.search.effort = Effort::normal;
  job_.wiring.wires.push_back(
      {.name = "glow", .from = {0, 0, 0}, .to = {300, 0, 0}, .diameter_mm = 4});
  const Result<HandOff> wired = run_split(job_);
  ASSERT_TRUE(wired) << wired.error().message;
  ASSERT_FALSE(wired->crossings.empty());
  EXPECT_TRUE(wired->wear->seams.at(0).moved);
}

TEST_F(MovedSeams, ALockedSeamStays) {
  job_.given_plan = apply(*job_.given_plan, LockSeam{job_.given_plan->seams[0].id, true}).value();
  const Result<HandOff> locked = run_split(job_);
  ASSERT_TRUE(locked) << locked.error().message;
  EXPECT_GT(locked->wear->seams.at(0).use_ratio, 1);
  EXPECT_FALSE(locked->wear->seams[0].moved);
}

TEST_F(MovedSeams, NothingIsOfferedWhosePiecesFitNoPrinter) {
  job_.printers[0].room_mm = {158, 158, 158};  // 160 mm is too long, 155 not
  job_.search.poses = Poses::standing;
  const Result<HandOff> tight = run_split(job_);
  ASSERT_TRUE(tight) << tight.error().message;
  EXPECT_GT(tight->wear->seams.at(0).use_ratio, 1);
  const auto& moved = tight->wear->seams[0].moved;
  EXPECT_TRUE(!moved || std::abs(moved->by_mm) < 10);
}

}  // namespace
}  // namespace seamwright
