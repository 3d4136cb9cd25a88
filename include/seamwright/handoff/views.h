#pragma once

#include <string>
#include <vector>

#include "seamwright/handoff/hand_off.h"
#include "seamwright/handoff/picture.h"

namespace seamwright {

/// A finished picture: its PNG and where its pieces' marks can be written.
struct ShownPicture {
  std::string png;
  PictureSize size;
  std::vector<PictureLabel> labels;  ///< one a piece
};

/// A picture of the whole with its wiring: for each channel its line, for each pocket its mouth, as
/// shares of width and height; a pocket behind the eye lies at (−1, −1).
struct WiringPicture {
  ShownPicture picture;
  std::vector<std::vector<Vec2>> ways;
  std::vector<Vec2> pockets;
};
using WiringPictures = std::vector<WiringPicture>;  ///< from the show side, then from behind

/// The pictures of a hand-off.
struct HandOffPictures {
  ShownPicture assembled;            ///< at eye height from the show side, seams drawn
  ShownPicture apart;                ///< the same, pieces moved apart
  std::vector<ShownPicture> pieces;  ///< each standing on its bed
  WiringPictures wiring{};           ///< none without channels and pockets
  std::vector<std::string> bags{};   ///< PNG of each packed bag
};

/// A piece's colours: calm, and told apart by eyes without red, green or blue cones too. Up to 18
/// pieces all differ; with more, neighbours do.
struct PieceColours {
  Colour skin, cap;
};
std::vector<PieceColours> piece_colours(const HandOff& hand_off);

/// How far each piece moves in the picture of the pieces apart: along the line from the part's
/// centre of mass to the piece's, so that pieces on two sides of a seam part and never meet.
std::vector<Vec3> moves_apart(const HandOff& hand_off);

/// Turns the part so that its up is +z.
Transform upright_from_part(const PartFacts& part);
/// Where the viewer stands, seen from the part turned upright: before the show side, opposite the
/// worn side if that is known, a little to the right and above. Not of unit length.
Vec3 viewer_direction(const PartFacts& part);

/// Where skin meets anything else, in the piece's frame: the seams as they are seen (`is_skin`),
/// and the rims of keys, marks and channels in the joint faces. O(n log n).
struct SurfaceEdge {
  Vec3 from, to;
  bool is_skin = true;
};
std::vector<SurfaceEdge> surface_edges(const Solid& solid);

/// How large pictures are, in pixels.
struct PictureSizes {
  PictureSize whole{1240, 780};  ///< assembled, and apart
  PictureSize piece{400, 330};
};

/// Draws all pictures. The same bytes on any thread count. Errors: "cancelled".
Result<HandOffPictures> draw_pictures(const HandOff& hand_off, const PictureSizes& sizes = {},
                                      const Run& run = {});

}  // namespace seamwright
