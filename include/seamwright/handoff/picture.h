#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "seamwright/core/run.h"
#include "seamwright/mesh/solid.h"

namespace seamwright {

/// sRGB, 0…255.
struct Colour {
  std::uint8_t red = 0, green = 0, blue = 0;
  friend bool operator==(const Colour&, const Colour&) = default;
};

/// A solid in a picture: moved rigidly, its own colour, another for joint faces and what lies in
/// them.
struct PictureSolid {
  const Solid* solid = nullptr;
  Transform placement;
  Colour skin, cap;
};

enum class LineWeight : std::uint8_t { hair, thin, medium };

/// A straight line in space, hidden behind what is in front of it.
struct PictureLine {
  Vec3 from, to;
  Colour colour;
  LineWeight weight = LineWeight::thin;
};

/// The flat ground under things: it takes soft shadows and is otherwise the paper's colour.
struct PictureGround {
  double height_mm = 0;
};

struct PictureScene {
  std::vector<PictureSolid> solids;
  std::vector<PictureLine> lines;
  std::optional<PictureGround> ground;
  Colour paper{250, 248, 243};
};

/// Looks from `eye` to `target`; `view_angle` (vertical) in perspective, or parallel rays showing
/// `height_mm` at the target.
struct Camera {
  Vec3 eye, target, up{0, 0, 1};
  std::optional<Angle> view_angle;
  double height_mm = 100;
};

struct PictureSize {
  int width = 640, height = 480;  ///< pixels
};

/// Where a solid's name can be written: the middle of the widest spot where it is seen, as shares
/// of width (from the left) and height (from the top).
struct PictureLabel {
  double x_ratio = 0, y_ratio = 0;
  double shown_ratio = 0;  ///< share of the picture that shows the solid; 0: nowhere, no label
};

struct Picture {
  PictureSize size;
  std::vector<std::uint8_t> rgb;     ///< rows from the top
  std::vector<PictureLabel> labels;  ///< one a solid
};

/// A camera that sees all points from the direction `from_target` (need not be of unit length),
/// with a share of room around; perspective of 24° at eye height.
Camera frame_points(const std::vector<Vec3>& points, Vec3 from_target, PictureSize size);

/// The picture of a scene by ray casting: smooth where faces meet softly, lit from over the
/// viewer's shoulder and by the open sky (what the sky reaches less is darker), edges smoothed,
/// lines hidden behind surfaces. The same bytes on any thread count. O(pixels · log faces).
Picture render_picture(const PictureScene& scene, const Camera& camera, PictureSize size,
                       const Run& run = {});

/// Where a point appears, as shares of width and height from the top left; nothing behind the eye.
std::optional<Vec2> project_point(const Camera& camera, PictureSize size, Vec3 point);

/// PNG, 8-bit RGB, without any time or text; the same bytes for the same picture.
std::string png_bytes(const Picture& picture);

}  // namespace seamwright
