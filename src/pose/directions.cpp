#include "seamwright/pose/directions.h"

#include <algorithm>
#include <cmath>

#include "pose/direction_hours.h"
#include "pose/foot_search.h"
#include "pose/laying.h"
#include "seamwright/query/mass_properties.h"

namespace seamwright {
namespace {

using namespace pose_detail;

constexpr std::size_t kMostTimed = 12;  // candidates that get a print time
constexpr std::size_t kMostFacets = 24;

/// 26 directions: the faces, edges and corners of a cube, none more than 28° from the next.
std::vector<Vec3> sphere_grid() {
  std::vector<Vec3> grid;
  for (int x = -1; x <= 1; ++x) {
    for (int y = -1; y <= 1; ++y) {
      for (int z = -1; z <= 1; ++z) {
        const Vec3 v{static_cast<double>(x), static_cast<double>(y), static_cast<double>(z)};
        if (norm(v) > 0) grid.push_back(normalized(v));
      }
    }
  }
  return grid;
}

class DirectionSearch {
 public:
  DirectionSearch(const Solid& solid, const DirectionSetting& setting)
      : setting_(setting), memory_(solid, setting.rules), hours_(memory_.facts, setting) {}

  std::vector<Direction> all() {
    for (const Candidate& face : memory_.joint_faces) {
      const Footing footing = memory_.maker.look(face.down);
      const bool is_undercut = footing.bed_mm - face.level_mm > kContactReach_mm;
      if (!is_undercut) try_foot(face, Foot::joint_face);
    }
    for (const Candidate& side : memory_.find_flat_sides()) try_foot(side, Foot::flat_side);
    const bool is_free = setting_.poses == Poses::tilted;
    if (is_free || found_.empty()) try_on_supports(is_free ? Foot::tilted : Foot::supports);
    return std::move(found_);
  }

  /// Whatever the foot is, it is tried as the best that it can be.
  std::optional<Direction> one(Vec3 down) {
    is_strict_ = false;
    Candidate candidate{normalized(down), std::nullopt, 0, 0};
    for (const Candidate& face : memory_.joint_faces) {
      if (!is_same_direction(face.down, candidate.down)) continue;
      const Footing footing = memory_.maker.look(face.down);
      if (footing.bed_mm - face.level_mm > kContactReach_mm) continue;
      try_foot(face, Foot::joint_face);
    }
    if (found_.empty()) try_foot(candidate, Foot::flat_side);
    if (found_.empty()) try_foot(candidate, Foot::supports);
    return found_.empty() ? std::nullopt : std::optional(found_.front());
  }

 private:
  void try_on_supports(Foot foot) {
    const HullFeet& hull = memory_.find_hull();
    for (std::size_t i = 0; i < std::min(kMostFacets, hull.facets.size()); ++i)
      try_foot(hull.facets[i], foot);
    for (const Vec3 axis : principal_axes(*memory_.facts.solid)) {
      try_foot({axis, std::nullopt, 0, 0}, foot);
      try_foot({-axis, std::nullopt, 0, 0}, foot);
    }
    for (const Vec3 down : sphere_grid()) try_foot({down, std::nullopt, 0, 0}, foot);
  }

  bool is_known(Vec3 down) const {
    return std::any_of(found_.begin(), found_.end(),
                       [&](const Direction& known) { return is_same_direction(known.down, down); });
  }

  void try_foot(const Candidate& candidate, Foot foot) {
    if (is_known(candidate.down)) return;
    Footing footing = memory_.maker.look(candidate.down);
    const bool on_supports = foot == Foot::supports || foot == Foot::tilted;
    bool is_weighed = false;
    for (std::size_t room = 0; room < setting_.rooms_mm.size(); ++room) {
      const Excess excess = excess_of(footing.outline, footing.height_mm, setting_.rooms_mm[room]);
      if (excess.excess_mm > 0) continue;
      if (!is_weighed) memory_.maker.weigh(footing, on_supports);
      is_weighed = true;
      if (foot == Foot::flat_side && footing.skin_contact_mm2 < setting_.rules.least_flat_side_mm2)
        return;
      const Foot judged = on_supports ? Foot::supports : foot;
      const bool is_stable = memory_.judge.misfit(footing, judged, 0).is_none();
      if (!is_stable && is_strict_) return;
      if (keep(candidate, foot, footing, excess.turn.along, room, is_stable)) return;
    }
  }

  bool keep(const Candidate& candidate, Foot foot, const Footing& footing, Vec2 along,
            std::size_t room, bool is_stable) {
    std::optional<Pose> pose =
        laid_down(*memory_.facts.solid, footing, along, setting_.rooms_mm[room]);
    if (!pose) return false;
    pose->foot = foot;
    if (foot == Foot::joint_face) pose->foot_seam = candidate.seam;
    pose->is_stable = is_stable;
    found_.push_back({*pose, room, candidate.down, 0, hours_.of(*pose, candidate.down)});
    return true;
  }

  const DirectionSetting& setting_;
  ProbeMemory memory_;
  HourCounter hours_;
  bool is_strict_ = true;
  std::vector<Direction> found_;
};

void sort_by_hours(std::vector<Direction>& directions) {
  std::stable_sort(
      directions.begin(), directions.end(),
      [](const Direction& a, const Direction& b) { return a.hours.total_h() < b.hours.total_h(); });
}

void add_time(Direction& direction, const DirectionSetting& setting, const PoseTime& print_s) {
  direction.print_s = print_s(direction.pose, direction.room);
  direction.hours.printing_h = printing_hours(direction.print_s, setting.cost);
}

}  // namespace

double printing_hours(double print_s, const CostWeights& cost) {
  const double success =
      (1 - cost.first_layer_failure_ratio) * std::exp(-cost.failure_per_h * print_s / 3600);
  return cost.print_h_per_h * print_s / 3600 + cost.failure_h * (1 - success) / success;
}

std::vector<Direction> rank_directions(const Solid& solid, const DirectionSetting& setting,
                                       const PoseTime& print_s) {
  std::vector<Direction> found = DirectionSearch(solid, setting).all();
  sort_by_hours(found);
  if (found.size() > kMostTimed) found.resize(kMostTimed);
  for (Direction& direction : found) add_time(direction, setting, print_s);
  sort_by_hours(found);
  return found;
}

std::optional<Direction> direction_down(const Solid& solid, Vec3 down,
                                        const DirectionSetting& setting, const PoseTime& print_s) {
  std::optional<Direction> found = DirectionSearch(solid, setting).one(down);
  if (found) add_time(*found, setting, print_s);
  return found;
}

}  // namespace seamwright
