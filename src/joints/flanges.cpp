#include "seamwright/joints/flanges.h"

#include <algorithm>
#include <cmath>
#include <memory>

#include "joints/hidden_ground.h"
#include "joints/outlines.h"
#include "joints/sweep.h"
#include "seamwright/core/parallel.h"

namespace seamwright {
namespace {

using namespace joints;

constexpr double kStep_mm = 2;
constexpr double kSunk_mm = 1;           // the foot under the skin
constexpr double kMargin_mm = 2;         // of skin beside the foot that must be there
constexpr double kSteepest_ratio = 1.2;  // 50°: steeper walls would hide the flange's foot
constexpr double kOverSkin_mm = 5;
constexpr double kOnSkin_mm = 0.05;
constexpr double kReach_mm = 12;
constexpr double kDrillBeyond_mm = 1;
constexpr double kHoleWall_mm = 1.2;  // of flange over and under a hole

/// A section of the ridge: foot and top on the below and the above piece's side.
struct Section {
  Vec3 base, out, along;
  Vec3 foot_below, foot_above, top_below, top_above;
  double highest_mm = 0;  ///< of the skin beside it, over the base
  bool is_good = false;
};

class Planner {
 public:
  Planner(const Plane& plane, const Solid& above, const RayTree& above_tree, const Solid& below,
          const RayTree& below_tree, const HiddenGround& ground, const FlangeRules& rules)
      : plane_(plane),
        above_(above),
        below_(below),
        above_tree_(above_tree),
        below_tree_(below_tree),
        ground_(ground),
        rules_(rules) {}

  std::vector<Section> sections(const std::vector<EdgePoint>& stretch) const {
    const PlaneFrame frame(plane_);
    std::vector<Section> out;
    for (const EdgePoint& edge : stretch) {
      Section section;
      section.base = frame.lift(edge.at);
      section.out = frame.u * edge.out.x + frame.v * edge.out.y;
      section.along = cross(plane_.normal, section.out);
      section.is_good = set(section);
      out.push_back(section);
    }
    std::vector<char> folds(out.size(), 0);
    for (std::size_t i = 0; i + 1 < out.size(); ++i) {
      const bool is_folded = !is_forward(out[i].top_above, out[i + 1].top_above, out[i]) ||
                             !is_forward(out[i].foot_above, out[i + 1].foot_above, out[i]);
      if (is_folded) folds[i] = folds[i + 1] = 1;
    }
    for (std::size_t i = 0; i < out.size(); ++i) out[i].is_good &= !folds[i];
    return out;
  }

 private:
  static bool is_forward(Vec3 a, Vec3 b, const Section& section) {
    return std::abs(dot(b - a, section.along)) > 0.3 * kStep_mm;
  }

  /// Height of the skin over the base at a distance from the seam; nothing off the hidden skin.
  std::optional<double> skin_height(const Section& section, double at_mm) const {
    const bool is_above = at_mm > 0;
    const Vec3 start = section.base + plane_.normal * at_mm + section.out * kOverSkin_mm;
    const auto hit = (is_above ? above_tree_ : below_tree_).first_hit(start, -section.out, 0);
    if (!hit || hit->from_behind) return {};
    if ((is_above ? above_ : below_).origin(hit->face).kind != OriginKind::skin) return {};
    const double height = kOverSkin_mm - hit->distance_mm;
    if (std::abs(height) > kSteepest_ratio * std::abs(at_mm) + 1) return {};
    if (!ground_.is_hidden(section.base + plane_.normal * at_mm + section.out * height, kOnSkin_mm))
      return {};
    return height;
  }

  bool set(Section& section) const {
    std::array<double, 2> foot{}, beside{};
    for (std::size_t i = 0; i < 2; ++i) {
      const double sign = i == 0 ? -1 : 1;
      const auto at_foot = skin_height(section, sign * rules_.thickness_mm);
      const auto by_foot = skin_height(section, sign * (rules_.thickness_mm + kMargin_mm));
      if (!at_foot || !by_foot) return false;
      foot[i] = *at_foot;
      beside[i] = *by_foot;
    }
    section.highest_mm = std::max({0.0, foot[0], foot[1], beside[0], beside[1]});
    const double top = rules_.height_mm + std::max({0.0, foot[0], foot[1]});
    const auto at = [&](double along_normal, double height) {
      return section.base + plane_.normal * along_normal + section.out * height;
    };
    section.foot_below = at(-rules_.thickness_mm, foot[0] - kSunk_mm);
    section.foot_above = at(rules_.thickness_mm, foot[1] - kSunk_mm);
    section.top_below = at(-rules_.thickness_mm, top);
    section.top_above = at(rules_.thickness_mm, top);
    for (Vec3 p : {section.top_below, section.top_above})
      if (ground_.height_mm(p, kReach_mm) < 0.6 * rules_.height_mm) return false;
    for (Vec3 p : {section.foot_below, section.foot_above})
      if (ground_.height_mm(p, kReach_mm) > -0.4) return false;
    return true;
  }

