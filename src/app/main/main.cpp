// The program: signals and streams; everything else is in command_line.

#include <unistd.h>

#include <cerrno>
#include <csignal>
#include <cstring>
#include <iostream>
#include <string>
#include <vector>

#include "seamwright/app/command_line.h"
#include "seamwright/core/memory.h"

namespace {

// The one mutable global: a signal handler can reach nothing else.
std::atomic<seamwright::Cancel> wanted_end{seamwright::Cancel::none};
// Set before the handler is, and never after.
seamwright::StopAnswer first_answer;

void say(const char* words) {
  // Where nobody can read it, nothing is lost.
  for (const char* part : {"\n", words, "\n"}) {
    [[maybe_unused]] const ssize_t written = write(STDERR_FILENO, part, std::strlen(part));
  }
}

// Said at once from the handler, by nothing but write(2): the next progress may be seconds away.
extern "C" void on_signal(int) {
  using seamwright::Cancel;
  const bool is_first = wanted_end.load() == Cancel::none;
  wanted_end = is_first ? first_answer.wanted : Cancel::stop;
  const int error_before = errno;
  say(is_first ? first_answer.words : "stopping");
  errno = error_before;
}

}  // namespace

int main(int argc, char** argv) {
  seamwright::keep_freed_memory();
  const std::vector<std::string> arguments(argv + 1, argv + argc);
  first_answer = seamwright::answer_to_stop(arguments);
  std::signal(SIGINT, on_signal);
  std::signal(SIGTERM, on_signal);
  const seamwright::Console console{std::cout, std::cerr, isatty(STDERR_FILENO) != 0, &wanted_end};
  return static_cast<int>(seamwright::run_command_line(arguments, console));
}
