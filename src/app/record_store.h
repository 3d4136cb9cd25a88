#pragma once

#include <filesystem>
#include <string>
#include <utility>
#include <vector>

#include "seamwright/profile/print_record.h"

namespace seamwright::app {

/// Where printers' records lie: the folder given, else one for the person's data
/// ($XDG_DATA_HOME/seamwright/printers, or ~/.local/share/seamwright/printers): a printer outlives
/// a project.
std::filesystem::path records_folder(const std::string& given);

/// The right to change one printer's record: whoever else wants it waits. Taken before the record
/// is read and given back at the end of the scope (or when the program ends, however it ends), so
/// that of two runs at one instant neither loses the other's entry.
class RecordLock {
 public:
  /// Makes the folder when there is none. Errors: "cannot-write".
  static Result<RecordLock> take(const std::filesystem::path& folder, const std::string& printer);
  RecordLock(RecordLock&& other) noexcept : file_(std::exchange(other.file_, -1)) {}
  RecordLock& operator=(RecordLock&&) = delete;
  ~RecordLock();

 private:
  explicit RecordLock(int file) : file_(file) {}
  int file_;
};

/// The record of one printer; an empty one when nothing is written yet. Errors: "bad-record".
Result<PrinterRecord> load_record(const std::filesystem::path& folder, const std::string& printer);

/// All records of a folder, by printer name; none when there is no folder. Errors: "bad-record".
Result<std::vector<PrinterRecord>> load_records(const std::filesystem::path& folder);

/// For the holder of the lock. Writes the record beside its old file and renames it over: a reader
/// sees the old one or the new one, never half. Errors: "cannot-write".
Status save_record(const std::filesystem::path& folder, const PrinterRecord& record);

}  // namespace seamwright::app
