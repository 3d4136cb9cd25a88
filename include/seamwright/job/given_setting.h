#pragma once

#include <span>
#include <string>

namespace seamwright {

/// A setting whose value is the maker's own, not a default.
struct GivenSetting {
  std::string key;         ///< "print.layer_mm"; of a list by number, "printer.0.room_mm"
  std::string by;          ///< "given in the job file"
  std::string place = {};  ///< "jobs/beetle.toml:12"; empty: in no file
};

/// The setting of that key; the last one, which lies over those before it; none: nobody gave it.
const GivenSetting* find_given(std::span<const GivenSetting> given, const std::string& key);

/// Where the setting stands, as a fault's or warning's beginning: "jobs/beetle.toml:12: "; empty:
/// in no file. In what is written to files the folder is left out: it is this machine's.
std::string place_of(std::span<const GivenSetting> given, const std::string& key);
std::string place_without_folder(std::span<const GivenSetting> given, const std::string& key);

}  // namespace seamwright
