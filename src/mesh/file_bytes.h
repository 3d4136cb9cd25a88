#pragma once

#include <filesystem>
#include <memory>
#include <string>
#include <string_view>

#include "seamwright/core/result.h"

namespace seamwright {

/// The content of a file.
struct FileBytes {
  std::unique_ptr<char[]> data;
  std::size_t size = 0;
  std::string_view view() const { return {data.get(), size}; }
};

/// Reads a regular file whole. Errors: "file-not-found", "file-is-folder", "file-no-permission",
/// "file-not-regular", "file-unreadable", "file-empty".
Result<FileBytes> read_file(const std::filesystem::path& path);

}  // namespace seamwright
