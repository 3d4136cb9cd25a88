#include "seamwright/mesh/solid.h"

#include <fmt/format.h>

#include <algorithm>
#include <cstdint>

namespace seamwright {
namespace {

std::string place(Vec3 p) {
  return fmt::format("({:.6g}, {:.6g}, {:.6g})", p.x, p.y, p.z);
}

/// Every undirected edge, bucketed by its lower vertex: a counting sort, since hashing three
/// million edges takes several times as long as laying them out.
struct EdgeBuckets {
  struct Use {
    std::uint32_t high;
    std::int32_t direction;
  };
  std::vector<std::uint32_t> starts;
  std::vector<Use> uses;

  EdgeBuckets(std::size_t point_count, std::span<const Triangle> triangles)
      : starts(point_count + 1), uses(3 * triangles.size()) {
    for_each_edge(triangles, [&](std::uint32_t a, std::uint32_t b) { ++starts[std::min(a, b)]; });
    std::uint32_t total = 0;
    for (std::uint32_t& start : starts) total += std::exchange(start, total);
    std::vector<std::uint32_t> next(starts.begin(), starts.end() - 1);
    for_each_edge(triangles, [&](std::uint32_t a, std::uint32_t b) {
      uses[next[std::min(a, b)]++] = {std::max(a, b), a < b ? 1 : -1};
    });
  }

