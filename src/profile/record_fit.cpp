#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "seamwright/profile/print_record.h"

namespace seamwright {
namespace {

constexpr double kBandBefore = 0.15;  // PRINTING's, until residuals say better
constexpr double kLeastBand = 0.05;
constexpr double kAssumedScatter = 0.09;  // one residual that is always counted: ±15 % at 90 %
constexpr double kNineOfTen = 1.645;      // standard deviations, normal scatter
constexpr double kFarOff = 3;             // residuals count as at most this many usual ones
constexpr double kMostOff = 5;            // a factor beyond is a slip

double median(std::vector<double> values) {
  std::sort(values.begin(), values.end());
  const std::size_t half = values.size() / 2;
  return values.size() % 2 == 1 ? values[half] : (values[half - 1] + values[half]) / 2;
}

/// The median of the means of all pairs, each value with itself too.
double hodges_lehmann(std::span<const double> values) {
  std::vector<double> means;
  for (std::size_t i = 0; i < values.size(); ++i) {
    for (std::size_t j = i; j < values.size(); ++j) means.push_back((values[i] + values[j]) / 2);
  }
  return median(std::move(means));
}

struct FactorFit {
  double factor_ratio = 1, band_ratio = kBandBefore;
};

FactorFit fit(std::vector<double> logs) {
  if (logs.empty()) return {};
  std::sort(logs.begin(), logs.end());  // sums then do not depend on the order of the entries
  const double center = hodges_lehmann(logs);
  if (logs.size() < 2) return {std::exp(center), kBandBefore};
  std::vector<double> off;
  for (const double log : logs) off.push_back(std::abs(log - center));
  // A wrong entry widens the band, but does not rule it. Few residuals say nothing of what is
  // usual.
  const double usual = std::max(1.4826 * median(off), 0.01);
  double squares = kAssumedScatter * kAssumedScatter;
  for (const double residual : off) {
    const double counted = off.size() < 4 ? residual : std::min(residual, kFarOff * usual);
    squares += counted * counted;
  }
  const double n = static_cast<double>(logs.size());
  const double scatter = std::sqrt(squares / n) * std::sqrt(1 + 1 / n);
  return {std::exp(center), std::max(kLeastBand, kNineOfTen * scatter)};
}

Error bad_record(std::string message) {
  return {"bad-record", std::move(message)};
}

Status check_figure(const char* what, double estimated, const std::optional<double>& found,
                    const char* unit) {
  if (!(estimated > 0)) return bad_record(fmt::format("the estimated {} is {:g}", what, estimated));
  if (!found) return ok();
  if (!(*found > 0)) return bad_record(fmt::format("the {} is {:g} {}", what, *found, unit));
  const double ratio = *found / estimated;
  if (ratio <= kMostOff && ratio >= 1 / kMostOff) return ok();
  return bad_record(
      fmt::format("a {} of {:.4g} {} is {:.2g} times the estimated {:.4g} {}: more than fivefold "
                  "off is taken for a slip of the pen",
                  what, *found, unit, ratio, estimated, unit));
}

}  // namespace

PrinterFit fit_record(const PrinterRecord& record) {
  std::vector<double> times, masses;
  for (const RecordedPrint& print : record.prints) {
    if (print.printed_s) times.push_back(std::log(*print.printed_s / print.estimated_s));
    if (print.weighed_g) masses.push_back(std::log(*print.weighed_g / print.estimated_g));
  }
  PrinterFit out{times.size(), masses.size()};
  const FactorFit time = fit(std::move(times)), mass = fit(std::move(masses));
  out.time_factor_ratio = time.factor_ratio;
  out.time_band_ratio = time.band_ratio;
  out.mass_factor_ratio = mass.factor_ratio;
  out.mass_band_ratio = mass.band_ratio;
  return out;
}

Status add_print(PrinterRecord& record, RecordedPrint print) {
  if (!print.printed_s && !print.weighed_g)
    return bad_record("give the time it took, its mass, or both");
  for (const Status& status : {check_figure("time", print.estimated_s, print.printed_s, "s"),
                               check_figure("mass", print.estimated_g, print.weighed_g, "g")}) {
    if (!status) return status.error();
  }
  record.prints.push_back(std::move(print));
  return ok();
}

const PrinterRecord* find_record(std::span<const PrinterRecord> records,
                                 const std::string& printer) {
  const auto found = std::find_if(records.begin(), records.end(),
                                  [&](const PrinterRecord& r) { return r.printer == printer; });
  return found == records.end() ? nullptr : &*found;
}

Printer with_fit(Printer printer, const PrinterFit& fit) {
  if (fit.timed_count > 0) printer.time_factor_ratio = fit.time_factor_ratio;
  if (fit.weighed_count > 0) printer.mass_factor_ratio = fit.mass_factor_ratio;
  return printer;
}

}  // namespace seamwright
