#include "cut/crossing_search.h"

#include <algorithm>

#include "cut/box_tree.h"
#include "seamwright/core/parallel.h"

namespace seamwright::cut_detail {
namespace {

using Point = Inexact::Point_3;
using Corners = std::array<Vec3, 3>;

constexpr std::size_t kRunLength = 512;  // new faces
constexpr double kDoubtRatio = 1e-14;    // of a product of lengths: some dozen roundings of 2^-53

double largest(Vec3 v) {
  return std::max({std::abs(v.x), std::abs(v.y), std::abs(v.z)});
}

Point point(Vec3 p) {
  return {p.x, p.y, p.z};
}

Inexact::Triangle_3 triangle(const Corners& t) {
  return {point(t[0]), point(t[1]), point(t[2])};
}

std::array<Vertex, 3> vertices_of(const Mesh& mesh, Face face) {
  const Halfedge h = mesh.halfedge(face);
  return {mesh.source(h), mesh.target(h), mesh.target(mesh.next(h))};
}

/// Where two triangles have a corner in common: its position in each; how many they have.
struct Shared {
  std::size_t count = 0;
  std::array<std::size_t, 3> in_a{}, in_b{};
};
Shared shared_by(const std::array<Vertex, 3>& a, const std::array<Vertex, 3>& b) {
  Shared shared;
  for (std::size_t i = 0; i < 3; ++i) {
    for (std::size_t k = 0; k < 3; ++k) {
      if (a[i] != b[k]) continue;
      shared.in_a.at(shared.count) = i;
      shared.in_b.at(shared.count++) = k;
    }
  }
  return shared;
}

bool has_no_area(const Corners& t) {
  const Vec3 ab = t[1] - t[0], ac = t[2] - t[0];
  if (largest(cross(ab, ac)) > kDoubtRatio * largest(ab) * largest(ac)) return false;
  return triangle(t).is_degenerate();
}

/// Whether all of b's corners but those shared lie beyond doubt on one side of a's plane: then the
/// two meet in what they share alone.
bool parts(const Corners& a, const Corners& b, const Shared& shared, bool is_b_second) {
  const Vec3 ab = a[1] - a[0], ac = a[2] - a[0], normal = cross(ab, ac);
  const double doubt = 4 * kDoubtRatio * largest(ab) * largest(ac);
  const std::size_t skipped = shared.count == 0 ? 3 : is_b_second ? shared.in_b[0] : shared.in_a[0];
  int above = 0, below = 0;
  for (std::size_t k = 0; k < 3; ++k) {
    if (k == skipped) continue;
    const Vec3 off = b[k] - a[0];
    const double height = dot(normal, off), unsure = doubt * largest(off);
    above += height > unsure, below += height < -unsure;
  }
  const int count = shared.count == 0 ? 3 : 2;
  return above == count || below == count;
}

/// Two faces with a side in common meet elsewhere only when flat and folded onto each other.
bool folds_over(const Corners& a, const Corners& b, const Shared& shared) {
  const Vec3 p = a[shared.in_a[0]], q = a[shared.in_a[1]];
  const Vec3 r = a[3 - shared.in_a[0] - shared.in_a[1]], s = b[3 - shared.in_b[0] - shared.in_b[1]];
  const Vec3 pq = q - p, pr = r - p, ps = s - p;
  const double size = largest(pq) * largest(pr) * largest(pq) * largest(ps);
  if (dot(cross(pq, pr), cross(pq, ps)) < -16 * kDoubtRatio * size) return false;  // spread apart
  return CGAL::coplanar(point(p), point(q), point(r), point(s)) &&
         CGAL::coplanar_orientation(point(p), point(q), point(r), point(s)) == CGAL::POSITIVE;
}

bool cross_each_other(const Corners& a, const Corners& b, const Shared& shared) {
  if (shared.count == 3) return true;  // folded onto each other
  if (shared.count == 2) return folds_over(a, b, shared);
  if (parts(a, b, shared, true) || parts(b, a, shared, false)) return false;
  if (shared.count == 0) return CGAL::do_intersect(triangle(a), triangle(b));
  const auto across = [](const Corners& t, std::size_t corner) {
    return Inexact::Segment_3(point(t[(corner + 1) % 3]), point(t[(corner + 2) % 3]));
  };
  return CGAL::do_intersect(triangle(a), across(b, shared.in_b[0])) ||
         CGAL::do_intersect(triangle(b), across(a, shared.in_a[0]));
}

}  // namespace

CrossingSearch::CrossingSearch(const Mesh& mesh, const FaceNotes& notes, const Run& run)
    : run_(run) {
  places_.resize(mesh.num_vertices() + mesh.number_of_removed_vertices());
  rounded_.resize(places_.size());
  for (const Vertex v : mesh.vertices()) {
    const Vec3 p = places_[v] = point_of(mesh, v);
    rounded_[v] = {static_cast<float>(p.x), static_cast<float>(p.y), static_cast<float>(p.z)};
  }
  const auto box_of = [&](const Skin& skin) {
    Box3 box;
    for (const Vertex v : skin.corners) box.extend(places_[v]), box.extend(rounded(v));
    return box;
  };
  std::vector<Box3> boxes;
  Box3 near;
  for (const Face face : mesh.faces()) {
    skins_.push_back({vertices_of(mesh, face), notes[face].is_new});
    boxes.push_back(box_of(skins_.back()));
    if (!notes[face].is_new) continue;
    near.extend(boxes.back().low), near.extend(boxes.back().high);
  }
  std::size_t kept = 0;
  std::vector<std::uint32_t> fresh;
  for (std::size_t i = 0; i < skins_.size(); ++i) {
    if (!boxes_meet(boxes[i], near)) continue;
    if (skins_[i].is_new) fresh.push_back(static_cast<std::uint32_t>(kept));
    skins_[kept] = skins_[i];
    boxes[kept++] = boxes[i];
  }
  skins_.resize(kept), boxes.resize(kept);
  const BoxTree tree(std::move(boxes));
  meeting_ = map_index((fresh.size() + kRunLength - 1) / kRunLength, run, [&](std::size_t r) {
    std::vector<Pair> pairs;
    for (std::size_t k = r * kRunLength; k < std::min(fresh.size(), (r + 1) * kRunLength); ++k) {
      const std::uint32_t own = fresh[k];
      tree.any_meeting(box_of(skins_[own]), [&](std::uint32_t other) {
        if (!skins_[other].is_new || other > own) pairs.emplace_back(own, other);
        return false;
      });
    }
    return pairs;
  });
}

std::optional<Vec3> CrossingSearch::first_at(const auto& place) const {
  const auto corners = [&](const Skin& skin) {
    return Corners{place(skin.corners[0]), place(skin.corners[1]), place(skin.corners[2])};
  };
  for (const Skin& skin : skins_) {
    if (skin.is_new && has_no_area(corners(skin))) return place(skin.corners[1]);
  }
  const auto found = map_index(meeting_.size(), run_, [&](std::size_t r) -> std::optional<Vec3> {
    for (const auto& [own_at, other_at] : meeting_[r]) {
      const Skin &own = skins_[own_at], &other = skins_[other_at];
      const Corners of_own = corners(own), of_other = corners(other);
      if (!other.is_new && has_no_area(of_other)) continue;
      if (cross_each_other(of_own, of_other, shared_by(own.corners, other.corners)))
        return place(own.corners[1]);
    }
    return std::nullopt;
  });
  for (const std::optional<Vec3>& crossing : found)
    if (crossing) return crossing;
  return std::nullopt;
}

std::optional<Vec3> CrossingSearch::in_mesh() const {
  return first_at([this](Vertex v) { return places_[v]; });
}

std::optional<Vec3> CrossingSearch::in_floats() const {
  return first_at([this](Vertex v) { return rounded(v); });
}

}  // namespace seamwright::cut_detail
