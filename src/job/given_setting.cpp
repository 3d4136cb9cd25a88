#include "seamwright/job/given_setting.h"

#include <algorithm>

namespace seamwright {

const GivenSetting* find_given(std::span<const GivenSetting> given, const std::string& key) {
  const auto at = std::find_if(given.rbegin(), given.rend(),
                               [&](const GivenSetting& setting) { return setting.key == key; });
  return at == given.rend() ? nullptr : &*at;
}

}  // namespace seamwright
