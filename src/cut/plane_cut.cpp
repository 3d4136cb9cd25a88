#include "seamwright/cut/plane_cut.h"

#include <fmt/format.h>

#include <map>
#include <utility>

#include "cut/cap_fill.h"
#include "cut/plane_split.h"

namespace seamwright {
namespace {

using namespace cut_detail;

constexpr std::uint32_t kUnused = 0xffffffffU;

/// How the cap divides a section edge, from its end of lesser index to the other.
struct Chain {
  std::vector<std::uint32_t> between;
  bool is_beside =
      false;  ///< some points lie beside the edge, by up to the 1e-6 mm of the zero rule
};

/// The cap in terms of the split's plane points, grown by the points the fill made.
struct Cap {
  std::vector<Vec3> points;
  std::vector<std::array<std::uint32_t, 3>> triangles;  ///< counter-clockwise against the normal
  std::vector<std::uint32_t> same_as;                   ///< empty: no two coincide
  std::map<std::pair<std::uint32_t, std::uint32_t>, Chain> chains;
};

/// Moves the fill's new points from the plane onto an edge that they divide: its ends may lie 1e-6
/// mm beside the plane, and off the edge a point would take volume from one half that the other
/// doesn't get.
void lay_on_edges(const CapFill& fill, std::size_t first_new,
                  const std::vector<std::uint32_t>& global, std::vector<Vec3>& points) {
  std::vector<bool> is_laid(fill.points.size());
  for (const DividedEdge& edge : fill.divided) {
    const Vec2 from = fill.points[edge.from], along = fill.points[edge.to] - from;
    const Vec3 a = points[global[edge.from]], b = points[global[edge.to]];
    for (std::uint32_t i : edge.between) {
      if (i < first_new || is_laid[i]) continue;
      is_laid[i] = true;
      points[global[i]] = a + (b - a) * (dot(fill.points[i] - from, along) / dot(along, along));
    }
  }
}

bool lies_beside(Vec3 p, Vec3 a, Vec3 b) {
  const Vec3 along = b - a;
  const double t = dot(p - a, along) / dot(along, along);
  const double size = std::abs(p.x) + std::abs(p.y) + std::abs(p.z);
  return norm(p - (a + along * t)) > 1e-12 + 4e-15 * size;
}

/// Fills the section. Only points on open edges take part; the fill's numbering is undone here.
Cap make_cap(const PlaneSplit& split, const Plane& plane) {
  const PlaneFrame frame(plane);
  Cap cap{split.plane_points, {}, {}, {}};
  std::vector<std::uint32_t> local(split.plane_points.size(), kUnused), global;
  std::vector<Vec2> flat;
  std::vector<SectionEdge> edges = split.edges;
  const auto localize = [&](std::uint32_t& point) {
    if (local[point] == kUnused) {
      local[point] = static_cast<std::uint32_t>(global.size());
      global.push_back(point);
      flat.push_back(frame.flatten(split.plane_points[point]));
    }
    point = local[point];
  };
  for (SectionEdge& e : edges) localize(e.from), localize(e.to);
  CapFill fill = fill_cap(flat, edges);
  for (std::size_t i = flat.size(); i < fill.points.size(); ++i) {
    global.push_back(static_cast<std::uint32_t>(cap.points.size()));
    cap.points.push_back(frame.lift(fill.points[i]));
  }
  lay_on_edges(fill, flat.size(), global, cap.points);
  for (auto& t : fill.triangles)
    cap.triangles.push_back({global[t[0]], global[t[1]], global[t[2]]});
  if (!fill.same_as.empty()) {
    for (std::uint32_t i = 0; i < cap.points.size(); ++i) cap.same_as.push_back(i);
    for (std::size_t i = 0; i < flat.size(); ++i) cap.same_as[global[i]] = global[fill.same_as[i]];
  }
  for (DividedEdge& divided : fill.divided) {
    for (std::uint32_t& point : divided.between) point = global[point];
    std::uint32_t from = global[divided.from], to = global[divided.to];
    if (from > to) {
      std::swap(from, to);
      std::reverse(divided.between.begin(), divided.between.end());
    }
    const bool is_beside = std::ranges::any_of(divided.between, [&](std::uint32_t i) {
      return lies_beside(cap.points[i], cap.points[from], cap.points[to]);
    });
    cap.chains[{from, to}] = {std::move(divided.between), is_beside};
  }
  return cap;
}

/// Finishes one half: its walls follow the cap's points, then the cap closes it.
class HalfBuilder {
 public:
  HalfBuilder(HalfFaces half, const Cap& cap, Origin cap_origin)
      : half_(std::move(half)),
        cap_(cap),
        cap_origin_(cap_origin),
        first_(static_cast<std::uint32_t>(half_.points.size())) {}

