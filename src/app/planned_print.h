#pragma once

#include <filesystem>
#include <string>

#include "seamwright/core/result.h"

namespace seamwright::app {

/// What a hand-off planned for a piece or a load: the model's own figures, no factor on them.
struct PlannedPrint {
  std::string what, printer;
  double estimated_s = 0, estimated_g = 0;
};

/// Reads it from a hand-off's plan.json. `word`: a mark (A1), marks that were printed together
/// (A1+A2), a load's id, or a path to a hand-off's file (…/pieces/A1.stl), which then names the
/// folder too. `folder` empty: the current one, or the only hand-off in it. Pieces that were
/// printed together heat up once. Errors: "bad-usage" with what would do.
Result<PlannedPrint> planned_print(const std::string& word, const std::string& folder);

}  // namespace seamwright::app
