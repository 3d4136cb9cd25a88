#include "seamwright/mesh/check.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <set>

#include "mesh/bodies.h"
#include "mesh/crossings.h"
#include "mesh/point_table.h"
#include "mesh/ray_probe.h"

namespace seamwright {
namespace {

constexpr std::size_t kMostPlaces = 10;
constexpr std::size_t kWallSamples = 2000;
constexpr double kThinWall_mm = 0.8;  // two lines of a 0.4 mm nozzle; common practice, no source
constexpr double kFlat = 1e-9;        // a face's height over the size, below which it has no area

class Checker {
 public:
  Checker(const TriangleSoup& soup, const Run& run) : run_(run), soup_(soup) {
    weld();
    for (const Triangle& t : faces_) {
      for (VertexId v : t) box_.extend(points_[to_index(v)]);
    }
    uses_ = sorted_edge_uses(faces_, points_.size());
    bodies_ = find_bodies(points_, faces_, uses_);
  }

  HealthReport report() {
    count_all();
    check_edges();
    check_duplicates();
    check_areas();
    check_unused();
    if (run_.should_stop()) return std::move(report_);
    check_crossings();
    if (report_.is_closed) {
      check_bodies();
      report_.hole_count = count_holes();
      check_walls();
    }
    return std::move(report_);
  }

 private:
  /// Corners at exactly one place are one here, as they are for mend(); faces with two such corners
  /// are counted as without area and otherwise left out.
  void weld() {
    PointTable<double> table(soup_.points.size());
    std::vector<std::uint32_t> number;
    for (const Vec3& p : soup_.points) {
      number.push_back(table.number_of({p.x, p.y, p.z}));
      if (number.back() == points_.size()) points_.push_back(p);
    }
    is_used_.resize(points_.size(), false);
    for (const Triangle& t : soup_.triangles) {
      const Triangle f{VertexId{number[to_index(t[0])]}, VertexId{number[to_index(t[1])]},
                       VertexId{number[to_index(t[2])]}};
      for (VertexId v : f) is_used_[to_index(v)] = true;
      if (f[0] == f[1] || f[1] == f[2] || f[2] == f[0])
        collapsed_.push_back(points_[to_index(f[0])]);
      else
        faces_.push_back(f);
    }
  }

  Vec3 middle(const EdgeUse& use) const { return (points_[use.low] + points_[use.high]) / 2; }
  std::array<Vec3, 3> corners(std::size_t f) const {
    return {points_[to_index(faces_[f][0])], points_[to_index(faces_[f][1])],
            points_[to_index(faces_[f][2])]};
  }
  Vec3 center(std::size_t f) const {
    const auto [a, b, c] = corners(f);
    return (a + b + c) / 3;
  }
  Vec3 area_normal(std::size_t f) const {
    const auto [a, b, c] = corners(f);
    return cross(b - a, c - a);
  }

  void note(const std::string& code, std::size_t count, std::vector<Vec3> places,
            const std::string& advice, bool is_fault = true) {
    if (count == 0) return;
    if (places.size() > kMostPlaces) places.resize(kMostPlaces);
    report_.findings.push_back({code, count, std::move(places), advice, is_fault});
  }

  void count_all() {
    report_.size_mm = box_.size();
    report_.face_count = soup_.triangles.size();
    report_.point_count = points_.size();
    std::size_t edge_count = 0;
    bool is_closed = !faces_.empty();
    for_each_edge(uses_, [&](std::span<const EdgeUse> edge) {
      ++edge_count;
      is_closed &= edge_balance(edge) == 0;
    });
    report_.is_closed = is_closed;
    const auto used = static_cast<long long>(std::count(is_used_.begin(), is_used_.end(), true));
    report_.euler_number =
        used - static_cast<long long>(edge_count) + static_cast<long long>(faces_.size());
    report_.shell_count = bodies_.count;
    for (std::size_t f = 0; f < faces_.size(); ++f) report_.area_mm2 += norm(area_normal(f)) / 2;
    if (!is_closed) return;
    report_.volume_mm3 = 0;
    for (double volume : bodies_.volume_mm3) *report_.volume_mm3 += volume;
  }

