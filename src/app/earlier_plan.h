#pragma once

#include <filesystem>
#include <optional>

#include "seamwright/job/marks.h"

namespace seamwright::app {

/// The marks of an earlier hand-off's plan.json, so that finished prints keep their names. A file
/// that is missing, or not a plan of ours, gives no marks.
EarlierMarks read_earlier_marks(const std::filesystem::path& plan_json);

/// The part that a hand-off was made of, as its plan.json names it.
struct EarlierPart {
  std::string file, sha256;
};
/// None where the file is missing, or not a plan of ours.
std::optional<EarlierPart> read_earlier_part(const std::filesystem::path& plan_json);

/// The seams of a plan.json: of its own plan (`take` 0), or of its other plans, counted from 1.
/// Errors: "bad-usage" with the file and what is wrong.
Result<SeamPlan> read_plan_seams(const std::filesystem::path& plan_json, int take);

}  // namespace seamwright::app
