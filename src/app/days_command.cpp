#include <fmt/format.h>

#include <chrono>
#include <filesystem>
#include <ostream>

#include "app/build_days.h"
#include "app/commands.h"
#include "app/progress.h"
#include "app/read_job_file.h"
#include "app/record_store.h"
#include "seamwright/days/chart.h"
#include "seamwright/days/ics.h"
#include "seamwright/handoff/days_json.h"
#include "seamwright/job/run_split.h"

namespace seamwright::app {
namespace {

namespace fs = std::filesystem;

struct DaysOptions {
  std::vector<std::string> from;
  std::string start, deadline, per_load, ics, svg, loads, records;
  std::optional<bool> nights, empty_house;
  int threads = 0;
};

/// What one word of the line names, as far as it is read before anything long is done.
struct Source {
  fs::path path;
  std::optional<Job> job;  ///< still to be split, so that its pieces are known; nothing is written
  NamedDays days;          ///< of a hand-off; of a job only its choice
};

Result<Source> read_job_source(const fs::path& path, const std::vector<PrinterRecord>& records) {
  Result<Job> job = read_job_file(path);
  if (!job) return job.error();
  if (job->part.file.empty())
    return Error{"bad-usage", path.string() + ": names no part, as [part] file"};
  if (is_build(*job))
    return Error{"bad-usage", fmt::format("{}: holds several parts; split it, then give its "
                                          "folder: seamwright days FOLDER",
                                          path.string())};
  job->records = records;
  if (Status fine = check_job(*job); !fine) return in_job(fine.error(), path);
  Source source{.path = path};
  source.days.input.choice = job->days;
  source.job = std::move(*job);
  return source;
}

Result<Source> read_source(const std::string& from, const std::vector<PrinterRecord>& records) {
  const fs::path path = from;
  if (path.extension() == ".toml") return read_job_source(path, records);
  std::error_code ignored;
  constexpr char kWanted[] = "a hand-off folder of split, or a job file (.toml)";
  if (!fs::is_directory(path, ignored))
    return Error{"bad-usage",
                 fmt::format("{}: {}; give {}", from,
                             fs::exists(path, ignored) ? "is a file" : "does not exist", kWanted)};
  if (!fs::exists(path / "days.json", ignored))
    return Error{"bad-usage",
                 fmt::format("{}: no hand-off (no days.json) there; give {}", from, kWanted)};
  const Result<std::string> bytes = read_text(path / "days.json", kWanted);
  if (!bytes) return bytes.error();
  Result<NamedDays> days = read_days_json(*bytes);
  if (!days) return Error(days.error()).within((path / "days.json").string());
  fit_days(*days, records);
  for (DayPiece& piece : days->input.pieces) {
    for (std::string& file : piece.files) file = (path / file).string();
  }
  return Source{.path = path, .days = std::move(*days)};
}

Result<NamedDays> days_of(Source& source, const DaysOptions& options, const Console& console) {
  if (!source.job) return std::move(source.days);
  ProgressLine line(console.err, console.shows_progress);
  const seamwright::Run run{options.threads, console.cancel,
                            [&](double share) { line.advance(share); }};
  Result<HandOff> found =
      run_split(*source.job, {}, run,
                [&](std::string_view stage, double share) { line.begin_stage(stage, share); });
  line.clear();
  if (!found) return in_job(found.error(), source.path);
  for (const Warning& warning : found->warnings)
    if (warning.code == "same-spool-idle") console.out << "! " << warning.message << '\n';
  return std::move(*found->days_input);
}

/// The maker's clock; only the application looks at it.
std::string now_words() {
  const std::time_t now = std::time(nullptr);
  std::tm local{};
  localtime_r(&now, &local);
  return fmt::format("{:04}-{:02}-{:02} {:02}:{:02}", local.tm_year + 1900, local.tm_mon + 1,
                     local.tm_mday, local.tm_hour, local.tm_min);
}

Status lay_options_over(DaysChoice& choice, const DaysOptions& options) {
  if (!options.start.empty()) choice.start = options.start;
  if (choice.start.empty()) choice.start = now_words();
  if (!options.deadline.empty()) choice.deadline = options.deadline;
  if (options.nights) choice.has_nights = *options.nights;
  if (options.empty_house) choice.has_empty_house = *options.empty_house;
  if (options.per_load.empty()) return ok();
  const auto per_load = value_named<PerLoad>(options.per_load);
  if (!per_load)
    return Error{"bad-usage",
                 fmt::format("--per-load {}: give one, few or many", options.per_load)};
  choice.per_load = *per_load;
  return ok();
}

/// The choice with the line's options over it, as it will be planned.
Status check_choice(DaysChoice choice, const DaysOptions& options) {
  if (Status laid = lay_options_over(choice, options); !laid) return laid;
  const std::optional<DaysFault> fault = find_days_fault(choice);
  if (!fault) return ok();
  const bool is_start = fault->key == "start" && !options.start.empty();
  const bool is_deadline = fault->key == "deadline" && !options.deadline.empty();
  const std::string key = is_start || is_deadline ? "--" + fault->key : "[days] " + fault->key;
  return Error{"bad-usage", fmt::format("{}: {}", key, fault->error.message)};
}

/// A file that the line asks for can be made where it says.
Status check_can_write(const std::string& file, const char* option) {
  if (file.empty()) return ok();
  std::error_code ignored;
  if (fs::is_directory(file, ignored))
    return Error{"bad-usage", fmt::format("{} {}: is a folder; name a file", option, file)};
  const fs::path folder = fs::absolute(file, ignored).parent_path();
  if (!fs::is_directory(folder, ignored))
    return Error{"bad-usage", fmt::format("{} {}: there is no folder {}; make it first", option,
                                          file, folder.string())};
  return ok();
}

/// All of the line that can be judged without a look at the pieces.
Status check_options(const DaysOptions& options) {
  const auto is_job = [](const std::string& from) { return fs::path(from).extension() == ".toml"; };
  if (!options.loads.empty() && std::any_of(options.from.begin(), options.from.end(), is_job))
    return Error{"bad-usage",
                 "--loads needs the pieces' files: split the job, then give its hand-off folder"};
  std::error_code ignored;
  if (fs::exists(options.loads, ignored) && !fs::is_directory(options.loads, ignored))
    return Error{"bad-usage", fmt::format("--loads {}: is a file; name a folder", options.loads)};
  if (Status ics = check_can_write(options.ics, "--ics"); !ics) return ics;
  return check_can_write(options.svg, "--svg");
}

/// The picture and the beds that the line asks for.
Exit write_asked(const DayPlan& plan, const DaysInput& input, const DaysOptions& options,
                 const Console& console) {
  if (!options.svg.empty()) {
    const Status done = write_file(options.svg, calendar_svg(plan, printer_names(input)));
    if (!done) return fail(console, done.error());
  }
  if (options.loads.empty()) return Exit::done;
  const Status done = write_loads(plan, input, {}, options.loads);
  if (!done) return fail(console, done.error());
  console.out << "The loads, each one bed: " << (fs::path(options.loads) / "loads").string()
              << '\n';
  return Exit::done;
}

/// What the line names, read and judged: all before the first job is split.
Result<std::vector<Source>> gather(const DaysOptions& options) {
  if (Status fine = check_options(options); !fine) return fine.error();
  const auto records = load_records(records_folder(options.records));
  if (!records) return records.error();
  std::vector<Source> sources;
  for (const std::string& from : options.from) {
    Result<Source> source = read_source(from, *records);
    if (!source) return source.error();
    sources.push_back(std::move(*source));
  }
  // A build is planned by the choice of its first part.
  const Status fine = check_choice(sources.front().days.input.choice, options);
  if (!fine) return fine.error();
  return sources;
}

Exit days(const DaysOptions& options, const Console& console) {
  Result<std::vector<Source>> sources = gather(options);
  if (!sources) return fail(console, sources.error());
  std::vector<NamedDays> parts;
  for (Source& source : *sources) {
    Result<NamedDays> part = days_of(source, options, console);
    if (!part) return fail(console, part.error());
    parts.push_back(std::move(*part));
  }
  NamedDays joined = join_days(parts);
  if (Status laid = lay_options_over(joined.input.choice, options); !laid)
    return fail(console, laid.error());
  const Result<DayPlan> plan =
      plan_days(joined.input, seamwright::Run{options.threads, console.cancel});
  if (!plan) return fail(console, plan.error());
  const std::vector<std::string> names = printer_names(joined.input);
  print_plan(console.out, *plan, joined.input);
  fs::path ics = options.ics;
  if (ics.empty() && options.from.size() == 1 && fs::is_directory(options.from[0]))
    ics = fs::path(options.from[0]) / "calendar.ics";
  if (ics.empty()) ics = "calendar.ics";
  if (Status done = write_file(ics, calendar_ics(*plan, names, joined.title)); !done)
    return fail(console, done.error());
  console.out << "\nFor your calendar: " << ics.string() << '\n';
  return write_asked(*plan, joined.input, options, console);
}

}  // namespace

Body add_days(CLI::App& program) {
  const auto options = std::make_shared<DaysOptions>();
  CLI::App* command = program.add_subcommand(
      "days",
      "When each load prints, on which printer, and when all is done: a table, bars, and "
      "calendar.ics.\n"
      "Give hand-off folders (several are one build on the same printers) or a job file. Hours, "
      "swaps\n"
      "and deadline come from [days] in the job; this line's options lie over it.");
  command->add_option("HANDOFF|JOB", options->from, "hand-off folders of split, or job files")
      ->required();
  command->add_option("--start", options->start,
                      "first moment, as \"2026-10-01 18:00\"; default: the job's, else now");
  command->add_option(
      "--deadline", options->deadline,
      "all printed by then, as \"2026-10-30 18:00\"; a date alone is its first minute");
  command->add_option("--per-load", options->per_load, "pieces that share a bed: one, few or many");
  command->add_option("--nights", options->nights, "true or false: printers run while you sleep");
  command->add_option("--empty-house", options->empty_house,
                      "true or false: printers run with nobody at home");
  command->add_option("--ics", options->ics,
                      "where the calendar file goes; default: into the folder");
  command->add_option("--svg", options->svg, "also write the chart as a picture to this file");
  command->add_option("--loads", options->loads,
                      "also write every load's bed, as 3MF files, into this folder; from hand-off "
                      "folders only");
  command->add_option("--records", options->records,
                      "folder of finished prints' records (see record); default: your data folder");
  command->add_option("--threads", options->threads, "0: all cores")->check(CLI::Range(0, 1024));
  return [options](const Console& console) { return days(*options, console); };
}

}  // namespace seamwright::app
