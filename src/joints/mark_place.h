#pragma once

#include <optional>
#include <string_view>

#include "joints/face_context.h"

namespace seamwright::joints {

/// Where a mark is engraved in a joint face, in its side's frame.
struct MarkPlace {
  Vec2 at;
  Angle turn;
  double height_mm = 0;
};

/// Letters smaller than this can't be read on a printed face. Common practice, no source.
inline constexpr double kLeastMark_mm = 5;

/// A place for a text beside the keys, the letters as high as asked or 5 mm: inside the face,
/// keeping the wall to the surroundings at the letters' depth and to the keys' holes. Nothing when
/// there is none.
std::optional<MarkPlace> find_mark_place(const FaceContext& context, Side side,
                                         std::span<const Key> keys, std::string_view text,
                                         const Joinery& joinery);

/// The engraved strokes.
std::vector<CapFeature> mark_features(const MarkPlace& place, std::string_view text,
                                      double depth_mm, Origin origin);

}  // namespace seamwright::joints
