#pragma once

#include <gtest/gtest.h>

#include <set>
#include <string>
#include <vector>

#include "seamwright/core/describe.h"

namespace seamwright::testing {

/// The documents of a settings struct's fields, in order.
template <class Settings>
std::vector<FieldDoc> fields_of(Settings settings) {
  std::vector<FieldDoc> docs;
  describe(settings, [&](auto&, const FieldDoc& doc) { docs.push_back(doc); });
  return docs;
}

/// The keys of a settings struct.
template <class Settings>
std::set<std::string> keys_of(Settings settings) {
  std::set<std::string> keys;
  for (const FieldDoc& doc : fields_of(settings)) keys.insert(std::string(doc.key));
  return keys;
}

/// What every settings struct owes: documented fields, distinct keys, defaults in their range.
template <class Settings>
void expect_well_described(Settings settings) {
  EXPECT_EQ(keys_of(settings).size(), fields_of(settings).size()) << "a key is used twice";
  describe(settings, [](const auto& field, const FieldDoc& doc) {
    EXPECT_FALSE(doc.key.empty());
    EXPECT_FALSE(doc.help.empty()) << doc.key;
    EXPECT_FALSE(doc.source.empty()) << doc.key;
    if constexpr (std::is_arithmetic_v<std::decay_t<decltype(field)>>) {
      EXPECT_GE(static_cast<double>(field), doc.low) << doc.key;
      EXPECT_LE(static_cast<double>(field), doc.high) << doc.key;
    }
  });
}

}  // namespace seamwright::testing
