#pragma once

#include <filesystem>

#include "seamwright/core/run.h"
#include "seamwright/handoff/hand_off.h"
#include "seamwright/handoff/views.h"

namespace seamwright {

/// Writes the hand-off folder: pieces/*.stl and *.3mf in print pose, assembled.3mf, plan.json
/// (seamwright-plan/1), pieces.csv, pictures/*.png, report.html (one file, no server).
/// Everything is written beside `folder`, then renamed; a run that fails or is stopped leaves an
/// older hand-off whole and nothing of its own. The same bytes for the same HandOff (no clocks, no
/// paths). Errors: "cannot-write" with the path and reason, "cancelled".
Status write_hand_off(const HandOff& hand_off, const std::filesystem::path& folder,
                      const Run& run = {}, const PictureSizes& sizes = {});

/// Whether write_hand_off() may take the folder's place: it is new, empty, or holds an older
/// hand-off and nothing else that would be lost. Asked before anything long. Errors:
/// "cannot-write".
Status check_hand_off_folder(const std::filesystem::path& folder);

}  // namespace seamwright
