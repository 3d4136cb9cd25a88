#pragma once

#include <limits>
#include <string_view>
#include <type_traits>

namespace seamwright {

/// What a person must know of one setting. The key carries the unit as its suffix.
struct FieldDoc {
  std::string_view key;   ///< "acceleration_mm_per_s2"
  std::string_view help;  ///< one line, for the job file, the help text and the page alike
  std::string_view
      source;  ///< "assumption", "common practice, no source", a standard or a data sheet
  double low = -std::numeric_limits<double>::infinity();  ///< allowed range, both ends included
  double high = std::numeric_limits<double>::infinity();
};

/// Every settings struct has one overload
///
///     template <class Settings, class Visitor> requires same_settings<Settings, Printer>
///     void describe(Settings& settings, Visitor&& visit);
///
/// which calls visit(field, FieldDoc) once for each field, in the order a maker reads them. The job
/// file's reader and writer, the help text, the JSON and the page's form are visitors; a field
/// can't be forgotten in one of them. Field types: double, int, bool, std::string, Vec3,
/// std::optional of these, and enums with a `names(E)` overload.
template <class Settings, class Wanted>
concept same_settings = std::is_same_v<std::remove_const_t<Settings>, Wanted>;

}  // namespace seamwright
