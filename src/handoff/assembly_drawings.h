#pragma once

#include <string>

#include "handoff/report_sections.h"

namespace seamwright::report {

/// The drawing of one step: the pieces of both sides of its seam, moved apart along the seam's
/// normal, straps lifted off, dash-dotted lines from key to key. SVG.
std::string step_drawing(const HandOff& hand_off, const FittingStep& step, const Run& run);

}  // namespace seamwright::report
