#pragma once

#include <functional>
#include <span>

#include "handoff/view_frame.h"

namespace seamwright {

/// Draws lines over a picture's linear colours, smooth at their edges, where `is_hidden` says no.
/// Lines of one colour and weight cover each pixel once, however many meet in it.
void draw_lines(std::span<const PictureLine> lines, const ViewFrame& frame, PictureSize size,
                const std::function<bool(Vec3)>& is_hidden, std::vector<Vec3>& colours);

}  // namespace seamwright
