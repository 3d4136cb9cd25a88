#include "seamwright/handoff/corner_pads.h"

#include "seamwright/core/circle.h"

namespace seamwright {
namespace {

void add_disc(const CornerPad& pad, double thickness_mm, std::vector<Vec3>& points,
              std::vector<Triangle>& triangles) {
  const Loop2 circle = inscribed_circle(pad.at_mm, pad.diameter_mm / 2);
  const std::size_t sides = circle.size(), first = points.size();
  for (const Vec2 p : circle) {
    points.push_back({p.x, p.y, 0});
    points.push_back({p.x, p.y, thickness_mm});
  }
  const auto low = [&](std::size_t i) { return to_id<VertexId>(first + 2 * (i % sides)); };
  const auto high = [&](std::size_t i) { return to_id<VertexId>(first + 2 * (i % sides) + 1); };
  for (std::size_t i = 0; i < sides; ++i) {
    triangles.push_back({low(i), low(i + 1), high(i + 1)});
    triangles.push_back({low(i), high(i + 1), high(i)});
    if (i == 0 || i + 1 == sides) continue;
    triangles.push_back({low(0), low(i + 1), low(i)});
    triangles.push_back({high(0), high(i), high(i + 1)});
  }
}

}  // namespace

std::string pads_file(const FinishedPiece& piece) {
  return "pads/" + piece.mark + ".stl";
}

Solid pads_solid(std::span<const CornerPad> pads, double thickness_mm) {
  require(!pads.empty(), "there is a pad");
  std::vector<Vec3> points;
  std::vector<Triangle> triangles;
  for (const CornerPad& pad : pads) add_disc(pad, thickness_mm, points, triangles);
  std::vector<Origin> origins(triangles.size());
  return Solid::adopt(std::move(points), std::move(triangles), std::move(origins));
}

Solid pads_in_file(const FinishedPiece& piece, const Material& material, double thickness_mm) {
  const FileScale scale = file_scale(piece, material);
  std::vector<CornerPad> pads = piece.pads;
  for (CornerPad& pad : pads) {
    pad.at_mm = pad.at_mm * scale.scale_ratio + Vec2{scale.shift_mm.x, scale.shift_mm.y};
  }
  return pads_solid(pads, thickness_mm);
}

}  // namespace seamwright
