#pragma once

#include <filesystem>

#include "seamwright/job/marks.h"

namespace seamwright::app {

/// The marks of an earlier hand-off's plan.json, so that finished prints keep their names. A file
/// that is missing, or not a plan of ours, gives no marks.
EarlierMarks read_earlier_marks(const std::filesystem::path& plan_json);

}  // namespace seamwright::app
