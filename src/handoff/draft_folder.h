#pragma once

#include <filesystem>
#include <string_view>

#include "seamwright/core/result.h"

namespace seamwright {

/// A folder that is written beside its target and then takes the target's place in one step; until
/// then, and when it is dropped, an older target stays whole and nothing of the draft remains.
class DraftFolder {
 public:
  /// Errors: "cannot-write" when the target is a file, holds anything that no hand-off holds (its
  /// content would be lost), or can't be created beside.
  static Result<DraftFolder> begin(const std::filesystem::path& target);
  DraftFolder(DraftFolder&& other) noexcept;
  DraftFolder& operator=(DraftFolder&&) = delete;
  ~DraftFolder();

  /// Writes one file, its folders made as needed. Errors: "cannot-write" with the path and reason.
  Status write(const std::filesystem::path& relative, std::string_view bytes);
  /// Puts the draft in the target's place and removes the old one. Errors: "cannot-write".
  Status publish();

 private:
  DraftFolder(std::filesystem::path target, std::filesystem::path draft)
      : target_(std::move(target)), draft_(std::move(draft)) {}
  std::filesystem::path target_, draft_;
};

}  // namespace seamwright
