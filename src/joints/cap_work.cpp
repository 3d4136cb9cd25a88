#include "joints/cap_work.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace seamwright::joints {
namespace {

struct Circle {
  Vec2 center;
  double radius_mm = 0;
};

/// A circle round the feature, a good deal larger: what is filled anew stays clear of its walls.
Circle surrounding_circle(const CapFeature& feature) {
  const Loop2& loop = feature.rings.front().points;
  Vec2 low = loop[0], high = loop[0];
  for (Vec2 p : loop) {
    low = {std::min(low.x, p.x), std::min(low.y, p.y)};
    high = {std::max(high.x, p.x), std::max(high.y, p.y)};
  }
  return {(low + high) / 2, 0.6 * norm(high - low) + 0.1};
}

double segment_distance_mm(Vec2 a, Vec2 b, Vec2 p) {
  const Vec2 along = b - a;
  const double length2 = dot(along, along);
  const double t = length2 > 0 ? std::clamp(dot(p - a, along) / length2, 0.0, 1.0) : 0.0;
  return norm(p - (a + along * t));
}

bool touches(const Circle& circle, const std::array<Vec2, 3>& t) {
  const Vec2 p = circle.center;
  const bool inside = cross(t[1] - t[0], p - t[0]) >= 0 && cross(t[2] - t[1], p - t[1]) >= 0 &&
                      cross(t[0] - t[2], p - t[2]) >= 0;
  return inside || segment_distance_mm(t[0], t[1], p) <= circle.radius_mm ||
         segment_distance_mm(t[1], t[2], p) <= circle.radius_mm ||
         segment_distance_mm(t[2], t[0], p) <= circle.radius_mm;
}

/// Whether every corner turns left, by more than rounding could undo.
bool is_convex(const Loop2& loop) {
  constexpr double kLeast_ratio = 1e-3;  // of the sine of a turn
  double turned = 0;
  for (std::size_t i = 0; i < loop.size(); ++i) {
    const Vec2 a = loop[i], b = loop[(i + 1) % loop.size()], c = loop[(i + 2) % loop.size()];
    const double turn = cross(b - a, c - b), lengths = norm(b - a) * norm(c - b);
    if (!(turn > kLeast_ratio * lengths)) return false;
    turned += std::asin(std::min(1.0, turn / lengths));
  }
  return turned < 7;  // once round: 2 pi
}

using Step = std::pair<VertexId, VertexId>;

/// The directed edges of some triangles that have no opposite among them.
std::vector<Step> border_of(std::span<const Triangle> triangles) {
  std::vector<std::pair<Step, int>> all;  // the edge from its lower point, and its direction
  for (const Triangle& t : triangles) {
    for (std::size_t i = 0; i < 3; ++i) {
      const VertexId a = t[i], b = t[(i + 1) % 3];
      all.push_back(a < b ? std::pair{Step{a, b}, 1} : std::pair{Step{b, a}, -1});
    }
  }
  std::sort(all.begin(), all.end());
  std::vector<Step> border;
  for (std::size_t i = 0; i < all.size();) {
    int net = 0;
    std::size_t j = i;
    for (; j < all.size() && all[j].first == all[i].first; ++j) net += all[j].second;
    for (int k = 0; k < std::abs(net); ++k) {
      const auto [a, b] = all[i].first;
      border.push_back(net > 0 ? Step{a, b} : Step{b, a});
    }
    i = j;
  }
  return border;
}

/// Points and edges of one flat filling, with the solid's vertex of each point.
struct Patch {
  std::vector<Vec2> points;
  std::vector<VertexId> vertices;
  std::vector<FlatEdge> edges;

