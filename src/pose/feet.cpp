#include "pose/feet.h"

#include <algorithm>

#include "seamwright/query/hull.h"

namespace seamwright::pose_detail {
namespace {

constexpr double kSameNormal = 1 - 1e-6;  // cosine: 0.08°

void sort_by_area(std::vector<Candidate>& candidates) {
  std::stable_sort(candidates.begin(), candidates.end(),
                   [](const Candidate& a, const Candidate& b) { return a.area_mm2 > b.area_mm2; });
}

/// A running sum of faces that share a normal.
struct Group {
  Vec3 unit;  ///< normal of the first face
  Vec3 area_normal;
  double level_mm = -std::numeric_limits<double>::infinity();  ///< the lowest face's, along unit
  std::uint32_t id = 0;

  void add(const SolidFacts& facts, std::size_t f) {
    area_normal += facts.area_normals[f];
    const Vec3 corner = facts.solid->point(facts.solid->triangles()[f][0]);
    level_mm = std::max(level_mm, dot(unit, corner));
  }
  void add(const Group& other) {
    area_normal += other.area_normal;
    level_mm = std::max(level_mm, other.level_mm);
  }
  double area_mm2() const { return norm(area_normal) / 2; }
  Candidate finished() const {
    const double length = norm(area_normal);
    return {area_normal / length, std::nullopt, level_mm, length / 2};
  }
};

/// Normals in cells: the six sides of a cube, 15 × 15 on each, 3.6 to 7° wide.
constexpr std::size_t kCellsAcross = 15;  // odd: the axes lie in the middle of cells
constexpr std::size_t kCellCount = 6 * kCellsAcross * kCellsAcross;

std::size_t cell_of(Vec3 n) {
  const double ax = std::abs(n.x), ay = std::abs(n.y), az = std::abs(n.z);
  const std::size_t axis = ax >= ay && ax >= az ? 0 : ay >= az ? 1 : 2;
  const double main = n[axis], scale = 0.5 * kCellsAcross / std::abs(main);
  const auto place = [&](double across) {
    const double at = across * scale + 0.5 * kCellsAcross;
    return std::min(static_cast<std::size_t>(at), kCellsAcross - 1);
  };
  const std::size_t side = 2 * axis + (main > 0 ? 1 : 0);
  return (side * kCellsAcross + place(n[(axis + 1) % 3])) * kCellsAcross + place(n[(axis + 2) % 3]);
}

using CellMember = std::pair<std::uint16_t, std::size_t>;  // cell, face

/// The groups of like normals among the faces of one cell, greedily from its largest face.
void group_cell(const SolidFacts& facts, std::span<const CellMember> members,
                std::vector<Group>& groups) {
  constexpr std::size_t kMostGroups = 8;
  const std::size_t first = groups.size();
  for (const auto& [cell, f] : members) {
    const Vec3 unit = facts.area_normals[f] / facts.double_areas[f];
    const auto met = std::find_if(groups.begin() + static_cast<std::ptrdiff_t>(first), groups.end(),
                                  [&](const Group& g) { return dot(g.unit, unit) > kSameNormal; });
    if (met != groups.end()) {
      met->add(facts, f);
    } else if (groups.size() < first + kMostGroups) {
      groups.emplace_back().unit = unit;
      groups.back().add(facts, f);
    }
  }
}

/// The groups of `least_mm2` and more, those of like normal from neighbouring cells as one.
std::vector<Group> united(std::vector<Group> groups, double least_mm2) {
  std::erase_if(groups, [&](const Group& group) { return group.area_mm2() < least_mm2; });
  std::vector<Group> kept;
  for (const Group& group : groups) {
    const auto met = std::find_if(kept.begin(), kept.end(), [&](const Group& k) {
      return is_same_direction(k.unit, group.unit);
    });
    if (met != kept.end()) {
      met->add(group);
    } else {
      kept.push_back(group);
    }
  }
  return kept;
}

/// Facets of a hull: its triangles joined where they share a normal (on a convex body, a plane).
std::vector<Candidate> hull_facets(const Hull& hull) {
  std::vector<Candidate> triangles;
  for (const Triangle& t : hull.triangles) {
    const Vec3 a = hull.points[to_index(t[0])];
    const Vec3 normal = cross(hull.points[to_index(t[1])] - a, hull.points[to_index(t[2])] - a);
    const double length = norm(normal);
    if (length > 0) triangles.push_back({normal / length, std::nullopt, 0, length / 2});
  }
  sort_by_area(triangles);
  std::vector<Candidate> facets;
  for (const Candidate& t : triangles) {
    const auto met = std::find_if(facets.begin(), facets.end(), [&](const Candidate& f) {
      return dot(f.down, t.down) > kSameNormal;
    });
    if (met == facets.end()) {
      facets.push_back(t);
    } else {
      met->area_mm2 += t.area_mm2;
    }
  }
  sort_by_area(facets);
  return facets;
}

}  // namespace

std::vector<Candidate> joint_face_candidates(const SolidFacts& facts) {
  std::vector<Group> groups;
  const std::span<const Origin> origins = facts.solid->origins();
  for (std::size_t f = 0; f < origins.size(); ++f) {
    if (origins[f].kind != OriginKind::cap || facts.double_areas[f] == 0) continue;
    const Vec3 normal = facts.area_normals[f];
    auto met = std::find_if(groups.begin(), groups.end(), [&](const Group& g) {
      return g.id == origins[f].id && dot(g.unit, normal) > 0.999 * facts.double_areas[f];
    });
    if (met == groups.end()) {
      groups.emplace_back().unit = normal / facts.double_areas[f];
      groups.back().id = origins[f].id;
      met = groups.end() - 1;
    }
    met->add(facts, f);
  }
  std::vector<Candidate> feet;
  for (const Group& group : groups) {
    feet.push_back(group.finished());
    feet.back().seam = to_id<SeamId>(group.id);
  }
  sort_by_area(feet);
  return feet;
}

std::vector<Candidate> flat_side_candidates(const SolidFacts& facts, double least_mm2) {
  const std::span<const Origin> origins = facts.solid->origins();
  std::vector<double> cell_areas(kCellCount);
  std::vector<std::uint16_t> cells(origins.size(), kCellCount);
  for (std::size_t f = 0; f < origins.size(); ++f) {
    if (origins[f].kind != OriginKind::skin || facts.double_areas[f] == 0) continue;
    cells[f] = static_cast<std::uint16_t>(cell_of(facts.area_normals[f]));
    cell_areas[cells[f]] += facts.double_areas[f] / 2;
  }
  // Rounding may spread one flat side over the four cells that meet at a corner.
  std::vector<CellMember> members;
  for (std::size_t f = 0; f < origins.size(); ++f) {
    if (cells[f] < kCellCount && cell_areas[cells[f]] >= least_mm2 / 4)
      members.emplace_back(cells[f], f);
  }
  std::sort(members.begin(), members.end(), [&](const auto& a, const auto& b) {
    if (a.first != b.first) return a.first < b.first;
    const double area_a = facts.double_areas[a.second], area_b = facts.double_areas[b.second];
    return area_a != area_b ? area_a > area_b : a.second < b.second;
  });
  std::vector<Group> groups;
  for (std::size_t begin = 0, end = 0; begin < members.size(); begin = end) {
    while (end < members.size() && members[end].first == members[begin].first) ++end;
    group_cell(facts, std::span(members).subspan(begin, end - begin), groups);
  }
  std::vector<Candidate> sides;
  for (const Group& group : united(std::move(groups), least_mm2 / 4)) {
    if (group.area_mm2() >= least_mm2) sides.push_back(group.finished());
  }
  sort_by_area(sides);
  return sides;
}

HullFeet hull_feet(const SolidFacts& facts) {
  const double close = std::cos(Angle::degrees(2).radians());
  Hull hull = convex_hull(facts.solid->points());
  HullFeet feet;
  for (const Candidate& facet : hull_facets(hull)) {
    const bool is_taken =
        std::any_of(feet.facets.begin(), feet.facets.end(),
                    [&](const Candidate& k) { return dot(k.down, facet.down) > close; });
    (is_taken ? feet.others : feet.facets).push_back(facet);
  }
  feet.points = std::move(hull.points);
  return feet;
}

bool is_same_direction(Vec3 a, Vec3 b) {
  return dot(a, b) > kSameNormal;
}

}  // namespace seamwright::pose_detail
