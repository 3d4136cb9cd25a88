#pragma once

#include <cmath>
#include <numbers>
#include <span>
#include <stdexcept>
#include <utility>
#include <vector>

#include "seamwright/mesh/solid.h"

namespace seamwright::testing {

inline Solid solid_of(TriangleSoup soup) {
  Result<Solid> made = Solid::make(std::move(soup));
  if (!made) throw std::runtime_error(made.error().code + ": " + made.error().message);
  return std::move(made).value();
}

/// The axis-parallel box from `low` to `high`, two triangles a side, outward.
inline TriangleSoup box_soup(Vec3 low, Vec3 high) {
  TriangleSoup soup;
  for (int i = 0; i < 8; ++i) {
    soup.points.push_back({i & 1 ? high.x : low.x, i & 2 ? high.y : low.y, i & 4 ? high.z : low.z});
  }
  const int quads[6][4] = {{0, 2, 3, 1}, {4, 5, 7, 6}, {0, 1, 5, 4},
                           {2, 6, 7, 3}, {0, 4, 6, 2}, {1, 3, 7, 5}};
  for (const auto& q : quads) {
    const auto v = [&](int i) { return static_cast<VertexId>(q[i]); };
    soup.triangles.push_back({v(0), v(1), v(2)});
    soup.triangles.push_back({v(0), v(2), v(3)});
  }
  return soup;
}
inline Solid box_solid(Vec3 low, Vec3 high) {
  return solid_of(box_soup(low, high));
}

/// A sheet of `columns` × `rows` cells wrapped both ways (a torus) through at(i, j).
template <class At>
TriangleSoup wrapped_sheet(int columns, int rows, const At& at) {
  TriangleSoup soup;
  for (int j = 0; j < rows; ++j) {
    for (int i = 0; i < columns; ++i) soup.points.push_back(at(i, j));
  }
  const auto v = [&](int i, int j) {
    return static_cast<VertexId>((j % rows) * columns + i % columns);
  };
  for (int j = 0; j < rows; ++j) {
    for (int i = 0; i < columns; ++i) {
      soup.triangles.push_back({v(i, j), v(i + 1, j), v(i + 1, j + 1)});
      soup.triangles.push_back({v(i, j), v(i + 1, j + 1), v(i, j + 1)});
    }
  }
  return soup;
}

/// A torus about z through the origin.
inline TriangleSoup torus_soup(double ring_mm, double tube_mm, int around, int across) {
  return wrapped_sheet(around, across, [=](int i, int j) {
    const double phi = 2 * std::numbers::pi * i / around, theta = 2 * std::numbers::pi * j / across;
    const double r = ring_mm + tube_mm * std::cos(theta);
    return Vec3{r * std::cos(phi), r * std::sin(phi), tube_mm * std::sin(theta)};
  });
}

/// A sphere about `center` by latitude bands; `columns` ≥ 3, `bands` ≥ 2.
inline TriangleSoup sphere_soup(Vec3 center, double radius_mm, int columns, int bands) {
  TriangleSoup soup;
  soup.points.push_back(center + Vec3{0, 0, -radius_mm});
  for (int j = 1; j < bands; ++j) {
    const double theta = std::numbers::pi * j / bands;
    for (int i = 0; i < columns; ++i) {
      const double phi = 2 * std::numbers::pi * i / columns;
      soup.points.push_back(center + radius_mm * Vec3{std::sin(theta) * std::cos(phi),
                                                      std::sin(theta) * std::sin(phi),
                                                      -std::cos(theta)});
    }
  }
  soup.points.push_back(center + Vec3{0, 0, radius_mm});
  const auto v = [&](int j, int i) {
    if (j == 0) return VertexId{0};
    if (j == bands) return static_cast<VertexId>(soup.points.size() - 1);
    return static_cast<VertexId>(1 + (j - 1) * columns + i % columns);
  };
  for (int j = 0; j < bands; ++j) {
    for (int i = 0; i < columns; ++i) {
      if (j > 0) soup.triangles.push_back({v(j, i), v(j, i + 1), v(j + 1, i)});
      if (j + 1 < bands) soup.triangles.push_back({v(j, i + 1), v(j + 1, i + 1), v(j + 1, i)});
    }
  }
  return soup;
}

/// The same faces turned inside out: a void when merged into a body.
inline TriangleSoup flipped(TriangleSoup soup) {
  for (Triangle& t : soup.triangles) std::swap(t[1], t[2]);
  return soup;
}

/// All the soups' faces in one, points not shared.
inline TriangleSoup merged(std::vector<TriangleSoup> soups) {
  TriangleSoup all;
  for (const TriangleSoup& soup : soups) {
    const auto shift = static_cast<std::uint32_t>(all.points.size());
    all.points.insert(all.points.end(), soup.points.begin(), soup.points.end());
    for (const Triangle& t : soup.triangles) {
      const auto moved = [&](VertexId v) {
        return VertexId{static_cast<std::uint32_t>(v) + shift};
      };
      all.triangles.push_back({moved(t[0]), moved(t[1]), moved(t[2])});
    }
  }
  return all;
}

}  // namespace seamwright::testing
