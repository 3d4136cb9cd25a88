#pragma once

#include <span>
#include <string>
#include <vector>

#include "seamwright/core/run.h"
#include "seamwright/handoff/hand_off.h"
#include "seamwright/job/job.h"

namespace seamwright::job_detail {

/// The groups of the faces of the file as loaded: one a face, or empty.
struct FaceGroups {
  std::vector<std::uint32_t> group;
  std::vector<std::string> names;  ///< "group/material"
};

/// Lays the maker's marks over what sight says: [[show]], [[hide]], then painted faces; later ones
/// lie over earlier ones. Only skin is marked. Errors: "job-bad-value" (no such group, nothing is
/// met), "painted-…" with the file.
Status mark_skin(std::vector<double>& sight, const Solid& wired, const FaceGroups& groups,
                 const Job& job);

/// What a seam over each face costs beside its sight: details dear, panel lines and creases cheap.
/// Empty when the weights ask for neither, or the effort is quick. Errors: "cancelled".
Result<std::vector<double>> skin_weights(const Solid& wired, const Job& job, const Run& run);

}  // namespace seamwright::job_detail
