// Makes the parts of the demo, a lantern beetle for a night parade: the carapace, worn on the back
// (open below), and the tail fan, a bowed panel that trails behind it.
// usage: lantern_beetle DIR   writes DIR/carapace.stl and DIR/tail_fan.stl, in millimetres

#include <cmath>
#include <cstdio>
#include <fstream>
#include <functional>
#include <string>

#include "seamwright/mesh/save.h"
#include "seamwright/mesh/solid.h"

namespace seamwright {
namespace {

using Surface = std::function<Vec3(double, double)>;

double smooth_step(double from, double to, double x) {
  const double t = std::clamp((x - from) / (to - from), 0.0, 1.0);
  return t * t * (3 - 2 * t);
}

/// A bump of height 1 at x = 0 that ends smoothly at ±half_width.
double bump(double x, double half_width) {
  return 1 - smooth_step(0, half_width, std::abs(x));
}

Vec3 normal_at(const Surface& base, double u, double v) {
  const double step = 1e-4;
  return normalized(
      cross(base(u + step, v) - base(u - step, v), base(u, v + step) - base(u, v - step)));
}

/// A closed sheet over [0, 1]²: outside at `lift(u, v)` along the base's normal, inside `wall_mm`
/// below it.
struct Sheet {
  Surface base;
  std::function<double(double, double)> lift, wall_mm;
  std::size_t nu, nv;
};

class SheetBuilder {
 public:
  explicit SheetBuilder(const Sheet& sheet) : sheet_(sheet) {}

  TriangleSoup build() {
    add_points();
    for (std::size_t i = 0; i < sheet_.nu; ++i) {
      for (std::size_t j = 0; j < sheet_.nv; ++j) add_cell(i, j);
    }
    for (std::size_t i = 0; i < sheet_.nu; ++i) {
      add_wall(i, 0, i + 1, 0);
      add_wall(i + 1, sheet_.nv, i, sheet_.nv);
    }
    for (std::size_t j = 0; j < sheet_.nv; ++j) {
      add_wall(sheet_.nu, j, sheet_.nu, j + 1);
      add_wall(0, j + 1, 0, j);
    }
    return std::move(soup_);
  }

 private:
  VertexId at(bool inner, std::size_t i, std::size_t j) const {
    const std::size_t layer = inner ? (sheet_.nu + 1) * (sheet_.nv + 1) : 0;
    return to_id<VertexId>(layer + i * (sheet_.nv + 1) + j);
  }
  void add_points() {
    for (const bool inner : {false, true}) {
      for (std::size_t i = 0; i <= sheet_.nu; ++i) {
        for (std::size_t j = 0; j <= sheet_.nv; ++j) {
          const double u = static_cast<double>(i) / static_cast<double>(sheet_.nu);
          const double v = static_cast<double>(j) / static_cast<double>(sheet_.nv);
          const double height_mm = inner ? -sheet_.wall_mm(u, v) : sheet_.lift(u, v);
          soup_.points.push_back(sheet_.base(u, v) + normal_at(sheet_.base, u, v) * height_mm);
        }
      }
    }
  }
  void add_cell(std::size_t i, std::size_t j) {
    for (const bool inner : {false, true}) {
      const VertexId a = at(inner, i, j), b = at(inner, i + 1, j);
      const VertexId c = at(inner, i + 1, j + 1), d = at(inner, i, j + 1);
      const auto add = [&](VertexId p, VertexId q, VertexId r) {
        soup_.triangles.push_back(inner ? Triangle{p, r, q} : Triangle{p, q, r});
      };
      // The diagonal turns towards the middle, so that the sheet stays symmetric.
      if ((2 * i < sheet_.nu) == (2 * j < sheet_.nv)) {
        add(a, b, c), add(a, c, d);
      } else {
        add(a, b, d), add(b, c, d);
      }
    }
  }
  void add_wall(std::size_t i0, std::size_t j0, std::size_t i1, std::size_t j1) {
    const VertexId a = at(false, i0, j0), b = at(false, i1, j1);
    const VertexId c = at(true, i1, j1), d = at(true, i0, j0);
    soup_.triangles.push_back({b, a, d});
    soup_.triangles.push_back({b, d, c});
  }

