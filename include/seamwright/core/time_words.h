#pragma once

#include <string>

namespace seamwright {

/// "6:38 h": hours and minutes, rounded to the minute; for tables.
std::string clock_hours(double seconds);

/// "45 min", "3 h 20 min", "58 h": as fine as a maker plans by; for sentences.
std::string rough_duration(double seconds);

}  // namespace seamwright
