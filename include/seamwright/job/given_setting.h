#pragma once

#include <span>
#include <string>

namespace seamwright {

/// A setting whose value is the maker's own, not a default.
struct GivenSetting {
  std::string key;  ///< "print.layer_mm"; of a list by number, "printer.0.room_mm"
  std::string by;   ///< "given in the job file"
};

/// The setting of that key; the last one, which lies over those before it; none: nobody gave it.
const GivenSetting* find_given(std::span<const GivenSetting> given, const std::string& key);

}  // namespace seamwright
