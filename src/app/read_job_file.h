#pragma once

#include <filesystem>

#include "seamwright/job/job.h"

namespace seamwright::app {

/// A whole file as text. `wanted` says what it should be. Errors: "bad-usage".
Result<std::string> read_text(const std::filesystem::path& path, const char* wanted);

/// A job from its file. The files it names are meant from where it lies, and are so afterwards.
/// Errors: "bad-usage" when it can't be read, those of read_job().
Result<Job> read_job_file(const std::filesystem::path& path);

/// Several parts, copies or mirror images: more than one run of split.
bool is_build(const Job& job);

}  // namespace seamwright::app
