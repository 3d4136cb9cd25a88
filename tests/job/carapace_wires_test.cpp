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
    job_ = new Job(
        *read_job(testing::file_bytes(testing::meshes_dir() + "/carapace.toml"), "carapace.toml"));
    part_ = new Solid(testing::make_solid(testing::read_binary_stl(testing::file_bytes(
                                              testing::meshes_dir() + "/carapace.stl")))
                          .value());
    sight_ = new std::vector(
        *face_sight(*part_, {.mode = SightMode::worn, .rays_per_face = 16, .is_smoothed = true}));
    wired_ = new WiredPart(*wire_part(*part_, job_->wiring, *sight_));
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
    delete job_, delete part_, delete sight_;
    delete wired_, delete plan_, delete crossings_, delete pieces_;
  }
  static inline Job* job_ = nullptr;
  static inline Solid* part_ = nullptr;
  static inline std::vector<double>* sight_ = nullptr;
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

/// The demo's wires with plugs of 4 by 3 by 9 mm threaded through, its pockets of that size.
WiringSpec threaded(WiringSpec spec, double pocket_mm) {
  for (WireSpec& wire : spec.wires) {
    if (!wire.connector_mm) continue;
    wire.connector_mm = Vec3{4, 3, 9};
    wire.pass = ConnectorPass::threaded;
  }
  for (PocketSpec& pocket : spec.pockets) {
    pocket.size_mm = pocket_mm;
    pocket.flange_mm = pocket_mm + 1;
  }
  return spec;
}

TEST_F(CarapaceWires, APlugThatNoPocketPassesIsRefusedWithWhatToSet) {
  const Result<WiredPart> wired = wire_part(*part_, threaded(job_->wiring, 5), *sight_);
  ASSERT_FALSE(wired);
  EXPECT_EQ(wired.error().code, "connector-does-not-pass");
  // 5 mm across the plug's corners, 0.6 mm of ledge and 0.1 mm of clearance on either side.
  for (const char* word : {"\"left antenna\"", "crimped", "size_mm = 6.0"})
    EXPECT_NE(wired.error().message.find(word), std::string::npos) << wired.error().message;
}

/// The way of a plug into a seat: from before its mouth to the back of its module.
std::vector<Vec3> way_into(const Pocket& pocket) {
  std::vector<Vec3> way;
  for (double deep_mm = -10; deep_mm <= pocket.size_mm.z - 4.5; deep_mm += 0.5)
    way.push_back(pocket.at + pocket.axis * deep_mm);
  return way;
}

TEST_F(CarapaceWires, ThreadedPlugsPassBendsFunnelsAndSeatsOfPocketsThatHoldThem) {
  const Vec3 plug{4, 3, 9};
  const Result<WiredPart> wired = wire_part(*part_, threaded(job_->wiring, 6), *sight_);
  ASSERT_TRUE(wired) << wired.error().message;
  const std::vector<JointFace> faces = *find_joint_faces(*plan_, *cut_plan(wired->solid, *plan_));
  const auto crossings = find_crossings(*plan_, faces, wired->channels);
  EXPECT_GE(crossings.size(), 6u);
  const Result<Solid> funnelled = cut_funnels(wired->solid, *plan_, crossings, wired->channels);
  ASSERT_TRUE(funnelled) << funnelled.error().message;
  const testing::WrittenPieces whole(*cut_plan(*funnelled, *plan_));
  for (const Channel& channel : wired->channels) {
    if (!channel.wire.connector_mm) continue;
    EXPECT_EQ(channel.governed_by, "connector") << channel.name;
    EXPECT_GE(whole.least_room_mm(channel.path), channel.diameter_mm / 2 - 0.01) << channel.name;
    EXPECT_EQ(whole.box_collisions(channel.path, plug), 0) << channel.name;
    EXPECT_GE(channel.least_wall_mm, 1.4) << channel.name;
  }
  // The module's ledge leaves the plug's corners no play: 0.02 mm less for rounding.
  for (const Pocket& pocket : wired->pockets)
    EXPECT_EQ(whole.box_collisions(way_into(pocket), plug - Vec3{0.02, 0.02, 0}), 0) << pocket.name;
}

/// The first seams of a plan of quick effort: the left antenna's wire met the first at 9°.
SeamPlan plan_along_a_wire() {
  const Plane first{normalized(Vec3{0.99582, 0.05841, 0.07020}), 222.729};
  const SeamPlan plan = *apply(SeamPlan{}, AddSeam{{}, Side::above, first});
  return *apply(plan, AddSeam{plan.seams[0].id, Side::below, {{1, 0, 0}, 34.3}});
}

Angle flattest(const std::vector<SeamCrossing>& crossings) {
  return std::min_element(crossings.begin(), crossings.end(),
                          [](const auto& a, const auto& b) { return a.angle < b.angle; })
      ->angle;
}

TEST_F(CarapaceWires, AWireThatRunsAlongASeamIsLedSquarelyThroughIt) {
  const SeamPlan plan = plan_along_a_wire();
  const std::vector<JointFace> faces = *find_joint_faces(plan, *cut_plan(wired_->solid, plan));
  const auto before = find_crossings(plan, faces, wired_->channels);
  EXPECT_LT(flattest(before).degrees(), 15);

  const Result<WiredPart> led = wire_part(*part_, job_->wiring, *sight_, {}, &plan);
  ASSERT_TRUE(led) << led.error().message;
  const std::vector<JointFace> anew = *find_joint_faces(plan, *cut_plan(led->solid, plan));
  const auto after = find_crossings(plan, anew, led->channels);
  EXPECT_EQ(after.size(), before.size());
  EXPECT_GE(flattest(after).degrees(), 45);
  const Solid funnelled = *cut_funnels(led->solid, plan, after, led->channels);
  const testing::WrittenPieces pieces(*cut_plan(funnelled, plan));
  for (const Channel& channel : led->channels) {
    EXPECT_GE(pieces.least_room_mm(channel.path), channel.diameter_mm / 2 - 0.01) << channel.name;
    EXPECT_GE(channel.least_wall_mm, channel.kind == "rib" ? 1.4 : 1.2) << channel.name;
    EXPECT_GE(channel.least_bend_mm, std::max(15.0, 6 * channel.size.bundle_mm)) << channel.name;
  }
}

}  // namespace
}  // namespace seamwright
