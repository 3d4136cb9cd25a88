#include "seamwright/wear/seam_loads.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <numeric>

#include "wear/mount_forces.h"

namespace seamwright {
namespace {

constexpr double kNewtonPerGram = 9.80665e-3;
constexpr double kStrapWidthMm = 30;

MassPoint mass_of(std::span<const WearPiece> pieces, const std::vector<std::size_t>& chosen) {
  MassPoint sum;
  for (const std::size_t i : chosen) {
    sum.mass_g += pieces[i].mass_g;
    sum.middle += pieces[i].middle * pieces[i].mass_g;
  }
  if (sum.mass_g > 0) sum.middle = sum.middle / sum.mass_g;
  return sum;
}

std::vector<std::size_t> all_of(std::size_t count) {
  std::vector<std::size_t> all(count);
  std::iota(all.begin(), all.end(), 0);
  return all;
}

/// Pieces that joints hold together.
class Groups {
 public:
  explicit Groups(std::size_t count) : parent_(all_of(count)) {}
  std::size_t find(std::size_t i) {
    while (parent_[i] != i) i = parent_[i] = parent_[parent_[i]];
    return i;
  }
  void join(std::size_t a, std::size_t b) { parent_[find(a)] = find(b); }
  std::vector<std::size_t> members(std::size_t of) {
    std::vector<std::size_t> list;
    for (std::size_t i = 0; i < parent_.size(); ++i) {
      if (find(i) == find(of)) list.push_back(i);
    }
    return list;
  }

 private:
  std::vector<std::size_t> parent_;
};

std::vector<MassPoint> assembly_steps(const WearInput& input) {
  Groups groups(input.pieces.size());
  std::vector<MassPoint> steps;
  for (const std::size_t joint : input.assembly) {
    groups.join(input.joints[joint].above, input.joints[joint].below);
    steps.push_back(mass_of(input.pieces, groups.members(input.joints[joint].above)));
  }
  return steps;
}

class SeamJudge {
 public:
  SeamJudge(const WearInput& input, std::vector<MountForce> forces)
      : input_(input), forces_(std::move(forces)) {}

  SeamLoad judge(const std::vector<std::size_t>& joints) const {
    SeamLoad load{.seam = input_.joints[joints.front()].seam};
    const Plane& plane = input_.joints[joints.front()].plane;
    std::vector<Region2> regions;
    for (const std::size_t joint : joints) regions.push_back(input_.joints[joint].region);
    load.section = section_properties(regions);
    const auto [side, is_above] = side_of(joints, load.is_shared);
    load.carried_g = mass_of(input_.pieces, side).mass_g;
    act(load, plane, regions, side, is_above);
    return load;
  }

 private:
  /// Pieces on one side of a seam once its own joints are undone: those no mount holds any more; if
  /// all are held still, the ones joined to the side directly below it in the assembly.
  std::pair<std::vector<std::size_t>, bool> side_of(const std::vector<std::size_t>& joints,
                                                    bool& is_shared) const {
    Groups groups(input_.pieces.size());
    for (std::size_t j = 0; j < input_.joints.size(); ++j) {
      if (std::find(joints.begin(), joints.end(), j) == joints.end())
        groups.join(input_.joints[j].above, input_.joints[j].below);
    }
    const WearJoint& first = input_.joints[joints.front()];
    is_shared = groups.find(first.above) == groups.find(first.below);
    if (!is_shared) return choose(groups.members(first.above), groups.members(first.below));
    // Other ways lead round: count what was joined before this seam, on each of its sides.
    Groups before(input_.pieces.size());
    for (const std::size_t j : input_.assembly) {
      if (input_.joints[j].seam == first.seam) break;
      before.join(input_.joints[j].above, input_.joints[j].below);
    }
    std::vector<std::size_t> above, below;
    const auto add = [&](std::vector<std::size_t>& list, std::size_t piece) {
      for (const std::size_t i : before.members(piece)) {
        if (std::find(list.begin(), list.end(), i) == list.end()) list.push_back(i);
      }
    };
    for (const std::size_t j : joints) {
      add(above, input_.joints[j].above);
      add(below, input_.joints[j].below);
    }
    return choose(std::move(above), std::move(below));
  }

  bool has_mount(const std::vector<std::size_t>& side) const {
    return std::any_of(input_.mounts.begin(), input_.mounts.end(), [&](const WearMount& mount) {
      return std::find(side.begin(), side.end(), mount.piece) != side.end();
    });
  }
  std::pair<std::vector<std::size_t>, bool> choose(std::vector<std::size_t> above,
                                                   std::vector<std::size_t> below) const {
    const bool above_held = has_mount(above), below_held = has_mount(below);
    const bool is_above = above_held != below_held ? !above_held
                                                   : mass_of(input_.pieces, above).mass_g <=
                                                         mass_of(input_.pieces, below).mass_g;
    return is_above ? std::pair{std::move(above), true} : std::pair{std::move(below), false};
  }