  void close(bool is_above) {
    if (!cap_.same_as.empty()) weld();
    if (!cap_.chains.empty()) divide_walls();
    for (auto [a, b, c] : cap_.triangles) {
      if (is_above) std::swap(b, c);
      half_.triangles.push_back({first_ + a, first_ + b, first_ + c});
    }
    half_.origins.resize(half_.triangles.size(), cap_origin_);
  }

  /// Appends the plane points. Which points are in use is looked up only when some may not be: a
  /// vertex in the plane can belong to one half alone, and welding can take a point's last face.
  void append_points(bool all_used) {
    half_.points.insert(half_.points.end(), cap_.points.begin(), cap_.points.end());
    if (all_used) return;
    std::vector<std::uint32_t> renamed(half_.points.size(), kUnused);
    for (const HalfTriangle& t : half_.triangles) {
      for (std::uint32_t v : t) renamed[v] = 0;
    }
    std::uint32_t count = 0;
    for (std::size_t v = 0; v < renamed.size(); ++v) {
      if (renamed[v] == kUnused) continue;
      half_.points[count] = half_.points[v];
      renamed[v] = count++;
    }
    if (count == renamed.size()) return;
    half_.points.resize(count);
    for (HalfTriangle& t : half_.triangles) {
      for (std::uint32_t& v : t) v = renamed[v];
    }
  }

  bool is_empty() const { return half_.triangles.empty(); }

  double volume_mm3() const {
    Vec3 about = half_.points.front();
    double six_times = 0;
    for (const HalfTriangle& t : half_.triangles) {
      const Vec3 a = half_.points[t[0]] - about;
      six_times += dot(a, cross(half_.points[t[1]] - about, half_.points[t[2]] - about));
    }
    return six_times / 6;
  }

  Solid take() {
    static_assert(sizeof(VertexId) == sizeof(std::uint32_t));
    std::vector<Triangle> triangles(half_.triangles.size());
    for (std::size_t f = 0; f < triangles.size(); ++f) {
      const auto [a, b, c] = half_.triangles[f];
      triangles[f] = {VertexId{a}, VertexId{b}, VertexId{c}};
    }
    return Solid::adopt(std::move(half_.points), std::move(triangles), std::move(half_.origins));
  }

 private:
  /// Points that coincide become one, so that cap and walls meet; faces that collapse take
  /// opposite edges away and leave the half as closed as it was.
  void weld() {
    std::size_t kept = 0;
    for (std::size_t f = 0; f < half_.triangles.size(); ++f) {
      HalfTriangle t = half_.triangles[f];
      for (std::uint32_t& v : t) {
        if (v >= first_) v = first_ + cap_.same_as[v - first_];
      }
      if (t[0] == t[1] || t[1] == t[2] || t[2] == t[0]) continue;
      half_.triangles[kept] = t;
      half_.origins[kept++] = half_.origins[f];
    }
    half_.triangles.resize(kept);
    half_.origins.resize(kept);
  }

  /// A face yet to divide; its edges with their bit in `edges` are the half's own. The others were
  /// made by dividing and have their opposites: to divide them again could go round in circles
  /// where a face has no area.
  struct OpenFace {
    HalfTriangle t;
    unsigned edges = 7;
    bool owns(std::size_t edge) const { return (edges >> edge % 3 & 1U) != 0; }
  };

