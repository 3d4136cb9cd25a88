#include "seams/clip_body.h"

#include <algorithm>

namespace seamwright::search {
namespace {

constexpr std::uint64_t kNoEdge = ~std::uint64_t{0};

/// Finds the cut point of an edge again: open addressing, sized once.
class CutPointTable {
 public:
  explicit CutPointTable(std::size_t edge_count) {
    std::size_t size = 16;
    while (size < 2 * edge_count) size *= 2;
    slots_.assign(size, {kNoEdge, 0});
  }
  /// The slot of the edge; its key is kNoEdge when it is new.
  std::pair<std::uint64_t, std::uint32_t>& slot(std::uint64_t key) {
    std::size_t at = (key * 0x9e3779b97f4a7c15ULL) >> 20 & (slots_.size() - 1);
    while (slots_[at].first != kNoEdge && slots_[at].first != key)
      at = (at + 1) & (slots_.size() - 1);
    return slots_[at];
  }

 private:
  std::vector<std::pair<std::uint64_t, std::uint32_t>> slots_;
};

class Clipper {
 public:
  Clipper(const ClipBody& body, const Plane& plane) : body_(body), plane_(plane) {
    measure();
    const std::size_t crossings = count_crossings();
    table_ = CutPointTable(2 * crossings);
    reserve(crossings);
  }

  BodyHalves run() {
    place_points();
    for (const BodyFace& face : body_.faces) clip_face(face);
    for (const BodyCap& cap : body_.caps) clip_cap(cap);
    finish_cap();
    clip_channels();
    share_seats();
    return {std::make_shared<const ClipBody>(std::move(above_)),
            std::make_shared<const ClipBody>(std::move(below_)), std::move(outline_)};
  }

 private:
  bool is_above(std::uint32_t v) const { return distance_[v] >= 0; }

  void measure() {
    distance_.resize(body_.points.size());
    for (std::size_t i = 0; i < distance_.size(); ++i) {
      distance_[i] = plane_.distance(body_.points[i]);
      above_count_ += distance_[i] >= 0 ? 1 : 0;
    }
    below_count_ = static_cast<std::uint32_t>(distance_.size()) - above_count_;
  }

  std::size_t count_crossings() const {
    std::size_t count = 8;
    for (const BodyFace& f : body_.faces) {
      const bool a = is_above(f.corners[0]);
      if (a != is_above(f.corners[1]) || a != is_above(f.corners[2])) count += 1;
    }
    for (const BodyCap& cap : body_.caps) {
      for (const BodyEdge& e : cap.edges) count += is_above(e.from) != is_above(e.to) ? 1 : 0;
    }
    return count;
  }

  /// Little more than is filled: plans of hundreds of small pieces are kept by the hundred. As many
  /// edges are crossed as faces, each edge being of two.
  void reserve(std::size_t crossings) {
    above_.points.reserve(above_count_ + crossings);
    below_.points.reserve(below_count_ + crossings);
    const std::size_t faces = body_.faces.size(), points = distance_.size() + 1;
    above_.faces.reserve(faces * above_count_ / points + crossings);
    below_.faces.reserve(faces * below_count_ / points + crossings);
  }

  /// A half's own points first, the cut points after them, in the same order in both halves.
  void place_points() {
    place_.resize(distance_.size());
    for (std::size_t i = 0; i < distance_.size(); ++i) {
      std::vector<Vec3>& points = distance_[i] >= 0 ? above_.points : below_.points;
      place_[i] = static_cast<std::uint32_t>(points.size());
      points.push_back(body_.points[i]);
    }
  }

  std::uint32_t cut_point(std::uint32_t a, std::uint32_t b) {
    const std::uint32_t low = std::min(a, b), high = std::max(a, b);
    const std::uint64_t key = std::uint64_t{low} << 32 | high;
    auto& [held, index] = table_.slot(key);
    if (held == kNoEdge) {
      held = key;
      index = static_cast<std::uint32_t>(above_.points.size()) - above_count_;
      const double t = distance_[low] / (distance_[low] - distance_[high]);
      const Vec3 p = body_.points[low] + (body_.points[high] - body_.points[low]) * t;
      above_.points.push_back(p);
      below_.points.push_back(p);
    }
    return index;
  }

  void clip_face(const BodyFace& face) {
    const auto& c = face.corners;
    const bool a = is_above(c[0]), b = is_above(c[1]), d = is_above(c[2]);
    if (a == b && b == d) {
      (a ? above_ : below_)
          .faces.push_back({{place_[c[0]], place_[c[1]], place_[c[2]]}, face.face});
      return;
    }
    const std::size_t lone = b == d ? 0 : a == d ? 1 : 2;
    split_face(face, c[lone], c[(lone + 1) % 3], c[(lone + 2) % 3]);
  }