  void check_edges() {
    std::array<std::vector<Vec3>, 4>
        places;  // open, flipped, three or more faces, four and more in balance
    for_each_edge(uses_, [&](std::span<const EdgeUse> edge) {
      const bool balanced = edge_balance(edge) == 0;
      if (edge.size() == 1) places[0].push_back(middle(edge[0]));
      if (edge.size() == 2 && !balanced) places[1].push_back(middle(edge[0]));
      if (edge.size() > 2) places[balanced ? 3 : 2].push_back(middle(edge[0]));
    });
    const auto note_all = [&](const std::string& code, std::size_t at, const std::string& advice,
                              bool is_fault = true) {
      note(code, places[at].size(), places[at], advice, is_fault);
    };
    note_all("open-edge", 0,
             "welded, stitched or filled when mending; a sheet needs a thickness first");
    note_all("flipped-edge", 1, "one of the two faces is turned when mending");
    note_all("non-manifold-edge", 2,
             "walls without thickness are dropped when mending; else delete the inner wall in the "
             "modelling program");
    note_all("non-manifold-edge", 3,
             "bodies that touch in an edge: nothing to mend, but they print as one or fall apart",
             false);
  }

  void check_duplicates() {
    std::vector<std::pair<std::array<VertexId, 3>, std::size_t>> named;
    named.reserve(faces_.size());
    for (std::size_t f = 0; f < faces_.size(); ++f) {
      named.emplace_back(faces_[f], f);
      std::sort(named.back().first.begin(), named.back().first.end());
    }
    std::sort(named.begin(), named.end());
    std::vector<Vec3> places;
    for (std::size_t i = 1; i < named.size(); ++i) {
      if (named[i].first == named[i - 1].first) places.push_back(center(named[i].second));
    }
    note("duplicate-face", places.size(), places, "dropped when mending");
  }

  void check_areas() {
    std::vector<Vec3> places = collapsed_;
    const Vec3 size = box_.size();
    const double least_mm = kFlat * std::max({size.x, size.y, size.z});
    for (std::size_t f = 0; f < faces_.size(); ++f) {
      const auto [a, b, c] = corners(f);
      const double longest_mm = std::max({norm(b - a), norm(c - b), norm(a - c)});
      if (norm(area_normal(f)) <= least_mm * longest_mm) places.push_back(center(f));
    }
    note("zero-area-face", places.size(), places,
         "harmless where the mesh is closed; those with two corners in one place are dropped when "
         "mending");
  }

  void check_unused() {
    std::vector<Vec3> places;
    for (std::size_t i = 0; i < points_.size(); ++i) {
      if (!is_used_[i]) places.push_back(points_[i]);
    }
    note("unused-point", places.size(), places, "left out when mending", false);
  }

  void check_crossings() {
    std::vector<Vec3> own;
    std::map<std::pair<std::uint32_t, std::uint32_t>, Vec3> between;
    for (const auto& [f, g] : find_crossings(points_, faces_, run_)) {
      const std::uint32_t a = bodies_.of_face[f], b = bodies_.of_face[g];
      const Vec3 place = (center(f) + center(g)) / 2;
      if (a == b)
        own.push_back(place);
      else
        between.try_emplace(std::minmax(a, b), place);
    }
    note("self-crossing", own.size(), own,
         "pairs of faces that go through each other: unite the bodies in the modelling program");
    std::vector<Vec3> places;
    for (const auto& [pair, place] : between) places.push_back(place);
    note("overlapping-bodies", places.size(), places,
         "pairs of bodies that go through each other; they pass as one part, their volumes counted "
         "twice "
         "where they overlap: unite them in the modelling program",
         false);
  }

  void check_bodies() {
    find_nesting(bodies_, points_, faces_);
    std::vector<Vec3> first(bodies_.count), inside_out, nested;
    for (std::size_t f = faces_.size(); f-- > 0;) first[bodies_.of_face[f]] = center(f);
    for (std::size_t b = 0; b < bodies_.count; ++b) {
      if (bodies_.around[b].empty() && bodies_.volume_mm3[b] < 0) inside_out.push_back(first[b]);
      if (!bodies_.around[b].empty()) nested.push_back(first[b]);
    }
    note("inside-out-shell", inside_out.size(), inside_out, "turned outward when mending");
    note("nested-shell", nested.size(), nested,
         "shells inside others: a void where it faces inward, as in a hollow body; a body inside a "
         "body where it faces "
         "outward, whose volume counts twice",
         false);
  }

