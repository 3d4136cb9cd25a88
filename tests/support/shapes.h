#pragma once

#include <array>
#include <cmath>
#include <map>
#include <numbers>
#include <utility>
#include <vector>

#include "seamwright/mesh/solid.h"

namespace seamwright::testing {

/// Shapes with closed forms, built in code; all in mm, outward, closed. Origins: skin, id =
/// position.

namespace shapes_detail {
inline Solid solid_of(std::vector<Vec3> points,
                      const std::vector<std::array<std::size_t, 3>>& faces) {
  TriangleSoup soup;
  soup.points = std::move(points);
  for (const auto& f : faces) {
    soup.triangles.push_back({to_id<VertexId>(f[0]), to_id<VertexId>(f[1]), to_id<VertexId>(f[2])});
  }
  return Solid::make(std::move(soup)).value();
}

/// A closed ring of cross-sections: `turns` stations of `around` points each, joined to the first
/// again.
template <class At>
Solid revolve(std::size_t turns, std::size_t around, const At& at) {
  std::vector<Vec3> points;
  std::vector<std::array<std::size_t, 3>> faces;
  for (std::size_t i = 0; i < turns; ++i) {
    for (std::size_t k = 0; k < around; ++k) points.push_back(at(i, k));
  }
  for (std::size_t i = 0; i < turns; ++i) {
    for (std::size_t k = 0; k < around; ++k) {
      const std::size_t i2 = (i + 1) % turns, k2 = (k + 1) % around;
      const std::size_t a = i * around + k, b = i2 * around + k, c = i2 * around + k2,
                        d = i * around + k2;
      faces.push_back({a, b, c});
      faces.push_back({a, c, d});
    }
  }
  return solid_of(std::move(points), faces);
}
inline double turn(std::size_t i, std::size_t n) {
  return 2 * std::numbers::pi * static_cast<double>(i) / static_cast<double>(n);
}
}  // namespace shapes_detail

/// Twelve faces; the low corner at `low`.
inline Solid make_box(Vec3 size, Vec3 low = {}) {
  std::vector<Vec3> points;
  for (std::size_t i = 0; i < 8; ++i) {
    points.push_back(low + Vec3{(i & 1) ? size.x : 0, (i & 2) ? size.y : 0, (i & 4) ? size.z : 0});
  }
  return shapes_detail::solid_of(std::move(points), {{0, 2, 3},
                                                     {0, 3, 1},
                                                     {4, 5, 7},
                                                     {4, 7, 6},
                                                     {0, 1, 5},
                                                     {0, 5, 4},
                                                     {2, 6, 7},
                                                     {2, 7, 3},
                                                     {0, 4, 6},
                                                     {0, 6, 2},
                                                     {1, 3, 7},
                                                     {1, 7, 5}});
}

/// Every face split in four, `times` times; flat faces stay flat. Origin ids start anew.
inline Solid subdivide(const Solid& solid, int times) {
  std::vector<Vec3> points(solid.points().begin(), solid.points().end());
  std::vector<std::array<std::size_t, 3>> faces;
  for (const Triangle& t : solid.triangles())
    faces.push_back({to_index(t[0]), to_index(t[1]), to_index(t[2])});
  for (int round = 0; round < times; ++round) {
    std::map<std::pair<std::size_t, std::size_t>, std::size_t> middles;
    std::vector<std::array<std::size_t, 3>> finer;
    const auto middle = [&](std::size_t a, std::size_t b) {
      const auto [at, is_new] = middles.try_emplace(std::minmax(a, b), points.size());
      if (is_new) points.push_back((points[a] + points[b]) / 2);
      return at->second;
    };
    for (const auto& [a, b, c] : faces) {
      const std::size_t x = middle(a, b), y = middle(b, c), z = middle(c, a);
      finer.insert(finer.end(), {{a, x, z}, {x, b, y}, {z, y, c}, {x, y, z}});
    }
    faces = std::move(finer);
  }
  return shapes_detail::solid_of(std::move(points), faces);
}

/// A frustum about z from z = 0 (radius `low`) to `height` (radius `high`), its rim points on the
/// circles.
inline Solid make_frustum(double low, double high, double height, std::size_t segments = 64) {
  std::vector<Vec3> points{{0, 0, 0}, {0, 0, height}};
  std::vector<std::array<std::size_t, 3>> faces;
  for (std::size_t i = 0; i < segments; ++i) {
    const double a = shapes_detail::turn(i, segments), c = std::cos(a), s = std::sin(a);
    points.push_back({low * c, low * s, 0});
    points.push_back({high * c, high * s, height});
  }
  for (std::size_t i = 0; i < segments; ++i) {
    const std::size_t a = 2 + 2 * i, b = 2 + 2 * ((i + 1) % segments);
    faces.insert(faces.end(), {{0, b, a}, {1, a + 1, b + 1}, {a, b, b + 1}, {a, b + 1, a + 1}});
  }
  return shapes_detail::solid_of(std::move(points), faces);
}
inline Solid make_cylinder(double radius, double height, std::size_t segments = 64) {
  return make_frustum(radius, radius, height, segments);
}

/// A round tube about z, open at both ends, from z = 0 to `height`.
inline Solid make_tube(double outer, double inner, double height, std::size_t segments = 64) {
  return shapes_detail::revolve(segments, 4, [=](std::size_t i, std::size_t k) {
    const double a = shapes_detail::turn(i, segments), r = k == 0 || k == 3 ? inner : outer;
    return Vec3{r * std::cos(a), r * std::sin(a), k < 2 ? 0 : height};
  });
}

/// A torus about z: `ring` the radius of the centre circle, `pipe` of the pipe.
inline Solid make_torus(double ring, double pipe, std::size_t turns = 96, std::size_t around = 48) {
  return shapes_detail::revolve(turns, around, [=](std::size_t i, std::size_t k) {
    const double a = shapes_detail::turn(i, turns), b = shapes_detail::turn(k, around);
    const double r = ring + pipe * std::cos(b);
    return Vec3{r * std::cos(a), r * std::sin(a), pipe * std::sin(b)};
  });
}

/// The regular icosahedron about the origin, corners at distance `radius` (edge = radius /
/// 0.9510565163).
inline Solid make_icosahedron(double radius) {
  const double g = std::numbers::phi;
  std::vector<Vec3> points{{-1, g, 0}, {1, g, 0}, {-1, -g, 0}, {1, -g, 0},
                           {0, -1, g}, {0, 1, g}, {0, -1, -g}, {0, 1, -g},
                           {g, 0, -1}, {g, 0, 1}, {-g, 0, -1}, {-g, 0, 1}};
  for (Vec3& p : points) p = normalized(p) * radius;
  return shapes_detail::solid_of(
      std::move(points),
      {{0, 11, 5},  {0, 5, 1},  {0, 1, 7},  {0, 7, 10}, {0, 10, 11}, {1, 5, 9}, {5, 11, 4},
       {11, 10, 2}, {10, 7, 6}, {7, 1, 8},  {3, 9, 4},  {3, 4, 2},   {3, 2, 6}, {3, 6, 8},
       {3, 8, 9},   {4, 9, 5},  {2, 4, 11}, {6, 2, 10}, {8, 6, 7},   {9, 8, 1}});
}

/// An icosphere about the origin, its corners on the sphere; 20 · 4^rounds faces.
inline Solid make_sphere(double radius, int rounds = 4) {
  const Solid ico = subdivide(make_icosahedron(1), 0);
  std::vector<Vec3> points(ico.points().begin(), ico.points().end());
  std::vector<std::array<std::size_t, 3>> faces;
  for (const Triangle& t : ico.triangles())
    faces.push_back({to_index(t[0]), to_index(t[1]), to_index(t[2])});
  for (int round = 0; round < rounds; ++round) {
    const Solid finer = subdivide(shapes_detail::solid_of(points, faces), 1);
    points.assign(finer.points().begin(), finer.points().end());
    for (Vec3& p : points) p = normalized(p);
    faces.clear();
    for (const Triangle& t : finer.triangles())
      faces.push_back({to_index(t[0]), to_index(t[1]), to_index(t[2])});
  }
  for (Vec3& p : points) p = p * radius;
  return shapes_detail::solid_of(std::move(points), faces);
}

}  // namespace seamwright::testing
