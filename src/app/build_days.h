#pragma once

#include <filesystem>
#include <iosfwd>

#include "seamwright/handoff/days_json.h"
#include "seamwright/handoff/shopping.h"

namespace seamwright::app {

/// Prints a plan: what is true of the whole, a table of loads, bars, cautions.
void print_plan(std::ostream& out, const DayPlan& plan, const DaysInput& input);

/// Every load of a plan as loads/load-01.3mf and so on in `folder`: the pieces' files where they
/// lie on the bed. `from` is what DayPiece::files are relative to. Errors: what is wrong with a
/// file, "write-failed".
Status write_loads(const DayPlan& plan, const DaysInput& input, const std::filesystem::path& from,
                   const std::filesystem::path& folder);

/// A whole build, its pieces' files relative to `folder`: plans its days, prints them and what to
/// buy; writes days.json, the loads, shopping.csv and, with a date, calendar.ics into it.
Status hand_over_build(std::ostream& out, const NamedDays& build,
                       std::span<const ShoppingPart> shopping, const std::filesystem::path& folder);

/// A whole file at once. Errors: "write-failed".
Status write_file(const std::filesystem::path& path, const std::string& bytes);

std::vector<std::string> printer_names(const DaysInput& input);

}  // namespace seamwright::app