  /// Divides each face along its edges that the cap divides. Every face at such an edge is treated,
  /// so edges that had their opposites keep them.
  void divide_walls() {
    std::vector<HalfTriangle> triangles;
    std::vector<Origin> origins;
    triangles.reserve(half_.triangles.size());
    origins.reserve(half_.origins.size());
    for (std::size_t f = 0; f < half_.triangles.size(); ++f) {
      std::vector<OpenFace> open{{half_.triangles[f]}};
      while (!open.empty()) {
        const OpenFace face = open.back();
        open.pop_back();
        if (fan(face, open)) continue;
        triangles.push_back(face.t);
        fill_gaps(face, triangles);
        origins.resize(triangles.size(), half_.origins[f]);
      }
    }
    half_.triangles = std::move(triangles);
    half_.origins = std::move(origins);
  }

  const Chain* chain_of(std::uint32_t from, std::uint32_t to) const {
    if (from < first_ || to < first_) return nullptr;
    const auto found = cap_.chains.find(std::minmax(from - first_, to - first_));
    return found != cap_.chains.end() ? &found->second : nullptr;
  }

  /// The points of a divided edge after `from`, `to` included.
  std::vector<std::uint32_t> points_after(std::uint32_t from, std::uint32_t to,
                                          const Chain& chain) const {
    std::vector<std::uint32_t> points;
    for (std::uint32_t point : chain.between) points.push_back(first_ + point);
    if (from > to) std::reverse(points.begin(), points.end());
    points.push_back(to);
    return points;
  }

  /// Replaces a triangle by a fan over its first divided edge; false when it has none.
  bool fan(const OpenFace& face, std::vector<OpenFace>& out) const {
    for (std::size_t i = 0; i < 3; ++i) {
      if (!face.owns(i)) continue;
      const std::uint32_t from = face.t[i], to = face.t[(i + 1) % 3], apex = face.t[(i + 2) % 3];
      const Chain* chain = chain_of(from, to);
      if (chain == nullptr || chain->is_beside) continue;
      std::uint32_t last = from;
      for (std::uint32_t next : points_after(from, to, *chain)) {
        const bool owns_next = next == to && face.owns(i + 1);
        const bool owns_last = last == from && face.owns(i + 2);
        if (next != apex && last != apex)
          out.push_back({{last, next, apex}, (owns_next ? 2U : 0U) | (owns_last ? 4U : 0U)});
        last = next;
      }
      return true;
    }
    return false;
  }

  /// Where the cap's points lie beside a wall's edge, a fan would move the wall and the halves'
  /// volumes would not add up: the wall stays, and the gap between its edge and the cap's is closed
  /// by slivers, the same in both halves.
  void fill_gaps(const OpenFace& face, std::vector<HalfTriangle>& out) const {
    for (std::size_t i = 0; i < 3; ++i) {
      if (!face.owns(i)) continue;
      const std::uint32_t from = face.t[i], to = face.t[(i + 1) % 3], hub = std::min(from, to);
      const Chain* chain = chain_of(from, to);
      if (chain == nullptr || !chain->is_beside) continue;
      std::uint32_t last = from;
      for (std::uint32_t next : points_after(from, to, *chain)) {
        if (last != hub && next != hub) out.push_back({hub, last, next});
        last = next;
      }
    }
  }

  HalfFaces half_;
  const Cap& cap_;
  Origin cap_origin_;
  std::uint32_t first_;  ///< index of the first plane point
};

/// The faces of two solids but for their caps of one seam, as the above half of a split.
class CaplessFaces {
 public:
  explicit CaplessFaces(Origin cap) : cap_(cap) {}

  PlaneSplit of(const Solid& above, const Solid& below) {
    std::vector<std::uint32_t> ids_above = add_points(above), ids_below = add_points(below);
    add_faces(above, ids_above);
    add_faces(below, ids_below);
    cancel_opposites(out_.edges);
    return std::move(out_);
  }

 private:
  bool is_cap(const Solid& solid, std::size_t f) const { return solid.origins()[f] == cap_; }