  const Sheet& sheet_;
  TriangleSoup soup_;
};

/// The unit square onto the unit disc, squares onto rings (a concentric map), as radius and angle.
Vec2 disc_polar(double u, double v) {
  constexpr double kQuarter = std::numbers::pi / 4;
  const double x = 2 * u - 1, y = 2 * v - 1;
  if (std::abs(x) < 1e-12 && std::abs(y) < 1e-12) return {0, 0};
  if (std::abs(x) > std::abs(y))
    return {std::abs(x), kQuarter * (y / x) + (x < 0 ? std::numbers::pi : 0)};
  return {std::abs(y), 2 * kQuarter - kQuarter * (x / y) + (y < 0 ? std::numbers::pi : 0)};
}

/// Half a blunt ellipsoid, 640 × 460 × 190 mm, narrower towards the head (+x), open below.
Vec3 carapace_base(double u, double v) {
  const Vec2 polar = disc_polar(u, v);
  const double theta = polar.x * std::numbers::pi / 2;
  const double x = std::sin(theta) * std::cos(polar.y), y = std::sin(theta) * std::sin(polar.y);
  const double waist = 1 - 0.16 * smooth_step(-0.2, 1, x) + 0.02 * std::sin(3 * x);
  return {317 * x, 230 * y * waist, 184 * std::pow(std::max(0.0, std::cos(theta)), 0.85)};
}

/// Wing cases' seam, collar line and six long ridges, all along the skin's own grid; a bead at the
/// rim.
double carapace_lift(double u, double v) {
  const Vec2 polar = disc_polar(u, v);
  const double x = polar.x * std::cos(polar.y), y = polar.x * std::sin(polar.y);
  const double collar = bump(x - 0.42 + 0.10 * y * y, 0.035);
  const double on_wings = 1 - smooth_step(0.34, 0.40, x + 0.10 * y * y);
  const double suture = bump(y, 0.03) * on_wings;
  double ridges = 0;
  for (const double at : {0.22, 0.42, 0.62})
    ridges += bump(std::abs(y) - at * (1 - 0.25 * x * x), 0.05);
  const double inside_rim = 1 - smooth_step(0.86, 0.92, polar.x);
  const double rim = smooth_step(0.95, 0.985, polar.x);
  return inside_rim * (1.2 * ridges * on_wings * (1 - suture) - 0.8 * std::max(collar, suture)) +
         2.5 * rim;
}

/// 3 mm, and under the back's middle a keel of 15 mm that a wire can run in.
double carapace_wall_mm(double u, double v) {
  const Vec2 polar = disc_polar(u, v);
  const double x = polar.x * std::cos(polar.y), y = polar.x * std::sin(polar.y);
  const double along = smooth_step(-0.74, -0.70, x) * (1 - smooth_step(0.70, 0.74, x));
  return 3 + 12 * bump(y, 0.09) * along;
}

/// 900 mm across, bowed 70 mm, its trailing edge in five lobes.
Vec3 tail_fan_base(double u, double v) {
  const double across = 2 * u - 1;
  const double lobe = std::abs(std::sin(2.5 * std::numbers::pi * u));
  const double length_mm =
      262 + 70 * std::sqrt(std::max(0.0, 1 - 0.85 * across * across)) * (0.55 + 0.45 * lobe);
  const double fan = 1 - 0.30 * (1 - v);  // narrower where it is mounted
  return {450 * across * fan, length_mm * v, 70 * (1 - across * across) + 24 * std::sin(1.4 * v)};
}

/// Four ribs between the lobes.
double tail_fan_lift(double u, double v) {
  double ribs = 0;
  for (const double at : {0.2, 0.4, 0.6, 0.8}) ribs = std::max(ribs, bump(u - at, 0.022));
  return 1.6 * ribs * smooth_step(0.05, 0.15, v) * (1 - smooth_step(0.85, 0.95, v));
}

bool write(const std::string& path, const Sheet& sheet) {
  const Result<Solid> solid = Solid::make(SheetBuilder(sheet).build());
  if (!solid) {
    std::fprintf(stderr, "%s: %s\n", path.c_str(), solid.error().message.c_str());
    return false;
  }
  std::ofstream out(path, std::ios::binary);
  write_stl(out, *solid);
  const Vec3 size = solid->box().size();
  std::printf("%s: %zu faces, %.0f x %.0f x %.0f mm\n", path.c_str(), solid->face_count(), size.x,
              size.y, size.z);
  return static_cast<bool>(out);
}

}  // namespace
}  // namespace seamwright

int main(int argc, char** argv) {
  using namespace seamwright;
  if (argc != 2) {
    std::fprintf(stderr, "usage: lantern_beetle DIR\n");
    return 2;
  }
  const std::string dir = argv[1];
  const bool made =
      write(dir + "/carapace.stl", {carapace_base, carapace_lift, carapace_wall_mm, 96, 96}) &&
      write(dir + "/tail_fan.stl",
            {tail_fan_base, tail_fan_lift, [](double, double) { return 8.0; }, 140, 40});
  return made ? 0 : 1;
}
