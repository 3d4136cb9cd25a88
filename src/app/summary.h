#pragma once

#include <filesystem>
#include <iosfwd>

#include "seamwright/handoff/hand_off.h"

namespace seamwright::app {

/// What a maker reads in the terminal after `split`: the finished size first, then pieces, hours,
/// grams, warnings, and where the report is.
void print_summary(std::ostream& out, const HandOff& hand_off, const std::filesystem::path& folder,
                   bool is_whole_build);

}  // namespace seamwright::app