  std::uint32_t add(Vec2 p, VertexId v) {
    points.push_back(p);
    vertices.push_back(v);
    return static_cast<std::uint32_t>(points.size() - 1);
  }
  /// A loop walked with material on its left; `is_reversed` for the rim of a feature.
  void add_loop(const Loop2& loop, const std::vector<VertexId>& ids, bool is_reversed) {
    const auto first = static_cast<std::uint32_t>(points.size()),
               n = static_cast<std::uint32_t>(loop.size());
    for (std::uint32_t i = 0; i < n; ++i) {
      add(loop[i], ids[i]);
      const std::uint32_t a = first + i, b = first + (i + 1) % n;
      edges.push_back(is_reversed ? FlatEdge{b, a} : FlatEdge{a, b});
    }
  }
};

class CapBuilder {
 public:
  explicit CapBuilder(const Solid& solid)
      : points_(solid.points().begin(), solid.points().end()),
        triangles_(solid.triangles().begin(), solid.triangles().end()),
        origins_(solid.origins().begin(), solid.origins().end()),
        is_dropped_(triangles_.size(), false) {}

  Status work(const CapWork& work) {
    if (work.features.empty()) return ok();
    Patch patch = open_patch(work);
    for (const CapFeature& feature : work.features) {
      auto built = add_feature(work.frame, feature, patch);
      if (!built) return std::move(built).error();
    }
    return fill(patch, Origin{OriginKind::cap, static_cast<std::uint32_t>(work.seam)});
  }

  Solid finish() && {
    std::vector<Triangle> kept;
    std::vector<Origin> origins;
    kept.reserve(triangles_.size());
    origins.reserve(triangles_.size());
    for (std::size_t f = 0; f < triangles_.size(); ++f) {
      if (is_dropped_[f]) continue;
      kept.push_back(triangles_[f]);
      origins.push_back(origins_[f]);
    }
    drop_unused_points(kept);
    return Solid::adopt(std::move(points_), std::move(kept), std::move(origins));
  }

 private:
  /// Takes out the cap triangles that a feature comes near; their border is what must be filled.
  Patch open_patch(const CapWork& work) {
    std::vector<Circle> circles;
    for (const CapFeature& f : work.features) circles.push_back(surrounding_circle(f));
    const Origin cap{OriginKind::cap, static_cast<std::uint32_t>(work.seam)};
    std::vector<Triangle> taken;
    for (std::size_t f = 0; f < triangles_.size(); ++f) {
      if (!(origins_[f] == cap) || is_dropped_[f]) continue;
      std::array<Vec2, 3> corners;
      for (std::size_t i = 0; i < 3; ++i)
        corners[i] = work.frame.flatten(points_[to_index(triangles_[f][i])]);
      if (std::none_of(circles.begin(), circles.end(),
                       [&](const Circle& c) { return touches(c, corners); }))
        continue;
      taken.push_back(triangles_[f]);
      is_dropped_[f] = true;
    }
    return patch_of(border_of(taken), work.frame);
  }

  Patch patch_of(const std::vector<Step>& border, const CapFrame& frame) const {
    std::vector<VertexId> ids;
    for (const Step& s : border) ids.insert(ids.end(), {s.first, s.second});
    std::sort(ids.begin(), ids.end());
    ids.erase(std::unique(ids.begin(), ids.end()), ids.end());
    Patch patch;
    for (VertexId v : ids) patch.add(frame.flatten(points_[to_index(v)]), v);
    const auto position = [&](VertexId v) {
      return static_cast<std::uint32_t>(std::lower_bound(ids.begin(), ids.end(), v) - ids.begin());
    };
    for (const Step& s : border) patch.edges.push_back({position(s.first), position(s.second)});
    return patch;
  }

  std::vector<VertexId> add_ring(const CapFrame& frame, const Ring& ring) {
    std::vector<VertexId> ids;
    for (Vec2 p : ring.points) {
      ids.push_back(to_id<VertexId>(points_.size()));
      points_.push_back(frame.lift(p, ring.height_mm));
    }
    return ids;
  }

  void add_triangle(VertexId a, VertexId b, VertexId c, Origin origin) {
    triangles_.push_back({a, b, c});
    origins_.push_back(origin);
    is_dropped_.push_back(false);
  }

