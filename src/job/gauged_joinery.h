#pragma once

#include <string>

#include "seamwright/job/job.h"

namespace seamwright::job_detail {

/// The job's joinery with what gauge pieces on record say, and whose record said it.
struct GaugedJoinery {
  Joinery joinery;
  std::string source;  ///< empty: the clearance is the job's own, or assumed
};

/// The widest sliding clearance on record of the job's printers, since any of them may print either
/// side of a joint; the job's own where it gives one.
GaugedJoinery gauged_joinery(const Job& job);

}  // namespace seamwright::job_detail