  void act(SeamLoad& load, const Plane& plane, std::span<const Region2> regions,
           const std::vector<std::size_t>& side, bool is_above) const {
    const PlaneFrame frame(plane);
    const Vec3 at = frame.lift(load.section.centroid);
    Vec3 force, moment;
    for (const std::size_t i : side) {
      const Vec3 weight = input_.down * (input_.pieces[i].mass_g * kNewtonPerGram);
      force += weight;
      moment += cross(input_.pieces[i].middle - at, weight);
    }
    for (std::size_t m = 0; m < input_.mounts.size(); ++m) {
      if (std::find(side.begin(), side.end(), input_.mounts[m].piece) == side.end()) continue;
      force += forces_[m].force_n;
      moment += cross(input_.mounts[m].at - at, forces_[m].force_n) + forces_[m].couple_nmm;
    }
    const double factor = input_.choice.handling_ratio * (is_above ? 1 : -1);
    force = force * factor;
    moment = moment * factor;
    load.pull_n = dot(force, plane.normal);
    load.shear_n = norm(force - plane.normal * load.pull_n);
    load.twist_nmm = std::abs(dot(moment, plane.normal));
    SectionAction action{load.pull_n, dot(moment, frame.u), dot(moment, frame.v)};
    load.bending_nmm = std::hypot(action.moment_u_nmm, action.moment_v_nmm);
    load.by_rods_nmm = std::min(load.bending_nmm, rods_bear_nmm(load.seam));
    if (load.by_rods_nmm > 0) {
      const double left_ratio = 1 - load.by_rods_nmm / load.bending_nmm;
      action.moment_u_nmm *= left_ratio;
      action.moment_v_nmm *= left_ratio;
    }
    judge_stress(load, regions, action);
    add_remedies(load, regions, mass_of(input_.pieces, side).middle, at);
  }

  double rod_allowed_mpa() const { return input_.choice.rod_mpa / input_.choice.safety_ratio; }
  double rods_bear_nmm(SeamId seam) const {
    double sum_nmm = 0;
    for (const WearRod& rod : input_.rods) {
      const double d = rod.diameter_mm;
      if (rod.seam == seam) sum_nmm += std::numbers::pi * d * d * d / 32 * rod_allowed_mpa();
    }
    return sum_nmm;
  }

  void judge_stress(SeamLoad& load, std::span<const Region2> regions,
                    const SectionAction& action) const {
    const SectionProperties& section = load.section;
    if (section.area_mm2 <= 0) return;
    load.pull_mpa = std::max(0.0, normal_stress(regions, section, action).most_mpa);
    double farthest_mm = 0;
    for (const Region2& region : regions) {
      for (const Vec2 p : region.outer)
        farthest_mm = std::max(farthest_mm, norm(p - section.centroid));
    }
    const double polar_mm4 = section.i_uu_mm4 + section.i_vv_mm4;
    load.shear_mpa = 1.5 * load.shear_n / section.area_mm2;
    if (polar_mm4 > 0) load.shear_mpa += load.twist_nmm * farthest_mm / polar_mm4;
    const WearChoice& choice = input_.choice;
    const double pull_allowed_mpa =
        std::min(choice.bond_mpa, choice.layer_mpa) / choice.safety_ratio;
    const double shear_allowed_mpa = choice.bond_shear_mpa / choice.safety_ratio;
    load.use_ratio =
        std::hypot(load.pull_mpa / pull_allowed_mpa, load.shear_mpa / shear_allowed_mpa);
  }

  void add_remedies(SeamLoad& load, std::span<const Region2> regions, Vec3 hanging, Vec3 at) const {
    const WearChoice& choice = input_.choice;
    load.rod_mm = std::cbrt(32 * load.bending_nmm / (std::numbers::pi * rod_allowed_mpa()));
    Vec2 low{Box3::kFar, Box3::kFar}, high = -low;
    for (const Region2& region : regions) {
      for (const Vec2 p : region.outer) {
        low = {std::min(low.x, p.x), std::min(low.y, p.y)};
        high = {std::max(high.x, p.x), std::max(high.y, p.y)};
      }
    }
    // The strap's pull and the section's far edge make the couple.
    const double lever_mm = std::max(1.0, std::min(high.x - low.x, high.y - low.y));
    load.strap_mm =
        load.bending_nmm / lever_mm / (kStrapWidthMm * choice.bond_shear_mpa / choice.safety_ratio);
    const double least_mm4 = std::min(load.section.i_uu_mm4, load.section.i_vv_mm4);
    const double weight_n = load.carried_g * kNewtonPerGram;
    if (least_mm4 > 0)
      load.sag_mm = tip_sag_mm(weight_n, norm(hanging - at), choice.modulus_mpa, least_mm4);
  }

  const WearInput& input_;
  std::vector<MountForce> forces_;
};

}  // namespace

WearFindings find_seam_loads(const WearInput& input) {
  WearFindings findings;
  findings.whole = mass_of(input.pieces, all_of(input.pieces.size()));
  findings.steps = assembly_steps(input);
  const double weight_n = findings.whole.mass_g * kNewtonPerGram;
  for (const Vec3& point : input.choice.harness)
    findings.harness_moment_nmm.push_back(
        norm(cross(findings.whole.middle - point, input.down * weight_n)));
  if (input.choice.wearer_kg)
    findings.body_share_ratio = findings.whole.mass_g / 1000 / *input.choice.wearer_kg;
  if (input.mounts.empty()) return findings;
  std::vector<Vec3> places;
  for (const WearMount& mount : input.mounts) places.push_back(mount.at);
  findings.mount_forces =
      wear_detail::mount_forces(places, input.down * weight_n, findings.whole.middle);
  const SeamJudge judge(input, findings.mount_forces);
  std::map<SeamId, std::vector<std::size_t>> by_seam;
  for (std::size_t j = 0; j < input.joints.size(); ++j) by_seam[input.joints[j].seam].push_back(j);
  for (const auto& [seam, joints] : by_seam) findings.seams.push_back(judge.judge(joints));
  std::stable_sort(findings.seams.begin(), findings.seams.end(),
                   [](const SeamLoad& a, const SeamLoad& b) { return a.use_ratio > b.use_ratio; });
  return findings;
}

}  // namespace seamwright