  const Plane& plane_;
  const Solid &above_, &below_;
  const RayTree &above_tree_, &below_tree_;
  const HiddenGround& ground_;
  const FlangeRules& rules_;
};

/// Runs have plastic on their left, so the way along, the seam's normal and `out` are right-handed.
Solid ridge_of(std::span<const Section> run, Origin origin) {
  std::vector<std::array<Vec3, 4>> stations;
  for (const Section& s : run)
    stations.push_back({s.foot_below, s.foot_above, s.top_above, s.top_below});
  return swept_solid(stations, origin);
}

Solid drill_at(Vec3 at, Vec3 normal, double radius_mm, double half_length_mm, Origin origin) {
  const Vec3 u = any_perpendicular(normal), v = cross(normal, u);
  const Loop2 outline = circumscribed_hole({}, radius_mm);
  const std::size_t n = outline.size();
  std::vector<Vec3> points;
  for (double sign : {-1.0, 1.0})
    for (Vec2 p : outline)
      points.push_back(at + u * p.x + v * p.y + normal * (sign * half_length_mm));
  std::vector<Triangle> triangles;
  const auto add = [&](std::size_t a, std::size_t b, std::size_t c) {
    triangles.push_back({to_id<VertexId>(a), to_id<VertexId>(b), to_id<VertexId>(c)});
  };
  for (std::size_t i = 0; i < n; ++i) {
    const std::size_t j = (i + 1) % n;
    add(i, j, n + j);
    add(i, n + j, n + i);
    if (i == 0 || j == 0) continue;
    add(0, j, i);
    add(n, n + i, n + j);
  }
  std::vector<Origin> origins(triangles.size(), origin);
  return Solid::adopt(std::move(points), std::move(triangles), std::move(origins));
}

double length_mm(std::span<const Section> run) {
  double length = 0;
  for (std::size_t i = 1; i < run.size(); ++i) length += norm(run[i].base - run[i - 1].base);
  return length;
}

/// Ridge and holes of one run; holes evenly, the ends' half as far from the ends.
void add_run(Flange& flange, std::span<const Section> run, const Plane& plane,
             const FlangeRules& rules) {
  const double length = length_mm(run);
  if (length < rules.least_length_mm) return;
  const Origin origin{OriginKind::key, static_cast<std::uint32_t>(flange.joint)};
  flange.ridges.push_back(ridge_of(run, origin));
  flange.length_mm += length;
  const auto count = static_cast<std::size_t>(std::ceil(length / rules.spacing_mm));
  for (std::size_t k = 0; k < count; ++k) {
    const Section& section = run[(2 * k + 1) * run.size() / (2 * count)];
    const double radius = rules.screw_mm / 2;
    const double top = dot(section.top_above - section.base, section.out);
    const double height = top - radius - kHoleWall_mm - 1;
    if (height - radius < section.highest_mm + kHoleWall_mm) continue;
    const Vec3 at = section.base + section.out * height;
    flange.drills.push_back(
        drill_at(at, plane.normal, radius, rules.thickness_mm + kDrillBeyond_mm, origin));
    flange.holes.push_back(at);
  }
}

Flange flange_of(std::size_t joint, const Planner& planner, const JointFace& face,
                 const Plane& plane, const HiddenGround& ground, const FlangeRules& rules) {
  Flange flange;
  flange.joint = joint;
  for (const auto& stretch : hidden_stretches(face.region, PlaneFrame(plane), ground, kStep_mm)) {
    const std::vector<Section> sections = planner.sections(stretch);
    for (std::size_t i = 0; i < sections.size();) {
      std::size_t end = i;
      while (end < sections.size() && sections[end].is_good) ++end;
      if (end > i + 1) add_run(flange, {&sections[i], end - i}, plane, rules);
      i = std::max(end, i + 1);
    }
  }
  return flange;
}

}  // namespace

std::vector<Flange> plan_flanges(const SeamPlan& plan, std::span<const PosedPiece> pieces,
                                 std::span<const JointFace> faces,
                                 std::span<const std::size_t> wanted, const HiddenSkin& hidden,
                                 const FlangeRules& rules, const Run& run) {
  if (wanted.empty() || hidden.whole == nullptr) return {};
  const HiddenGround ground(hidden);
  std::vector<char> is_needed(pieces.size(), 0);
  for (std::size_t j : wanted)
    is_needed[to_index(faces[j].above)] = is_needed[to_index(faces[j].below)] = 1;
  const auto trees = map_index(pieces.size(), run, [&](std::size_t p) {
    return is_needed[p] ? std::make_unique<RayTree>(pieces[p].cut->solid) : nullptr;
  });
  std::vector<Flange> flanges = map_index(wanted.size(), run, [&](std::size_t k) {
    const JointFace& face = faces[wanted[k]];
    const Plane& plane = find_seam(plan, face.seam)->plane;
    const std::size_t above = to_index(face.above), below = to_index(face.below);
    const Planner planner(plane, pieces[above].cut->solid, *trees[above], pieces[below].cut->solid,
                          *trees[below], ground, rules);
    return flange_of(wanted[k], planner, face, plane, ground, rules);
  });
  std::erase_if(flanges, [](const Flange& flange) { return flange.ridges.empty(); });
  return flanges;
}

}  // namespace seamwright
