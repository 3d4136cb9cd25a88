#include "seams/piece_shape.h"

#include <algorithm>
#include <map>
#include <numeric>

namespace seamwright::search {
namespace {

class Sets {
 public:
  explicit Sets(std::size_t n) : parent_(n) { std::iota(parent_.begin(), parent_.end(), 0u); }
  std::uint32_t find(std::uint32_t i) {
    while (parent_[i] != i) i = parent_[i] = parent_[parent_[i]];
    return i;
  }
  void unite(std::uint32_t a, std::uint32_t b) {
    a = find(a);
    b = find(b);
    if (a != b) parent_[std::max(a, b)] = std::min(a, b);
  }

 private:
  std::vector<std::uint32_t> parent_;
};

/// One chain of a cap's boundary, as a bag.
struct CapLoop {
  std::uint32_t point = 0;  ///< any of its points
  double area_mm2 = 0;      ///< negative for a hole
  std::vector<BodyEdge> edges;
};

Vec2 flatten(const PlaneFrame& frame, const ClipBody& body, std::uint32_t v) {
  return frame.flatten(body.points[v]);
}

std::vector<CapLoop> loops_of(const BodyCap& cap, const ClipBody& body, const PlaneFrame& frame) {
  std::map<std::uint32_t, std::uint32_t> local;
  for (const BodyEdge& e : cap.edges) {
    local.try_emplace(e.from, static_cast<std::uint32_t>(local.size()));
    local.try_emplace(e.to, static_cast<std::uint32_t>(local.size()));
  }
  Sets sets(local.size());
  for (const BodyEdge& e : cap.edges) sets.unite(local[e.from], local[e.to]);
  std::map<std::uint32_t, CapLoop> loops;
  for (const BodyEdge& e : cap.edges) {
    CapLoop& loop = loops[sets.find(local[e.from])];
    loop.point = e.from;
    loop.area_mm2 += cross(flatten(frame, body, e.from), flatten(frame, body, e.to)) / 2;
    loop.edges.push_back(e);
  }
  std::vector<CapLoop> out;
  for (auto& [key, loop] : loops) out.push_back(std::move(loop));
  return out;
}

bool encloses(const CapLoop& loop, const ClipBody& body, const PlaneFrame& frame, Vec2 p) {
  bool inside = false;
  for (const BodyEdge& e : loop.edges) {
    const Vec2 a = flatten(frame, body, e.from), b = flatten(frame, body, e.to);
    if ((a.y > p.y) == (b.y > p.y)) continue;
    if (p.x < a.x + (b.x - a.x) * (p.y - a.y) / (b.y - a.y)) inside = !inside;
  }
  return inside;
}

/// Whether the cap's edges all hang together in `sets` already: then there is nothing to nest.
bool is_one_piece(const BodyCap& cap, Sets& sets) {
  const std::uint32_t first = sets.find(cap.edges.front().from);
  return std::all_of(cap.edges.begin(), cap.edges.end(),
                     [&](const BodyEdge& e) { return sets.find(e.from) == first; });
}

/// Joins the holes of a cap to the smallest loop around them: the inner wall of a tube is the same
/// piece.
void join_holes(const BodyCap& cap, const ClipBody& body, Sets& sets) {
  if (is_one_piece(cap, sets)) return;
  const PlaneFrame frame(Plane{cap.outward, cap.offset_mm});
  const std::vector<CapLoop> loops = loops_of(cap, body, frame);
  for (const CapLoop& hole : loops) {
    if (hole.area_mm2 >= 0) continue;
    const Vec2 p = flatten(frame, body, hole.point);
    const CapLoop* around = nullptr;
    for (const CapLoop& outer : loops) {
      if (outer.area_mm2 <= 0 || !encloses(outer, body, frame, p)) continue;
      if (around == nullptr || outer.area_mm2 < around->area_mm2) around = &outer;
    }
    if (around != nullptr) sets.unite(around->point, hole.point);
  }
}

Sets connect(const ClipBody& body) {
  Sets sets(body.points.size());
  for (const BodyFace& f : body.faces) {
    sets.unite(f.corners[0], f.corners[1]);
    sets.unite(f.corners[0], f.corners[2]);
  }
  for (const BodyCap& cap : body.caps) {
    for (const BodyEdge& e : cap.edges) sets.unite(e.from, e.to);
  }
  for (const BodyCap& cap : body.caps) join_holes(cap, body, sets);
  return sets;
}

/// Volume and first moments summed about a point near the body, so that little cancels.
struct Measured {
  double volume = 0;
  Vec3 moment;
  void add(Vec3 a, Vec3 b, Vec3 c) {
    const double v = dot(a, cross(b, c)) / 6;
    volume += v;
    moment += (a + b + c) * (v / 4);
  }
};

class PieceMaker {
 public:
  PieceMaker(const ClipBody& body, const SearchMesh& mesh)
      : body_(body), mesh_(mesh), sets_(connect(body)) {}

  std::vector<PieceShape> run() {
    number_pieces();
    for (const BodyFace& face : body_.faces) add_face(face);
    for (const BodyCap& cap : body_.caps) add_cap(cap);
    finish_flats();
    finish();
    return std::move(pieces_);
  }

