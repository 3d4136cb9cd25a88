#include "app/record_store.h"

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/file.h>
#include <unistd.h>

#include <algorithm>
#include <cctype>
#include <cerrno>
#include <cstdlib>
#include <cstring>
#include <fstream>
#include <iterator>

namespace seamwright::app {
namespace {

namespace fs = std::filesystem;

/// A file name of the printer's: letters, digits and dashes stay, a space becomes a low line, all
/// else its code, so that two names never share a file.
fs::path file_of(const fs::path& folder, const std::string& printer) {
  std::string name;
  for (const char c : printer) {
    const auto byte = static_cast<unsigned char>(c);
    if (std::isalnum(byte) != 0 || c == '-') {
      name += c;
    } else {
      name += c == ' ' ? std::string("_") : fmt::format("%{:02X}", byte);
    }
  }
  return folder / (name + ".toml");
}

Error cannot_write(const fs::path& path, const std::string& reason) {
  return {"cannot-write", fmt::format("cannot write {}: {}", path.string(), reason)};
}

Result<PrinterRecord> read_file(const fs::path& path) {
  std::ifstream in(path, std::ios::binary);
  if (!in)
    return Error{"bad-record", fmt::format("cannot read {}: {}", path.string(), strerror(errno))};
  return read_record(std::string(std::istreambuf_iterator<char>(in), {}), path.string());
}

/// All bytes down to the disk, so that the rename can't overtake them.
bool write_through(const fs::path& path, const std::string& bytes) {
  const int file = ::open(path.c_str(), O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, 0644);
  if (file < 0) return false;
  std::size_t done = 0;
  while (done < bytes.size()) {
    const ssize_t step = ::write(file, bytes.data() + done, bytes.size() - done);
    if (step <= 0) break;
    done += static_cast<std::size_t>(step);
  }
  const bool is_synced = ::fsync(file) == 0;
  return ::close(file) == 0 && is_synced && done == bytes.size();
}

}  // namespace

fs::path records_folder(const std::string& given) {
  if (!given.empty()) return given;
  if (const char* data = std::getenv("XDG_DATA_HOME"); data != nullptr && *data != 0)
    return fs::path(data) / "seamwright" / "printers";
  const char* home = std::getenv("HOME");
  return fs::path(home != nullptr ? home : ".") / ".local" / "share" / "seamwright" / "printers";
}

Result<RecordLock> RecordLock::take(const fs::path& folder, const std::string& printer) {
  const fs::path path = folder / ("." + file_of(folder, printer).stem().string() + ".lock");
  std::error_code failed;
  fs::create_directories(folder, failed);
  if (failed) return cannot_write(folder, failed.message());
  // The lock has a file of its own: the record's is replaced by each rename.
  const int file = ::open(path.c_str(), O_RDWR | O_CREAT | O_CLOEXEC, 0644);
  if (file < 0) return cannot_write(path, strerror(errno));
  RecordLock lock(file);
  while (::flock(file, LOCK_EX) != 0) {
    if (errno != EINTR) return cannot_write(path, strerror(errno));
  }
  return lock;
}

RecordLock::~RecordLock() {
  if (file_ >= 0) ::close(file_);
}

Result<PrinterRecord> load_record(const fs::path& folder, const std::string& printer) {
  const fs::path path = file_of(folder, printer);
  std::error_code ignored;
  if (!fs::exists(path, ignored)) return PrinterRecord{printer, {}, {}};
  Result<PrinterRecord> record = read_file(path);
  if (record && record->printer != printer) {
    return Error{"bad-record", fmt::format("{}: holds the record of \"{}\", not of \"{}\"",
                                           path.string(), record->printer, printer)};
  }
  return record;
}

Result<std::vector<PrinterRecord>> load_records(const fs::path& folder) {
  std::vector<PrinterRecord> records;
  std::error_code missing;
  for (const fs::directory_entry& entry : fs::directory_iterator(folder, missing)) {
    if (entry.path().extension() != ".toml" || !entry.is_regular_file()) continue;
    Result<PrinterRecord> record = read_file(entry.path());
    if (!record) return std::move(record).error();
    records.push_back(std::move(*record));
  }
  std::sort(records.begin(), records.end(),
            [](const PrinterRecord& a, const PrinterRecord& b) { return a.printer < b.printer; });
  return records;
}

Status save_record(const fs::path& folder, const PrinterRecord& record) {
  const fs::path path = file_of(folder, record.printer);
  const fs::path draft = folder / fmt::format(".{}.{}", path.filename().string(), ::getpid());
  std::error_code failed;
  errno = 0;
  const bool is_written = write_through(draft, write_record(record));
  const std::string reason = errno != 0 ? strerror(errno) : "the file could not be written";
  if (is_written) fs::rename(draft, path, failed);
  if (is_written && !failed) return ok();
  std::error_code ignored;
  fs::remove(draft, ignored);
  return cannot_write(path, failed ? failed.message() : reason);
}

}  // namespace seamwright::app
