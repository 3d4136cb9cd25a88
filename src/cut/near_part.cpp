#include "cut/near_part.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace seamwright::cut_detail {
namespace {

constexpr double kCellsAlong = 128;
constexpr int kRings = 2;  // what cleans up after a boolean reaches one face beyond what it cut

Box3 box_of(const std::array<Vec3, 3>& corners) {
  Box3 box;
  for (const Vec3& p : corners) box.extend(p);
  return box;
}

/// A coarse grid over body and tools, with the cells that hold a tool's skin or lie inside it.
class ToolCells {
 public:
  explicit ToolCells(const Box3& box) : low_(box.low) {
    const Vec3 size = box.size();
    step_mm_ = std::max({size.x, size.y, size.z, 1e-9}) * 1.0001 / kCellsAlong;
    for (std::size_t axis = 0; axis < 3; ++axis)
      count_[axis] = static_cast<std::size_t>(size[axis] / step_mm_) + 1;
    is_marked_.assign(count_[0] * count_[1] * count_[2], false);
  }

  void mark(const Solid& tool) {
    std::vector<bool> own(is_marked_.size(), false);
    for (std::size_t f = 0; f < tool.face_count(); ++f)
      each_row(box_of(tool.corners(to_id<FaceId>(f))), [&](std::size_t row, auto from, auto to) {
        for (std::size_t x = from; x <= to; ++x) own[row + x] = true;
      });
    // What lies between two cells of its skin may lie inside it.
    each_row(tool.box(), [&](std::size_t row, auto from, auto to) {
      while (from < to && !own[row + from]) ++from;
      while (to > from && !own[row + to]) --to;
      if (!own[row + from]) return;
      for (std::size_t x = from; x <= to; ++x) is_marked_[row + x] = true;
    });
  }

  bool meets(const Box3& box) const {
    bool is_met = false;
    each_row(box, [&](std::size_t row, auto from, auto to) {
      for (std::size_t x = from; x <= to && !is_met; ++x) is_met = is_marked_[row + x];
    });
    return is_met;
  }

 private:
  std::size_t cell(double mm, std::size_t axis) const {
    const double at = (mm - low_[axis]) / step_mm_;
    return static_cast<std::size_t>(std::clamp(at, 0.0, static_cast<double>(count_[axis] - 1)));
  }
  template <class Visit>
  void each_row(const Box3& box, const Visit& visit) const {
    for (std::size_t z = cell(box.low.z, 2); z <= cell(box.high.z, 2); ++z) {
      for (std::size_t y = cell(box.low.y, 1); y <= cell(box.high.y, 1); ++y)
        visit((z * count_[1] + y) * count_[0], cell(box.low.x, 0), cell(box.high.x, 0));
    }
  }

  Vec3 low_;
  double step_mm_ = 1;
  std::array<std::size_t, 3> count_{};
  std::vector<bool> is_marked_;
};

void add_ring(const Solid& body, std::vector<bool>& is_near) {
  std::vector<bool> is_reached(body.points().size(), false);
  for (std::size_t f = 0; f < is_near.size(); ++f) {
    if (!is_near[f]) continue;
    for (const VertexId v : body.triangles()[f]) is_reached[to_index(v)] = true;
  }
  for (std::size_t f = 0; f < is_near.size(); ++f) {
    for (const VertexId v : body.triangles()[f]) is_near[f] = is_near[f] || is_reached[to_index(v)];
  }
}

}  // namespace

std::vector<bool> faces_near(const Solid& body, std::span<const Tool> added,
                             std::span<const Tool> taken) {
  Box3 whole = body.box();
  for (const std::span<const Tool> tools : {added, taken}) {
    for (const Tool& tool : tools) {
      whole.extend(tool.solid.box().low);
      whole.extend(tool.solid.box().high);
    }
  }
  ToolCells cells(whole);
  for (const std::span<const Tool> tools : {added, taken})
    for (const Tool& tool : tools) cells.mark(tool.solid);
  std::vector<bool> is_near(body.face_count());
  for (std::size_t f = 0; f < is_near.size(); ++f)
    is_near[f] = cells.meets(box_of(body.corners(to_id<FaceId>(f))));
  for (int ring = 0; ring < kRings; ++ring) add_ring(body, is_near);
  return is_near;
}

std::optional<Mesh> part_of(const Solid& body, const std::vector<bool>& is_wanted) {
  Mesh mesh;
  FaceNotes notes = notes_of(mesh);
  std::vector<Vertex> place(body.points().size(), Mesh::null_vertex());
  for (std::size_t f = 0; f < body.face_count(); ++f) {
    if (!is_wanted[f]) continue;
    std::array<Vertex, 3> corners;
    for (std::size_t k = 0; k < 3; ++k) {
      Vertex& vertex = place[to_index(body.triangles()[f][k])];
      if (vertex == Mesh::null_vertex()) {
        const Vec3 p = body.points()[to_index(body.triangles()[f][k])];
        vertex = mesh.add_vertex({p.x, p.y, p.z});
      }
      corners[k] = vertex;
    }
    const Face face = mesh.add_face(corners[0], corners[1], corners[2]);
    if (face == Mesh::null_face()) return std::nullopt;
    notes[face] = {body.origins()[f], false};
  }
  return mesh;
}

Result<Solid> put_back(const Solid& body, const std::vector<bool>& is_wanted, Mesh& mesh) {
  TriangleSoup soup;
  PlaceIds known;
  add_to(soup, mesh, known);
  std::vector<bool> is_shared(body.points().size(), false);
  for (std::size_t f = 0; f < body.face_count(); ++f) {
    if (!is_wanted[f]) continue;
    for (const VertexId v : body.triangles()[f]) is_shared[to_index(v)] = true;
  }
  constexpr VertexId kNone = to_id<VertexId>(0xffffffffu);
  std::vector<VertexId> place(body.points().size(), kNone);
  for (std::size_t f = 0; f < body.face_count(); ++f) {
    if (is_wanted[f]) continue;
    Triangle triangle = body.triangles()[f];
    for (VertexId& v : triangle) {
      const Vec3 p = body.point(v);
      VertexId& at = place[to_index(v)];
      if (at == kNone) {
        const auto found = is_shared[to_index(v)] ? known.find(p) : known.end();
        at = found != known.end() ? found->second : to_id<VertexId>(soup.points.size());
        if (found == known.end()) soup.points.push_back(p);
      }
      v = at;
    }
    soup.triangles.push_back(triangle);
    soup.origins.push_back(body.origins()[f]);
  }
  return Solid::make(std::move(soup));
}

}  // namespace seamwright::cut_detail
