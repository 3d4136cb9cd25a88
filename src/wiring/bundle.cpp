#include "seamwright/wiring/bundle.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdio>
#include <numbers>

#include "wiring/packing.h"

namespace seamwright {
namespace {

constexpr double kCopperOhmMm2PerM = 0.017241;
constexpr double kBundleSlackMm =
    0.3;  // common practice, no source: a bundle is never packed perfectly
constexpr std::size_t kMostConductors = 100;
constexpr std::size_t kMostPressed = 20;  // above, the bound for equal circles is near enough

/// Insulated diameters of the conductors that the texts name.
Result<std::vector<double>> insulated_diameters(const std::vector<std::string>& texts) {
  std::vector<double> wires_mm;
  for (const std::string& text : texts) {
    const Result<Conductors> conductors = read_conductors(text);
    if (!conductors) return conductors.error();
    const Result<double> diameter_mm = hookup_wire_mm(conductors->gauge);
    if (!diameter_mm) return diameter_mm.error();
    wires_mm.insert(wires_mm.end(), static_cast<std::size_t>(conductors->count), *diameter_mm);
  }
  if (wires_mm.empty())
    return Error{"wire-conductors", "a wire needs diameter_mm, or conductors as [\"2xAWG26\"]"};
  if (wires_mm.size() > kMostConductors)
    return Error{"wire-conductors", "more than 100 conductors in one wire; give diameter_mm"};
  return wires_mm;
}

double fill_limit_ratio(std::size_t count) {
  return count == 1 ? 0.53 : count == 2 ? 0.31 : 0.40;
}

}  // namespace

double gauge_diameter_mm(int gauge) {
  return 0.127 * std::pow(92.0, (36.0 - gauge) / 39.0);
}

double gauge_ohm_per_km(int gauge) {
  const double diameter_mm = gauge_diameter_mm(gauge);
  return 1000 * kCopperOhmMm2PerM / (std::numbers::pi / 4 * diameter_mm * diameter_mm);
}

double gauge_ohm_per_km(int gauge, int celsius) {
  return gauge_ohm_per_km(gauge) * (1 + 0.00393 * (celsius - 20));
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

double packed_diameter_mm(const std::vector<double>& wires_mm) {
  if (wires_mm.empty()) return 0;
  const auto [least, most] = std::minmax_element(wires_mm.begin(), wires_mm.end());
  const double equal_mm = bundle_ratio(wires_mm.size()) * *most;
  if (*least == *most || wires_mm.size() > kMostPressed) return equal_mm;
  return std::clamp(wiring_detail::pressed_diameter_mm(wires_mm), *most, equal_mm);
}

Result<Conductors> read_conductors(const std::string& text) {
  Conductors read{1, -1};
  char rest = 0;
  const bool has_count =
      std::sscanf(text.c_str(), "%dxAWG%d%c", &read.count, &read.gauge, &rest) == 2;
  if (!has_count) read.count = 1;
  if (!has_count && std::sscanf(text.c_str(), "AWG%d%c", &read.gauge, &rest) != 1) read.gauge = -1;
  if (read.gauge >= 0 && read.count >= 1 && read.count <= static_cast<int>(kMostConductors))
    return read;
  return Error{"wire-conductors", fmt::format("conductors \"{}\": give count and gauge, as "
                                              "\"2xAWG26\" or \"AWG22\"",
                                              text)};
}

Result<BoreSize> size_bore(const std::vector<std::string>& conductors) {
  const Result<std::vector<double>> read = insulated_diameters(conductors);
  if (!read) return read.error();
  const std::vector<double>& wires_mm = *read;
  double squares_mm2 = 0;
  for (const double d : wires_mm) squares_mm2 += d * d;
  BoreSize size;
  size.bundle_mm = packed_diameter_mm(wires_mm);
  size.fill_limit_ratio = fill_limit_ratio(wires_mm.size());
  const double by_fill_mm = std::sqrt(squares_mm2 / size.fill_limit_ratio);
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
  size.fill_ratio = squares_mm2 / (size.bore_mm * size.bore_mm);
  return size;
}

double plug_in_bend_mm(double length_mm, double thickness_mm, double bend_mm) {
  if (std::isinf(bend_mm)) return thickness_mm;
  const auto passes = [&](double bore_mm) {
    return std::hypot(bend_mm - bore_mm / 2 + thickness_mm, length_mm / 2) <= bend_mm + bore_mm / 2;
  };
  double low_mm = thickness_mm, high_mm = 2 * (thickness_mm + length_mm);
  for (int step = 0; step < 60; ++step) {
    const double middle_mm = (low_mm + high_mm) / 2;
    (passes(middle_mm) ? high_mm : low_mm) = middle_mm;
  }
  return high_mm;
}

double threaded_bore_mm(Vec3 box_mm, double bend_mm) {
  const auto [thick_mm, wide_mm] = std::minmax(box_mm.x, box_mm.y);
  return std::hypot(plug_in_bend_mm(box_mm.z, thick_mm, bend_mm), wide_mm);
}

VoltDrop volt_drop(int gauge, double length_mm, double current_a, double supply_v) {
  const auto loop_ohm = [length_mm](int of) { return 2 * gauge_ohm_per_km(of) * length_mm / 1e6; };
  VoltDrop drop;
  drop.gauge = gauge;
  drop.loop_ohm = loop_ohm(gauge);
  drop.drop_v = drop.loop_ohm * current_a;
  drop.drop_ratio = drop.drop_v / supply_v;
  for (const int thinner : {18, 20, 22, 24, 26, 28, 30}) {
    const double ratio = loop_ohm(thinner) * current_a / supply_v;
    if (ratio <= 0.03) drop.gauge_for_3_percent = thinner;
    if (ratio <= 0.05) drop.gauge_for_5_percent = thinner;
  }
  return drop;
}

}  // namespace seamwright
