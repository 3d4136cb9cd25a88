#pragma once

#include <string>
#include <vector>

#include "seamwright/days/plan_days.h"

namespace seamwright {

/// The plan as lines of plain text, at most about `width` columns: a table of the loads, then one
/// bar a printer and day (a letter a load, '.' for idle, ' ' between days).
std::string calendar_table(const DayPlan& plan, const std::vector<std::string>& printer_names);
std::string calendar_bars(const DayPlan& plan, const std::vector<std::string>& printer_names,
                          int width = 96);

/// The same as an SVG picture: one row a printer, nights shaded, days ruled, the deadline a line.
std::string calendar_svg(const DayPlan& plan, const std::vector<std::string>& printer_names);

/// What to mind when printers run while somebody sleeps or is out.
std::string_view unattended_caution();

/// What is true of the whole in sentences: done when, reserve, bound, deadline and what would help.
std::vector<std::string> calendar_sentences(const DayPlan& plan);

}  // namespace seamwright
