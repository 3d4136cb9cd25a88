#pragma once

#include <algorithm>
#include <map>

#include "seamwright/mesh/triangle_soup.h"

namespace seamwright::testing {

/// Ways to break a mesh, and sums to judge a mended one by.

/// Every face with corners of its own, as in an STL file that nobody welded.
inline TriangleSoup unwelded(const TriangleSoup& soup) {
  TriangleSoup out;
  for (const Triangle& t : soup.triangles) {
    Triangle own{};
    for (std::size_t k = 0; k < 3; ++k) {
      own[k] = to_id<VertexId>(out.points.size());
      out.points.push_back(soup.points[to_index(t[k])]);
    }
    out.triangles.push_back(own);
  }
  return out;
}

inline TriangleSoup without_faces(TriangleSoup soup, std::size_t first, std::size_t count) {
  const auto at = soup.triangles.begin() + static_cast<std::ptrdiff_t>(first);
  soup.triangles.erase(at, at + static_cast<std::ptrdiff_t>(count));
  return soup;
}

template <class Points, class Triangles>
double signed_volume(const Points& points, const Triangles& triangles) {
  double six = 0;
  for (const Triangle& t : triangles) {
    six += dot(points[to_index(t[0])], cross(points[to_index(t[1])], points[to_index(t[2])]));
  }
  return six / 6;
}
template <class Mesh>
double volume_of(const Mesh& mesh) {
  if constexpr (requires { mesh.face_count(); })
    return signed_volume(mesh.points(), mesh.triangles());
  else
    return signed_volume(mesh.points, mesh.triangles);
}

/// Undirected edges whose two directions are not used alike.
template <class Triangles>
std::size_t unbalanced_edges(const Triangles& triangles) {
  std::map<std::pair<VertexId, VertexId>, long long> balance;
  for (const Triangle& t : triangles) {
    for (std::size_t k = 0; k < 3; ++k) {
      const VertexId a = t[k], b = t[(k + 1) % 3];
      if (a != b) balance[std::minmax(a, b)] += a < b ? 1 : -1;
    }
  }
  return static_cast<std::size_t>(
      std::count_if(balance.begin(), balance.end(), [](const auto& e) { return e.second != 0; }));
}

}  // namespace seamwright::testing
