#include "seamwright/joints/joint_strength.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "seamwright/query/mass_properties.h"
#include "seamwright/query/section.h"

namespace seamwright {
namespace {

constexpr double kGravity_n_per_g = 9.80665e-3;

/// Second moments about the axes through a point.
struct Moments {
  double area_mm2 = 0;
  Vec2 first;
  double xx_mm4 = 0, yy_mm4 = 0, xy_mm4 = 0;  ///< ∫x², ∫y², ∫xy
};

Moments moments_about(std::span<const Loop2> loops, Vec2 origin) {
  Moments m;
  for (const Loop2& loop : loops) {
    for (std::size_t i = 0; i < loop.size(); ++i) {
      const Vec2 a = loop[i] - origin, b = loop[(i + 1) % loop.size()] - origin;
      const double w = cross(a, b);
      m.area_mm2 += w / 2;
      m.first = m.first + (a + b) * (w / 6);
      m.xx_mm4 += w * (a.x * a.x + a.x * b.x + b.x * b.x) / 12;
      m.yy_mm4 += w * (a.y * a.y + a.y * b.y + b.y * b.y) / 12;
      m.xy_mm4 += w * (a.x * b.y + 2 * a.x * a.y + 2 * b.x * b.y + b.x * a.y) / 24;
    }
  }
  return m;
}

double farthest_mm(std::span<const Loop2> loops, Vec2 centroid, Vec2 across) {
  double farthest = 0;
  for (const Loop2& loop : loops)
    for (Vec2 p : loop) farthest = std::max(farthest, std::abs(dot(p - centroid, across)));
  return farthest;
}

void add_region(std::vector<Loop2>& loops, const Region2& region) {
  loops.push_back(region.outer);
  loops.insert(loops.end(), region.holes.begin(), region.holes.end());
}

/// The joint face, and the straps where they cross its plane.
std::vector<Loop2> loops_of(const Joint& joint, std::size_t index, const Plane& plane,
                            std::span<const LoosePart> loose_parts) {
  std::vector<Loop2> loops;
  add_region(loops, joint.face.region);
  for (const LoosePart& part : loose_parts) {
    if (part.joint != index) continue;
    for (SectionLoop& loop : section(part.solid, plane)) loops.push_back(std::move(loop.points));
  }
  return loops;
}

double perimeter_mm(const std::vector<Vec3>& outline) {
  double length = 0;
  for (std::size_t i = 0; i < outline.size(); ++i)
    length += norm(outline[(i + 1) % outline.size()] - outline[i]);
  return length;
}

void add_areas(JointStrength& out, const Joint& joint, std::size_t index,
               std::span<const LoosePart> loose_parts, const StrengthRules& rules) {
  out.glue_area_mm2 = joint.face.area_mm2;
  for (const Key& key : joint.keys) {
    if (key.kind == KeyKind::flange) {
      out.key_shear_area_mm2 += rules.screw.stress_area_mm2;
      ++out.screw_count;
    } else if (key.kind == KeyKind::tongue) {
      out.glue_area_mm2 += perimeter_mm(key.outline) * key.depth_mm;
      out.key_shear_area_mm2 += key.diameter_mm * key.length_mm;
    } else if (key.kind == KeyKind::lap) {
      out.glue_area_mm2 += key.length_mm * key.depth_mm;  // along the lap, over the seam
    } else if (key.kind == KeyKind::dowel || key.kind == KeyKind::pin) {
      out.key_shear_area_mm2 += std::numbers::pi / 4 * key.diameter_mm * key.diameter_mm;
    }
  }
  for (const LoosePart& part : loose_parts)
    if (part.joint == index) out.glue_area_mm2 += part.glue_area_mm2 / 2;
  if (!joint.is_glued) out.glue_area_mm2 = 0;
}

/// Volume and centre of what hangs on one side of a seam.
struct Hanging {
  double volume_mm3 = 0;
  Vec3 moment;
  void add(const MassProperties& mass) {
    volume_mm3 += mass.volume_mm3;
    moment += mass.centroid * mass.volume_mm3;
  }
  Vec3 center() const { return volume_mm3 > 0 ? moment / volume_mm3 : Vec3{}; }
};

bool is_under(const CutPiece& piece, SeamId seam, Side side) {
  const std::string name =
      fmt::format("/S{}{}", static_cast<std::uint32_t>(seam), side == Side::above ? '+' : '-');
  const std::string path = "/" + piece.id;
  const std::size_t at = path.find(name);
  if (at == std::string::npos) return false;
  const std::size_t end = at + name.size();
  return end == path.size() || path[end] == '/' || path[end] == '.';
}

Hanging lighter_half(std::span<const CutPiece* const> pieces,
                     std::span<const MassProperties> masses, SeamId seam) {
  Hanging above, below;
  for (std::size_t p = 0; p < pieces.size(); ++p) {
    if (is_under(*pieces[p], seam, Side::above)) above.add(masses[p]);
    if (is_under(*pieces[p], seam, Side::below)) below.add(masses[p]);
  }
  return above.volume_mm3 <= below.volume_mm3 ? above : below;
}

/// Fills the load of all joints of one seam.
void add_load(std::vector<JointStrength>& out, std::span<const Joint> joints, const Seam& seam,
              std::span<const Loop2> loops, const Hanging& held, const StrengthRules& rules) {
  const SectionModulus whole = section_modulus(loops);
  const PlaneFrame frame(seam.plane);
  const double mass_g = held.volume_mm3 / 1000 * rules.density_g_per_cm3;
  const double lever_mm = norm(held.center() - frame.lift(whole.centroid));
  const double force_n = mass_g * kGravity_n_per_g * rules.handling_ratio;
  const double stress_mpa = whole.weak_mm3 > 0 && whole.area_mm2 > 0
                                ? force_n * lever_mm / whole.weak_mm3 + force_n / whole.area_mm2
                                : 0;
  for (std::size_t j = 0; j < joints.size(); ++j) {
    if (joints[j].face.seam != seam.id) continue;
    out[j].held_mass_g = mass_g;
    out[j].lever_mm = lever_mm;
    out[j].stress_mpa = stress_mpa;
    out[j].safety_ratio = stress_mpa > 0 ? rules.glue_mpa / stress_mpa : 0;
  }
}

/// The screws of a seam that comes apart, and the figure that it tips over.
struct ScrewGroup {
  std::vector<Vec2> screws, figure;

