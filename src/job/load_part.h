#pragma once

#include <optional>
#include <string>

#include "job/skin_stage.h"
#include "seamwright/core/run.h"
#include "seamwright/handoff/hand_off.h"
#include "seamwright/job/job.h"

namespace seamwright::job_detail {

/// The part as the later stages need it: closed, in millimetres, its facts noted.
struct LoadedPart {
  Solid solid;
  PartFacts facts;
  FaceGroups groups;
};

/// Reads, scales and mends the part of a job.
Result<LoadedPart> load_part(const PartChoice& choice, const Run& run);

/// The words for its unit and for the axis it is mirrored across. Errors: "job-bad-value".
Status check_words(const PartChoice& choice);

/// Who sees the part, from the words of the job. Errors: "job-bad-value".
Result<SightOptions> sight_options(const PartChoice& choice, const SearchChoice& search);

/// Puts the body of the job's file, in the part's unit and mirrored with it, into what sight asks
/// for. Errors: those of reading it; "body-far-away" when it does not come near the part.
Status stand_body_beside(SightOptions& sight, const PartChoice& choice, const LoadedPart& part,
                         const Run& run);

/// "-z", "wall -z", "around z", "against FILE", or empty: as the hand-off says it.
std::string worn_words(const PartChoice& choice);

}  // namespace seamwright::job_detail