 private:
  std::uint32_t piece_of(std::uint32_t point) { return piece_[sets_.find(point)]; }

  void number_pieces() {
    constexpr std::uint32_t kNone = ~std::uint32_t{0};
    piece_.assign(body_.points.size(), kNone);
    std::uint32_t count = 0;
    for (std::uint32_t i = 0; i < body_.points.size(); ++i) {
      const std::uint32_t root = sets_.find(i);
      if (piece_[root] == kNone) piece_[root] = count++;
    }
    pieces_.resize(count);
    measured_.resize(count);
    flats_.resize(count);
    if (count == 1) {
      pieces_[0].points.reserve(body_.points.size());
      pieces_[0].faces.reserve(body_.faces.size());
      pieces_[0].area_normals.reserve(body_.faces.size());
    }
    place_.reserve(body_.points.size());
    about_ = body_.points.empty() ? Vec3{} : body_.points[0];
    for (std::uint32_t i = 0; i < body_.points.size(); ++i) {
      std::vector<Vec3>& points = pieces_[piece_of(i)].points;
      place_.push_back(static_cast<std::uint32_t>(points.size()));
      points.push_back(body_.points[i]);
    }
  }

  void add_face(const BodyFace& face) {
    const std::uint32_t id = piece_of(face.corners[0]);
    PieceShape& piece = pieces_[id];
    const Vec3 a = body_.points[face.corners[0]], b = body_.points[face.corners[1]],
               c = body_.points[face.corners[2]];
    const Vec3 normal = cross(b - a, c - a) / 2;
    measured_[id].add(a - about_, b - about_, c - about_);
    piece.area_mm2 += norm(normal);
    const FaceFacts& facts = mesh_.facts[face.face];
    if (!facts.is_skin) return;  // no support stands in a channel
    piece.area_normals.push_back(facts.normal * norm(normal));
    piece.faces.push_back(
        {place_[face.corners[0]], place_[face.corners[1]], place_[face.corners[2]]});
    const std::uint32_t flat = facts.flat;
    if (flat == kNoFlat) return;
    FootShape& side = flats_[id][flat];
    side.area_mm2 += norm(normal);
    side.points.insert(side.points.end(), {a, b, c});
  }

  void add_cap(const BodyCap& cap) {
    std::map<std::uint32_t, FootShape> feet;
    const Vec3 pivot =
        cap.outward * cap.offset_mm + (about_ - cap.outward * dot(cap.outward, about_));
    for (const BodyEdge& e : cap.edges) {
      const std::uint32_t id = piece_of(e.from);
      const Vec3 a = body_.points[e.from], b = body_.points[e.to];
      measured_[id].add(pivot - about_, a - about_, b - about_);
      FootShape& foot = feet[id];
      foot.area_mm2 += dot(cap.outward, cross(a - pivot, b - pivot)) / 2;
      foot.points.push_back(a);
    }
    for (auto& [id, foot] : feet) {
      foot.outward = cap.outward;
      foot.offset_mm = cap.offset_mm;
      pieces_[id].area_mm2 += std::max(0.0, foot.area_mm2);
      pieces_[id].feet.push_back(std::move(foot));
    }
  }

  void finish_flats() {
    for (std::size_t id = 0; id < pieces_.size(); ++id) {
      for (auto& [flat, foot] : flats_[id]) {
        foot.outward = mesh_.flats[flat].normal;
        foot.offset_mm = mesh_.flats[flat].offset_mm;
        foot.is_cap = false;
        pieces_[id].feet.push_back(std::move(foot));
      }
    }
  }

  void finish() {
    for (std::size_t id = 0; id < pieces_.size(); ++id) {
      pieces_[id].volume_mm3 = measured_[id].volume;
      if (measured_[id].volume != 0) {
        pieces_[id].centroid = about_ + measured_[id].moment / measured_[id].volume;
      }
    }
    absorb_voids();
  }

  /// A shell without caps and with negative volume is a void: it is no piece. Its volume goes to
  /// the largest piece; which one it lies in changes a centre of mass a little, never a fit.
  void absorb_voids() {
    if (pieces_.size() < 2) return;
    const auto largest = std::max_element(
        pieces_.begin(), pieces_.end(),
        [](const PieceShape& a, const PieceShape& b) { return a.volume_mm3 < b.volume_mm3; });
    double lost = 0;
    for (const PieceShape& piece : pieces_) {
      if (piece.volume_mm3 <= 0) lost += piece.volume_mm3;
    }
    largest->volume_mm3 += lost;
    std::erase_if(pieces_, [](const PieceShape& piece) { return piece.volume_mm3 <= 0; });
  }

  const ClipBody& body_;
  const SearchMesh& mesh_;
  Sets sets_;
  std::vector<std::uint32_t> piece_, place_;
  std::vector<PieceShape> pieces_;
  std::vector<Measured> measured_;
  std::vector<std::map<std::uint32_t, FootShape>> flats_;
  Vec3 about_;
};

}  // namespace

std::vector<PieceShape> piece_shapes(const ClipBody& body, const SearchMesh& mesh) {
  return PieceMaker(body, mesh).run();
}

}  // namespace seamwright::search
