#include "handoff/draft_folder.h"

#include <fcntl.h>
#include <fmt/format.h>
#include <stdio.h>

#include <array>
#include <cerrno>
#include <cstring>
#include <fstream>
#include <set>

#include "seamwright/handoff/write_hand_off.h"

namespace seamwright {
namespace {

namespace fs = std::filesystem;

Error cannot_write(const fs::path& path, const std::string& reason) {
  return {"cannot-write", fmt::format("cannot write {}: {}", path.string(), reason)};
}

bool is_hand_off_file(const fs::path& relative) {
  static const std::set<fs::path> kNames{"assembled.3mf", "plan.json",      "pieces.csv",
                                         "report.html",   "calendar.ics",   "days.json",
                                         "shopping.csv",  "loose_parts.csv"};
  static const std::set<std::pair<fs::path, fs::path>> kKinds{
      {"pieces", ".stl"},   {"pieces", ".3mf"},  {"loads", ".3mf"},  {"pads", ".stl"},
      {"straps", ".stl"},   {"lids", ".stl"},    {"sample", ".stl"}, {"sample", ".png"},
      {"pictures", ".png"}, {"pictures", ".svg"}};
  return kNames.contains(relative) ||
         kKinds.contains({relative.parent_path(), relative.extension()});
}

/// The first thing in an existing target that a hand-off does not hold.
std::optional<fs::path> find_foreign(const fs::path& target) {
  std::set<fs::path> foreign;
  for (const fs::directory_entry& entry : fs::recursive_directory_iterator(target)) {
    const fs::path relative = entry.path().lexically_relative(target);
    if (entry.is_directory() && !entry.is_symlink()) continue;
    if (!is_hand_off_file(relative)) foreign.insert(relative);
  }
  return foreign.empty() ? std::nullopt : std::optional(*foreign.begin());
}

fs::path plain_target(const fs::path& given) {
  fs::path target = fs::weakly_canonical(fs::absolute(given));
  return target.has_filename() ? target : target.parent_path();
}

fs::path beside(const fs::path& target, const char* ending) {
  return target.parent_path() / ("." + target.filename().string() + ending);
}

Status check_target(const fs::path& target) {
  if (!target.has_filename()) return cannot_write(target, "a folder with a name is needed");
  if (!fs::exists(target)) return ok();
  if (!fs::is_directory(target))
    return cannot_write(target, "it is a file; name a folder that is new or an older hand-off");
  if (const auto foreign = find_foreign(target)) {
    return cannot_write(
        target,
        fmt::format("it holds {}, which is not part of a hand-off and would be lost; move it "
                    "away or name another folder",
                    foreign->string()));
  }
  return ok();
}

/// Swaps two folders in one step where the file system can; otherwise the old one is moved aside
/// first.
void take_place(const fs::path& draft, const fs::path& target) {
  if (!fs::exists(target)) return fs::rename(draft, target);
  if (renameat2(AT_FDCWD, draft.c_str(), AT_FDCWD, target.c_str(), RENAME_EXCHANGE) == 0) return;
  const fs::path aside = beside(target, ".old");
  fs::rename(target, aside);
  std::error_code failed;
  fs::rename(draft, target, failed);
  if (failed) {
    fs::rename(aside, target);
    throw fs::filesystem_error("rename", draft, target, failed);
  }
  fs::rename(aside, draft);
}

}  // namespace

Status check_hand_off_folder(const fs::path& given) try {
  return check_target(plain_target(given));
} catch (const fs::filesystem_error& error) {
  return cannot_write(given, error.code().message());
}

Result<DraftFolder> DraftFolder::begin(const fs::path& given) try {
  const fs::path target = plain_target(given);
  if (Status checked = check_target(target); !checked) return std::move(checked).error();
  const fs::path draft = beside(target, ".writing");
  fs::create_directories(target.parent_path());
  fs::remove_all(draft);  // left by a run that was killed
  fs::create_directory(draft);
  return DraftFolder(target, draft);
} catch (const fs::filesystem_error& error) {
  return cannot_write(given, error.code().message());
}

DraftFolder::DraftFolder(DraftFolder&& other) noexcept
    : target_(std::move(other.target_)), draft_(std::exchange(other.draft_, {})) {}

DraftFolder::~DraftFolder() {
  std::error_code ignored;
  if (!draft_.empty()) fs::remove_all(draft_, ignored);
}

Status DraftFolder::write(const fs::path& relative, std::string_view bytes) try {
  require(relative.is_relative() && relative.lexically_normal() == relative &&
              *relative.begin() != "..",
          "files of a hand-off stay inside it");
  require(is_hand_off_file(relative), "a later run knows the file as a hand-off's");
  const fs::path path = draft_ / relative;
  fs::create_directories(path.parent_path());
  std::ofstream file(path, std::ios::binary | std::ios::trunc);
  errno = 0;
  file.write(bytes.data(), static_cast<std::streamsize>(bytes.size()));
  file.close();
  if (!file)
    return cannot_write(target_ / relative,
                        errno != 0 ? std::strerror(errno) : "the file could not be written");
  return ok();
} catch (const fs::filesystem_error& error) {
  return cannot_write(target_ / relative, error.code().message());
}

Status DraftFolder::publish() try {
  take_place(draft_, target_);
  std::error_code ignored;
  fs::remove_all(draft_, ignored);
  draft_.clear();
  return ok();
} catch (const fs::filesystem_error& error) {
  return cannot_write(target_, error.code().message());
}

}  // namespace seamwright
