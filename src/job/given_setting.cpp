#include "seamwright/job/given_setting.h"

#include <algorithm>
#include <filesystem>

namespace seamwright {

const GivenSetting* find_given(std::span<const GivenSetting> given, const std::string& key) {
  const auto at = std::find_if(given.rbegin(), given.rend(),
                               [&](const GivenSetting& setting) { return setting.key == key; });
  return at == given.rend() ? nullptr : &*at;
}

std::string place_of(std::span<const GivenSetting> given, const std::string& key) {
  const GivenSetting* setting = find_given(given, key);
  return setting == nullptr || setting->place.empty() ? "" : setting->place + ": ";
}

std::string place_without_folder(std::span<const GivenSetting> given, const std::string& key) {
  return std::filesystem::path(place_of(given, key)).filename().string();
}

}  // namespace seamwright
