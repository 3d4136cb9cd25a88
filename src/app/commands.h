#pragma once

#include <CLI/CLI.hpp>
#include <functional>
#include <memory>

#include "seamwright/app/command_line.h"
#include "seamwright/core/result.h"

namespace seamwright::app {

/// A command's body, run after its options were parsed.
using Body = std::function<Exit(const Console&)>;

/// Each adds its subcommand to `program` and gives its body. One line per command in
/// command_line.cpp.
Body add_check(CLI::App& program);
Body add_split(CLI::App& program);
Body add_record(CLI::App& program);
Body add_gauge(CLI::App& program);
Body add_sample(CLI::App& program);
Body add_days(CLI::App& program);

/// Prints an error with its context, as "seamwright: message", and gives its exit code.
Exit fail(const Console& console, const Error& error);

}  // namespace seamwright::app