  /// `lone` is alone on its side; the corners are counter-clockwise.
  void split_face(const BodyFace& face, std::uint32_t lone, std::uint32_t next,
                  std::uint32_t last) {
    const bool lone_above = is_above(lone);
    ClipBody& small = lone_above ? above_ : below_;
    ClipBody& large = lone_above ? below_ : above_;
    const std::uint32_t small_base = lone_above ? above_count_ : below_count_;
    const std::uint32_t large_base = lone_above ? below_count_ : above_count_;
    const std::uint32_t p = cut_point(lone, next), q = cut_point(lone, last);
    small.faces.push_back({{place_[lone], small_base + p, small_base + q}, face.face});
    large.faces.push_back({{large_base + p, place_[next], place_[last]}, face.face});
    large.faces.push_back({{large_base + p, place_[last], large_base + q}, face.face});
    cap_edges_.push_back(lone_above ? BodyEdge{q, p} : BodyEdge{p, q});
    outline_.push_back(
        {above_.points[above_count_ + p], above_.points[above_count_ + q], face.face});
  }

  void clip_cap(const BodyCap& cap) {
    BodyCap above{cap.outward, cap.offset_mm, {}}, below{cap.outward, cap.offset_mm, {}};
    downs_.clear();
    ups_.clear();
    for (const BodyEdge& e : cap.edges) {
      const bool from_above = is_above(e.from), to_above = is_above(e.to);
      if (from_above == to_above) {
        (from_above ? above : below).edges.push_back({place_[e.from], place_[e.to]});
        continue;
      }
      const std::uint32_t p = cut_point(e.from, e.to);
      if (from_above) {
        above.edges.push_back({place_[e.from], above_count_ + p});
        below.edges.push_back({below_count_ + p, place_[e.to]});
        downs_.push_back(p);
      } else {
        below.edges.push_back({place_[e.from], below_count_ + p});
        above.edges.push_back({above_count_ + p, place_[e.to]});
        ups_.push_back(p);
      }
    }
    join_along_line(cross(plane_.normal, cap.outward), above, below);
    if (!above.edges.empty()) above_.caps.push_back(std::move(above));
    if (!below.edges.empty()) below_.caps.push_back(std::move(below));
  }

  void join_along_line(Vec3 along, BodyCap& above, BodyCap& below) {
    const auto earlier = [&](std::uint32_t p, std::uint32_t q) {
      const double tp = dot(along, above_.points[above_count_ + p]);
      const double tq = dot(along, above_.points[above_count_ + q]);
      return tp != tq ? tp < tq : p < q;
    };
    std::sort(downs_.begin(), downs_.end(), earlier);
    std::sort(ups_.begin(), ups_.end(), earlier);
    for (std::size_t k = 0; k < std::min(downs_.size(), ups_.size()); ++k) {
      const std::uint32_t d = downs_[k], u = ups_[k];
      if (d == u) continue;
      above.edges.push_back({above_count_ + d, above_count_ + u});
      below.edges.push_back({below_count_ + u, below_count_ + d});
      cap_edges_.push_back({u, d});
    }
  }

  void finish_cap() {
    if (cap_edges_.empty()) return;
    BodyCap above{-plane_.normal, -plane_.offset_mm, {}},
        below{plane_.normal, plane_.offset_mm, {}};
    above.edges.reserve(cap_edges_.size());
    below.edges.reserve(cap_edges_.size());
    for (const BodyEdge& e : cap_edges_) {
      above.edges.push_back({above_count_ + e.from, above_count_ + e.to});
      below.edges.push_back({below_count_ + e.to, below_count_ + e.from});
    }
    above_.caps.push_back(std::move(above));
    below_.caps.push_back(std::move(below));
  }

  void clip_channels() {
    for (const auto& [a, b] : body_.channels) {
      const double da = plane_.distance(a), db = plane_.distance(b);
      if ((da >= 0) == (db >= 0)) {
        (da >= 0 ? above_ : below_).channels.push_back({a, b});
        continue;
      }
      const Vec3 p = a + (b - a) * (da / (da - db));
      (da >= 0 ? above_ : below_).channels.push_back({a, p});
      (da >= 0 ? below_ : above_).channels.push_back({p, b});
    }
  }

  void share_seats() {
    for (const BodySeat& seat : body_.seats)
      (plane_.distance(seat.middle) >= 0 ? above_ : below_).seats.push_back(seat);
  }

  const ClipBody& body_;
  const Plane& plane_;
  std::vector<double> distance_;
  std::vector<std::uint32_t> place_;
  std::uint32_t above_count_ = 0, below_count_ = 0;
  CutPointTable table_{0};
  ClipBody above_, below_;
  std::vector<BodyEdge> cap_edges_;  ///< of the upper half's new cap, between cut points
  std::vector<std::uint32_t> downs_, ups_;
  std::vector<SectionEdge> outline_;
};

}  // namespace

ClipBody whole_body(const SearchMesh& mesh) {
  ClipBody body;
  body.points = mesh.points;
  body.faces.reserve(mesh.triangles.size());
  for (std::size_t f = 0; f < mesh.triangles.size(); ++f) {
    const Triangle& t = mesh.triangles[f];
    body.faces.push_back({{static_cast<std::uint32_t>(t[0]), static_cast<std::uint32_t>(t[1]),
                           static_cast<std::uint32_t>(t[2])},
                          static_cast<std::uint32_t>(f)});
  }
  return body;
}

BodyHalves clip(const ClipBody& body, const Plane& plane) {
  return Clipper(body, plane).run();
}

}  // namespace seamwright::search