  /// Each point's place: of the half, or of the plane, where both solids share their points.
  std::vector<std::uint32_t> add_points(const Solid& solid) {
    std::vector<std::uint32_t> ids(solid.points().size(), kUnused);
    for (std::size_t f = 0; f < solid.face_count(); ++f) {
      if (!is_cap(solid, f)) continue;
      for (const VertexId v : solid.triangles()[f]) {
        const Vec3 p = solid.point(v);
        const auto [at, is_new] = in_plane_.try_emplace(
            {p.x, p.y, p.z}, static_cast<std::uint32_t>(out_.plane_points.size()));
        if (is_new) out_.plane_points.push_back(p);
        ids[to_index(v)] = at->second | kInPlane;
      }
    }
    for (std::size_t v = 0; v < ids.size(); ++v) {
      if (ids[v] != kUnused) continue;
      ids[v] = static_cast<std::uint32_t>(out_.above.points.size());
      out_.above.points.push_back(solid.points()[v]);
    }
    return ids;
  }

  void add_faces(const Solid& solid, std::vector<std::uint32_t>& ids) {
    const auto own_count = static_cast<std::uint32_t>(out_.above.points.size());
    for (std::size_t f = 0; f < solid.face_count(); ++f) {
      if (is_cap(solid, f)) continue;
      HalfTriangle t{};
      for (std::size_t i = 0; i < 3; ++i) {
        const std::uint32_t from = ids[to_index(solid.triangles()[f][i])],
                            to = ids[to_index(solid.triangles()[f][(i + 1) % 3])];
        t[i] = (from & kInPlane) != 0 ? own_count + (from & ~kInPlane) : from;
        if ((from & to & kInPlane) != 0)
          out_.edges.push_back({from & ~kInPlane, to & ~kInPlane, 1});
      }
      out_.above.triangles.push_back(t);
      out_.above.origins.push_back(solid.origins()[f]);
    }
  }

  static constexpr std::uint32_t kInPlane = 0x80000000U;
  Origin cap_;
  PlaneSplit out_;
  std::map<std::array<double, 3>, std::uint32_t> in_plane_;
};

}  // namespace

Result<CutHalves> plane_cut(const Solid& solid, const Plane& plane, SeamId seam) {
  if (!(std::abs(norm(plane.normal) - 1) < 1e-9) || !std::isfinite(plane.offset_mm)) {
    return Error{"cut-failed",
                 fmt::format("a plane with normal ({}, {}, {}) and offset {} mm cuts nothing",
                             plane.normal.x, plane.normal.y, plane.normal.z, plane.offset_mm)};
  }
  PlaneSplit split = split_faces(solid, plane);
  if (split.below.triangles.empty()) return CutHalves{solid, std::nullopt};
  if (split.above.triangles.empty()) return CutHalves{std::nullopt, solid};
  const Cap cap = make_cap(split, plane);
  const Origin origin{OriginKind::cap, static_cast<std::uint32_t>(seam)};
  const bool all_used = split.zero_count == 0 && cap.same_as.empty();
  HalfBuilder above(std::move(split.above), cap, origin),
      below(std::move(split.below), cap, origin);
  above.close(true), below.close(false);
  above.append_points(all_used), below.append_points(all_used);
  if (above.is_empty() || !(above.volume_mm3() > 0)) return CutHalves{std::nullopt, solid};
  if (below.is_empty() || !(below.volume_mm3() > 0)) return CutHalves{solid, std::nullopt};
  return CutHalves{above.take(), below.take()};
}

Result<Solid> join_at_plane(const Solid& above, const Solid& below, const Plane& plane,
                            SeamId seam) {
  const Origin origin{OriginKind::cap, static_cast<std::uint32_t>(seam)};
  PlaneSplit split = CaplessFaces(origin).of(above, below);
  const Cap cap = make_cap(split, plane);
  HalfBuilder whole(std::move(split.above), cap, origin);
  whole.close(true);
  whole.append_points(false);
  if (whole.is_empty()) return Error{"join-failed", "nothing but the caps was given"};
  Solid joined = whole.take();
  if (auto open = find_open_edge(joined.points(), joined.triangles()))
    return Error{"join-failed", *open};
  return joined;
}

}  // namespace seamwright
