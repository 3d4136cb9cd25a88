#include "seamwright/joints/flanges.h"

#include <array>
#include <cmath>
#include <memory>
#include <numbers>

#include "joints/flange_sections.h"
#include "joints/outlines.h"
#include "joints/runs.h"
#include "joints/sweep.h"
#include "seamwright/core/parallel.h"

namespace seamwright {
namespace {

using namespace joints;

constexpr double kStep_mm = 2;
constexpr double kDrillBeyond_mm = 1;
constexpr double kHoleWall_mm = 1.2;  // of flange over and under a hole
constexpr double kUnderTop_mm = 1;    // more of it over a hole without insert
constexpr double kMouth_mm = 0.4;  // of an insert's bore beyond the seam: room for what melts out
constexpr double kOffFace_mm = 0.05;  // where rays begin

/// A place for a screw, with what its holes' wall asks of the flange.
struct ScrewRoom {
  double radius_mm = 0, wall_mm = 0, top_mm = 0;
  explicit ScrewRoom(const FlangeRules& rules)
      : radius_mm((rules.has_inserts ? rules.screw.bore_mm : rules.screw.screw_mm) / 2),
        wall_mm(rules.has_inserts ? rules.screw.wall_mm : kHoleWall_mm),
        top_mm(rules.has_inserts ? 0 : kUnderTop_mm) {}

  /// On the seam's plane; nothing where the flange is too low for it.
  std::optional<Vec3> at(const FlangeSection& section) const {
    const double height = section.top_mm - radius_mm - wall_mm - top_mm;
    if (height - radius_mm < section.highest_mm + wall_mm - 1e-9) return {};
    return section.base + section.out * height;
  }
};

/// Whether keys, heads and nuts come at the screws.
class Access {
 public:
  Access(const RayTree& part, const RayTree* ridges, const FlangeRules& rules)
      : part_(part), ridges_(ridges), rules_(rules) {}

  bool is_free(Vec3 at, Vec3 normal, Side screw_side) const {
    const Vec3 to_head = screw_side == Side::above ? normal : -normal;
    if (!is_free_along(at, to_head, rules_.access_mm)) return false;
    return rules_.has_inserts || is_free_along(at, -to_head, rules_.nut_access_mm);
  }

 private:
  /// A cylinder as wide as the head, from the flange's face on.
  bool is_free_along(Vec3 at, Vec3 way, double reach_mm) const {
    constexpr int kRays = 12;
    const Vec3 u = any_perpendicular(way), v = cross(way, u);
    const Vec3 start = at + way * (rules_.thickness_mm + kOffFace_mm);
    for (int i = 0; i <= kRays; ++i) {
      const double turn = 2 * std::numbers::pi * i / kRays;
      const double radius = i == kRays ? 0 : rules_.screw.head_mm / 2;
      const Vec3 from = start + (u * std::cos(turn) + v * std::sin(turn)) * radius;
      if (part_.is_blocked(from, way, 0, reach_mm)) return false;
      if (ridges_ != nullptr && ridges_->is_blocked(from, way, 0, reach_mm)) return false;
    }
    return true;
  }

