#include <fmt/format.h>

#include <algorithm>
#include <map>

#include "mesh/draft.h"
#include "mesh/hole_patch.h"
#include "mesh/polygon.h"

namespace seamwright {
namespace {

constexpr double kSheetShare =
    0.25;  // a hole whose opening is larger than this share of the surface: a sheet
constexpr double kFilledShare = 0.5;      // the same after filling, when the rim was crooked
constexpr double kLargeRim_ratio = 0.05;  // of the part's longest side: longer rims are no slips
constexpr std::size_t kMostPlaces = 10;
constexpr std::size_t kLongRim = 5000;  // longer rims are covered by cutting ears

/// A hole's rim, run so that a patch over it has the faces' orientation; `origin` is a neighbour's.
struct Hole {
  std::vector<VertexId> rim;
  Origin origin;
  std::uint32_t shell = 0;
};

double area_of(const Draft& draft, const Triangle& t) {
  const Vec3 a = draft.points[to_index(t[0])];
  return norm(cross(draft.points[to_index(t[1])] - a, draft.points[to_index(t[2])] - a)) / 2;
}

Vec3 area_vector(const Draft& draft, const std::vector<VertexId>& rim) {
  Vec3 twice;
  const Vec3 first = draft.points[to_index(rim[0])];
  for (std::size_t i = 1; i + 1 < rim.size(); ++i) {
    twice +=
        cross(draft.points[to_index(rim[i])] - first, draft.points[to_index(rim[i + 1])] - first);
  }
  return twice / 2;
}

double length_of(const Draft& draft, const std::vector<VertexId>& rim) {
  double length_mm = 0;
  for (std::size_t i = 0; i < rim.size(); ++i) {
    length_mm +=
        norm(draft.points[to_index(rim[(i + 1) % rim.size()])] - draft.points[to_index(rim[i])]);
  }
  return length_mm;
}

/// The missing directed edges by their start: each edge without opposite, turned round.
using Missing =
    std::map<std::uint32_t,
             std::vector<std::pair<std::uint32_t, std::uint32_t>>>;  // start → (end, face)

Missing missing_edges(const std::vector<EdgeUse>& uses) {
  Missing missing;
  for_each_edge(uses, [&](std::span<const EdgeUse> edge) {
    const long long balance = edge_balance(edge);
    const std::uint32_t from = balance > 0 ? edge[0].high : edge[0].low,
                        to = balance > 0 ? edge[0].low : edge[0].high;
    for (long long i = 0; i < std::abs(balance); ++i) missing[from].push_back({to, edge[0].face});
  });
  return missing;
}

/// Chains the missing edges to simple loops: where a walk meets itself the closed part is one loop.
/// As many edges leave a corner as reach it (the faces' boundary has no boundary), so every walk
/// closes.
class HoleWalk {
 public:
  HoleWalk(const Draft& draft, const std::vector<EdgeUse>& uses,
           const std::vector<std::uint32_t>& shells)
      : draft_(draft),
        shells_(shells),
        missing_(missing_edges(uses)),
        place_(draft.points.size(), kNowhere) {}

  std::vector<Hole> find() {
    for (const auto& [start, out] : missing_) {
      while (!out.empty()) walk_from(start);
    }
    return std::move(holes_);
  }

 private:
  static constexpr std::uint32_t kNowhere = ~0U;

  void walk_from(std::uint32_t start) {
    step_to(start);
    do {
      auto& ways = missing_.at(walk_.back());
      const auto [to, face] = ways.back();
      ways.pop_back();
      if (place_[to] == kNowhere)
        step_to(to);
      else
        close_loop(place_[to], face);
    } while (walk_.size() > 1);
    place_[start] = kNowhere;
    walk_.clear();
  }
  void step_to(std::uint32_t point) {
    place_[point] = static_cast<std::uint32_t>(walk_.size());
    walk_.push_back(point);
  }
  /// The walk from `first` on is a loop; the walk goes on from there.
  void close_loop(std::uint32_t first, std::uint32_t face) {
    Hole hole{{}, draft_.origins[face], shells_[face]};
    for (std::size_t i = first; i < walk_.size(); ++i) hole.rim.push_back(VertexId{walk_[i]});
    for (std::size_t i = first + 1; i < walk_.size(); ++i) place_[walk_[i]] = kNowhere;
    walk_.resize(first + 1);
    holes_.push_back(std::move(hole));
  }

