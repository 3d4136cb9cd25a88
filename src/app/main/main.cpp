// The program: signals and streams; everything else is in command_line.

#include <unistd.h>

#include <cerrno>
#include <csignal>
#include <iostream>
#include <string>
#include <vector>

#include "seamwright/app/command_line.h"
#include "seamwright/core/memory.h"

namespace {

// The one mutable global: a signal handler can reach nothing else.
std::atomic<seamwright::Cancel> wanted_end{seamwright::Cancel::none};

// Said at once from the handler, by nothing but write(2): the next progress may be seconds away.
extern "C" void on_signal(int) {
  using seamwright::Cancel;
  static constexpr char kFinishing[] =
      "\nfinishing with the best plan so far; press Ctrl-C again to stop at once\n";
  static constexpr char kStopping[] = "\nstopping\n";
  const bool is_first = wanted_end.load() == Cancel::none;
  wanted_end = is_first ? Cancel::finish : Cancel::stop;
  const int error_before = errno;
  // Where nobody can read it, nothing is lost.
  [[maybe_unused]] const ssize_t written =
      is_first ? write(STDERR_FILENO, kFinishing, sizeof kFinishing - 1)
               : write(STDERR_FILENO, kStopping, sizeof kStopping - 1);
  errno = error_before;
}

}  // namespace

int main(int argc, char** argv) {
  seamwright::keep_freed_memory();
  std::signal(SIGINT, on_signal);
  std::signal(SIGTERM, on_signal);
  const std::vector<std::string> arguments(argv + 1, argv + argc);
  const seamwright::Console console{std::cout, std::cerr, isatty(STDERR_FILENO) != 0, &wanted_end};
  return static_cast<int>(seamwright::run_command_line(arguments, console));
}
