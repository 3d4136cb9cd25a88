#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "seamwright/core/result.h"
#include "seamwright/mesh/triangle_soup.h"

namespace seamwright {

/// A closed, outward-oriented triangle mesh. Guarantees: every directed edge has as many opposites
/// (touching loops may give an edge four faces); no triangle repeats a corner; every point is
/// finite and used; the signed volume is positive. It may have several shells and voids, and may
/// cross itself. Immutable.
class Solid {
 public:
  /// The only door for anything that came from outside. Errors: "not-closed", "inside-out",
  /// "degenerate-face", "not-finite", "empty", each with the place. O(n).
  static Result<Solid> make(TriangleSoup soup);

  /// For results that are closed by construction (cuts, caps, keys): the same guarantees, owed by
  /// the caller; checked, and thrown on, in sanitized builds only. `origins` has one entry a
  /// triangle.
  static Solid adopt(std::vector<Vec3> points, std::vector<Triangle> triangles,
                     std::vector<Origin> origins);

  std::span<const Vec3> points() const { return points_; }
  std::span<const Triangle> triangles() const { return triangles_; }
  std::span<const Origin> origins() const { return origins_; }
  std::size_t face_count() const { return triangles_.size(); }

  Vec3 point(VertexId v) const { return points_[to_index(v)]; }
  const Triangle& triangle(FaceId f) const { return triangles_[to_index(f)]; }
  Origin origin(FaceId f) const { return origins_[to_index(f)]; }
  std::array<Vec3, 3> corners(FaceId f) const {
    const Triangle& t = triangle(f);
    return {point(t[0]), point(t[1]), point(t[2])};
  }
  /// Twice the area times the outward unit normal.
  Vec3 area_normal(FaceId f) const {
    const auto [a, b, c] = corners(f);
    return cross(b - a, c - a);
  }
  const Box3& box() const { return box_; }

  /// The solid moved rigidly. O(n).
  Solid transformed(const Transform& motion) const;
  /// The solid mirrored across the plane through the origin with the given axis (0 x, 1 y, 2 z)
  /// as normal, still oriented outward. O(n).
  Solid mirrored(int axis) const;

 private:
  Solid() = default;
  std::vector<Vec3> points_;
  std::vector<Triangle> triangles_;
  std::vector<Origin> origins_;
  Box3 box_;
};

/// The first directed edge whose opposites don't balance, as a message with the place; empty when
/// all do. O(n).
std::optional<std::string> find_open_edge(std::span<const Vec3> points,
                                          std::span<const Triangle> triangles);

}  // namespace seamwright
