#include "seamwright/query/section.h"

#include <numbers>

namespace seamwright {
namespace {

/// An undirected mesh edge as one number, its lower vertex first.
using EdgeKey = std::uint64_t;
EdgeKey edge_key(VertexId a, VertexId b) {
  const EdgeKey low = to_index(std::min(a, b)), high = to_index(std::max(a, b));
  return (low << 32) | high;
}

/// The part of the section inside one face: it comes in over `from` and leaves over `to`.
struct Crossing {
  EdgeKey from, to;
  FaceId face;
};

/// Going around an outward face, the section (material on its left) runs from the edge that goes
/// down to the edge that goes up.
std::vector<Crossing> find_crossings(const Solid& solid, const std::vector<double>& distance) {
  std::vector<Crossing> crossings;
  for (std::size_t f = 0; f < solid.face_count(); ++f) {
    const Triangle& t = solid.triangles()[f];
    std::array<bool, 3> above{};
    for (std::size_t k = 0; k < 3; ++k) above[k] = distance[to_index(t[k])] >= 0;
    if (above[0] == above[1] && above[1] == above[2]) continue;
    Crossing crossing{0, 0, to_id<FaceId>(f)};
    for (std::size_t k = 0; k < 3; ++k) {
      const std::size_t next = (k + 1) % 3;
      if (above[k] && !above[next]) crossing.from = edge_key(t[k], t[next]);
      if (!above[k] && above[next]) crossing.to = edge_key(t[k], t[next]);
    }
    crossings.push_back(crossing);
  }
  return crossings;
}

/// Chains crossings into closed loops and places their points.
class Chainer {
 public:
  Chainer(const Solid& solid, const Plane& plane) : solid_(solid), frame_(plane) {
    distance_.reserve(solid.points().size());
    for (Vec3 p : solid.points()) distance_.push_back(plane.distance(p));
    crossings_ = find_crossings(solid, distance_);
    std::sort(crossings_.begin(), crossings_.end(), [](const Crossing& a, const Crossing& b) {
      return a.from != b.from ? a.from < b.from : a.face < b.face;
    });
    used_.assign(crossings_.size(), false);
  }

  std::vector<SectionLoop> chain() {
    std::vector<SectionLoop> loops;
    for (std::size_t start = 0; start < crossings_.size(); ++start) {
      if (used_[start]) continue;
      SectionLoop loop = follow(start);
      if (loop.points.size() >= 3) loops.push_back(std::move(loop));
    }
    return loops;
  }

 private:
  /// The point of an edge is made from its lower vertex on, so all its faces agree on it; a vertex
  /// in the plane is the point itself.
  Vec2 place(EdgeKey edge) const {
    const std::size_t a = edge >> 32, b = edge & 0xffffffffU;
    const Vec3 p = solid_.points()[a], q = solid_.points()[b];
    if (distance_[a] == 0) return frame_.flatten(p);
    if (distance_[b] == 0) return frame_.flatten(q);
    return frame_.flatten(p + (q - p) * (distance_[a] / (distance_[a] - distance_[b])));
  }

  SectionLoop follow(std::size_t start) {
    SectionLoop loop;
    std::size_t at = start;
    while (!used_[at]) {
      used_[at] = true;
      const Crossing& crossing = crossings_[at];
      const Vec2 point = place(crossing.from);
      if (!loop.points.empty() && loop.points.back() == point) {
        loop.faces.back() = crossing.face;  // a face that the plane only touches at a corner
      } else {
        loop.points.push_back(point);
        loop.faces.push_back(crossing.face);
      }
      at = next_of(crossing, start);
    }
    while (loop.points.size() > 1 && loop.points.back() == loop.points.front()) {
      loop.points.pop_back();
      loop.faces.pop_back();
    }
    return loop;
  }

  /// The crossing that goes on where this one leaves: mostly there is one; at an edge of four faces
  /// the first one clockwise from where we came from, which keeps touching loops apart.
  std::size_t next_of(const Crossing& crossing, std::size_t start) const {
    const auto [first, last] =
        std::ranges::equal_range(crossings_, crossing.to, {}, &Crossing::from);
    std::size_t best = start;
    double best_turn = std::numeric_limits<double>::infinity();
    for (auto it = first; it != last; ++it) {
      const std::size_t i = static_cast<std::size_t>(it - crossings_.begin());
      if (used_[i] && i != start) continue;
      if (last - first == 1) return i;
      const double turn = clockwise_turn(crossing, *it);
      if (turn < best_turn) best = i, best_turn = turn;
    }
    return best;
  }

  double clockwise_turn(const Crossing& in, const Crossing& out) const {
    const Vec2 back = place(in.from) - place(in.to), ahead = place(out.to) - place(out.from);
    const double turn = std::atan2(back.y, back.x) - std::atan2(ahead.y, ahead.x);
    return turn > 0 ? turn : turn + 2 * std::numbers::pi;
  }

  const Solid& solid_;
  PlaneFrame frame_;
  std::vector<double> distance_;
  std::vector<Crossing> crossings_;  // by `from`
  std::vector<bool> used_;
};

}  // namespace

std::vector<SectionLoop> section(const Solid& solid, const Plane& plane) {
  return Chainer(solid, plane).chain();
}

}  // namespace seamwright
