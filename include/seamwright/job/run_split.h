#pragma once

#include <functional>
#include <string_view>

#include "seamwright/job/job.h"
#include "seamwright/job/marks.h"

namespace seamwright {

/// Told when a stage begins: its name and the share of the whole run that lies before it.
using StageListener = std::function<void(std::string_view stage, double share_ratio)>;

/// The main job on one part: load, mend, wire, plan, key, estimate. Reads the part's file and
/// nothing else. Guarantees: every piece with its keys fits its printer; the pieces' volumes before
/// keys add up to the wired part's to 1e-9; pieces keep the marks of `earlier` where they overlap;
/// the same bits on any thread count. Errors: those of the rooms, with the stage as context. Cost:
/// see DESIGN's budgets.
Result<HandOff> run_split(const Job& job, const EarlierMarks& earlier = {}, const Run& run = {},
                          const StageListener& on_stage = {});

}  // namespace seamwright
