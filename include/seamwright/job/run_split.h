#pragma once

#include <functional>
#include <string_view>

#include "seamwright/job/job.h"
#include "seamwright/job/marks.h"

namespace seamwright {

/// Told when a stage begins: its name and the share of the whole run that lies before it.
using StageListener = std::function<void(std::string_view stage, double share_ratio)>;

/// Judges what needs neither the part nor a search: words for sides, unit and axes, printers, marks
/// of `[[done]]`, and that the files of the part, of its body and of its paint can be opened.
/// run_split() begins with it; before a build it is worth asking for every part. O(1). Errors:
/// "job-bad-value", "bad-profile", those of opening a file.
Status check_job(const Job& job, const EarlierMarks& earlier = {});

/// Whether the part is the one that a hand-off's plan names: a file of that name, as it is after a
/// change to the model, or the same bytes under another. A file that can't be read is not.
bool is_same_part(const PartChoice& part, const std::string& file, const std::string& sha256);

/// The main job on one part: load, mend, wire, plan, key, estimate. Reads the part's file and
/// nothing else. Guarantees: every piece with its keys fits its printer; the pieces' volumes before
/// keys add up to the wired part's to 1e-9; pieces keep the marks of `earlier` where they overlap;
/// the same bits on any thread count. Errors: those of the rooms, with the stage as context. Cost:
/// see DESIGN's budgets.
Result<HandOff> run_split(const Job& job, const EarlierMarks& earlier = {}, const Run& run = {},
                          const StageListener& on_stage = {});

}  // namespace seamwright
