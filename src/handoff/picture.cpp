#include "seamwright/handoff/picture.h"

#include "handoff/picture_labels.h"
#include "handoff/picture_lines.h"
#include "handoff/ray_scene.h"
#include "handoff/srgb.h"
#include "seamwright/core/parallel.h"

namespace seamwright {
namespace {

constexpr int kTile = 4;          ///< open sky is sampled over tiles of 4 × 4 pixels
constexpr int kRaysPerPixel = 4;  ///< so a tile casts 64 rays, all different
constexpr double kSkyReachRatio =
    0.6;                         ///< of the scene's diagonal: what is farther takes no sky away
constexpr int kEdgeSamples = 4;  ///< edges of things are smoothed by 4 × 4 samples a pixel

/// Directions over the upper half of the unit sphere, denser towards the pole as its light counts
/// more (cosine-weighted Hammersley points).
Vec3 sky_direction(int i, int n) {
  std::uint32_t bits = static_cast<std::uint32_t>(i);
  double turn = 0, half = 0.5;
  for (; bits != 0; bits >>= 1, half /= 2) turn += (bits & 1) != 0 ? half : 0;
  const double height2 = 1 - (i + 0.5) / n, phi = 2 * std::numbers::pi * turn;
  const double r = std::sqrt(1 - height2);
  return {r * std::cos(phi), r * std::sin(phi), std::sqrt(height2)};
}

class Renderer {
 public:
  Renderer(const PictureScene& scene, const Camera& camera, PictureSize size, const Run& run)
      : scene_(scene),
        frame_(camera, size),
        size_(size),
        run_(run),
        box_(scene_box(scene)),
        center_(box_.center()),
        reach_mm_(std::max(norm(box_.size()), 1e-3)),
        rays_(scene, reach_mm_),
        hits_(pixel_count()),
        open_(pixel_count(), 1.0F),
        soft_open_(pixel_count(), 1.0F) {
    for (const PictureSolid& shown : scene.solids) {
      skin_.push_back(to_linear(shown.skin));
      cap_.push_back(to_linear(shown.cap));
    }
    paper_ = to_linear(scene.paper);
  }

  Picture picture() {
    for_each_pixel(
        [&](int x, int y) { hits_[at(x, y)] = rays_.first_hit(frame_.ray(x + 0.5, y + 0.5)); });
    for_each_pixel([&](int x, int y) { open_[at(x, y)] = open_sky(x, y); });
    for_each_pixel([&](int x, int y) { soft_open_[at(x, y)] = smoothed_sky(x, y); });
    std::vector<Vec3> colours(pixel_count());
    for_each_pixel([&](int x, int y) { colours[at(x, y)] = pixel_colour(x, y); });
    const auto is_hidden = [&](Vec3 p) {
      return rays_.is_blocked({p, frame_.to_viewer(p)}, 0.002 * reach_mm_, 100 * reach_mm_);
    };
    draw_lines(scene_.lines, frame_, size_, is_hidden, colours);
    Picture picture{size_, std::vector<std::uint8_t>(3 * pixel_count()), {}};
    for (std::size_t i = 0; i < colours.size(); ++i) {
      const Colour shown = to_srgb(colours[i]);
      picture.rgb[3 * i] = shown.red;
      picture.rgb[3 * i + 1] = shown.green;
      picture.rgb[3 * i + 2] = shown.blue;
    }
    std::vector<int> things(pixel_count());
    for (std::size_t i = 0; i < things.size(); ++i) things[i] = hits_[i].thing;
    picture.labels = place_labels(things, size_, scene_.solids.size());
    return picture;
  }

 private:
  std::size_t pixel_count() const {
    return static_cast<std::size_t>(size_.width) * static_cast<std::size_t>(size_.height);
  }
  std::size_t at(int x, int y) const {
    return static_cast<std::size_t>(y) * static_cast<std::size_t>(size_.width) +
           static_cast<std::size_t>(x);
  }
  bool is_inside(int x, int y) const {
    return x >= 0 && y >= 0 && x < size_.width && y < size_.height;
  }

  static Box3 scene_box(const PictureScene& scene) {
    Box3 box;
    for (const PictureSolid& shown : scene.solids) {
      for (const Vec3& p : shown.solid->points()) box.extend(shown.placement.apply(p));
    }
    require(!box.is_empty(), "a picture shows a solid");
    return box;
  }

  template <class Body>
  void for_each_pixel(const Body& body) const {
    for_each_index(static_cast<std::size_t>(size_.height), run_, [&](std::size_t y) {
      for (int x = 0; x < size_.width; ++x) body(x, static_cast<int>(y));
    });
  }

  /// The share of the sky that this pixel's few rays find open.
  float open_sky(int x, int y) const {
    const SurfaceHit& hit = hits_[at(x, y)];
    if (!hit.shows_something()) return 1;
    const ViewRay view = frame_.ray(x + 0.5, y + 0.5);
    const Vec3 point = view.from + view.direction * (hit.distance_mm * (1 - 2e-5));
    if (hit.thing == rays_.ground_thing() &&
        norm(point - center_) > kSkyReachRatio * reach_mm_ + reach_mm_ / 2)
      return 1;
    const Vec3 u = any_perpendicular(hit.normal), v = cross(hit.normal, u);
    const int cell = (y % kTile) * kTile + x % kTile;
    int open_count = 0;
    for (int i = 0; i < kRaysPerPixel; ++i) {
      const Vec3 d = sky_direction(i * kTile * kTile + cell, kTile * kTile * kRaysPerPixel);
      const Vec3 direction = u * d.x + v * d.y + hit.normal * d.z;
      open_count +=
          !rays_.is_blocked({point, direction}, 5e-4 * reach_mm_, kSkyReachRatio * reach_mm_);
    }
    return static_cast<float>(open_count) / kRaysPerPixel;
  }