  /// On the farthest screw, for a moment of 1 N mm that lifts the figure off its edge towards
  /// `way`.
  double pull_per_moment(Vec2 way, double head_mm) const {
    double edge = -1e300;
    for (Vec2 p : figure) edge = std::max(edge, dot(p, way));
    for (Vec2 p : screws) edge = std::max(edge, dot(p, way) + head_mm / 2);
    double farthest = 0, sum = 0;
    for (Vec2 p : screws) {
      const double d = edge - dot(p, way);
      farthest = std::max(farthest, d);
      sum += d * d;
    }
    return farthest / sum;
  }
};

ScrewGroup screws_of(std::span<const Joint> joints, const Seam& seam) {
  const PlaneFrame frame(seam.plane);
  ScrewGroup group;
  for (const Joint& joint : joints) {
    if (joint.face.seam != seam.id) continue;
    for (const Key& key : joint.keys)
      if (key.kind == KeyKind::flange) group.screws.push_back(frame.flatten(key.at));
    const Loop2& outer = joint.face.region.outer;
    group.figure.insert(group.figure.end(), outer.begin(), outer.end());
  }
  return group;
}

/// Fills the load of all joints of a seam that screws hold.
void add_screw_load(std::vector<JointStrength>& out, std::span<const Joint> joints,
                    const Seam& seam, std::span<const Loop2> loops, const Hanging& held,
                    const StrengthRules& rules) {
  constexpr int kWays = 72;
  const ScrewGroup group = screws_of(joints, seam);
  const double mass_g = held.volume_mm3 / 1000 * rules.density_g_per_cm3;
  const double lever_mm =
      norm(held.center() - PlaneFrame(seam.plane).lift(section_modulus(loops).centroid));
  const double force_n = mass_g * kGravity_n_per_g * rules.handling_ratio;
  double worst = 0;
  for (int i = 0; i < kWays && !group.screws.empty(); ++i) {
    const double turn = 2 * std::numbers::pi * i / kWays;
    worst = std::max(worst,
                     group.pull_per_moment({std::cos(turn), std::sin(turn)}, rules.screw.head_mm));
  }
  const double pull_n =
      group.screws.empty()
          ? 0
          : force_n * lever_mm * worst + force_n / static_cast<double>(group.screws.size());
  for (std::size_t j = 0; j < joints.size(); ++j) {
    if (joints[j].face.seam != seam.id) continue;
    out[j].held_mass_g = mass_g;
    out[j].lever_mm = lever_mm;
    out[j].screw_pull_n = pull_n;
    out[j].screw_allowed_n = group.screws.empty() ? 0 : screw_allowed_n(rules);
    out[j].safety_ratio = pull_n > 0 ? screw_allowed_n(rules) / pull_n : 0;
  }
}

}  // namespace

double screw_allowed_n(const StrengthRules& rules) {
  const InsertSize& screw = rules.screw;
  const double under_head_mm2 =
      std::numbers::pi / 4 * (screw.head_mm * screw.head_mm - screw.screw_mm * screw.screw_mm);
  const double under_head_n = under_head_mm2 * rules.head_mpa;
  if (!rules.has_inserts) return under_head_n;
  return std::min(under_head_n,
                  std::numbers::pi * screw.bore_mm * screw.length_mm * rules.insert_mpa);
}

SectionModulus section_modulus(std::span<const Loop2> loops) {
  SectionModulus out;
  if (loops.empty() || loops[0].empty()) return out;
  const Vec2 start = loops[0][0];
  const Moments rough = moments_about(loops, start);
  out.area_mm2 = rough.area_mm2;
  if (!(out.area_mm2 > 0)) return out;
  out.centroid = start + rough.first / rough.area_mm2;
  const Moments m = moments_about(loops, out.centroid);
  // Across the weak axis the spread ∫(p·across)² is least.
  const double angle = std::atan2(2 * m.xy_mm4, m.xx_mm4 - m.yy_mm4) / 2;
  const Vec2 widest{std::cos(angle), std::sin(angle)}, narrowest{-widest.y, widest.x};
  const auto spread = [&](Vec2 d) {
    return d.x * d.x * m.xx_mm4 + 2 * d.x * d.y * m.xy_mm4 + d.y * d.y * m.yy_mm4;
  };
  out.weak_axis = widest;
  out.weak_mm3 = spread(narrowest) / farthest_mm(loops, out.centroid, narrowest);
  out.strong_mm3 = spread(widest) / farthest_mm(loops, out.centroid, widest);
  return out;
}

std::vector<JointStrength> joint_strengths(const SeamPlan& plan,
                                           std::span<const CutPiece* const> pieces,
                                           std::span<const Joint> joints,
                                           std::span<const LoosePart> loose_parts,
                                           const StrengthRules& rules) {
  std::vector<JointStrength> out(joints.size());
  std::vector<MassProperties> masses;
  for (const CutPiece* piece : pieces) masses.push_back(mass_properties(piece->solid));
  for (const Seam& seam : plan.seams) {
    std::vector<Loop2> all, glued;
    for (std::size_t j = 0; j < joints.size(); ++j) {
      if (joints[j].face.seam != seam.id) continue;
      const std::vector<Loop2> own = loops_of(joints[j], j, seam.plane, loose_parts);
      out[j].section_modulus_mm3 = section_modulus(own).weak_mm3;
      add_areas(out[j], joints[j], j, loose_parts, rules);
      all.insert(all.end(), own.begin(), own.end());
      if (joints[j].is_glued) glued.insert(glued.end(), own.begin(), own.end());
    }
    if (all.empty()) continue;
    const Hanging held = lighter_half(pieces, masses, seam.id);
    if (glued.empty())
      add_screw_load(out, joints, seam, all, held, rules);
    else
      add_load(out, joints, seam, glued, held, rules);
  }
  return out;
}

}  // namespace seamwright
