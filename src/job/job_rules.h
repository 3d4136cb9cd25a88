#pragma once

#include <string>

#include "job/field_reader.h"
#include "seamwright/job/job.h"

namespace seamwright::job_detail {

/// The job's own rules, beyond single keys and their ranges; `root` is what it was read from,
/// `file` what that is called. Errors: "job-bad-value", with the line and the remedy.
Status check_rules(const Job& job, const toml::table& root, const std::string& file);

}  // namespace seamwright::job_detail