  /// By Euler's formula, V − E + F = 2 − 2 holes, for each body that is no void in another. Where
  /// fans of faces touch in one point, each fan has a corner of its own.
  std::optional<std::size_t> count_holes() const {
    std::vector<long long> euler(bodies_.count, 0);
    Sets fans(3 * faces_.size());
    bool is_plain = true;
    for_each_edge(uses_, [&](std::span<const EdgeUse> edge) {
      if (edge.size() != 2) {
        is_plain = false;
        return;
      }
      --euler[bodies_.of_face[edge[0].face]];
      // Both run along the edge in opposite ways: one's first corner is the other's second.
      const auto corner = [&](std::size_t use, int end) {
        return 3 * edge[use].face + (edge[use].side + end) % 3;
      };
      fans.join(corner(0, 0), corner(1, 1));
      fans.join(corner(0, 1), corner(1, 0));
    });
    if (!is_plain) return std::nullopt;
    for (std::uint32_t c = 0; c < 3 * faces_.size(); ++c)
      if (fans.root(c) == c) ++euler[bodies_.of_face[c / 3]];
    for (const std::uint32_t body : bodies_.of_face) ++euler[body];
    long long hole_count = 0;
    for (std::size_t b = 0; b < bodies_.count; ++b) {
      const bool is_void = !bodies_.around[b].empty() && bodies_.volume_mm3[b] < 0;
      if (!is_void) hole_count += (2 - euler[b]) / 2;
    }
    return static_cast<std::size_t>(hole_count);
  }

  /// Rays inward from points spread by area; how far until the wall's other side.
  void check_walls() {
    std::vector<double> upto;
    double total = 0;
    for (std::size_t f = 0; f < faces_.size(); ++f) upto.push_back(total += norm(area_normal(f)));
    if (!(total > 0)) return;
    const RayProbe probe(points_, faces_);
    const std::size_t samples = std::min(kWallSamples, 20 * faces_.size());
    Random random(1);
    std::vector<Vec3> places;
    double thinnest_mm = kThinWall_mm;
    for (std::size_t i = 0; i < samples; ++i) {
      const auto at = std::lower_bound(upto.begin(), upto.end(), random.uniform() * total);
      const auto f = static_cast<std::size_t>(std::min(at - upto.begin(), std::ssize(upto) - 1));
      const Vec3 from = random_point(f, random);
      const double wall_mm = wall_at(probe, f, from);
      if (wall_mm >= kThinWall_mm) continue;
      thinnest_mm = std::min(thinnest_mm, wall_mm);
      places.push_back(from);
    }
    note("thin-wall", places.size(), places,
         fmt::format("sampled: {} of {} rays inward met the other side within {} mm (the least "
                     "{:.2f} mm), less than two "
                     "lines of a 0.4 mm nozzle; thin places between the samples are not seen. "
                     "Thicken the wall in the modelling program",
                     places.size(), samples, kThinWall_mm, thinnest_mm));
  }

  Vec3 random_point(std::size_t f, Random& random) const {
    const auto [a, b, c] = corners(f);
    double u = random.uniform(), v = random.uniform();
    if (u + v > 1) {
      u = 1 - u;
      v = 1 - v;
    }
    return a + (b - a) * u + (c - a) * v;
  }
  /// The other side of a wall faces away within 60°; a sharp edge's other face beside the start
  /// does not count.
  bool is_across(const RayProbe::Hit& hit, std::size_t f, Vec3 inward) const {
    return hit.is_leaving && hit.face != f && dot(normalized(area_normal(hit.face)), inward) > 0.5;
  }
  /// Distance to the first face that the inward ray leaves through, the start's own plane aside.
  double wall_at(const RayProbe& probe, std::size_t f, Vec3 from) const {
    const Vec3 inward = -normalized(area_normal(f));
    double nearest = std::numeric_limits<double>::infinity();
    for (const RayProbe::Hit& hit : probe.hits(from, inward)) {
      if (is_across(hit, f, inward)) nearest = std::min(nearest, hit.distance_mm);
    }
    return nearest;
  }

  const Run& run_;
  const TriangleSoup& soup_;
  std::vector<Vec3> points_;
  std::vector<Triangle> faces_;
  std::vector<bool> is_used_;
  std::vector<Vec3> collapsed_;
  Box3 box_;
  std::vector<EdgeUse> uses_;
  Bodies bodies_;
  HealthReport report_;
};

}  // namespace

HealthReport check_mesh(const TriangleSoup& soup, const Run& run) {
  return Checker(soup, run).report();
}

}  // namespace seamwright
