#include "handoff/bag_view.h"

namespace seamwright {
namespace {

std::vector<Vec3> corners_of(Vec3 size) {
  std::vector<Vec3> corners;
  for (std::size_t i = 0; i < 8; ++i)
    corners.push_back(
        {(i & 1) != 0 ? size.x : 0, (i & 2) != 0 ? size.y : 0, (i & 4) != 0 ? size.z : 0});
  return corners;
}

void add_edges(PictureScene& scene, const std::vector<Vec3>& corners) {
  constexpr Colour kEdge{93, 59, 107};
  for (std::size_t i = 0; i < 8; ++i) {
    for (const std::size_t bit : {1u, 2u, 4u}) {
      if ((i & bit) == 0)
        scene.lines.push_back({corners[i], corners[i | bit], kEdge, LineWeight::medium});
    }
  }
}

}  // namespace

std::vector<std::string> bag_views(const HandOff& hand_off, PictureSize size, const Run& run) {
  std::vector<std::string> pictures;
  if (!hand_off.bags) return pictures;
  const std::vector<PieceColours> colours = piece_colours(hand_off);
  for (const PackedBag& packed : hand_off.bags->bags) {
    PictureScene scene;
    for (const BagPlace& place : packed.packing.places) {
      for (const std::size_t piece : hand_off.bags->groups.at(place.item)) {
        scene.solids.push_back({&hand_off.pieces[piece].keyed, place.bag_from_part,
                                colours[piece].skin, colours[piece].cap});
      }
    }
    const std::vector<Vec3> corners = corners_of(packed.bag.inner_mm);
    add_edges(scene, corners);
    scene.ground = PictureGround{0};
    const Camera camera = frame_points(corners, {0.5, -0.9, 0.75}, size);
    pictures.push_back(scene.solids.empty() ? ""
                                            : png_bytes(render_picture(scene, camera, size, run)));
  }
  return pictures;
}

}  // namespace seamwright
