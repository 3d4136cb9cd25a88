#include "seamwright/wear/seam_loads.h"

#include <gtest/gtest.h>

#include <numbers>

#include "seamwright/core/random.h"
#include "seamwright/cut/joint_faces.h"
#include "seamwright/cut/plane_cut.h"
#include "seamwright/query/mass_properties.h"
#include "support/shapes.h"
#include "support/stl.h"

namespace seamwright {
namespace {

constexpr double kDensityGPerMm3 = 1.24e-3, kGravity = 9.80665e-3;  // N per gram

/// A part cut by planes across x, each the child of the last above half; weights of solid plastic.
struct CutPart {
  WearInput input;
  MassProperties whole;
};
CutPart cut_across_x(const Solid& part, const std::vector<double>& at_mm) {
  SeamPlan plan;
  std::optional<SeamId> parent;
  for (const double x : at_mm) {
    plan = apply(plan, AddSeam{parent, Side::above, Plane{{1, 0, 0}, x}}).value();
    parent = plan.seams.back().id;
  }
  const std::vector<CutPiece> pieces = cut_plan(part, plan).value();
  CutPart out{{}, mass_properties(part)};
  for (const CutPiece& piece : pieces) {
    const MassProperties mass = mass_properties(piece.solid);
    out.input.pieces.push_back({mass.volume_mm3 * kDensityGPerMm3, mass.centroid});
  }
  const std::vector<JointFace> faces = find_joint_faces(plan, pieces).value();
  for (const JointFace& face : faces) {
    out.input.joints.push_back({face.seam, find_seam(plan, face.seam)->plane, to_index(face.above),
                                to_index(face.below), face.region});
  }
  for (std::size_t j = out.input.joints.size(); j-- > 0;) out.input.assembly.push_back(j);
  return out;
}

std::size_t piece_at(const WearInput& input, double x) {
  std::size_t best = 0;
  for (std::size_t i = 0; i < input.pieces.size(); ++i) {
    if (std::abs(input.pieces[i].middle.x - x) < std::abs(input.pieces[best].middle.x - x))
      best = i;
  }
  return best;
}

// Closed form: a beam clamped at one end under its own weight w per length, cut in five:
// M(x) = w (L - x)² / 2, V = w (L - x), σ = M c / I (Roark table 8.1 case 2a, memory).
TEST(SeamLoads, OfABeamCutInFiveAreTheClosedFormsTo1e6) {
  const double length = 500, width = 40, height = 60;
  const std::vector<double> at{100, 180, 300, 410};
  CutPart beam = cut_across_x(testing::make_box({length, width, height}), at);
  ASSERT_EQ(beam.input.pieces.size(), 5u);
  beam.input.mounts = {{"clamp", {0, 20, 30}, piece_at(beam.input, 50)}};
  beam.input.choice.handling_ratio = 3;
  const WearFindings findings = find_seam_loads(beam.input);
  ASSERT_EQ(findings.seams.size(), 4u);
  const double w = width * height * kDensityGPerMm3 * kGravity * 3;
  const double i_mm4 = width * height * height * height / 12, c = height / 2;
  for (const SeamLoad& load : findings.seams) {
    const double x = at[to_index(load.seam) - 1], rest = length - x;
    const double m = w * rest * rest / 2, v = w * rest;
    EXPECT_FALSE(load.is_shared);
    EXPECT_NEAR(load.bending_nmm, m, 1e-6 * m);
    EXPECT_NEAR(load.shear_n, v, 1e-6 * v);
    EXPECT_NEAR(load.pull_mpa, m * c / i_mm4, 1e-6 * m * c / i_mm4);
    EXPECT_NEAR(load.shear_mpa, 1.5 * v / (width * height), 1e-6 * v);
    EXPECT_NEAR(load.twist_nmm, 0, 1e-6 * m);
    EXPECT_NEAR(load.section.area_mm2, width * height, 1e-6);
  }
  EXPECT_EQ(to_index(findings.seams.front().seam), 1u) << "the seam next to the clamp bears most";
}

// A round rod's section modulus is π d³ / 32 (Roark table A.1, memory).
TEST(SeamLoads, ARodThroughASeamBearsBendingUpToWhatItMay) {
  CutPart beam = cut_across_x(testing::make_box({500, 40, 60}), {100, 250});
  beam.input.mounts = {{"clamp", {0, 20, 30}, piece_at(beam.input, 50)}};
  const WearFindings bare = find_seam_loads(beam.input);
  const SeamLoad& first = bare.seams.front();
  const WearChoice& choice = beam.input.choice;
  const double diameter = 3;
  const double rod_nmm = std::numbers::pi * 27 / 32 * choice.rod_mpa / choice.safety_ratio;
  ASSERT_LT(rod_nmm, first.bending_nmm);
  beam.input.rods = {{first.seam, diameter}};
  const WearFindings rodded = find_seam_loads(beam.input);
  for (const SeamLoad& load : rodded.seams) {
    const bool is_first = load.seam == first.seam;
    EXPECT_NEAR(load.by_rods_nmm, is_first ? rod_nmm : 0, 1e-9 * rod_nmm);
    if (!is_first) continue;
    EXPECT_NEAR(load.pull_mpa, first.pull_mpa * (1 - rod_nmm / first.bending_nmm), 1e-9);
    EXPECT_EQ(load.bending_nmm, first.bending_nmm);
  }
  beam.input.rods = {{first.seam, first.rod_mm}};  // as thick as the remedy says: it bears all
  for (const SeamLoad& load : find_seam_loads(beam.input).seams) {
    if (load.seam != first.seam) continue;
    EXPECT_NEAR(load.pull_mpa, 0, 1e-6);
  }
}

// A beam on two supports at its ends: M(x) = w x (L - x) / 2 (Roark table 8.1 case 2e, memory).
TEST(SeamLoads, OfABeamOnTwoMountsAreTheClosedForms) {
  const double length = 400;
  CutPart beam = cut_across_x(testing::make_box({length, 30, 30}), {100, 200, 260});
  beam.input.mounts = {{"a", {0, 15, 0}, piece_at(beam.input, 50)},
                       {"b", {length, 15, 0}, piece_at(beam.input, 330)}};
  beam.input.choice.handling_ratio = 1;
  const WearFindings findings = find_seam_loads(beam.input);
  const double w = 900 * kDensityGPerMm3 * kGravity;
  const double at[] = {100, 200, 260};
  for (const SeamLoad& load : findings.seams) {
    const double x = at[to_index(load.seam) - 1], m = w * x * (length - x) / 2;
    EXPECT_NEAR(load.bending_nmm, m, 1e-6 * m);
    EXPECT_NEAR(load.shear_n, std::abs(w * (length / 2 - x)), 1e-6 * w * length);
  }
  EXPECT_NEAR(findings.mount_forces[0].force_n.z, w * length / 2, 1e-6 * w * length);
  EXPECT_NEAR(norm(findings.mount_forces[0].couple_nmm), 0, 1e-6 * w * length * length);
}

TEST(SeamLoads, ATiltedBeamPullsAndBends) {
  CutPart beam = cut_across_x(testing::make_box({300, 20, 20}), {150});
  beam.input.mounts = {{"clamp", {0, 10, 10}, piece_at(beam.input, 50)}};
  beam.input.choice.handling_ratio = 1;
  beam.input.down = normalized(Vec3{1, 0, -1});
  const SeamLoad load = find_seam_loads(beam.input).seams.at(0);
  const double weight = 150 * 400 * kDensityGPerMm3 * kGravity, part = weight / std::sqrt(2);
  EXPECT_NEAR(load.pull_n, part, 1e-6 * weight);
  EXPECT_NEAR(load.shear_n, part, 1e-6 * weight);
  EXPECT_NEAR(load.bending_nmm, part * 75, 1e-6 * weight * 75);
  EXPECT_NEAR(load.pull_mpa, part / 400 + part * 75 / (20.0 * 20 * 20 / 6), 1e-9);
}

TEST(SeamLoads, CentreOfMassOfTheAssembledPiecesIsTheParts) {
  for (const char* name : {"bracket", "elephant"}) {
    const Solid part = testing::reference_part(name);
    const Box3 box = part.box();
    CutPart cut =
        cut_across_x(part, {box.low.x + 0.3 * box.size().x, box.low.x + 0.55 * box.size().x});
    const WearFindings findings = find_seam_loads(cut.input);
    const double size = norm(box.size());
    EXPECT_NEAR(norm(findings.whole.middle - cut.whole.centroid), 0, 1e-9 * size);
    EXPECT_NEAR(findings.whole.mass_g, cut.whole.volume_mm3 * kDensityGPerMm3,
                1e-9 * findings.whole.mass_g);
    ASSERT_FALSE(findings.steps.empty());
    EXPECT_LE(findings.steps.front().mass_g, findings.steps.back().mass_g);
    EXPECT_NEAR(norm(findings.steps.back().middle - cut.whole.centroid), 0, 1e-9 * size);
  }
}

TEST(SeamLoads, RemediesBearWhatTheyAreSizedFor) {
  CutPart beam = cut_across_x(testing::make_box({500, 40, 60}), {100});
  beam.input.mounts = {{"clamp", {0, 20, 30}, piece_at(beam.input, 50)}};
  const SeamLoad load = find_seam_loads(beam.input).seams.at(0);
  const WearChoice choice;
  const double z_mm3 = std::numbers::pi * std::pow(load.rod_mm, 3) / 32;
  EXPECT_NEAR(load.bending_nmm / z_mm3, choice.rod_mpa / choice.safety_ratio, 1e-6);
  EXPECT_NEAR(load.strap_mm * 30 * choice.bond_shear_mpa / choice.safety_ratio * 40,
              load.bending_nmm, 1e-6 * load.bending_nmm);
  EXPECT_NEAR(load.use_ratio, std::hypot(load.pull_mpa, load.shear_mpa) / 1.5, 1e-12);
}

TEST(SeamLoads, TellTheShareOfTheWearersMassAndTheHarnessMoment) {
  WearInput input;
  input.pieces = {{2000, {0, 100, 0}}, {1000, {0, -200, 0}}};
  input.choice.wearer_kg = 60;
  input.choice.harness = {{0, 100, 0}};
  const WearFindings findings = find_seam_loads(input);
  EXPECT_NEAR(*findings.body_share_ratio, 0.05, 1e-12);
  EXPECT_NEAR(findings.harness_moment_nmm.at(0), 3000 * kGravity * 100, 1e-6);
  EXPECT_TRUE(findings.seams.empty()) << "without mounts nothing is judged";
}

TEST(SeamLoads, MountsInBalanceWhateverTheirPlaces) {
  Random random(4);
  for (int round = 0; round < 20; ++round) {
    WearInput input;
    input.pieces = {
        {1500, {random.uniform(-50, 50), random.uniform(-50, 50), random.uniform(-50, 50)}}};
    const std::size_t count = 1 + random.below(4);
    for (std::size_t i = 0; i < count; ++i)
      input.mounts.push_back(
          {"m",
           {random.uniform(-200, 200), random.uniform(-200, 200), random.uniform(-200, 200)},
           0});
    const WearFindings findings = find_seam_loads(input);
    Vec3 force = input.down * (1500 * kGravity), moment;
    for (std::size_t i = 0; i < count; ++i) {
      force += findings.mount_forces[i].force_n;
      moment +=
          cross(input.mounts[i].at - input.pieces[0].middle, findings.mount_forces[i].force_n) +
          findings.mount_forces[i].couple_nmm;
    }
    EXPECT_NEAR(norm(force), 0, 1e-9);
    EXPECT_NEAR(norm(moment), 0, 1e-6);
  }
}

}  // namespace
}  // namespace seamwright
