#include "seamwright/app/command_line.h"

#include <algorithm>
#include <exception>
#include <map>
#include <ostream>

#include "app/commands.h"

namespace seamwright {
namespace app {

Exit fail(const Console& console, const Error& error) {
  if (error.code == "cancelled") {
    console.err << "seamwright: stopped; nothing is half written, what stood there before is as it "
                   "was\n";
    return Exit::stopped;
  }
  console.err << "seamwright: " << error.message << '\n';
  for (const std::string& layer : error.context) console.err << "  " << layer << '\n';
  if (error.code == "stopped-without-plan") return Exit::stopped;
  return error.code == "no-plan" ? Exit::no_plan : Exit::bad_input;
}

}  // namespace app

namespace {

constexpr const char* kAbout =
    "Cuts a part that is larger than your printer into pieces that each fit, with seams where "
    "nobody\n"
    "looks, keys that make the pieces find each other, and honest print times.\n\n"
    "  seamwright check carapace.stl                    is the mesh sound, and how large is the "
    "thing?\n"
    "  seamwright split carapace.stl --worn-side -z     the main job: a folder with all you need\n"
    "  seamwright days carapace-hand-off                when each load prints, and when all is "
    "done\n"
    "  seamwright split --write-job > beetle.toml       every choice there is, with its default\n"
    "  seamwright record A1 --time 3h42m --mass 118     a finished print: later estimates fit it\n";

struct Command {
  CLI::App* app;
  app::Body body;
};

Exit parse_and_run(std::span<const std::string> arguments, const Console& console) {
  CLI::App program(kAbout, "seamwright");
  program.set_version_flag("--version", std::string("seamwright ") + SEAMWRIGHT_VERSION);
  program.require_subcommand(1);
  program.failure_message(CLI::FailureMessage::help);
  program.footer("Exit codes: 0 done, 1 no plan exists, 2 bad usage or input, 3 stopped by you.");
  std::vector<Command> commands;
  for (const auto add : {app::add_check, app::add_split, app::add_days, app::add_record,
                         app::add_gauge, app::add_sample}) {
    app::Body body = add(program);
    commands.push_back({program.get_subcommands({}).back(), std::move(body)});
  }
  const bool is_known = arguments.empty() || arguments[0].starts_with("-") ||
                        std::any_of(commands.begin(), commands.end(), [&](const Command& command) {
                          return command.app->get_name() == arguments[0];
                        });
  if (arguments.empty() || !is_known) {
    console.err << "seamwright: "
                << (is_known ? "give a command" : "no such command \"" + arguments[0] + "\"")
                << "; there are";
    for (const Command& command : commands) console.err << ' ' << command.app->get_name();
    console.err << "\nTry: seamwright --help\n";
    return Exit::bad_input;
  }
  std::vector<std::string> reversed(arguments.rbegin(), arguments.rend());
  try {
    program.parse(reversed);
  } catch (const CLI::CallForHelp&) {
    const auto chosen = program.get_subcommands();
    console.out << (chosen.empty() ? program.help() : chosen.front()->help());
    return Exit::done;
  } catch (const CLI::CallForVersion&) {
    console.out << program.version() << '\n';
    return Exit::done;
  } catch (const CLI::ParseError& error) {
    const std::string command = arguments[0].starts_with("-") ? "" : " " + arguments[0];
    std::string what = error.what();
    const std::string_view vague = "Could not convert: ";
    if (what.starts_with(vague)) what = "not understood: " + what.substr(vague.size());
    console.err << "seamwright:" << command << (command.empty() ? " " : ": ") << what
                << "\nTry: seamwright" << command << " --help\n";
    return Exit::bad_input;
  }
  for (const Command& command : commands)
    if (command.app->parsed()) return command.body(console);
  return Exit::bad_input;  // not reached: one subcommand is required
}

}  // namespace

StopAnswer answer_to_stop(std::span<const std::string> arguments) {
  const std::string command = arguments.empty() ? "" : arguments[0];
  if (command == "split")
    return {Cancel::finish,
            "finishing with the best plan so far; press Ctrl-C again to stop at once"};
  if (command == "days")
    return {Cancel::finish,
            "finishing with the best days so far; press Ctrl-C again to stop at once"};
  return {};
}

Exit run_command_line(std::span<const std::string> arguments, const Console& console) {
  try {
    return parse_and_run(arguments, console);
  } catch (const std::bad_alloc&) {
    console.err << "seamwright: not enough memory for this part; nothing was written\n";
    return Exit::bad_input;
  } catch (const std::exception& error) {
    console.err << "seamwright: a fault of the program, not of your part: " << error.what()
                << "\nNothing was written. Please report it with the part and the command.\n";
    return Exit::broken;
  }
}

}  // namespace seamwright