  const Draft& draft_;
  const std::vector<std::uint32_t>& shells_;
  Missing missing_;
  std::vector<std::uint32_t> place_;  ///< by point: where it is in the walk
  std::vector<std::uint32_t> walk_;
  std::vector<Hole> holes_;
};

std::vector<Triangle> cover(const Draft& draft, const Hole& hole) {
  std::vector<Vec3> points;
  for (VertexId v : hole.rim) points.push_back(draft.points[to_index(v)]);
  std::vector<Triangle> faces;
  if (hole.rim.size() > 3 && hole.rim.size() <= kLongRim) {
    for (const auto& t : patch_hole(points))
      faces.push_back({hole.rim[t[0]], hole.rim[t[1]], hole.rim[t[2]]});
  }
  if (faces.size() + 2 != hole.rim.size()) faces = triangulate_polygon(hole.rim, draft.points);
  return faces;
}

std::vector<double> shell_areas(const Draft& draft, const std::vector<std::uint32_t>& shells,
                                std::size_t count) {
  std::vector<double> area(count, 0);
  for (std::size_t f = 0; f < shells.size(); ++f)
    area[shells[f]] += area_of(draft, draft.triangles[f]);
  return area;
}

Error sheet(const Draft& draft, const std::vector<Hole>& holes, std::uint32_t shell, double share) {
  std::vector<Vec3> places;
  double rim_mm = 0;
  for (const Hole& hole : holes) {
    if (hole.shell != shell) continue;
    rim_mm += length_of(draft, hole.rim);
    if (places.size() < kMostPlaces) places.push_back(draft.points[to_index(hole.rim[0])]);
  }
  return {"sheet-without-thickness",
          fmt::format("The mesh is an open surface: its rim is {:.0f} mm long, passing{}, and "
                      "closing it would take {:.0f} % of its area. "
                      "It has no thickness that could be printed. Give it a thickness of 2–3 mm in "
                      "the modelling program (or close it "
                      "there, if it is meant to be solid), then export again.",
                      rim_mm, places_text(places), 100 * share)};
}

Status check_openings(const Draft& draft, const std::vector<Hole>& holes,
                      const std::vector<double>& areas) {
  std::vector<double> opening(areas.size(), 0);
  for (const Hole& hole : holes) opening[hole.shell] += norm(area_vector(draft, hole.rim));
  for (std::uint32_t s = 0; s < areas.size(); ++s) {
    if (opening[s] > kSheetShare * areas[s]) return sheet(draft, holes, s, opening[s] / areas[s]);
  }
  return ok();
}

/// Large holes apart: they may have been meant as openings.
void tell_holes(Draft& draft, std::vector<double> rims_mm) {
  std::sort(rims_mm.begin(), rims_mm.end());
  const auto large =
      std::upper_bound(rims_mm.begin(), rims_mm.end(), kLargeRim_ratio * draft.size_mm);
  const auto tell = [&](const char* code, auto from, auto to) {
    if (from == to) return;
    draft.steps.push_back({code, static_cast<std::size_t>(to - from),
                           fmt::format("largest hole {:.1f} mm round", *(to - 1))});
  };
  tell("fill-holes", rims_mm.begin(), large);
  tell("fill-large-holes", large, rims_mm.end());
}

}  // namespace

Status fill_holes(Draft& draft) {
  const std::vector<EdgeUse> uses = draft.edge_uses();
  Sets sets(draft.triangles.size());
  for_each_edge(uses, [&](std::span<const EdgeUse> e) {
    for (const EdgeUse& use : e) sets.join(e[0].face, use.face);
  });
  std::size_t shell_count = 0;
  const std::vector<std::uint32_t> shells = sets.labels(shell_count);
  const std::vector<Hole> holes = HoleWalk(draft, uses, shells).find();
  const std::vector<double> areas = shell_areas(draft, shells, shell_count);
  if (Status openings = check_openings(draft, holes, areas); !openings) return openings;
  std::vector<double> filled(shell_count, 0);
  std::vector<double> rims_mm;
  for (const Hole& hole : holes) {
    rims_mm.push_back(length_of(draft, hole.rim));
    for (const Triangle& t : cover(draft, hole)) {
      filled[hole.shell] += area_of(draft, t);
      draft.triangles.push_back(t);
      draft.origins.push_back(hole.origin);
    }
  }
  for (std::uint32_t s = 0; s < shell_count; ++s) {
    if (filled[s] > kFilledShare * areas[s]) return sheet(draft, holes, s, filled[s] / areas[s]);
  }
  tell_holes(draft, std::move(rims_mm));
  return ok();
}

}  // namespace seamwright
