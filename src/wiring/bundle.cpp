#include "seamwright/wiring/bundle.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdio>
#include <numbers>

namespace seamwright {
namespace {

constexpr double kCopperOhmMm2PerM = 0.017241;
constexpr double kBundleSlackMm =
    0.3;  // common practice, no source: a bundle is never packed perfectly
constexpr std::size_t kMostConductors = 100;

/// Insulated diameters of the conductors that "2xAWG26" or "AWG22" names.
Result<std::vector<double>> diameters_of(const std::string& text) {
  int count = 1, gauge = -1;
  char rest = 0;
  const bool has_count = std::sscanf(text.c_str(), "%dxAWG%d%c", &count, &gauge, &rest) == 2;
  if (!has_count) count = 1;
  if (!has_count && std::sscanf(text.c_str(), "AWG%d%c", &gauge, &rest) != 1) gauge = -1;
  if (gauge < 0 || count < 1 || count > static_cast<int>(kMostConductors)) {
    return Error{
        "wire-conductors",
        fmt::format("conductors \"{}\": give count and gauge, as \"2xAWG26\" or \"AWG22\"", text)};
  }
  const Result<double> diameter_mm = hookup_wire_mm(gauge);
  if (!diameter_mm) return diameter_mm.error();
  return std::vector<double>(static_cast<std::size_t>(count), *diameter_mm);
}

double fill_limit_ratio(std::size_t count) {
  return count == 1 ? 0.53 : count == 2 ? 0.31 : 0.40;
}

/// Circle round unequal circles: that of as many circles of the largest size, which holds them all.
double bundle_diameter_mm(const std::vector<double>& wires_mm) {
  return bundle_ratio(wires_mm.size()) * *std::max_element(wires_mm.begin(), wires_mm.end());
}

}  // namespace

double gauge_diameter_mm(int gauge) {
  return 0.127 * std::pow(92.0, (36.0 - gauge) / 39.0);
}

double gauge_ohm_per_km(int gauge) {
  const double diameter_mm = gauge_diameter_mm(gauge);
  return 1000 * kCopperOhmMm2PerM / (std::numbers::pi / 4 * diameter_mm * diameter_mm);
}

Result<double> hookup_wire_mm(int gauge) {
  constexpr std::array<std::pair<int, double>, 7> kOuter{
      {{30, 1.1}, {28, 1.2}, {26, 1.3}, {24, 1.4}, {22, 1.6}, {20, 1.8}, {18, 2.1}}};
  for (const auto& [known, diameter_mm] : kOuter) {
    if (known == gauge) return diameter_mm;
  }
  return Error{"wire-gauge-unknown", fmt::format("AWG {}: no outer diameter is known for it (18, "
                                                 "20, 22, 24, 26, 28, 30 are); give diameter_mm",
                                                 gauge)};
}

double bundle_ratio(std::size_t count) {
  constexpr std::array<double, 8> kBest{0, 1, 2, 2.1547005, 2.4142136, 2.7013016, 3, 3};
  if (count < kBest.size()) return kBest[count];
  return 1 + std::sqrt((12 * static_cast<double>(count) - 3) / 9);
}

Result<BoreSize> size_bore(const std::vector<std::string>& conductors) {
  std::vector<double> wires_mm;
  for (const std::string& text : conductors) {
    const Result<std::vector<double>> more = diameters_of(text);
    if (!more) return more.error();
    wires_mm.insert(wires_mm.end(), more->begin(), more->end());
  }
  if (wires_mm.empty())
    return Error{"wire-conductors", "a wire needs diameter_mm, or conductors as [\"2xAWG26\"]"};
  if (wires_mm.size() > kMostConductors)
    return Error{"wire-conductors", "more than 100 conductors in one wire; give diameter_mm"};
  double squares_mm2 = 0;
  for (const double d : wires_mm) squares_mm2 += d * d;
  BoreSize size;
  size.bundle_mm = bundle_diameter_mm(wires_mm);
  const double by_fill_mm = std::sqrt(squares_mm2 / fill_limit_ratio(wires_mm.size()));
  const double by_bundle_mm = size.bundle_mm + kBundleSlackMm;
  size.governed_by = by_fill_mm >= by_bundle_mm ? "fill" : "bundle";
  size.bore_mm = std::max(by_fill_mm, by_bundle_mm);
  const double widest_mm = *std::max_element(wires_mm.begin(), wires_mm.end());
  const double jam_ratio = size.bore_mm / widest_mm;
  if (wires_mm.size() == 3 && jam_ratio >= 2.8 && jam_ratio <= 3.2) {
    size.bore_mm = 3.21 * widest_mm;
    size.governed_by = "jam";
    size.warning = fmt::format(
        "three wires of {:.1f} mm would jam in a bore of {:.2f} mm; it was made {:.2f} mm",
        widest_mm, jam_ratio * widest_mm, size.bore_mm);
  }
  return size;
}

}  // namespace seamwright
