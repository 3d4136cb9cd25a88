#pragma once

#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "seamwright/days/plan_days.h"
#include "seamwright/profile/print_record.h"

namespace seamwright {

/// What `days.json` in a hand-off holds: all that the days are planned from, so that they can be
/// planned anew, later or together with other parts.
struct NamedDays {
  std::string title;                   ///< the part's name
  std::vector<std::string> materials;  ///< by DayPiece::material
  DaysInput input;
};

/// The file's bytes. Reading them back gives the same input.
std::string days_json(const NamedDays& days);
/// Errors: "bad-days-file" when it is not such a file, or damaged.
Result<NamedDays> read_days_json(std::string_view bytes);

/// Lays what is on record of the printers since over the input: times and masses by the factors of
/// today instead of those they were written with, and the widest band of the printers. A printer
/// without a record stays as it was written, with a band of 15 %.
void fit_days(NamedDays& days, std::span<const PrinterRecord> records);

/// Several parts as one build: marks get the part's name in front, printers of one name are one
/// printer, spool groups and materials are kept apart. The choice is the first part's. Requires one
/// part at least.
NamedDays join_days(std::span<const NamedDays> parts);

}  // namespace seamwright
