#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "seamwright/core/result.h"
#include "seamwright/profile/printer.h"

namespace seamwright {

/// One finished print. The estimates are the model's own, without any fitted factor, so that they
/// stay true when the factors change.
struct RecordedPrint {
  std::string what;  ///< "A1", or a load's name
  double estimated_s = 0, estimated_g = 0;
  std::optional<double> printed_s, weighed_g;  ///< at least one of the two
};

/// What a maker has written down of one printer: its prints, the oldest first, and what its gauge
/// piece showed.
struct PrinterRecord {
  std::string printer;
  std::vector<RecordedPrint> prints;
  std::optional<double> slide_clearance_mm;  ///< per side, of the gauge's step that slid
};

/// What the record says of the next print: how far times and masses are off, and by how much they
/// scatter. Nine prints of ten should lie within the band.
struct PrinterFit {
  std::size_t timed_count = 0, weighed_count = 0;
  double time_factor_ratio = 1, mass_factor_ratio = 1;    ///< printed over the model's own
  double time_band_ratio = 0.15, mass_band_ratio = 0.15;  ///< ± of the fitted estimate
  bool is_recorded() const { return timed_count > 0; }
};

/// One factor for time and one for mass: the Hodges–Lehmann centre of the logarithms of printed
/// over estimated, so that one wrong entry of four moves it little (a factor per layer is
/// ill-posed). The band comes from the residuals, on top of one assumed residual of 9 %; it is
/// never under 5 %, and 15 % with fewer than two prints. Guarantees: the same whatever the order of
/// prints. Source: Hodges and Lehmann, Ann. Math. Stat. 34 (1963) (memory). O(n²).
PrinterFit fit_record(const PrinterRecord& record);

/// Adds a print. Errors: "bad-record" when neither time nor mass is given, or a figure is not
/// positive, or lies more than fivefold off the estimate (a slip of the pen, not a printer).
Status add_print(PrinterRecord& record, RecordedPrint print);

/// The record of a printer by name, or nothing.
const PrinterRecord* find_record(std::span<const PrinterRecord> records,
                                 const std::string& printer);

/// The printer with the factors of its record; as it is without prints on record.
Printer with_fit(Printer printer, const PrinterFit& fit);

/// The record as a plain text file (TOML), and back. Reading what was written gives the same
/// record. `name` is used in messages. Errors: "bad-record" with the line.
std::string write_record(const PrinterRecord& record);
Result<PrinterRecord> read_record(std::string_view toml, const std::string& name);

}  // namespace seamwright
