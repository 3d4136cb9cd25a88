#pragma once

#include <atomic>
#include <iosfwd>
#include <span>
#include <string>

#include "seamwright/core/run.h"

namespace seamwright {

/// Where a command writes, and how it learns that the person wants it to end.
struct Console {
  std::ostream& out;                            ///< results
  std::ostream& err;                            ///< errors and progress
  bool shows_progress = false;                  ///< err is a terminal
  const std::atomic<Cancel>* cancel = nullptr;  ///< set by Ctrl-C: once finish, twice stop
};

/// Exit codes of the program.
enum class Exit : int { done = 0, no_plan = 1, bad_input = 2, stopped = 3, broken = 70 };

/// What the first Ctrl-C asks of a command, and what is said at once.
struct StopAnswer {
  Cancel wanted = Cancel::stop;
  const char* words = "stopping";
};
/// Where a search can end early it finishes with the best so far; all else stops.
StopAnswer answer_to_stop(std::span<const std::string> arguments);

/// Runs one command: `check`, `split`, `record`, `--help`, `--version`. `arguments` without the
/// program's name. Never throws for anything the person did; our own broken contracts end with
/// Exit::broken and a message that asks for a report.
Exit run_command_line(std::span<const std::string> arguments, const Console& console);

}  // namespace seamwright
