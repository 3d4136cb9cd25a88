// The demo carapace with its eight pockets and nine wires: along every way a ball of the bore's
// radius and a box as large as the connector pass through the pieces as written.

#include <gtest/gtest.h>

#include "seamwright/job/job_file.h"
#include "seamwright/mesh/load.h"
#include "seamwright/query/sight.h"
#include "support/places.h"
#include "wiring/written_way.h"

namespace seamwright {
namespace {

class CarapaceWires : public ::testing::Test {
 protected:
  static void SetUpTestSuite() {
    const Job job =
        *read_job(testing::file_bytes(testing::meshes_dir() + "/carapace.toml"), "carapace.toml");
    const Solid part =
        testing::make_solid(
            testing::read_binary_stl(testing::file_bytes(testing::meshes_dir() + "/carapace.stl")))
            .value();
    const std::vector<double> sight =
        *face_sight(part, {.mode = SightMode::worn, .rays_per_face = 16, .is_smoothed = true});
    wired_ = new WiredPart(*wire_part(part, job.wiring, sight));
    plan_ = new SeamPlan;
    std::optional<SeamId> parent;
    for (const double x : {150.0, 10.0, -140.0}) {
      *plan_ = *apply(*plan_, AddSeam{parent, Side::below, {{1, 0, 0}, x}});
      parent = plan_->seams.back().id;
    }
    const std::vector<JointFace> faces =
        *find_joint_faces(*plan_, *cut_plan(wired_->solid, *plan_));
    crossings_ = new std::vector(find_crossings(*plan_, faces, wired_->channels));
    const Solid funnelled = *cut_funnels(wired_->solid, *plan_, *crossings_, wired_->channels);
    pieces_ = new testing::WrittenPieces(*cut_plan(funnelled, *plan_));
  }
  static void TearDownTestSuite() {
    delete wired_, delete plan_, delete crossings_, delete pieces_;
  }
  static inline WiredPart* wired_ = nullptr;
  static inline SeamPlan* plan_ = nullptr;
  static inline std::vector<SeamCrossing>* crossings_ = nullptr;
  static inline testing::WrittenPieces* pieces_ = nullptr;
};

TEST_F(CarapaceWires, LetABallOfEachBoresRadiusPass) {
  ASSERT_EQ(wired_->channels.size(), 9u);
  ASSERT_EQ(wired_->pockets.size(), 8u);
  EXPECT_GE(crossings_->size(), 6u);
  for (const Channel& channel : wired_->channels)
    EXPECT_GE(pieces_->least_room_mm(channel.path), channel.diameter_mm / 2 - 0.01) << channel.name;
}

TEST_F(CarapaceWires, KeepTheirWallAndTheirBend) {
  for (const Channel& channel : wired_->channels) {
    EXPECT_GE(channel.least_wall_mm, channel.kind == "rib" ? 1.4 : channel.wire.wall_mm)
        << channel.name;
    EXPECT_GE(channel.least_bend_mm, std::max(15.0, 6 * channel.size.bundle_mm)) << channel.name;
  }
}

TEST_F(CarapaceWires, LetThoseConnectorsPassThatTheReportSaysPass) {
  int passing = 0, threaded = 0;
  for (const Channel& channel : wired_->channels) {
    if (!channel.wire.connector_mm) continue;
    const Vec3 box = *channel.wire.connector_mm;
    const bool passes = threaded_bore_mm(box, channel.least_bend_mm) <= channel.diameter_mm;
    if (channel.wire.pass == ConnectorPass::threaded) {
      ++threaded;
      EXPECT_TRUE(passes) << channel.name;
      EXPECT_EQ(channel.governed_by, "connector") << channel.name;
    }
    if (!passes) continue;
    ++passing;
    EXPECT_EQ(pieces_->box_collisions(channel.path, box), 0) << channel.name;
  }
  EXPECT_EQ(threaded, 2);
  RecordProperty("passing", passing);
}

}  // namespace
}  // namespace seamwright
