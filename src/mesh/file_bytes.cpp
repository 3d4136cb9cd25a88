#include "mesh/file_bytes.h"

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>
#include <utility>

#include "seamwright/mesh/load.h"

namespace seamwright {
namespace {

/// A file descriptor that closes itself.
class Descriptor {
 public:
  explicit Descriptor(int number) : number_(number) {}
  ~Descriptor() {
    if (number_ >= 0) ::close(number_);
  }
  Descriptor(Descriptor&& other) noexcept : number_(std::exchange(other.number_, -1)) {}
  Descriptor& operator=(Descriptor&&) = delete;
  int number() const { return number_; }

 private:
  int number_;
};

Error not_opened(const std::string& name, int fault) {
  if (fault == ENOENT || fault == ENOTDIR) {
    return {"file-not-found",
            fmt::format("{} does not exist. Check the spelling and the folder.", name)};
  }
  if (fault == EACCES || fault == EPERM) {
    return {"file-no-permission",
            fmt::format("{} may not be read by you. Change its permissions or copy it.", name)};
  }
  return {"file-unreadable",
          fmt::format("{} can't be opened: {}. Check the disk, or copy the file.", name,
                      std::strerror(fault))};
}

Status check_kind(const struct stat& about, const std::string& name) {
  if (S_ISDIR(about.st_mode)) {
    return Error{"file-is-folder", fmt::format("{} is a folder. Name one mesh file in it.", name)};
  }
  if (!S_ISREG(about.st_mode)) {
    return Error{"file-not-regular",
                 fmt::format("{} is a device or pipe. Save the mesh to a file first.", name)};
  }
  if (about.st_size == 0) {
    return Error{"file-empty",
                 fmt::format("{} is empty (0 bytes). Copy or export it again.", name)};
  }
  return ok();
}

Result<FileBytes> read_all(int descriptor, std::size_t size, const std::string& name) {
  FileBytes bytes{std::make_unique_for_overwrite<char[]>(size), 0};
  while (bytes.size < size) {
    const ssize_t got = ::read(descriptor, bytes.data.get() + bytes.size, size - bytes.size);
    if (got < 0 && errno == EINTR) continue;
    if (got < 0) {
      return Error{"file-unreadable",
                   fmt::format("{} can't be read at byte {}: {}. Check the disk, or copy the file.",
                               name, bytes.size, std::strerror(errno))};
    }
    if (got == 0) break;
    bytes.size += static_cast<std::size_t>(got);
  }
  return bytes;
}

/// Opened before it is asked what it is, so that both answers are of the same file; without
/// waiting, so that a pipe without a writer can't hold us.
Result<Descriptor> open_file(const std::filesystem::path& path, struct stat& about) {
  const std::string name = path.string();
  Descriptor file(::open(path.c_str(), O_RDONLY | O_CLOEXEC | O_NONBLOCK));
  if (file.number() < 0) return not_opened(name, errno);
  if (::fstat(file.number(), &about) != 0) return not_opened(name, errno);
  if (Status kind = check_kind(about, name); !kind) return kind.error();
  return file;
}

}  // namespace

Result<FileBytes> read_file(const std::filesystem::path& path) {
  struct stat about {};
  const Result<Descriptor> file = open_file(path, about);
  if (!file) return file.error();
  return read_all(file->number(), static_cast<std::size_t>(about.st_size), path.string());
}

Status check_file(const std::filesystem::path& path) {
  struct stat about {};
  const Result<Descriptor> file = open_file(path, about);
  return file ? ok() : Status(file.error());
}

}  // namespace seamwright