  Status add_feature(const CapFrame& frame, const CapFeature& feature, Patch& patch) {
    std::vector<VertexId> ring = add_ring(frame, feature.rings.front());
    patch.add_loop(feature.rings.front().points, ring, true);
    for (std::size_t r = 1; r < feature.rings.size(); ++r) {
      const std::vector<VertexId> next = add_ring(frame, feature.rings[r]);
      for (std::size_t i = 0; i < ring.size(); ++i) {
        const std::size_t j = (i + 1) % ring.size();
        add_triangle(ring[i], ring[j], next[j], feature.origin);
        add_triangle(ring[i], next[j], next[i], feature.origin);
      }
      ring = next;
    }
    if (is_convex(feature.rings.back().points)) {
      fill_convex(ring, feature.origin);
      return ok();
    }
    Patch floor;
    floor.add_loop(feature.rings.back().points, ring, false);
    return fill(floor, feature.origin);
  }

  /// A strip to and fro across the ring: holes' floors need no general filling, which took half of
  /// the time of all keys.
  void fill_convex(const std::vector<VertexId>& ring, Origin origin) {
    std::size_t low = 0, high = ring.size() - 1;
    for (bool is_low = true; low + 1 < high; is_low = !is_low) {
      const std::size_t next = is_low ? low + 1 : high - 1;
      add_triangle(ring[low], ring[next], ring[high], origin);
      (is_low ? low : high) = next;
    }
  }

  Status fill(const Patch& patch, Origin origin) {
    auto filled = mesh_flat(patch.points, patch.edges);
    if (!filled) return std::move(filled).error();
    for (const FlatTriangle& t : *filled) {
      add_triangle(patch.vertices[t[0]], patch.vertices[t[1]], patch.vertices[t[2]], origin);
    }
    return ok();
  }

  void drop_unused_points(std::vector<Triangle>& kept) {
    std::vector<char> is_used(points_.size(), 0);
    for (const Triangle& t : kept) {
      for (VertexId v : t) is_used[to_index(v)] = 1;
    }
    std::vector<VertexId> renamed(points_.size());
    std::size_t count = 0;
    for (std::size_t v = 0; v < points_.size(); ++v) {
      if (!is_used[v]) continue;
      points_[count] = points_[v];
      renamed[v] = to_id<VertexId>(count++);
    }
    if (count == points_.size()) return;
    points_.resize(count);
    for (Triangle& t : kept) {
      for (VertexId& v : t) v = renamed[to_index(v)];
    }
  }

  std::vector<Vec3> points_;
  std::vector<Triangle> triangles_;
  std::vector<Origin> origins_;
  std::vector<char> is_dropped_;
};

}  // namespace

CapFrame::CapFrame(const Plane& plane, Side side) : is_mirrored(side == Side::above) {
  const PlaneFrame frame(plane);
  origin = frame.origin;
  u = frame.u;
  v = is_mirrored ? -frame.v : frame.v;
  out = is_mirrored ? -plane.normal : plane.normal;
}

double feature_volume_mm3(const CapFeature& feature) {
  double volume = loop_area_mm2(feature.rings.back().points) * feature.rings.back().height_mm;
  for (std::size_t r = 1; r < feature.rings.size(); ++r) {
    const Ring &top = feature.rings[r - 1], &low = feature.rings[r];
    for (std::size_t i = 0; i < top.points.size(); ++i) {
      const std::size_t j = (i + 1) % top.points.size();
      const Vec2 a = top.points[i], b = top.points[j], c = low.points[j], d = low.points[i];
      volume += cross(b - a, c - a) / 2 * (2 * top.height_mm + low.height_mm) / 3 +
                cross(c - a, d - a) / 2 * (top.height_mm + 2 * low.height_mm) / 3;
    }
  }
  return volume;
}

Result<Solid> build_on_caps(const Solid& solid, std::span<const CapWork> works) {
  CapBuilder builder(solid);
  for (const CapWork& work : works) {
    auto done = builder.work(work);
    if (!done) {
      return std::move(done).error().within(
          fmt::format("on the cap of seam S{}", static_cast<std::uint32_t>(work.seam)));
    }
  }
  return std::move(builder).finish();
}

}  // namespace seamwright::joints
