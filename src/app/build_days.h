#pragma once

#include <filesystem>
#include <iosfwd>

#include "seamwright/handoff/days_json.h"

namespace seamwright::app {

/// Prints a plan: what is true of the whole, a table of loads, bars, cautions.
void print_plan(std::ostream& out, const DayPlan& plan, const DaysInput& input);

/// Plans a build's days and prints them; with a date, calendar.ics goes into `folder`.
Status print_build_days(std::ostream& out, const NamedDays& build,
                        const std::filesystem::path& folder);

/// A whole file at once. Errors: "write-failed".
Status write_file(const std::filesystem::path& path, const std::string& bytes);

std::vector<std::string> printer_names(const DaysInput& input);

}  // namespace seamwright::app
