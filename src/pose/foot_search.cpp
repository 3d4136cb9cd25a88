#include "pose/foot_search.h"

#include "pose/laying.h"
#include "pose/outline.h"

namespace seamwright::pose_detail {
namespace {

/// One search through the feet of a solid for rooms, shared by best() and all(): every candidate is
/// measured and either kept as a pose or as the least misfit.
class FootSearch {
 public:
  FootSearch(ProbeMemory& memory, std::span<const Vec3> rooms, bool stops_at_first)
      : memory_(memory), rooms_(rooms), stops_at_first_(stops_at_first) {}

  FoundFeet run(Foot last) {
    for (const Candidate& face : memory_.joint_faces) {
      if (!is_done()) try_foot(face, Foot::joint_face);
    }
    if (last >= Foot::flat_side && !is_done()) try_flat_sides();
    if (last >= Foot::supports && found_.poses.empty()) try_supports();
    if (!has_misfit_ && found_.poses.empty()) look_around();
    return std::move(found_);
  }

 private:
  bool is_done() const { return stops_at_first_ && !found_.poses.empty(); }

  void try_flat_sides() {
    for (const Candidate& side : memory_.find_flat_sides()) {
      if (is_done()) return;
      if (is_lowest(side)) try_foot(side, Foot::flat_side);
    }
  }

  /// Whether nothing lies plainly below a candidate: cheap, and the end of most that are no foot.
  bool is_lowest(const Candidate& side) const {
    constexpr double kSlack_mm = 0.5;
    const std::span<const Vec3> points = memory_.facts.solid->points();
    return std::none_of(points.begin(), points.end(),
                        [&](Vec3 p) { return dot(side.down, p) > side.level_mm + kSlack_mm; });
  }

  void try_supports() {
    for (const Candidate& face : memory_.joint_faces) {
      if (is_done()) return;
      try_foot(face, Foot::supports);
    }
    const HullFeet& hull = memory_.find_hull();
    constexpr std::size_t kMostFacets = 32;  // a smooth body's hull has thousands
    std::size_t tried = 0;
    const Candidate* nearest = nullptr;
    double nearest_mm = std::numeric_limits<double>::infinity();
    for (const Candidate& facet : hull.facets) {
      if (is_done()) return;
      const double excess_mm = hull_excess(hull, facet.down);
      if (excess_mm == 0) {
        if (++tried > kMostFacets && !found_.poses.empty()) return;
        try_foot(facet, Foot::supports);
      } else if (excess_mm < nearest_mm) {
        nearest_mm = excess_mm;
        nearest = &facet;
      }
    }
    if (found_.poses.empty()) try_other_facets(hull);
    if (nearest != nullptr && found_.poses.empty()) try_foot(*nearest, Foot::supports);
  }

  /// What just fills its room may fit on one small facet and on no larger one beside it.
  void try_other_facets(const HullFeet& hull) {
    constexpr std::size_t kMostTried = 64;
    std::size_t tried = 0;
    for (const Candidate& facet : hull.others) {
      if (!found_.poses.empty() || tried == kMostTried) return;
      if (hull_excess(hull, facet.down) > 0) continue;
      try_foot(facet, Foot::supports);
      ++tried;
    }
  }

  /// For a solid without feet: how far its best box side is from being one.
  void look_around() {
    for (std::size_t axis = 0; axis < 3; ++axis) {
      Vec3 down;
      for (const double sign : {-1.0, 1.0}) {
        down[axis] = sign;
        Footing footing = memory_.maker.look(down);
        memory_.maker.weigh(footing, false);
        Misfit misfit = least_misfit(footing, Foot::flat_side);
        misfit.contact_deficit_mm2 =
            std::max(misfit.contact_deficit_mm2,
                     memory_.rules.least_flat_side_mm2 - footing.skin_contact_mm2);
        note(misfit);
      }
    }
  }

  double hull_excess(const HullFeet& hull, Vec3 down) {
    const Vec3 u = any_perpendicular(-down), v = cross(-down, u);
    double low = std::numeric_limits<double>::infinity(), high = -low;
    flat_.clear();
    for (const Vec3 p : hull.points) {
      flat_.push_back({dot(u, p), dot(v, p)});
      low = std::min(low, dot(down, p));
      high = std::max(high, dot(down, p));
    }
    const std::vector<Vec2> outline = outline_of(flat_);
    double least = std::numeric_limits<double>::infinity();
    for (const Vec3 room : rooms_)
      least = std::min(least, excess_of(outline, high - low, room).excess_mm);
    return least;
  }

  void try_foot(const Candidate& candidate, Foot foot) {
    Footing footing = memory_.maker.look(candidate.down);
    const bool is_undercut =
        candidate.seam && footing.bed_mm - candidate.level_mm > kContactReach_mm;
    if (foot == Foot::supports && candidate.seam && !is_undercut) return;
    memory_.maker.weigh(footing, foot == Foot::supports);
    if (foot == Foot::flat_side && footing.skin_contact_mm2 < memory_.rules.least_flat_side_mm2)
      return;
    if (foot == Foot::joint_face && is_undercut) return note(least_misfit(footing, foot));
    for (std::size_t room = 0; room < rooms_.size(); ++room) {
      if (keep(footing, foot, candidate, room)) return;
    }
  }

  /// Keeps the pose when it fits the room and holds the rules, else notes the misfit.
  bool keep(const Footing& footing, Foot foot, const Candidate& candidate, std::size_t room) {
    const Excess excess = excess_of(footing.outline, footing.height_mm, rooms_[room]);
    const Misfit misfit = memory_.judge.misfit(footing, foot, excess.excess_mm);
    if (!misfit.is_none()) {
      note(misfit);
      return false;
    }
    std::optional<Pose> pose =
        laid_down(*memory_.facts.solid, footing, excess.turn.along, rooms_[room]);
    if (!pose) {
      note({.excess_mm = kFitTolerance_mm});
      return false;
    }
    pose->foot = foot;
    if (foot == Foot::joint_face) pose->foot_seam = candidate.seam;
    pose->is_stable = true;
    if (found_.poses.empty()) found_.room = room;
    found_.poses.push_back(*pose);
    return true;
  }

  Misfit least_misfit(const Footing& footing, Foot foot) {
    Misfit least;
    for (std::size_t room = 0; room < rooms_.size(); ++room) {
      const double excess_mm =
          excess_of(footing.outline, footing.height_mm, rooms_[room]).excess_mm;
      const Misfit misfit = memory_.judge.misfit(footing, foot, excess_mm);
      if (room == 0 || misfit.penalty_h() < least.penalty_h()) least = misfit;
    }
    return least;
  }
  void note(const Misfit& misfit) {
    if (has_misfit_ && misfit.penalty_h() >= found_.least.penalty_h()) return;
    found_.least = misfit;
    has_misfit_ = true;
  }

  ProbeMemory& memory_;
  std::span<const Vec3> rooms_;
  bool stops_at_first_;
  FoundFeet found_;
  bool has_misfit_ = false;
  std::vector<Vec2> flat_;
};

}  // namespace

FoundFeet search_feet(ProbeMemory& memory, std::span<const Vec3> rooms, Foot last,
                      bool stops_at_first) {
  return FootSearch(memory, rooms, stops_at_first).run(last);
}

}  // namespace seamwright::pose_detail
