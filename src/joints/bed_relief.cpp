#include "joints/bed_relief.h"

#include <algorithm>
#include <cmath>
#include <map>

#include "joints/flat_paths.h"
#include "joints/outlines.h"
#include "seamwright/cut/plane_cut.h"
#include "seamwright/joints/loose_parts.h"
#include "seamwright/query/mass_properties.h"

namespace seamwright::joints {
namespace {

using ClipperLib::Path;
using ClipperLib::Paths;

constexpr double kClean_mm = 2e-3;  // shortest edge of the inner rim
// Where skin is flatter over the bed than 1 in 5 (11°), its rim is left alone: a bevel would take
// more than the rim.
constexpr double kFlattest_ratio = 5;
constexpr double kSpeck_mm2 = 1e-3;

using Step = std::pair<VertexId, VertexId>;

/// The border of a solid's cap: directed edges, the cap on their left.
std::vector<Step> cap_border(const Solid& solid, Origin cap) {
  std::map<Step, int> count;
  for (std::size_t f = 0; f < solid.face_count(); ++f) {
    if (!(solid.origin(to_id<FaceId>(f)) == cap)) continue;
    const Triangle& t = solid.triangle(to_id<FaceId>(f));
    for (std::size_t i = 0; i < 3; ++i) ++count[{t[i], t[(i + 1) % 3]}];
  }
  std::vector<Step> border;
  for (const auto& [step, n] : count) {
    const auto back = count.find({step.second, step.first});
    for (int k = back == count.end() ? 0 : back->second; k < n; ++k) border.push_back(step);
  }
  return border;
}

Paths chain(const Solid& solid, const std::vector<Step>& border, const CapFrame& frame) {
  std::multimap<VertexId, VertexId> next(border.begin(), border.end());
  Paths paths;
  while (!next.empty()) {
    Path path;
    for (auto at = next.begin(); at != next.end();) {
      const Vec2 p = frame.flatten(solid.point(at->first));
      path.push_back(
          {std::llround(p.x * kPathUnits_per_mm), std::llround(p.y * kPathUnits_per_mm)});
      const VertexId to = at->second;
      next.erase(at);
      at = next.find(to);
    }
    paths.push_back(std::move(path));
  }
  return paths;
}

/// What of `a` lies further than `reach_mm` outside `b`.
Paths beyond(const Paths& a, const Paths& b, double reach_mm) {
  return combined(ClipperLib::ctDifference, a, mitred_offset(b, reach_mm));
}

// A bevel from a fine rim to one far corner would be of needles, which cross when they are rounded
// to float.
constexpr double kLongest_mm = 2;

/// Where the skin flares out flat over the bed (`flat`), the rim on the bed stays, and the skin up
/// to the relief's height becomes a ramp.
std::vector<Loop2> inner_rim(const Paths& at_bed, const Paths& over_bed, const Paths& flat,
                             double relief_mm) {
  Paths inner = mitred_offset(combined(ClipperLib::ctIntersection, at_bed, over_bed), -relief_mm);
  if (!flat.empty()) {
    const Paths zone = mitred_offset(flat, (kFlattest_ratio + 2) * relief_mm);
    Paths kept = combined(ClipperLib::ctIntersection, at_bed, mitred_offset(over_bed, -relief_mm));
    kept = combined(ClipperLib::ctIntersection, kept, zone);
    inner = combined(ClipperLib::ctUnion, inner, kept);
  }
  inner = cleaned(std::move(inner), kClean_mm);
  std::vector<Loop2> loops;
  for (const Path& path : inner) {
    if (path.size() >= 3 && std::abs(area_mm2(path)) >= 1e-2)
      loops.push_back(divided(loop_of(path), kLongest_mm));
  }
  return loops;
}

/// The upper solid's open rim and the new inner rim as one flat point list.
struct RimPoints {
  std::vector<Vec2> points;
  std::vector<VertexId> vertices;
  std::vector<FlatEdge> bevel, floor;
};

RimPoints collect(const Solid& upper, const std::vector<Step>& border,
                  const std::vector<Loop2>& inner, const CapFrame& frame) {
  RimPoints rim;
  std::map<VertexId, std::uint32_t> position;
  const auto add = [&](Vec2 p, VertexId v) {
    rim.points.push_back(p);
    rim.vertices.push_back(v);
    return static_cast<std::uint32_t>(rim.points.size() - 1);
  };
  for (const Step& s : border) {
    for (VertexId v : {s.first, s.second}) {
      if (!position.contains(v)) position[v] = add(frame.flatten(upper.point(v)), v);
    }
    rim.bevel.push_back({position[s.first], position[s.second]});
  }
  std::size_t made = upper.points().size();
  for (const Loop2& loop : inner) {
    const auto first = static_cast<std::uint32_t>(rim.points.size()),
               n = static_cast<std::uint32_t>(loop.size());
    for (std::uint32_t i = 0; i < n; ++i) add(loop[i], to_id<VertexId>(made++));
    for (std::uint32_t i = 0; i < n; ++i) {
      rim.floor.push_back({first + i, first + (i + 1) % n});
      rim.bevel.push_back({first + (i + 1) % n, first + i});
    }
  }
  return rim;
}

/// The triangles of one flat filling, with the points that it uses only.
Result<std::vector<FlatTriangle>> fill(const RimPoints& rim, const std::vector<FlatEdge>& edges) {
  std::vector<std::uint32_t> used;
  for (const FlatEdge& e : edges) used.insert(used.end(), {e.from, e.to});
  std::sort(used.begin(), used.end());
  used.erase(std::unique(used.begin(), used.end()), used.end());
  const auto local = [&](std::uint32_t p) {
    return static_cast<std::uint32_t>(std::lower_bound(used.begin(), used.end(), p) - used.begin());
  };
  std::vector<Vec2> points;
  for (std::uint32_t p : used) points.push_back(rim.points[p]);
  std::vector<FlatEdge> own;
  for (const FlatEdge& e : edges) own.push_back({local(e.from), local(e.to)});
  auto triangles = mesh_flat(points, own);
  if (!triangles) return triangles;
  for (FlatTriangle& t : *triangles) {
    for (std::uint32_t& p : t) p = used[p];
  }
  return triangles;
}

/// The upper solid with its cap replaced by floor and bevel.
class FootBuilder {
 public:
  FootBuilder(const Solid& upper, const CapFrame& frame, const RimPoints& rim, Origin cap)
      : rim_(rim), frame_(frame), upper_count_(upper.points().size()) {
    for (std::size_t f = 0; f < upper.face_count(); ++f) {
      if (upper.origin(to_id<FaceId>(f)) == cap) continue;
      triangles_.push_back(upper.triangle(to_id<FaceId>(f)));
      origins_.push_back(upper.origin(to_id<FaceId>(f)));
    }
    points_.assign(upper.points().begin(), upper.points().end());
    for (std::size_t i = 0; i < rim.points.size(); ++i) {
      if (to_index(rim.vertices[i]) >= upper_count_) points_.push_back(frame.lift(rim.points[i]));
    }
  }

