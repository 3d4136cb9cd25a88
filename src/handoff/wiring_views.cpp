#include "handoff/wiring_views.h"

namespace seamwright {
namespace {

constexpr Colour kInk{43, 37, 48};
constexpr double kEverySampleMm = 4;

struct Scene {
  PictureScene scene;
  std::vector<Vec3> framed;
};

Scene scene_of(const HandOff& hand_off, const Transform& upright) {
  const std::vector<PieceColours> colours = piece_colours(hand_off);
  Scene out;
  for (std::size_t i = 0; i < hand_off.pieces.size(); ++i) {
    const Solid& solid = hand_off.pieces[i].keyed;
    out.scene.solids.push_back({&solid, upright, colours[i].skin, colours[i].cap});
    for (const SurfaceEdge& edge : surface_edges(solid)) {
      out.scene.lines.push_back({upright.apply(edge.from), upright.apply(edge.to), kInk,
                                 edge.is_skin ? LineWeight::thin : LineWeight::hair});
    }
    for (const Vec3& p : solid.points()) out.framed.push_back(upright.apply(p));
  }
  return out;
}

std::vector<Vec2> projected(const Camera& camera, PictureSize size, const Transform& upright,
                            std::span<const Vec3> path) {
  std::vector<Vec2> line;
  Vec3 last{1e9, 1e9, 1e9};
  for (std::size_t i = 0; i < path.size(); ++i) {
    if (norm(path[i] - last) < kEverySampleMm && i + 1 < path.size()) continue;
    last = path[i];
    if (const auto at = project_point(camera, size, upright.apply(path[i]))) line.push_back(*at);
  }
  return line;
}

WiringPicture view_from(const HandOff& hand_off, const Scene& scene, const Transform& upright,
                        Vec3 viewer, PictureSize size, const Run& run) {
  const Camera camera = frame_points(scene.framed, viewer, size);
  Picture picture = render_picture(scene.scene, camera, size, run);
  WiringPicture out{{png_bytes(picture), size, std::move(picture.labels)}, {}, {}};
  for (const Channel& channel : hand_off.channels)
    out.ways.push_back(projected(camera, size, upright, channel.path));
  for (const Pocket& pocket : hand_off.pockets) {
    const auto at = project_point(camera, size, upright.apply(pocket.at));
    out.pockets.push_back(at.value_or(Vec2{-1, -1}));
  }
  return out;
}

}  // namespace

Result<WiringPictures> draw_wiring(const HandOff& hand_off, PictureSize size, const Run& run) {
  const Transform upright = upright_from_part(hand_off.part);
  const Vec3 viewer = viewer_direction(hand_off.part);
  const Scene scene = scene_of(hand_off, upright);
  if (run.should_stop()) return Error{"cancelled", "stopped while drawing the wiring"};
  WiringPictures pictures;
  pictures.push_back(view_from(hand_off, scene, upright, viewer, size, run));
  if (run.should_stop()) return Error{"cancelled", "stopped while drawing the wiring"};
  pictures.push_back(view_from(hand_off, scene, upright, -viewer, size, run));
  return pictures;
}

}  // namespace seamwright
