#pragma once

#include <filesystem>
#include <iosfwd>

#include "seamwright/handoff/days_json.h"
#include "seamwright/handoff/shopping.h"

namespace seamwright::app {

/// Prints a plan: what is true of the whole, a table of loads, bars, cautions.
void print_plan(std::ostream& out, const DayPlan& plan, const DaysInput& input);

/// A whole build: plans its days, prints them and what to buy; writes days.json, shopping.csv and,
/// with a date, calendar.ics into `folder`.
Status hand_over_build(std::ostream& out, const NamedDays& build,
                       std::span<const ShoppingPart> shopping, const std::filesystem::path& folder);

/// A whole file at once. Errors: "write-failed".
Status write_file(const std::filesystem::path& path, const std::string& bytes);

std::vector<std::string> printer_names(const DaysInput& input);

}  // namespace seamwright::app
