#pragma once

#include <string>
#include <string_view>

#include "seamwright/job/job.h"

namespace seamwright {

/// Reads a job file (TOML 1.0). Keys that are left out keep their defaults; `[cost] weights` is
/// applied before the single weights. `name` is used in messages. Errors: "job-syntax",
/// "job-unknown-key" (names the nearest known key), "job-bad-value" (names the key and its allowed
/// range), each with the line. O(n).
Result<Job> read_job(std::string_view toml, const std::string& name);

/// A job file with every key, its help, its source and its value in `job`; keys without a value
/// are commented out. Reading it back gives the same job.
std::string write_job(const Job& job);

}  // namespace seamwright
