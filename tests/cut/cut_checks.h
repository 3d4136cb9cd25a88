#pragma once

#include <fmt/format.h>

#include <algorithm>
#include <string>

#include "seamwright/core/random.h"
#include "seamwright/cut/plane_cut.h"
#include "seamwright/query/mass_properties.h"
#include "support/stl.h"

namespace seamwright::testing {

/// What is wrong with one half of a cut; empty when it keeps every guarantee of plane_cut.
inline std::string half_fault(const Solid& half, const Plane& plane, SeamId seam, bool is_above,
                              double& caps_mm2) {
  if (auto open = find_open_edge(half.points(), half.triangles())) return "open: " + *open;
  if (!(volume_mm3(half) > 0)) return "no volume";
  std::vector<bool> used(half.points().size());
  for (std::size_t f = 0; f < half.face_count(); ++f) {
    const auto [a, b, c] = half.triangles()[f];
    if (a == b || b == c || c == a) return "a face repeats a corner";
    for (VertexId v : {a, b, c}) used[to_index(v)] = true;
    if (half.origins()[f] != Origin{OriginKind::cap, static_cast<std::uint32_t>(seam)}) continue;
    caps_mm2 += dot(half.area_normal(to_id<FaceId>(f)), plane.normal) / 2;
    for (VertexId v : {a, b, c}) {
      if (std::abs(plane.distance(half.point(v))) > 1.001e-6) return "a cap leaves its plane";
    }
  }
  if (std::find(used.begin(), used.end(), false) != used.end()) return "a point is not used";
  for (Vec3 p : half.points()) {
    if ((is_above ? 1 : -1) * plane.distance(p) < -1.001e-6) return "a point is on the wrong side";
  }
  return "";
}

/// What is wrong with a cut; empty when it keeps every guarantee of plane_cut.
inline std::string cut_fault(const Solid& solid, const Plane& plane, SeamId seam,
                             const Result<CutHalves>& made) {
  if (!made) return made.error().code + ": " + made.error().message;
  const CutHalves& cut = *made;
  if (!cut.above && !cut.below) return "both halves are empty";
  if (!cut.above || !cut.below) {
    const Solid& whole = cut.above ? *cut.above : *cut.below;
    return std::ranges::equal(whole.triangles(), solid.triangles()) ? "" : "a missed solid changed";
  }
  double above_mm2 = 0, below_mm2 = 0;
  std::string fault = half_fault(*cut.above, plane, seam, true, above_mm2);
  if (fault.empty()) fault = half_fault(*cut.below, plane, seam, false, below_mm2);
  if (!fault.empty()) return fault;
  if (std::abs(above_mm2 + below_mm2) > 1e-12 * (1 + std::abs(below_mm2))) return "the caps differ";
  const double whole = volume_mm3(solid), sum = volume_mm3(*cut.above) + volume_mm3(*cut.below);
  if (std::abs(sum - whole) > 1e-12 * whole)
    return fmt::format("volumes are off by {}", sum / whole - 1);
  return "";
}

/// A plane meant to be hard to cut by: through corners, along edges, in faces, next to them, on
/// axes, at the very ends, or merely random. `kind` is 0…8.
inline Plane nasty_plane(const Solid& solid, Random& random, int kind) {
  const auto any_point = [&] { return solid.points()[random.below(solid.points().size())]; };
  const auto corners = solid.corners(to_id<FaceId>(random.below(solid.face_count())));
  const Box3& box = solid.box();
  const auto through = [](Vec3 normal, Vec3 p) {
    const Vec3 unit = normal == Vec3{} ? Vec3{0, 0, 1} : normalized(normal);
    return Plane{unit, dot(unit, p)};
  };
  Vec3 axis{};
  axis[random.below(3)] = random.below(2) ? 1 : -1;
  const Vec3 inside{random.uniform(box.low.x, box.high.x), random.uniform(box.low.y, box.high.y),
                    random.uniform(box.low.z, box.high.z)};
  switch (kind) {
    case 0:
      return through(random.direction(), inside);
    case 1:
      return through(axis, any_point());
    case 2:
      return through(random.direction(), any_point());
    case 3: {
      const Vec3 a = any_point(), b = any_point(), c = any_point();
      return through(cross(b - a, c - a), a);
    }
    case 4:
      return through(cross(corners[1] - corners[0], corners[2] - corners[0]), corners[0]);
    case 5:
      return through(cross(corners[1] - corners[0], random.direction()), corners[0]);
    case 6: {
      Plane plane = through(axis, any_point());
      plane.offset_mm += random.uniform(-3e-6, 3e-6);
      return plane;
    }
    case 7:
      return through(axis, inside);
    default: {
      const Vec3 normal = random.direction();
      double top = -Box3::kFar;
      for (Vec3 p : solid.points()) top = std::max(top, dot(normal, p));
      return {normal, top - random.uniform(0, 4e-6) * (random.below(2) ? 1 : 1e4)};
    }
  }
}
constexpr int kNastyKinds = 9;

/// An open-data mesh, its longest side 600 mm; rounded to a grid when `grid_mm` is not 0, which
/// makes faces flat, fold and touch. An error where the file holds no closed mesh.
inline Result<Solid> try_sized_mesh(const std::string& name, double grid_mm = 0) {
  TriangleSoup soup = cgal_demo_mesh(name);
  Box3 box;
  for (Vec3 p : soup.points) box.extend(p);
  const Vec3 size = box.size();
  const double scale = 600 / std::max({size.x, size.y, size.z});
  for (Vec3& p : soup.points) {
    p = (p - box.low) * scale;
    if (grid_mm > 0) {
      p = Vec3{std::round(p.x / grid_mm), std::round(p.y / grid_mm), std::round(p.z / grid_mm)} *
          grid_mm;
    }
  }
  return make_solid(std::move(soup));
}
inline Solid sized_mesh(const std::string& name, double grid_mm = 0) {
  return try_sized_mesh(name, grid_mm).value();
}

}  // namespace seamwright::testing
