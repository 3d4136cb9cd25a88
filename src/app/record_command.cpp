#include <fmt/format.h>

#include <charconv>
#include <ostream>

#include "app/commands.h"
#include "app/planned_print.h"
#include "app/record_store.h"

namespace seamwright::app {
namespace {

struct RecordOptions {
  std::string what, printer, from, records, time;
  std::optional<double> mass_g;
  std::optional<int> undo;
  bool lists = false, undoes = false;
};

Error bad_usage(std::string message) {
  return {"bad-usage", std::move(message)};
}

std::string clock(double seconds) {
  const long minutes = std::lround(seconds / 60);
  return fmt::format("{}:{:02} h", minutes / 60, minutes % 60);
}

/// "3h42m", "1d2h", "42m", "90s", or "3:42" for hours and minutes.
Result<double> seconds_in(const std::string& word) {
  const Error wanted = bad_usage(
      fmt::format("record: --time {}: give hours and minutes as 3h42m, 1d2h30m or 3:42", word));
  double seconds = 0;
  const char* at = word.data();
  const char* const end = at + word.size();
  if (at == end) return wanted;
  while (at != end) {
    double value = 0;
    const auto [after, failed] = std::from_chars(at, end, value);
    if (failed != std::errc{} || value < 0) return wanted;
    const char unit = after == end ? 'm' : *after;  // "3:42" ends without one
    const bool is_clock_end = after == end && word.find(':') != std::string::npos;
    if (after == end && !is_clock_end) return wanted;
    if (unit == 'd') {
      seconds += 86400 * value;
    } else if (unit == 'h' || unit == ':') {
      seconds += 3600 * value;
    } else if (unit == 'm') {
      seconds += 60 * value;
    } else if (unit == 's') {
      seconds += value;
    } else {
      return wanted;
    }
    at = after == end ? end : after + 1;
  }
  return seconds;
}

std::string percent(double ratio) {
  return fmt::format("{:+.1f} %", 100 * (ratio - 1));
}

void print_fit(std::ostream& out, const PrinterRecord& record) {
  const PrinterFit fit = fit_record(record);
  out << fmt::format(
      "  {}: estimates are taken times {:.3f} for time (± {:.0f} %), {:.3f} for mass (± {:.0f} "
      "%)\n",
      record.printer, fit.time_factor_ratio, 100 * fit.time_band_ratio, fit.mass_factor_ratio,
      100 * fit.mass_band_ratio);
}

/// Its prints and what is fitted to them, and what its gauge showed.
void print_record(std::ostream& out, const PrinterRecord& record) {
  if (record.slide_clearance_mm) {
    out << fmt::format("{}: what slides has {:.2f} mm per side, by its gauge\n", record.printer,
                       *record.slide_clearance_mm);
  }
  if (record.prints.empty()) return;
  out << fmt::format("{}\n  {:>3}  {:<10}{:>12}{:>12}{:>9}{:>12}{:>10}{:>9}\n", record.printer,
                     "no", "print", "model", "took", "", "model g", "weighed", "");
  for (std::size_t i = 0; i < record.prints.size(); ++i) {
    const RecordedPrint& p = record.prints[i];
    out << fmt::format("  {:>3}  {:<10}{:>12}{:>12}{:>9}{:>12.1f}{:>10}{:>9}\n", i + 1, p.what,
                       clock(p.estimated_s), p.printed_s ? clock(*p.printed_s) : "–",
                       p.printed_s ? percent(*p.printed_s / p.estimated_s) : "", p.estimated_g,
                       p.weighed_g ? fmt::format("{:.1f}", *p.weighed_g) : "–",
                       p.weighed_g ? percent(*p.weighed_g / p.estimated_g) : "");
  }
  print_fit(out, record);
}

Exit list(const RecordOptions& options, const Console& console) {
  const auto folder = records_folder(options.records);
  const Result<std::vector<PrinterRecord>> records = load_records(folder);
  if (!records) return fail(console, records.error());
  bool is_any = false;
  for (const PrinterRecord& record : *records) {
    if (!options.printer.empty() && record.printer != options.printer) continue;
    print_record(console.out, record);
    is_any = true;
  }
  if (!is_any) console.out << "No prints are recorded in " << folder.string() << ".\n";
  return Exit::done;
}

Exit undo(const RecordOptions& options, const Console& console) {
  if (options.printer.empty())
    return fail(console, bad_usage("record: --undo: say of which printer with --printer"));
  const auto folder = records_folder(options.records);
  const Result<RecordLock> lock = RecordLock::take(folder, options.printer);
  if (!lock) return fail(console, lock.error());
  Result<PrinterRecord> record = load_record(folder, options.printer);
  if (!record) return fail(console, record.error());
  const auto count = static_cast<int>(record->prints.size());
  const int number = options.undo.value_or(count);
  if (number < 1 || number > count)
    return fail(console,
                bad_usage(fmt::format("record: \"{}\" has {} recorded prints; --undo {} is none of "
                                      "them (see --list)",
                                      options.printer, count, number)));
  const auto at = record->prints.begin() + (number - 1);
  const std::string what = at->what;
  record->prints.erase(at);
  if (const Status saved = save_record(folder, *record); !saved)
    return fail(console, saved.error());
  console.out << fmt::format("Took {} (no {}) off the record of {}.\n", what, number,
                             options.printer);
  print_fit(console.out, *record);
  return Exit::done;
}

Result<RecordedPrint> finished_print(const RecordOptions& options, PlannedPrint& planned) {
  Result<PlannedPrint> found = planned_print(options.what, options.from);
  if (!found) return found.error();
  planned = std::move(*found);
  if (!options.printer.empty() && planned.printer != options.printer)
    return bad_usage(fmt::format(
        "record: {} is planned for \"{}\": its estimate says nothing of \"{}\". Split again with "
        "that printer first",
        planned.what, planned.printer, options.printer));
  RecordedPrint print{planned.what, planned.estimated_s, planned.estimated_g, {}, options.mass_g};
  if (!options.time.empty()) {
    const Result<double> seconds = seconds_in(options.time);
    if (!seconds) return seconds.error();
    print.printed_s = *seconds;
  }
  return print;
}

Exit record(const RecordOptions& options, const Console& console) {
  if (options.lists) return list(options, console);
  if (options.undoes) return undo(options, console);
  if (options.what.empty())
    return fail(console, bad_usage("record: which PIECE or LOAD was printed? Or give --list"));
  PlannedPrint planned;
  Result<RecordedPrint> print = finished_print(options, planned);
  if (!print) return fail(console, print.error());
  const auto folder = records_folder(options.records);
  const Result<RecordLock> lock = RecordLock::take(folder, planned.printer);
  if (!lock) return fail(console, lock.error());
  Result<PrinterRecord> record = load_record(folder, planned.printer);
  if (!record) return fail(console, record.error());
  if (const Status added = add_print(*record, std::move(*print)); !added)
    return fail(console, added.error());
  if (const Status saved = save_record(folder, *record); !saved)
    return fail(console, saved.error());
  print_record(console.out, *record);
  return Exit::done;
}

}  // namespace

Body add_record(CLI::App& program) {
  const auto options = std::make_shared<RecordOptions>();
  CLI::App* command = program.add_subcommand(
      "record",
      "Write down how long a finished print took and what it weighed: estimates for that printer\n"
      "are then fitted to it, with an error band from what is on record.\n"
      "  seamwright record A1 --printer \"small cube 180\" --time 3h42m --mass 118\n"
      "  seamwright record --list\n"
      "  seamwright record --undo --printer \"small cube 180\"   the last entry, or --undo 2");
  command->add_option("PIECE", options->what,
                      "a piece's mark (A1), a load's id, marks printed together (A1+B2), or a path "
                      "to the hand-off's file");
  command->add_option("--printer", options->printer, "the printer's name, as in the job file");
  command->add_option("--time", options->time, "how long it took, heating included: 3h42m");
  command->add_option("--mass", options->mass_g, "what it weighs with its support and brim, g")
      ->check(CLI::Range(0.1, 100000.0));
  command->add_option("--from", options->from, "the hand-off's folder; default: the only one here");
  command->add_option("--records", options->records,
                      "folder of the records; default: your data folder");
  command->add_flag("--list", options->lists, "show what is on record");
  CLI::Option* undoes =
      command->add_option("--undo", options->undo, "take an entry off: its number, or the last")
          ->expected(0, 1);
  return [options, undoes](const Console& console) {
    options->undoes = undoes->count() > 0;
    return record(*options, console);
  };
}

}  // namespace seamwright::app
