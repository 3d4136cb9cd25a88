#pragma once

#include <limits>
#include <optional>
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
/// std::optional<double>, std::vector of strings or points, and enums with an overload of
///
///     constexpr std::array<std::pair<std::string_view, E>, n> names(E);
template <class Settings, class Wanted>
concept same_settings = std::is_same_v<std::remove_const_t<Settings>, Wanted>;

/// An enum that a file may name.
template <class E>
concept named_enum = std::is_enum_v<E> && requires(E e) {
  names(e).size();
};

/// The word for a value of a named enum.
template <named_enum E>
constexpr std::string_view name_of(E wanted) {
  for (const auto& [word, value] : names(wanted)) {
    if (value == wanted) return word;
  }
  return "";
}

/// The value a word names, or nothing.
template <named_enum E>
constexpr std::optional<E> value_named(std::string_view wanted) {
  for (const auto& [word, value] : names(E{})) {
    if (word == wanted) return value;
  }
  return std::nullopt;
}

}  // namespace seamwright
