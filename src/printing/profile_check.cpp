#include <fmt/format.h>

#include <optional>

#include "seamwright/printing/print_estimate.h"

namespace seamwright {
namespace {

Error bad(std::string_view key, double value, double low, double high) {
  return {"bad-profile", fmt::format("{} is {:g}; allowed: {:g} to {:g}", key, value, low, high)};
}

/// A visitor of describe(): keeps the first field outside its range.
class RangeCheck {
 public:
  void operator()(double value, const FieldDoc& doc) {
    // Written so that a NaN is outside every range.
    if (!found && !(value >= doc.low && value <= doc.high)) {
      found = bad(doc.key, value, doc.low, doc.high);
    }
  }
  void operator()(int value, const FieldDoc& doc) { (*this)(static_cast<double>(value), doc); }
  void operator()(const Vec3& value, const FieldDoc& doc) {
    for (std::size_t axis = 0; axis < 3; ++axis) (*this)(value[axis], doc);
  }
  void operator()(const std::vector<std::string>&, const FieldDoc&) {}  // hours, read elsewhere
  void operator()(const std::optional<double>& value, const FieldDoc& doc) {
    if (value) (*this)(*value, doc);
  }
  void operator()(bool, const FieldDoc&) {}
  void operator()(const std::string&, const FieldDoc&) {}
  template <named_enum E>
  void operator()(E, const FieldDoc&) {}

  std::optional<Error> found;
};

}  // namespace

Status check_profile(const Printer& printer, const Material& material, const PrintSettings& print) {
  RangeCheck ranges;
  describe(printer, ranges);
  describe(material, ranges);
  describe(print, ranges);
  if (ranges.found) return *ranges.found;
  const double nozzle_mm = printer.nozzle_mm;
  if (print.line_width_mm < nozzle_mm) {
    return Error{"bad-profile",
                 fmt::format("line_width_mm is {:g}; allowed: nozzle_mm ({:g}) or wider",
                             print.line_width_mm, nozzle_mm)};
  }
  for (const auto& [key, value_mm] :
       {std::pair("layer_mm", print.layer_mm), std::pair("first_layer_mm", print.first_layer_mm)}) {
    if (value_mm <= nozzle_mm) continue;
    return Error{"bad-profile", fmt::format("{} is {:g}; allowed: nozzle_mm ({:g}) or thinner", key,
                                            value_mm, nozzle_mm)};
  }
  return ok();
}

}  // namespace seamwright