  bool are_alike(const SurfaceHit& a, const SurfaceHit& b) const {
    if (a.thing != b.thing || a.is_cap != b.is_cap) return false;
    if (!a.shows_something() || a.thing == rays_.ground_thing()) return true;
    return dot(a.normal, b.normal) > 0.8 &&
           std::abs(a.distance_mm - b.distance_mm) < 0.02 * reach_mm_;
  }

  /// Averages over a tile's worth of pixels of the same surface. Weights of ½ at both ends count
  /// each cell of the tile alike, so that all 64 directions weigh the same and no grain is left.
  float smoothed_sky(int x, int y) const {
    const SurfaceHit& own = hits_[at(x, y)];
    double sum = 0, weight_sum = 0;
    for (int dy = -2; dy <= 2; ++dy) {
      for (int dx = -2; dx <= 2; ++dx) {
        if (!is_inside(x + dx, y + dy) || !are_alike(own, hits_[at(x + dx, y + dy)])) continue;
        const double weight = (std::abs(dx) == 2 ? 0.5 : 1) * (std::abs(dy) == 2 ? 0.5 : 1);
        sum += weight * static_cast<double>(open_[at(x + dx, y + dy)]);
        weight_sum += weight;
      }
    }
    return static_cast<float>(sum / weight_sum);
  }

  Vec3 shade(const SurfaceHit& hit, double open, Vec3 toward_viewer) const {
    if (!hit.shows_something()) return paper_;
    if (hit.thing == rays_.ground_thing()) return paper_ * (0.5 + 0.5 * std::min(1.0, 1.14 * open));
    const Vec3 albedo = (hit.is_cap ? cap_ : skin_)[static_cast<std::size_t>(hit.thing)];
    const Vec3 lamp = normalized(toward_viewer * 0.75 + frame_.up() * 0.55 - frame_.right() * 0.45);
    const double sky = open * (0.36 + 0.22 * (0.5 + 0.5 * hit.normal.z));
    const double direct = std::max(0.0, dot(hit.normal, lamp)) * (0.35 + 0.65 * open);
    return albedo * (0.08 + sky + 0.62 * direct);
  }

  bool is_edge(int x, int y) const {
    const SurfaceHit& own = hits_[at(x, y)];
    for (const auto& [dx, dy] :
         {std::pair{1, 0}, {-1, 0}, {0, 1}, {0, -1}, {1, 1}, {-1, -1}, {1, -1}, {-1, 1}}) {
      if (!is_inside(x + dx, y + dy)) continue;
      if (!are_alike(own, hits_[at(x + dx, y + dy)])) return true;
    }
    return false;
  }

  /// The open sky of the nearest pixel that shows the same surface as a sample does.
  double borrowed_sky(const SurfaceHit& hit, int x, int y) const {
    double best = 2, open = soft_open_[at(x, y)];
    for (int dy = -1; dy <= 1; ++dy) {
      for (int dx = -1; dx <= 1; ++dx) {
        if (!is_inside(x + dx, y + dy)) continue;
        const SurfaceHit& other = hits_[at(x + dx, y + dy)];
        if (other.thing != hit.thing || other.is_cap != hit.is_cap) continue;
        const double unlike = 1 - dot(other.normal, hit.normal);
        if (unlike < best) best = unlike, open = soft_open_[at(x + dx, y + dy)];
      }
    }
    return open;
  }

  Vec3 pixel_colour(int x, int y) const {
    const SurfaceHit& own = hits_[at(x, y)];
    if (!is_edge(x, y))
      return shade(own, soft_open_[at(x, y)], -frame_.ray(x + 0.5, y + 0.5).direction);
    Vec3 sum;
    for (int i = 0; i < kEdgeSamples * kEdgeSamples; ++i) {
      const double sx = x + (i % kEdgeSamples + 0.5) / kEdgeSamples,
                   sy = y + (i / kEdgeSamples + 0.5) / kEdgeSamples;
      const ViewRay ray = frame_.ray(sx, sy);
      const SurfaceHit hit = rays_.first_hit(ray);
      sum += shade(hit, borrowed_sky(hit, x, y), -ray.direction);
    }
    return sum / (kEdgeSamples * kEdgeSamples);
  }

  const PictureScene& scene_;
  ViewFrame frame_;
  PictureSize size_;
  const Run& run_;
  Box3 box_;
  Vec3 center_;
  double reach_mm_;
  RayScene rays_;
  std::vector<SurfaceHit> hits_;
  std::vector<float> open_, soft_open_;
  std::vector<Vec3> skin_, cap_;
  Vec3 paper_;
};

}  // namespace

Picture render_picture(const PictureScene& scene, const Camera& camera, PictureSize size,
                       const Run& run) {
  return Renderer(scene, camera, size, run).picture();
}

}  // namespace seamwright