  template <class Visit>
  static void for_each_edge(std::span<const Triangle> triangles, const Visit& visit) {
    for (const Triangle& t : triangles) {
      for (std::size_t i = 0; i < 3; ++i) {
        visit(static_cast<std::uint32_t>(t[i]), static_cast<std::uint32_t>(t[(i + 1) % 3]));
      }
    }
  }
};

struct OpenEdge {
  std::uint32_t low, high;
  int forward, backward;
};

std::optional<OpenEdge> unbalanced_in(std::span<EdgeBuckets::Use> uses, std::uint32_t low) {
  std::sort(uses.begin(), uses.end(), [](auto l, auto r) { return l.high < r.high; });
  for (std::size_t i = 0; i < uses.size();) {
    OpenEdge edge{low, uses[i].high, 0, 0};
    for (; i < uses.size() && uses[i].high == edge.high; ++i) {
      ++(uses[i].direction > 0 ? edge.forward : edge.backward);
    }
    if (edge.forward != edge.backward) return edge;
  }
  return std::nullopt;
}

std::optional<OpenEdge> first_open_edge(std::size_t point_count,
                                        std::span<const Triangle> triangles) {
  EdgeBuckets buckets(point_count, triangles);
  for (std::size_t v = 0; v < point_count; ++v) {
    const std::span<EdgeBuckets::Use> uses(buckets.uses.data() + buckets.starts[v],
                                           buckets.starts[v + 1] - buckets.starts[v]);
    if (auto edge = unbalanced_in(uses, static_cast<std::uint32_t>(v))) return edge;
  }
  return std::nullopt;
}

bool is_finite(Vec3 p) {
  return std::isfinite(p.x) && std::isfinite(p.y) && std::isfinite(p.z);
}

Status check_faces(const TriangleSoup& soup) {
  if (soup.triangles.empty()) return Error{"empty", "the mesh has no faces"};
  for (std::size_t f = 0; f < soup.triangles.size(); ++f) {
    const Triangle& t = soup.triangles[f];
    for (VertexId v : t) {
      require(to_index(v) < soup.points.size(), "a soup's triangles name points it has");
      if (!is_finite(soup.points[to_index(v)])) {
        return Error{"not-finite",
                     fmt::format("face {} has a corner that is not a finite number", f)};
      }
    }
    if (t[0] == t[1] || t[1] == t[2] || t[2] == t[0]) {
      return Error{"degenerate-face", fmt::format("face {} at {} uses a corner twice", f,
                                                  place(soup.points[to_index(t[0])]))};
    }
  }
  return ok();
}

/// Drops the points no triangle uses, keeping the others' order.
void drop_unused_points(TriangleSoup& soup) {
  constexpr auto kUnused = std::numeric_limits<std::uint32_t>::max();
  std::vector<std::uint32_t> renamed(soup.points.size(), kUnused);
  for (const Triangle& t : soup.triangles) {
    for (VertexId v : t) renamed[to_index(v)] = 0;
  }
  std::uint32_t count = 0;
  for (std::size_t v = 0; v < renamed.size(); ++v) {
    if (renamed[v] == kUnused) continue;
    soup.points[count] = soup.points[v];
    renamed[v] = count++;
  }
  if (count == soup.points.size()) return;
  soup.points.resize(count);
  for (Triangle& t : soup.triangles) {
    for (VertexId& v : t) v = VertexId{renamed[to_index(v)]};
  }
}

double signed_volume_mm3(const TriangleSoup& soup, Vec3 about) {
  double six_times = 0;
  for (const Triangle& t : soup.triangles) {
    const Vec3 a = soup.points[to_index(t[0])] - about;
    six_times +=
        dot(a, cross(soup.points[to_index(t[1])] - about, soup.points[to_index(t[2])] - about));
  }
  return six_times / 6;
}

Box3 box_of(std::span<const Vec3> points) {
  Box3 box;
  for (Vec3 p : points) box.extend(p);
  return box;
}

std::vector<Origin> skin_origins(std::size_t count) {
  std::vector<Origin> origins(count);
  for (std::size_t f = 0; f < count; ++f) origins[f].id = static_cast<std::uint32_t>(f);
  return origins;
}

}  // namespace

std::optional<std::string> find_open_edge(std::span<const Vec3> points,
                                          std::span<const Triangle> triangles) {
  const auto edge = first_open_edge(points.size(), triangles);
  if (!edge) return std::nullopt;
  return fmt::format("edge {}–{} from {} to {} has {} faces one way and {} the other", edge->low,
                     edge->high, place(points[edge->low]), place(points[edge->high]), edge->forward,
                     edge->backward);
}

Result<Solid> Solid::make(TriangleSoup soup) {
  if (Status faces = check_faces(soup); !faces) return std::move(faces).error();
  require(soup.origins.empty() || soup.origins.size() == soup.triangles.size(),
          "a soup has one origin a triangle, or none");
  drop_unused_points(soup);
  if (auto open = find_open_edge(soup.points, soup.triangles)) return Error{"not-closed", *open};
  const Box3 box = box_of(soup.points);
  if (const double volume_mm3 = signed_volume_mm3(soup, box.center()); !(volume_mm3 > 0)) {
    return Error{
        "inside-out",
        fmt::format("the faces near {} enclose {:.6g} mm³; a body encloses more than none, "
                    "with its faces turned outward",
                    place(soup.points[0]), volume_mm3)};
  }
  Solid solid;
  solid.box_ = box;
  solid.origins_ =
      soup.origins.empty() ? skin_origins(soup.triangles.size()) : std::move(soup.origins);
  solid.points_ = std::move(soup.points);
  solid.triangles_ = std::move(soup.triangles);
  return solid;
}

Solid Solid::adopt(std::vector<Vec3> points, std::vector<Triangle> triangles,
                   std::vector<Origin> origins) {
  require(origins.size() == triangles.size(), "an adopted solid has one origin a triangle");
#ifdef SEAMWRIGHT_SANITIZED
  const std::size_t point_count = points.size();
  Result<Solid> checked =
      make({std::move(points), std::move(triangles), std::move(origins), {}, {}});
  if (!checked) {
    throw std::logic_error("adopted solid: " + checked.error().code + ": " +
                           checked.error().message);
  }
  require(checked->points_.size() == point_count, "an adopted solid uses all its points");
  return std::move(checked).value();
#else
  Solid solid;
  solid.box_ = box_of(points);
  solid.points_ = std::move(points);
  solid.triangles_ = std::move(triangles);
  solid.origins_ = std::move(origins);
  return solid;
#endif
}

Solid Solid::transformed(const Transform& motion) const {
  Solid moved = *this;
  for (Vec3& p : moved.points_) p = motion.apply(p);
  moved.box_ = box_of(moved.points_);
  return moved;
}

Solid Solid::mirrored(int axis) const {
  require(axis >= 0 && axis < 3, "the axis to mirror across is 0, 1 or 2");
  Solid mirror = *this;
  for (Vec3& p : mirror.points_) p[static_cast<std::size_t>(axis)] *= -1;
  for (Triangle& t : mirror.triangles_) std::swap(t[1], t[2]);
  mirror.box_ = box_of(mirror.points_);
  return mirror;
}

}  // namespace seamwright
