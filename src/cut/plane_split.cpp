#include "cut/plane_split.h"

#include <algorithm>

namespace seamwright::cut_detail {
namespace {

constexpr double kZeroMm = 1e-6;

/// From pairs of vertices to plane points, by open addressing: only crossing edges come here.
class EdgePoints {
 public:
  EdgePoints() : slots_(1024) {}

  /// The point of edge {a, b}; `make` gives it when it is new.
  template <class Make>
  std::uint32_t find_or_make(std::uint32_t a, std::uint32_t b, const Make& make) {
    if (2 * count_ >= slots_.size()) grow();
    const std::uint64_t key = (std::uint64_t{std::min(a, b)} << 32) | std::max(a, b);
    Slot& slot = slots_[place(key)];
    if (slot.key == kFree) {
      slot = {key, make()};
      ++count_;
    }
    return slot.point;
  }

 private:
  static constexpr std::uint64_t kFree = ~std::uint64_t{0};
  struct Slot {
    std::uint64_t key = kFree;
    std::uint32_t point = 0;
  };

  std::size_t place(std::uint64_t key) const {
    std::size_t i = (key * 0x9e3779b97f4a7c15ULL >> 20) & (slots_.size() - 1);
    while (slots_[i].key != kFree && slots_[i].key != key) i = (i + 1) & (slots_.size() - 1);
    return i;
  }
  void grow() {
    std::vector<Slot> old(slots_.size() * 4);
    old.swap(slots_);
    for (const Slot& slot : old) {
      if (slot.key != kFree) slots_[place(slot.key)] = slot;
    }
  }

  std::vector<Slot> slots_;
  std::size_t count_ = 0;
};

bool comes_first(Vec3 a, Vec3 b) {
  return a.x != b.x ? a.x < b.x : a.y != b.y ? a.y < b.y : a.z < b.z;
}

class Splitter {
 public:
  Splitter(const Solid& solid, const Plane& plane)
      : solid_(solid), plane_(plane), signs_(solid.points().size()), ids_(solid.points().size()) {}

  PlaneSplit run() {
    sort_points();
    reserve_faces();
    for (std::size_t f = 0; f < solid_.face_count(); ++f) place_face(f);
    cancel_opposites(out_.edges);
    return std::move(out_);
  }

 private:
  using Corners = std::array<std::uint32_t, 3>;

  void sort_points() {
    const std::span<const Vec3> points = solid_.points();
    for (std::size_t v = 0; v < points.size(); ++v) {
      const double distance_mm = plane_.distance(points[v]);
      const int sign = (distance_mm > kZeroMm) - (distance_mm < -kZeroMm);
      signs_[v] = static_cast<std::int8_t>(sign);
      std::vector<Vec3>& home = sign > 0   ? out_.above.points
                                : sign < 0 ? out_.below.points
                                           : out_.plane_points;
      ids_[v] = static_cast<std::uint32_t>(home.size());
      home.push_back(points[v]);
    }
    out_.zero_count = out_.plane_points.size();
  }

  void reserve_faces() {
    const double total = static_cast<double>(solid_.points().size());
    for (HalfFaces* half : {&out_.above, &out_.below}) {
      const double share = static_cast<double>(half->points.size()) / total;
      const auto count =
          static_cast<std::size_t>(1.05 * share * static_cast<double>(solid_.face_count()) + 1000);
      half->triangles.reserve(count);
      half->origins.reserve(count);
    }
  }

  void place_face(std::size_t f) {
    const Triangle& t = solid_.triangles()[f];
    const Corners v{static_cast<std::uint32_t>(t[0]), static_cast<std::uint32_t>(t[1]),
                    static_cast<std::uint32_t>(t[2])};
    const int s[3] = {signs_[v[0]], signs_[v[1]], signs_[v[2]]};
    origin_ = solid_.origins()[f];
    const bool any_above = s[0] > 0 || s[1] > 0 || s[2] > 0;
    const bool any_below = s[0] < 0 || s[1] < 0 || s[2] < 0;
    if (any_above && any_below) return divide(v, s);
    // A face in the plane goes to its material side: above it when its normal points down.
    const bool is_above =
        any_above || (!any_below && dot(solid_.area_normal(to_id<FaceId>(f)), plane_.normal) < 0);
    if (!is_above) return add(out_.below, {below(v[0]), below(v[1]), below(v[2])});
    add(out_.above, {above(v[0]), above(v[1]), above(v[2])});
    if ((s[0] == 0) + (s[1] == 0) + (s[2] == 0) < 2) return;
    for (std::size_t i = 0; i < 3; ++i) {
      const std::size_t j = (i + 1) % 3;
      if (s[i] == 0 && s[j] == 0) add_edge(ids_[v[i]], ids_[v[j]]);
    }
  }