  /// Adds the triangles; the volume between them and the upper solid's section grows along.
  void add(const std::vector<FlatTriangle>& flat, Origin origin, double relief_mm) {
    for (const FlatTriangle& t : flat) {
      double height = 0;
      for (std::uint32_t p : t)
        height += to_index(rim_.vertices[p]) >= upper_count_ ? relief_mm : 0;
      const Vec2 a = rim_.points[t[0]], b = rim_.points[t[1]], c = rim_.points[t[2]];
      volume_mm3_ += cross(b - a, c - a) / 2 * height / 3;
      triangles_.push_back({rim_.vertices[t[0]], rim_.vertices[t[1]], rim_.vertices[t[2]]});
      origins_.push_back(origin);
    }
  }

  double volume_mm3() const { return volume_mm3_; }

  Solid finish() && {
    std::vector<VertexId> renamed(points_.size());
    std::vector<char> is_used(points_.size(), 0);
    for (const Triangle& t : triangles_) {
      for (VertexId v : t) is_used[to_index(v)] = 1;
    }
    std::size_t count = 0;
    for (std::size_t v = 0; v < points_.size(); ++v) {
      if (!is_used[v]) continue;
      points_[count] = points_[v];
      renamed[v] = to_id<VertexId>(count++);
    }
    points_.resize(count);
    for (Triangle& t : triangles_) {
      for (VertexId& v : t) v = renamed[to_index(v)];
    }
    return Solid::adopt(std::move(points_), std::move(triangles_), std::move(origins_));
  }

