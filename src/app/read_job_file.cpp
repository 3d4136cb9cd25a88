#include "app/read_job_file.h"

#include <fmt/format.h>

#include <fstream>
#include <iterator>

#include "seamwright/job/job_file.h"

namespace seamwright::app {

namespace fs = std::filesystem;

Result<std::string> read_text(const fs::path& path, const char* wanted) {
  std::ifstream in(path, std::ios::binary);
  if (!in || fs::is_directory(path))
    return Error{"bad-usage", fmt::format("{}: can't be read; give {}", path.string(), wanted)};
  return std::string(std::istreambuf_iterator<char>(in), {});
}

Result<Job> read_job_file(const fs::path& path) {
  const Result<std::string> text = read_text(path, "a job file (split --write-job prints one)");
  if (!text) return text.error();
  Result<Job> job = read_job(*text, path.string());
  if (!job) return job;
  std::vector<PartChoice*> parts{&job->part};
  for (PartChoice& part : job->parts) parts.push_back(&part);
  for (PartChoice* part : parts) {
    for (std::string* file : {&part->file, &part->painted, &part->body})
      if (!file->empty()) *file = (path.parent_path() / *file).string();
  }
  return job;
}

Error in_job(Error error, const fs::path& job_file) {
  if (job_file.empty() || error.message.starts_with(job_file.string() + ":")) return error;
  return std::move(error).within("job file " + job_file.string());
}

bool is_build(const Job& job) {
  return job.parts.size() > 1 || job.part.count + job.part.mirrored > 1;
}

}  // namespace seamwright::app