  const RayTree& part_;
  const RayTree* ridges_;
  const FlangeRules& rules_;
};

/// Runs have plastic on their left, so the way along, the seam's normal and `out` are right-handed.
Solid ridge_of(std::span<const FlangeSection> run, Origin origin) {
  std::vector<std::array<Vec3, 4>> stations;
  for (const FlangeSection& s : run)
    stations.push_back({s.foot_below, s.foot_above, s.top_above, s.top_below});
  return swept_solid(stations, origin);
}

/// A cylinder along the normal, from and to these distances from the seam. Turned a little, by its
/// radius, so that no corner of it lies on an edge of the ridge or of a drill on the same axis: the
/// booleans would leave slivers there.
Solid drill_at(Vec3 at, Vec3 normal, double radius_mm, std::array<double, 2> along_mm,
               Origin origin) {
  const double turn = 0.17 * radius_mm;
  const Vec3 x = any_perpendicular(normal);
  const Vec3 u = x * std::cos(turn) + cross(normal, x) * std::sin(turn), v = cross(normal, u);
  const Loop2 outline = circumscribed_hole({}, radius_mm);
  const std::size_t n = outline.size();
  std::vector<Vec3> points;
  for (double along : along_mm)
    for (Vec2 p : outline) points.push_back(at + u * p.x + v * p.y + normal * along);
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

/// The holes of one screw: through both sides, or with an insert its bore from the seam on and the
/// clearance hole, which begins in the bore's mouth.
void add_drills(Flange& flange, Vec3 at, Vec3 normal, const FlangeRules& rules) {
  const Origin origin{OriginKind::key, static_cast<std::uint32_t>(flange.joint)};
  const double beyond_mm = rules.thickness_mm + kDrillBeyond_mm;
  const double clearance = rules.screw.screw_mm / 2, bore = rules.screw.bore_mm / 2;
  if (!rules.has_inserts) {
    flange.drills.push_back(drill_at(at, normal, clearance, {-beyond_mm, beyond_mm}, origin));
    return;
  }
  const bool is_above = flange.screw_side == Side::above;  // the heads are there
  const double depth_mm = rules.screw.depth_mm();
  flange.drills.push_back(drill_at(
      at, normal, bore,
      is_above ? std::array{-depth_mm, kMouth_mm} : std::array{-kMouth_mm, depth_mm}, origin));
  flange.drills.push_back(drill_at(
      at, normal, clearance,
      is_above ? std::array{kMouth_mm / 2, beyond_mm} : std::array{-beyond_mm, -kMouth_mm / 2},
      origin));
}

double length_mm(std::span<const FlangeSection> run) {
  double length = 0;
  for (std::size_t i = 1; i < run.size(); ++i) length += norm(run[i].base - run[i - 1].base);
  return length;
}

/// The place for a screw nearest to the middle of `[first, last)` that a key comes at. Says whether
/// there was room that none comes at.
std::optional<Vec3> screw_place(std::span<const FlangeSection> run, std::size_t first,
                                std::size_t last, const ScrewRoom& room, const Access& access,
                                Vec3 normal, Side screw_side, bool& is_shut) {
  const std::size_t middle = (first + last) / 2;
  for (std::size_t off = 0; off < last - first; ++off) {
    for (const std::size_t i : {middle + off, middle - off}) {
      if (i < first || i >= last) continue;
      const auto at = room.at(run[i]);
      if (!at) continue;
      if (access.is_free(*at, normal, screw_side)) return at;
      is_shut = true;
    }
  }
  return {};
}

/// Ridge and holes of one run; holes evenly, the ends' half as far from the ends.
void add_run(Flange& flange, std::span<const FlangeSection> run, const FlangeGround& ground,
             const Access& access) {
  const FlangeRules& rules = ground.rules;
  const double length = length_mm(run);
  if (length < rules.least_length_mm) return;
  flange.ridges.push_back(
      ridge_of(run, {OriginKind::key, static_cast<std::uint32_t>(flange.joint)}));
  flange.length_mm += length;
  const ScrewRoom room(rules);
  const auto count = static_cast<std::size_t>(std::ceil(length / rules.spacing_mm));
  // A screw keeps its own wall to the ridge's ends and moves half its share at most.
  const auto ends = static_cast<std::size_t>(
      std::ceil((room.radius_mm + std::max(room.wall_mm, rules.screw.head_mm / 2)) / kStep_mm));
  for (std::size_t k = 0; k < count; ++k) {
    const std::size_t n = run.size(), middle = (2 * k + 1) * n / (2 * count), way = n / (4 * count);
    const std::size_t first = std::max(ends, middle - std::min(middle, way));
    const std::size_t last = std::min(n - std::min(n, ends), middle + way + 1);
    if (first >= last) continue;
    bool is_shut = false;
    const auto at = screw_place(run, first, last, room, access, ground.plane.normal,
                                flange.screw_side, is_shut);
    flange.shut_count += !at && is_shut;
    if (at) flange.holes.push_back(*at);
  }
}

Flange flange_of(std::size_t joint, const JointFace& face, const FlangeGround& ground,
                 const Access& access, Side screw_side) {
  Flange flange;
  flange.joint = joint;
  flange.screw_side = screw_side;
  const PlaneFrame frame(ground.plane);
  for (const auto& stretch : hidden_stretches(face.region, frame, ground.hidden, kStep_mm)) {
    const std::vector<FlangeSection> sections = flange_sections(stretch, ground, screw_side);
    for_each_run<FlangeSection>(
        sections, [](const FlangeSection& section) { return section.is_good; },
        [&](std::span<const FlangeSection> run) { add_run(flange, run, ground, access); });
  }
  return flange;
}

/// The heads lie where more screws can be driven, above if it makes no difference.
Flange better_flange(std::size_t joint, const JointFace& face, const FlangeGround& ground,
                     const Access& access) {
  Flange above = flange_of(joint, face, ground, access, Side::above);
  if (above.shut_count == 0 && !above.holes.empty()) return above;
  Flange below = flange_of(joint, face, ground, access, Side::below);
  return below.holes.size() > above.holes.size() ? below : above;
}

/// Takes out the screws that other flanges shut in, then drills for those that are left.
void drill(std::vector<Flange>& flanges, const SeamPlan& plan, std::span<const JointFace> faces,
           const RayTree& part, const FlangeRules& rules) {
  std::vector<Solid> all;
  for (const Flange& flange : flanges)
    all.insert(all.end(), flange.ridges.begin(), flange.ridges.end());
  if (all.empty()) return;
  const RayTree ridges(gathered(all));
  const Access access(part, &ridges, rules);
  for (Flange& flange : flanges) {
    const Vec3 normal = find_seam(plan, faces[flange.joint].seam)->plane.normal;
    flange.shut_count += std::erase_if(
        flange.holes, [&](Vec3 at) { return !access.is_free(at, normal, flange.screw_side); });
    for (Vec3 at : flange.holes) add_drills(flange, at, normal, rules);
  }
}

}  // namespace

std::vector<Flange> plan_flanges(const SeamPlan& plan, std::span<const PosedPiece> pieces,
                                 std::span<const JointFace> faces,
                                 std::span<const std::size_t> wanted, const HiddenSkin& hidden,
                                 const FlangeRules& rules, const Run& run) {
  if (wanted.empty() || hidden.whole == nullptr) return {};
  const HiddenGround ground(hidden);
  const RayTree part(*hidden.whole);
  const Access access(part, nullptr, rules);
  std::vector<char> is_needed(pieces.size(), 0);
  for (std::size_t j : wanted)
    is_needed[to_index(faces[j].above)] = is_needed[to_index(faces[j].below)] = 1;
  const auto trees = map_index(pieces.size(), run, [&](std::size_t p) {
    return is_needed[p] ? std::make_unique<RayTree>(pieces[p].cut->solid) : nullptr;
  });
  std::vector<Flange> flanges = map_index(wanted.size(), run, [&](std::size_t k) {
    const JointFace& face = faces[wanted[k]];
    const std::size_t above = to_index(face.above), below = to_index(face.below);
    const CutPiece &over = *pieces[above].cut, &under = *pieces[below].cut;
    const Cell over_cell(plan, over, face.seam), under_cell(plan, under, face.seam);
    return better_flange(wanted[k], face,
                         {find_seam(plan, face.seam)->plane, over.solid, under.solid, *trees[above],
                          *trees[below], over_cell, under_cell, ground, rules},
                         access);
  });
  std::erase_if(flanges, [](const Flange& flange) { return flange.ridges.empty(); });
  drill(flanges, plan, faces, part, rules);
  return flanges;
}

}  // namespace seamwright
