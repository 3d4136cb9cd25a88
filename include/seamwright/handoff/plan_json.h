#pragma once

#include <string>

#include "seamwright/handoff/hand_off.h"

namespace seamwright {

/// plan.json, schema "seamwright-plan/1" (DESIGN, "The contract of `split`"): all coordinates in
/// the part's frame, mm; `normal · x = offset_mm`; keys are added, never renamed. Numbers read back
/// as the same doubles. The same bytes for the same HandOff. UTF-8, two spaces of indent, one line
/// feed at the end.
std::string plan_json(const HandOff& hand_off);

}  // namespace seamwright
