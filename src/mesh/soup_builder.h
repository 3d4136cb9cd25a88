#pragma once

#include <map>
#include <span>
#include <string>
#include <vector>

#include "mesh/point_table.h"
#include "mesh/polygon.h"
#include "seamwright/mesh/triangle_soup.h"

namespace seamwright {

/// A soup in the making: points welded by exact position, polygons divided, groups by name.
class SoupBuilder {
 public:
  explicit SoupBuilder(std::size_t expected_points) : table_(expected_points) {}

  VertexId add_point(Vec3 p) {
    const std::uint32_t number = table_.number_of({p.x, p.y, p.z});
    if (number == soup_.points.size()) {
      const auto& key = table_.keys()[number];
      soup_.points.push_back({key[0], key[1], key[2]});
    }
    return to_id<VertexId>(number);
  }
  /// Faces from here on belong to the group.
  void enter_group(const std::string& name) {
    if (has_faces() && !has_groups()) add_group("");  // what came before had none
    group_ = add_group(name);
    soup_.groups.resize(soup_.triangles.size(), 0);
  }
  void add_face(std::span<const VertexId> polygon) {
    if (polygon.size() == 3) {
      soup_.triangles.push_back({polygon[0], polygon[1], polygon[2]});
    } else {
      const std::vector<Triangle> parts = triangulate_polygon(polygon, soup_.points);
      soup_.triangles.insert(soup_.triangles.end(), parts.begin(), parts.end());
    }
    if (!soup_.group_names.empty()) soup_.groups.resize(soup_.triangles.size(), group_);
  }
  bool has_faces() const { return !soup_.triangles.empty(); }
  bool has_groups() const { return !soup_.group_names.empty(); }
  TriangleSoup take() { return std::move(soup_); }

 private:
  std::uint32_t add_group(const std::string& name) {
    const auto [at, is_new] =
        group_numbers_.try_emplace(name, static_cast<std::uint32_t>(soup_.group_names.size()));
    if (is_new) soup_.group_names.push_back(name);
    return at->second;
  }

  PointTable<double> table_;
  TriangleSoup soup_;
  std::map<std::string, std::uint32_t> group_numbers_;
  std::uint32_t group_ = 0;
};

}  // namespace seamwright
