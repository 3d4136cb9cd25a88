#pragma once

#include <filesystem>

#include "seamwright/job/job.h"

namespace seamwright::app {

/// A whole file as text. `wanted` says what it should be. Errors: "bad-usage".
Result<std::string> read_text(const std::filesystem::path& path, const char* wanted);

/// A job from its file. The files it names are meant from where it lies, and are so afterwards.
/// Errors: "bad-usage" when it can't be read, those of read_job().
Result<Job> read_job_file(const std::filesystem::path& path);

/// A fault of what a job asked for, told with its file unless it names a line of it; an empty path
/// is no file.
Error in_job(Error error, const std::filesystem::path& job_file);

/// Several parts, copies or mirror images: more than one run of split.
bool is_build(const Job& job);

}  // namespace seamwright::app
