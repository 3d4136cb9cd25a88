#include "seamwright/joints/gauge.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "joints/cap_work.h"
#include "joints/glyphs.h"
#include "joints/outlines.h"

namespace seamwright {
namespace {

using namespace joints;

constexpr double kFloor_mm = 2;       // under the holes
constexpr double kWall_mm = 3;        // between holes, and to the plate's sides
constexpr double kLetter_mm = 5;      // high
constexpr double kEngraved_mm = 0.4;  // deep
constexpr double kLongest_mm = 180;
constexpr double kChamfer_mm = 0.6;  // of a pin's tip
constexpr double kApart_mm = 5;      // plate and pins on the bed

/// A box on z = 0 whose top is the cap of seam 1; the corner at x = 0, y = 0 may be cut off, so
/// that the row has a beginning.
Solid box_with_cap(Vec3 size, Vec2 at, double cut_corner_mm) {
  std::vector<Vec2> outline{{cut_corner_mm, 0}, {size.x, 0}, {size.x, size.y}, {0, size.y}};
  if (cut_corner_mm > 0) outline.push_back({0, cut_corner_mm});
  const std::size_t n = outline.size();
  TriangleSoup soup;
  for (double z : {0.0, size.z})
    for (Vec2 p : outline) soup.points.push_back({p.x + at.x, p.y + at.y, z});
  const auto add = [&](std::size_t a, std::size_t b, std::size_t c, Origin origin) {
    soup.triangles.push_back({to_id<VertexId>(a), to_id<VertexId>(b), to_id<VertexId>(c)});
    soup.origins.push_back(origin);
  };
  for (std::size_t i = 0; i < n; ++i) {
    const std::size_t j = (i + 1) % n;
    add(i, j, n + j, {});
    add(i, n + j, n + i, {});
    if (i == 0 || j == 0) continue;
    add(0, j, i, {});
    add(n, n + i, n + j, {OriginKind::cap, 1});
  }
  return Solid::make(std::move(soup)).value();
}

/// The plane of a box's top, seen by the box below it.
CapFrame top_frame(double height_mm) {
  return {Plane{{0, 0, 1}, height_mm}, Side::below};
}

CapFeature hole_at(const CapFrame& frame, Vec2 at, double radius_mm, double depth_mm) {
  const Loop2 outline = circumscribed_hole(frame.flatten({at.x, at.y, 0}), radius_mm);
  return {{{outline, 0}, {outline, -depth_mm}}, {OriginKind::key, 0}};
}

CapFeature pin_at(const CapFrame& frame, Vec2 at, double radius_mm, double length_mm) {
  const Vec2 center = frame.flatten({at.x, at.y, 0});
  const Loop2 outline = inscribed_circle(center, radius_mm);
  Loop2 tip;
  for (Vec2 p : outline) tip.push_back(center + (p - center) * (1 - kChamfer_mm / radius_mm));
  return {{{outline, 0}, {outline, length_mm - kChamfer_mm}, {tip, length_mm}},
          {OriginKind::key, 1}};
}

/// Engraved so that it reads along +x from above, whatever way the frame's axes lie.
void engrave(std::vector<CapFeature>& features, const CapFrame& frame, Vec2 at,
             const std::string& text) {
  const auto strokes = text_outlines(text, kLetter_mm);
  require(strokes.has_value(), "figures have glyphs");
  for (Loop2 loop : *strokes) {
    for (Vec2& p : loop) p = frame.flatten({at.x + p.x, at.y + p.y, 0});
    if (loop_area_mm2(loop) < 0) std::reverse(loop.begin(), loop.end());
    features.push_back({{{loop, 0}, {loop, -kEngraved_mm}}, {OriginKind::mark, 0}});
  }
}

}  // namespace

Result<Gauge> make_gauge(const GaugeOptions& options) {
  const double widest =
      options.diameter_mm + 2 * (options.least_mm + (options.hole_count - 1) * options.step_mm);
  const double pitch = std::max(widest, text_aspect_ratio("00") * kLetter_mm) + kWall_mm;
  const Vec3 size{options.hole_count * pitch + kWall_mm, widest + kLetter_mm + 3 * kWall_mm,
                  options.depth_mm + kFloor_mm};
  if (options.hole_count < 2 || size.x > kLongest_mm)
    return Error{
        "gauge-failed",
        fmt::format("a gauge of {} holes would be {:.0f} mm long; take 2 holes or more, and "
                    "at most {:.0f} mm",
                    options.hole_count, size.x, kLongest_mm)};
  const CapFrame frame = top_frame(size.z);
  CapWork holes{to_id<SeamId>(1), frame, {}};
  std::vector<double> clearances;
  for (int i = 0; i < options.hole_count; ++i) {
    clearances.push_back(options.least_mm + i * options.step_mm);
    const double x = kWall_mm + (i + 0.5) * pitch;
    holes.features.push_back(hole_at(frame, {x, size.y - kWall_mm - widest / 2},
                                     options.diameter_mm / 2 + clearances.back(),
                                     options.depth_mm));
    engrave(holes.features, frame, {x, kWall_mm + kLetter_mm / 2},
            fmt::format("{:02.0f}", 100 * clearances.back()));
  }
  auto plate = build_on_caps(box_with_cap(size, {}, kWall_mm), {&holes, 1});
  if (!plate) return std::move(plate).error();

  const Vec3 foot{6 * options.diameter_mm, 2 * options.diameter_mm, 3};
  const Vec2 at{0, -kApart_mm - foot.y};
  const CapFrame top = top_frame(foot.z);
  CapWork pins{to_id<SeamId>(1), top, {}};
  for (double share : {0.25, 0.75})
    pins.features.push_back(pin_at(top, at + Vec2{share * foot.x, foot.y / 2},
                                   options.diameter_mm / 2, options.depth_mm));
  auto pin_solid = build_on_caps(box_with_cap(foot, at, 0), {&pins, 1});
  if (!pin_solid) return std::move(pin_solid).error();
  return Gauge{std::move(*plate), std::move(*pin_solid), std::move(clearances)};
}

}  // namespace seamwright