 private:
  const RimPoints& rim_;
  const CapFrame& frame_;
  std::size_t upper_count_;
  std::vector<Vec3> points_;
  std::vector<Triangle> triangles_;
  std::vector<Origin> origins_;
  double volume_mm3_ = 0;
};

Error left_out(const char* why) {
  return {"relief-left-out", why};
}

/// A piece cut over its foot, with the border of the cut.
struct Slice {
  Solid upper, slab;
  std::vector<Step> border;
  double height_mm = 0, shortest_mm = 0;  ///< of the cut over the bed; of the border's edges
};

/// The solid's bodies but those of no volume, which a cut through a corner can leave.
std::vector<Solid> bodies_of(const Solid& solid) {
  constexpr double kCrumb_mm3 = 1e-3;
  std::vector<Solid> bodies = split_components(solid);
  std::erase_if(bodies, [](const Solid& body) {
    return std::abs(seamwright::volume_mm3(body)) < kCrumb_mm3;
  });
  return bodies;
}

Result<Slice> slice_at(const Solid& solid, const Plane& plane, Side side, Origin cap,
                       double height_mm) {
  const double inward_mm = side == Side::above ? height_mm : -height_mm;
  auto halves =
      plane_cut(solid, {plane.normal, plane.offset_mm + inward_mm}, static_cast<SeamId>(cap.id));
  if (!halves) return std::move(halves).error();
  std::optional<Solid>&upper = side == Side::above ? halves->above : halves->below,
  &slab = side == Side::above ? halves->below : halves->above;
  if (!upper || !slab) return left_out("the piece is thinner than the relief");
  const std::vector<Solid> bodies = bodies_of(*upper);
  if (bodies.size() > bodies_of(solid).size())
    return left_out("a bridge thinner than the relief holds the piece together there");
  const bool has_crumbs = bodies.size() != split_components(*upper).size();
  Slice slice{
      has_crumbs ? gathered(bodies) : std::move(*upper), std::move(*slab), {}, height_mm, 1e300};
  slice.border = cap_border(slice.upper, cap);
  for (const auto& [a, b] : slice.border)
    slice.shortest_mm =
        std::min(slice.shortest_mm, norm(slice.upper.point(a) - slice.upper.point(b)));
  return slice;
}

/// A cut that passes a corner of the skin by a hair leaves edges that vanish, and faces that cross,
/// when they are rounded to float (some 1e-5 mm on a large part): then a little higher or lower.
Result<Slice> clean_slice(const Solid& solid, const Plane& plane, Side side, Origin cap,
                          double relief_mm) {
  constexpr double kShortest_mm = 2e-4;
  Result<Slice> best = slice_at(solid, plane, side, cap, relief_mm);
  for (const double ratio : {0.96, 1.03, 0.93, 1.06, 0.9}) {
    if (!best || best->shortest_mm >= kShortest_mm) break;
    Result<Slice> other = slice_at(solid, plane, side, cap, ratio * relief_mm);
    if (other && other->shortest_mm > best->shortest_mm) best = std::move(other);
  }
  return best;
}

}  // namespace

Result<Relieved> relieve_rim(const Solid& solid, const Plane& plane, Side side, SeamId seam,
                             double relief_mm, Origin bevel) {
  const Origin cap{OriginKind::cap, static_cast<std::uint32_t>(seam)};
  Result<Slice> slice = clean_slice(solid, plane, side, cap, relief_mm);
  if (!slice) return std::move(slice).error();
  relief_mm = slice->height_mm;
  const Solid &upper = slice->upper, &slab = slice->slab;
  const CapFrame frame(plane, side);
  const Paths over_bed = chain(upper, slice->border, frame),
              at_bed = chain(solid, cap_border(solid, cap), frame);
  if (area_mm2(beyond(at_bed, over_bed, kFlattest_ratio * relief_mm)) > kSpeck_mm2)
    return left_out("the skin leans in nearly flat over the bed");
  Paths flat = beyond(over_bed, at_bed, kFlattest_ratio * relief_mm);
  if (area_mm2(flat) <= kSpeck_mm2) flat.clear();
  const std::vector<Loop2> inner = inner_rim(at_bed, over_bed, flat, relief_mm);
  if (inner.empty()) return left_out("the joint face is narrower than two bevels");
  const RimPoints rim = collect(upper, slice->border, inner, frame);
  const auto floor = fill(rim, rim.floor), slope = fill(rim, rim.bevel);
  if (!floor) return floor.error();
  if (!slope) return slope.error();
  FootBuilder foot(upper, frame, rim, cap);
  foot.add(*floor, cap, relief_mm);
  foot.add(*slope, bevel, relief_mm);
  const double added = foot.volume_mm3() - seamwright::volume_mm3(slab);
  return Relieved{std::move(foot).finish(), added, !flat.empty()};
}

}  // namespace seamwright::joints
