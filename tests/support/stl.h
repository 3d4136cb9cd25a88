#pragma once

#include <array>
#include <cstring>
#include <fstream>
#include <iterator>
#include <map>
#include <sstream>
#include <stdexcept>
#include <string>
#include <unordered_map>

#include "seamwright/mesh/solid.h"
#include "support/places.h"

namespace seamwright::testing {

/// The plainest readers, for tests only and on purpose apart from the program's own, so that the
/// two can be held against each other.

/// All bytes of a file. Throws std::runtime_error when it can't be read: a missing part fails its
/// test.
inline std::string file_bytes(const std::string& path) {
  std::ifstream in(path, std::ios::binary);
  if (!in) throw std::runtime_error("can't read " + path);
  return {std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()};
}

namespace stl_detail {
/// A corner's three floats as bits, -0 = 0.
struct CornerKey {
  std::array<std::uint32_t, 3> bits;
  friend bool operator==(const CornerKey&, const CornerKey&) = default;
};
struct CornerHash {
  std::size_t operator()(const CornerKey& key) const {
    std::uint64_t h = 0x9e3779b97f4a7c15ULL;
    for (std::uint32_t b : key.bits) h = (h ^ b) * 0xff51afd7ed558ccdULL, h ^= h >> 32;
    return static_cast<std::size_t>(h);
  }
};
inline CornerKey key_of(std::array<float, 3> corner) {
  CornerKey key;
  for (float& x : corner) x = x == 0 ? 0.0F : x;
  std::memcpy(key.bits.data(), corner.data(), sizeof corner);
  return key;
}
}  // namespace stl_detail

/// Binary STL, corners welded by exact float position (-0 = 0), every facet kept.
inline TriangleSoup read_binary_stl(const std::string& bytes) {
  std::uint32_t count = 0;
  if (bytes.size() < 84) throw std::runtime_error("not a binary STL: shorter than its header");
  std::memcpy(&count, bytes.data() + 80, 4);
  if (bytes.size() != 84 + 50ULL * count)
    throw std::runtime_error("not a binary STL: wrong length");
  TriangleSoup soup;
  std::unordered_map<stl_detail::CornerKey, VertexId, stl_detail::CornerHash> seen;
  for (std::size_t f = 0; f < count; ++f) {
    Triangle triangle{};
    for (std::size_t k = 0; k < 3; ++k) {
      std::array<float, 3> corner;
      std::memcpy(corner.data(), bytes.data() + 84 + 50 * f + 12 * (k + 1), 12);
      const auto [at, is_new] =
          seen.try_emplace(stl_detail::key_of(corner), to_id<VertexId>(soup.points.size()));
      if (is_new) soup.points.push_back(Vec3{corner[0], corner[1], corner[2]} + Vec3{});
      triangle[k] = at->second;
    }
    soup.triangles.push_back(triangle);
  }
  return soup;
}

/// OFF as text (polygons fanned, comments skipped).
inline TriangleSoup read_off(const std::string& bytes) {
  std::string text, line;
  std::istringstream lines(bytes);
  while (std::getline(lines, line)) text += line.substr(0, line.find('#')) + "\n";
  std::istringstream in(text);
  std::string magic;
  std::size_t points = 0, faces = 0, edges = 0;
  if (!(in >> magic) || magic.find("OFF") == std::string::npos)
    throw std::runtime_error("not an OFF file");
  if (!(in >> points >> faces >> edges)) throw std::runtime_error("OFF without counts");
  std::getline(in, line);
  TriangleSoup soup;
  for (std::size_t i = 0; i < points; ++i) {
    do std::getline(in, line);
    while (in && line.find_first_not_of(" \t\r") == std::string::npos);
    std::istringstream row(line);
    Vec3 p;
    if (!(row >> p.x >> p.y >> p.z)) throw std::runtime_error("OFF point malformed");
    soup.points.push_back(p);
  }
  for (std::size_t i = 0; i < faces; ++i) {
    do std::getline(in, line);
    while (in && line.find_first_not_of(" \t\r") == std::string::npos);
    std::istringstream row(line);
    std::size_t corners = 0, a = 0, b = 0, c = 0;
    if (!(row >> corners) || corners < 3 || !(row >> a >> b))
      throw std::runtime_error("OFF face malformed");
    for (std::size_t k = 2; k < corners && row >> c; ++k, b = c) {
      soup.triangles.push_back({to_id<VertexId>(a), to_id<VertexId>(b), to_id<VertexId>(c)});
    }
  }
  return soup;
}

/// A soup as a Solid: degenerate faces and unused points are dropped, a mesh that is inside out as
/// a whole is turned. Whatever is still wrong is Solid::make's error.
inline Result<Solid> make_solid(TriangleSoup soup) {
  std::vector<VertexId> place(soup.points.size(), VertexId{~0U});
  TriangleSoup clean;
  for (Triangle t : soup.triangles) {
    if (t[0] == t[1] || t[1] == t[2] || t[2] == t[0]) continue;
    for (VertexId& v : t) {
      VertexId& at = place.at(to_index(v));
      if (at == VertexId{~0U}) {
        at = to_id<VertexId>(clean.points.size());
        clean.points.push_back(soup.points[to_index(v)]);
      }
      v = at;
    }
    clean.triangles.push_back(t);
  }
  double volume = 0;
  for (const Triangle& t : clean.triangles) {
    volume += dot(clean.points[to_index(t[0])],
                  cross(clean.points[to_index(t[1])], clean.points[to_index(t[2])]));
  }
  if (volume < 0)
    for (Triangle& t : clean.triangles) std::swap(t[1], t[2]);
  return Solid::make(std::move(clean));
}

/// A reference part by name: rod, bracket, panel, ring, shell, armadillo, elephant, camel;
/// millimetres.
inline Solid reference_part(const std::string& name) {
  return make_solid(read_binary_stl(file_bytes(parts_dir() + "/" + name + ".stl"))).value();
}
/// A mesh of Debian's libcgal-demo as it is in the archive ("anchor" → meshes/anchor.off).
inline TriangleSoup cgal_demo_mesh(const std::string& name) {
  return read_off(file_bytes(parts_dir() + "/meshes/" + name + ".off"));
}

}  // namespace seamwright::testing
