#include "seamwright/mesh/units.h"

#include <fmt/format.h>

#include <array>
#include <cmath>

namespace seamwright {
namespace {

constexpr double kSmallest_mm = 20;
constexpr double kLargest_mm = 3000;
constexpr double kLongest_mm = 1e5;  ///< that can be asked for: a stage set, not a slip of units
constexpr std::array kUnits{Unit::mm, Unit::cm, Unit::m, Unit::inch};

Vec3 extent_of(const TriangleSoup& soup) {
  Box3 box;
  for (const Triangle& t : soup.triangles) {
    for (VertexId v : t) box.extend(soup.points[to_index(v)]);
  }
  return box.size();
}

double longest_of(Vec3 size) {
  return std::max({size.x, size.y, size.z});
}

bool is_plausible(double length_mm) {
  return length_mm >= kSmallest_mm && length_mm <= kLargest_mm;
}

std::string trade_name(Unit unit) {
  switch (unit) {
    case Unit::mm:
      return "millimetres";
    case Unit::cm:
      return "centimetres";
    case Unit::m:
      return "metres";
    case Unit::inch:
      return "inches";
  }
  return "";
}

/// "640.0 × 460.0 × 190.0 mm (64.0 × 46.0 × 19.0 cm)"; more digits when small.
std::string size_text(Vec3 size_mm) {
  const int digits = longest_of(size_mm) >= 10 ? 1 : 4;
  return fmt::format("{0:.{3}f} × {1:.{3}f} × {2:.{3}f} mm ({4:.{7}f} × {5:.{7}f} × {6:.{7}f} cm)",
                     size_mm.x, size_mm.y, size_mm.z, digits, size_mm.x / 10, size_mm.y / 10,
                     size_mm.z / 10, digits);
}

Error implausible(Vec3 extent) {
  std::string fits;
  for (Unit unit : kUnits) {
    if (!is_plausible(longest_of(extent) * unit_mm(unit))) continue;
    fits += fmt::format("{} in {} it is {}: say --unit {}", fits.empty() ? "" : ";",
                        trade_name(unit), size_text(extent * unit_mm(unit)), unit_name(unit));
  }
  const std::string remedy =
      fits.empty()
          ? fmt::format("No unit brings it to {}…{} mm: give the longest side with --length MM",
                        kSmallest_mm, kLargest_mm)
          : "If the file is" + fits + "; or give the longest side with --length MM";
  return {"implausible-size",
          fmt::format("Taken as millimetres the part is {}, and {}…{} mm is plausible. {}.",
                      size_text(extent), kSmallest_mm, kLargest_mm, remedy)};
}

UnitChoice chosen(Vec3 extent, Unit unit, double scale_ratio, bool was_given,
                  const std::string& why) {
  return {.unit = unit,
          .scale_ratio = scale_ratio,
          .was_given = was_given,
          .message = fmt::format("FINISHED SIZE {}. {}", size_text(extent * scale_ratio), why)};
}

}  // namespace

double unit_mm(Unit unit) {
  switch (unit) {
    case Unit::mm:
      return 1;
    case Unit::cm:
      return 10;
    case Unit::m:
      return 1000;
    case Unit::inch:
      return 25.4;
  }
  return 1;
}

std::optional<Unit> unit_named(const std::string& name) {
  for (Unit unit : kUnits) {
    if (unit_name(unit) == name) return unit;
  }
  return std::nullopt;
}

std::string unit_name(Unit unit) {
  switch (unit) {
    case Unit::mm:
      return "mm";
    case Unit::cm:
      return "cm";
    case Unit::m:
      return "m";
    case Unit::inch:
      return "inch";
  }
  return "";
}

Result<UnitChoice> choose_unit(const TriangleSoup& soup, std::optional<Unit> unit,
                               std::optional<double> length_mm) {
  const Vec3 extent = extent_of(soup);
  const double longest = longest_of(extent);
  if (!(longest > 0)) {
    return Error{"implausible-size",
                 "The part has no extent: all its corners lie on one point. Export it again."};
  }
  if (length_mm && !(*length_mm > 0 && *length_mm <= kLongest_mm)) {
    return Error{
        "implausible-size",
        fmt::format("A longest side of {:.6g} mm can't be made: give --length in mm, above "
                    "0 and no more than {:.0f} (100 m).",
                    *length_mm, kLongest_mm)};
  }
  const Unit taken = unit.value_or(Unit::mm);
  if (length_mm) {
    return chosen(extent, taken, *length_mm / longest, true,
                  fmt::format("Scaled so that the longest side is {} mm, as told.", *length_mm));
  }
  if (unit) {
    return chosen(extent, taken, unit_mm(taken), true,
                  fmt::format("The file's numbers are taken as {}, as told.", trade_name(taken)));
  }
  if (!is_plausible(longest)) return implausible(extent);
  return chosen(extent, Unit::mm, 1, false,
                "The file's numbers are taken as millimetres, because that is a plausible size; if "
                "it is wrong, say --unit or --length.");
}

}  // namespace seamwright