  void divide(const Corners& v, const int (&s)[3]) {
    // Turn the corners so that the first is the zero one, or else alone on its side.
    std::size_t k = 0;
    for (std::size_t i = 0; i < 3; ++i) {
      if (s[i] == 0) return divide_at_corner({v[i], v[(i + 1) % 3], v[(i + 2) % 3]});
      if (s[i] != s[(i + 1) % 3] && s[i] != s[(i + 2) % 3]) k = i;
    }
    const std::uint32_t a = v[k], b = v[(k + 1) % 3], c = v[(k + 2) % 3];
    const std::uint32_t p = edge_point(a, b), q = edge_point(c, a);
    if (s[k] > 0) {
      add(out_.above, {above(a), plane_above(p), plane_above(q)});
      add_quad(out_.below, {plane_below(p), below(b), below(c), plane_below(q)}, {p, b, c, q});
      add_edge(p, q);
    } else {
      add(out_.below, {below(a), plane_below(p), plane_below(q)});
      add_quad(out_.above, {plane_above(p), above(b), above(c), plane_above(q)}, {p, b, c, q});
      add_edge(q, p);
    }
  }

  void divide_at_corner(const Corners& v) {
    const auto [a, b, c] = v;
    const std::uint32_t p = edge_point(b, c);
    if (signs_[b] > 0) {
      add(out_.above, {above(a), above(b), plane_above(p)});
      add(out_.below, {below(a), plane_below(p), below(c)});
      add_edge(p, ids_[a]);
    } else {
      add(out_.above, {above(a), plane_above(p), above(c)});
      add(out_.below, {below(a), below(b), plane_below(p)});
      add_edge(ids_[a], p);
    }
  }

  /// Two triangles of plane point p, vertices b and c, plane point q, parted by the shorter
  /// diagonal.
  void add_quad(HalfFaces& half, const std::array<std::uint32_t, 4>& ids,
                const std::array<std::uint32_t, 4>& corners) {
    const auto [p, b, c, q] = corners;
    const Vec3 pc = solid_.points()[c] - out_.plane_points[p];
    const Vec3 qb = solid_.points()[b] - out_.plane_points[q];
    if (dot(pc, pc) <= dot(qb, qb)) {
      add(half, {ids[0], ids[1], ids[2]});
      add(half, {ids[0], ids[2], ids[3]});
    } else {
      add(half, {ids[0], ids[1], ids[3]});
      add(half, {ids[1], ids[2], ids[3]});
    }
  }

  /// One point for each mesh edge. The ends are taken in the order of their coordinates, not their
  /// indices, so that coinciding edges of touching shells are cut in the same bits.
  std::uint32_t edge_point(std::uint32_t a, std::uint32_t b) {
    return edge_points_.find_or_make(a, b, [&] {
      Vec3 from = solid_.points()[a], to = solid_.points()[b];
      if (comes_first(to, from)) std::swap(from, to);
      const double d_from = plane_.distance(from), d_to = plane_.distance(to);
      out_.plane_points.push_back(from + (to - from) * (d_from / (d_from - d_to)));
      return static_cast<std::uint32_t>(out_.plane_points.size() - 1);
    });
  }

  std::uint32_t plane_above(std::uint32_t point) const {
    return static_cast<std::uint32_t>(out_.above.points.size()) + point;
  }
  std::uint32_t plane_below(std::uint32_t point) const {
    return static_cast<std::uint32_t>(out_.below.points.size()) + point;
  }
  std::uint32_t above(std::uint32_t v) const {
    return signs_[v] == 0 ? plane_above(ids_[v]) : ids_[v];
  }
  std::uint32_t below(std::uint32_t v) const {
    return signs_[v] == 0 ? plane_below(ids_[v]) : ids_[v];
  }

  void add(HalfFaces& half, const HalfTriangle& triangle) {
    half.triangles.push_back(triangle);
    half.origins.push_back(origin_);
  }
  void add_edge(std::uint32_t from, std::uint32_t to) { out_.edges.push_back({from, to, 1}); }

  const Solid& solid_;
  const Plane& plane_;
  std::vector<std::int8_t> signs_;
  std::vector<std::uint32_t> ids_;  ///< position among the points of its home
  EdgePoints edge_points_;
  Origin origin_;
  PlaneSplit out_;
};

}  // namespace

void cancel_opposites(std::vector<SectionEdge>& edges) {
  for (SectionEdge& e : edges)
    if (e.from > e.to) e = {e.to, e.from, -e.weight};
  std::sort(edges.begin(), edges.end(), [](const SectionEdge& l, const SectionEdge& r) {
    return l.from != r.from ? l.from < r.from : l.to < r.to;
  });
  std::vector<SectionEdge> sums;
  for (const SectionEdge& e : edges) {
    if (!sums.empty() && sums.back().from == e.from && sums.back().to == e.to) {
      sums.back().weight += e.weight;
    } else {
      sums.push_back(e);
    }
  }
  std::erase_if(sums, [](const SectionEdge& e) { return e.weight == 0; });
  for (SectionEdge& e : sums) {
    if (e.weight < 0) e = {e.to, e.from, -e.weight};
  }
  edges = std::move(sums);
}

PlaneSplit split_faces(const Solid& solid, const Plane& plane) {
  return Splitter(solid, plane).run();
}

}  // namespace seamwright::cut_detail
