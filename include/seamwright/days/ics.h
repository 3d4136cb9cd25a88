#pragma once

#include <string>

#include "seamwright/days/plan_days.h"

namespace seamwright {

/// The plan as an iCalendar object: one event a print (from start to end, named by printer and
/// load), one for the deadline. Local ("floating") time, so that it is the maker's clock
/// everywhere. Guarantees: CRLF line ends, lines folded at 75 octets between characters, text
/// escaped, a UID and DTSTAMP each (the plan's first day, no clock). Requires a plan with a date.
/// Source: RFC 5545, sections 3.1, 3.3.5 (form 1), 3.3.11, 3.6.1 (memory).
std::string calendar_ics(const DayPlan& plan, const std::vector<std::string>& printer_names,
                         const std::string& title);

}  // namespace seamwright
