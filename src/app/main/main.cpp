// The program: signals and streams; everything else is in command_line.

#include <unistd.h>

#include <csignal>
#include <iostream>
#include <string>
#include <vector>

#include "seamwright/app/command_line.h"
#include "seamwright/core/memory.h"

namespace {

// The one mutable global: a signal handler can reach nothing else.
std::atomic<seamwright::Cancel> wanted_end{seamwright::Cancel::none};

extern "C" void on_signal(int) {
  using seamwright::Cancel;
  wanted_end = wanted_end.load() == Cancel::none ? Cancel::finish : Cancel::stop;
}

extern "C" void on_terminate(int) {
  wanted_end = seamwright::Cancel::stop;
}

}  // namespace

int main(int argc, char** argv) {
  seamwright::keep_freed_memory();
  std::signal(SIGINT, on_signal);
  std::signal(SIGTERM, on_terminate);
  const std::vector<std::string> arguments(argv + 1, argv + argc);
  const seamwright::Console console{std::cout, std::cerr, isatty(STDERR_FILENO) != 0, &wanted_end};
  return static_cast<int>(seamwright::run_command_line(arguments, console));
}
