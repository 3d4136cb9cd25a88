#include <fmt/format.h>
#include <unistd.h>

#include <filesystem>
#include <fstream>
#include <iterator>
#include <nlohmann/json.hpp>
#include <ostream>

#include "app/build_days.h"
#include "app/commands.h"
#include "app/earlier_plan.h"
#include "app/progress.h"
#include "app/read_job_file.h"
#include "app/record_store.h"
#include "app/summary.h"
#include "seamwright/handoff/shopping.h"
#include "seamwright/handoff/write_hand_off.h"
#include "seamwright/job/job_file.h"
#include "seamwright/job/run_split.h"
#include "seamwright/profile/printer_presets.h"

namespace seamwright::app {
namespace {

namespace fs = std::filesystem;

struct SplitOptions {
  std::string part, job_file, out, unit, worn_side, wall_side, around, up, poses, effort, symmetric,
      key, records, seams;
  std::vector<std::string> printers;
  std::optional<double> length_mm, margin_mm;
  std::optional<int> seed, most_pieces, other_plans;
  int take = 0;
  int threads = 0;
  bool as_json = false, writes_job = false;
};

Error bad_usage(std::string message) {
  return {"bad-usage", std::move(message)};
}

/// "180x180x180" or "180x180x180:left one".
Result<Printer> printer_from(const std::string& word, const Printer& like) {
  Printer printer = like;
  const std::size_t colon = word.find(':');
  const std::string sizes = word.substr(0, colon);
  if (const auto preset = preset_printer(sizes)) {
    printer = with_motion(*preset, like.motion);
    if (colon != std::string::npos) printer.name = word.substr(colon + 1);
    return printer;
  }
  char rest = 0;
  const int read = std::sscanf(sizes.c_str(), "%lfx%lfx%lf%c", &printer.room_mm.x,
                               &printer.room_mm.y, &printer.room_mm.z, &rest);
  const Vec3 room = printer.room_mm;
  if (read != 3 || !(std::min({room.x, room.y, room.z}) >= 20) ||
      !(std::max({room.x, room.y, room.z}) <= 3000)) {
    return bad_usage(
        fmt::format("--printer {}: give width x depth x height in mm, 20 to 3000 each, as "
                    "180x180x180 or 180x180x180:NAME, or small, mid, tall or round",
                    word));
  }
  printer.name =
      colon == std::string::npos ? fmt::format("printer {}", sizes) : word.substr(colon + 1);
  return printer;
}

void tell_given(Job& job, const std::string& key) {
  job.given.push_back({key, "given on the command line"});
}

/// Printers of the command line are like the job's first one in all that they don't say themselves.
void tell_given_printers(Job& job, const std::vector<std::string>& words) {
  const std::string all = "printer.", first = "printer.0.";
  std::vector<GivenSetting> kept;
  for (const GivenSetting& setting : job.given)
    if (setting.key.starts_with(first))
      kept.push_back({setting.key.substr(first.size()), setting.by});
  std::erase_if(job.given, [&](const GivenSetting& s) { return s.key.starts_with(all); });
  for (std::size_t i = 0; i < words.size(); ++i) {
    const std::string here = fmt::format("printer.{}.", i);
    const bool is_preset = preset_printer(words[i].substr(0, words[i].find(':'))).has_value();
    for (const GivenSetting& setting : kept)
      if (!is_preset || setting.key == "motion")
        job.given.push_back({here + setting.key, setting.by});
    tell_given(job, here + (is_preset ? "preset" : "room_mm"));
    if (!is_preset || words[i].find(':') != std::string::npos) tell_given(job, here + "name");
  }
}

/// Printers that were given no name of their own and are called alike get numbers: calendar and
/// records tell printers by their names.
void number_alike(std::vector<Printer>& printers, const std::vector<std::string>& words) {
  const std::vector<Printer> plain = printers;
  for (std::size_t i = 1; i < printers.size(); ++i) {
    if (words[i].find(':') != std::string::npos) continue;
    const auto alike =
        std::count_if(plain.begin(), plain.begin() + static_cast<std::ptrdiff_t>(i),
                      [&](const Printer& other) { return other.name == plain[i].name; });
    if (alike > 0) printers[i].name += fmt::format(" ({})", alike + 1);
  }
}

Status lay_printers_over(Job& job, const SplitOptions& options) {
  if (!options.printers.empty()) {
    const Printer like = job.printers.front();
    job.printers.clear();
    for (const std::string& word : options.printers) {
      Result<Printer> printer = printer_from(word, like);
      if (!printer) return printer.error();
      job.printers.push_back(std::move(*printer));
    }
    number_alike(job.printers, options.printers);
    tell_given_printers(job, options.printers);
  }
  for (std::size_t i = 0; i < job.printers.size(); ++i) {
    Printer& printer = job.printers[i];
    if (options.margin_mm) {
      printer.margin_mm = *options.margin_mm;
      tell_given(job, fmt::format("printer.{}.margin_mm", i));
    }
    if (options.margin_mm && *options.margin_mm < printer.top_margin_mm) {
      printer.top_margin_mm = *options.margin_mm;
      tell_given(job, fmt::format("printer.{}.top_margin_mm", i));
    }
    const Vec3 usable = printer.usable_mm();
    if (std::min({usable.x, usable.y, usable.z}) < 10) {
      return bad_usage(
          fmt::format("printer \"{}\": less than 10 mm is left inside a margin of {} mm",
                      printer.name, printer.margin_mm));
    }
  }
  return ok();
}

template <named_enum E>
Status lay_word_over(E& field, const std::string& word, const char* option) {
  if (word.empty()) return ok();
  const std::optional<E> value = value_named<E>(word);
  if (value) {
    field = *value;
    return ok();
  }
  std::string known;
  for (const auto& entry : names(E{})) known += " " + std::string(entry.first);
  return bad_usage(fmt::format("{} {}: give one of{}", option, word, known));
}

/// Seams of an earlier plan instead of a search.
Status take_seams(Job& job, const SplitOptions& options) {
  if (options.seams.empty())
    return options.take == 0 ? ok() : Status(bad_usage("--take: give --seams plan.json with it"));
  Result<SeamPlan> plan = read_plan_seams(options.seams, options.take);
  if (!plan) return plan.error();
  job.given_plan = std::move(*plan);
  return ok();
}

/// The job file's choices, then the command line's over them.
Result<Job> gather_job(const SplitOptions& options) {
  Job job;
  if (!options.job_file.empty()) {
    Result<Job> read = read_job_file(options.job_file);
    if (!read) return read;
    job = std::move(*read);
  }
  if (!options.part.empty()) job.part.file = options.part;
  if (!options.unit.empty()) job.part.unit = options.unit;
  if (options.length_mm) job.part.length_mm = options.length_mm;
  if (!options.worn_side.empty() || !options.wall_side.empty() || !options.around.empty()) {
    job.part.worn_side = options.worn_side;
    job.part.wall_side = options.wall_side;
    job.part.around = options.around;
    job.part.body.clear();
  }
  if (!options.up.empty()) job.part.up = options.up;
  if (options.seed) job.search.seed = *options.seed;
  if (options.most_pieces) job.search.most_pieces = *options.most_pieces;
  if (options.other_plans) job.search.other_plans = *options.other_plans;
  const Status seams = take_seams(job, options);
  if (!seams) return seams.error();
  for (const Status& status :
       {lay_printers_over(job, options), lay_word_over(job.search.poses, options.poses, "--poses"),
        lay_word_over(job.search.effort, options.effort, "--effort"),
        lay_word_over(job.search.symmetric, options.symmetric, "--symmetric"),
        lay_word_over(job.joinery.key, options.key, "--key")}) {
    if (!status) return status.error();
  }
  if (!options.key.empty()) tell_given(job, "joints.key");
  if (job.part.file.empty() && !options.writes_job)
    return bad_usage("split: give a PART, or a job file with [part] file");
  return job;
}

std::filesystem::path out_folder(const SplitOptions& options, const Job& job) {
  if (!options.out.empty()) return options.out;
  return std::filesystem::path(job.part.file).stem().string() + "-hand-off";
}

/// Tried in the nearest folder above that exists: permissions alone don't say it.
Status check_can_make(const fs::path& folder) try {
  fs::path above = fs::weakly_canonical(fs::absolute(folder)).parent_path();
  while (!fs::exists(above)) above = above.parent_path();
  const fs::path trial = above / fmt::format(".seamwright-{}", ::getpid());
  fs::create_directory(trial);
  fs::remove(trial);
  return ok();
} catch (const fs::filesystem_error& error) {
  return bad_usage(fmt::format("--out {}: can't be made ({}); name another folder", folder.string(),
                               error.code().message()));
}

/// Another part's hand-off is never replaced.
Status check_part_of(const fs::path& folder, const PartChoice& part) {
  const std::optional<EarlierPart> earlier = read_earlier_part(folder / "plan.json");
  if (!earlier || is_same_part(part, earlier->file, earlier->sha256)) return ok();
  return bad_usage(
      fmt::format("--out {}: holds the hand-off of another part, {}; name another folder, or "
                  "remove this one if you don't need it any more (if it is the same part, give its "
                  "file that name again)",
                  folder.string(), earlier->file));
}

/// A build has a folder for each of its parts, and one part's own files would be mixed with its.
Status check_build_folder(const fs::path& folder) {
  const std::optional<EarlierPart> earlier = read_earlier_part(folder / "plan.json");
  if (!earlier) return ok();
  return bad_usage(fmt::format(
      "--out {}: holds the hand-off of one part, {}; a build needs a folder of its own, name "
      "another",
      folder.string(), earlier->file));
}

/// A folder that is not a hand-off is never replaced; a build's holds one for each part.
Status check_out_folder(const std::filesystem::path& folder, const Job& job) {
  std::error_code ignored;
  if (!fs::exists(folder, ignored)) return check_can_make(folder);
  if (!fs::is_directory(folder, ignored))
    return bad_usage(fmt::format("--out {}: is a file; name a folder", folder.string()));
  if (fs::is_empty(folder, ignored) || fs::exists(folder / "plan.json", ignored) ||
      fs::exists(folder / "days.json", ignored)) {
    if (is_build(job)) return check_build_folder(folder);
    if (Status free = check_hand_off_folder(folder); !free) return free;
    return check_part_of(folder, job.part);
  }
  return bad_usage(fmt::format(
      "--out {}: holds something that is not a hand-off (no plan.json); name another folder",
      folder.string()));
}

/// One part: run, write, tell. Gives what the days are planned from.
struct SplitDone {
  Exit exit = Exit::done;
  std::optional<NamedDays> days;
  std::vector<ShoppingLine> shopping;
};

SplitDone split_part(const Job& job, const fs::path& folder, const SplitOptions& options,
                     const Console& console, bool is_whole_build) {
  ProgressLine line(console.err, console.shows_progress);
  const Run run{options.threads, console.cancel,
                [&](double share_ratio) { line.advance(share_ratio); }};
  Result<HandOff> found = run_split(
      job, read_earlier_marks(folder / "plan.json"), run,
      [&](std::string_view stage, double share_ratio) { line.begin_stage(stage, share_ratio); });
  line.clear();
  if (!found) return {fail(console, in_job(found.error(), options.job_file)), {}, {}};
  line.begin_stage("writing the hand-off", 0.97);
  const Status written = write_hand_off(*found, folder, Run{options.threads, console.cancel});
  line.clear();
  if (!written) return {fail(console, written.error()), {}, {}};
  if (options.as_json) {
    std::ifstream plan(folder / "plan.json", std::ios::binary);
    console.out << plan.rdbuf();
  } else {
    print_summary(console.out, *found, folder, is_whole_build);
  }
  return {found->is_complete ? Exit::done : Exit::stopped, found->days_input,
          shopping_list(*found)};
}

/// One part of a build: what it is called, the job that makes it, how often.
struct BuildPart {
  std::string name;
  Job job;
  int count = 1;
};

std::vector<BuildPart> build_parts(const Job& job) {
  std::vector<PartChoice> choices = job.parts;
  if (choices.empty()) choices.push_back(job.part);
  std::vector<BuildPart> parts;
  const auto add = [&](const PartChoice& choice, int count, const std::string& suffix) {
    if (count == 0) return;
    BuildPart part{fs::path(choice.file).stem().string() + suffix, job, count};
    const auto is_same = [&](const BuildPart& other) { return other.name == part.name; };
    const auto same = std::count_if(parts.begin(), parts.end(), is_same);
    if (same > 0) part.name += fmt::format("-{}", same + 1);
    part.job.part = choice;
    part.job.parts.clear();
    parts.push_back(std::move(part));
  };
  for (const PartChoice& choice : choices) {
    add(choice, choice.count, choice.mirror.empty() ? "" : "-mirrored");
    PartChoice other = choice;
    other.mirror = choice.mirror.empty() ? "x" : "";
    add(other, choice.mirrored, choice.mirror.empty() ? "-mirrored" : "");
  }
  return parts;
}

/// Copies are further parts of one build: "wing 2" beside "wing".
void add_copies(std::vector<NamedDays>& all, const NamedDays& days, const BuildPart& part) {
  for (int copy = 1; copy <= part.count; ++copy) {
    all.push_back(days);
    for (DayPiece& piece : all.back().input.pieces) {
      for (std::string& file : piece.files) file = part.name + "/" + file;
    }
    all.back().title = copy == 1 ? part.name : fmt::format("{} {}", part.name, copy);
  }
}

/// Every part into a folder of its own; then all of them on the same printers.
Exit split_build(const Job& job, const fs::path& folder, const SplitOptions& options,
                 const Console& console) {
  const bool speaks_of_one = !job.wiring.wires.empty() || !job.wiring.pockets.empty() ||
                             !job.wiring.troughs.empty() || !job.wiring.spars.empty() ||
                             !job.locks.empty() || !job.prefers.empty() || !job.forbids.empty() ||
                             !job.shows.empty() || !job.hides.empty() || !job.dones.empty() ||
                             !job.stands.empty() || !job.mounts.empty() || job.given_plan;
  if (speaks_of_one) {
    return fail(console,
                bad_usage("[[wire]], [[lock]], [[show]], [[mount]] and their like speak of "
                          "one part: split each such part by itself, then plan them "
                          "together with: seamwright days FOLDER FOLDER"));
  }
  const std::vector<BuildPart> parts = build_parts(job);
  // The last part's faults are told before the first part's search.
  for (const BuildPart& part : parts) {
    const Status fine = check_job(part.job, read_earlier_marks(folder / part.name / "plan.json"));
    if (!fine)
      return fail(console,
                  in_job(Error(fine.error()).within("part " + part.name), options.job_file));
    for (const Status& free : {check_hand_off_folder(folder / part.name),
                               check_part_of(folder / part.name, part.job.part)}) {
      if (!free) return fail(console, free.error());
    }
  }
  std::vector<NamedDays> all;
  std::vector<ShoppingPart> shopping;
  Exit exit = Exit::done;
  for (const BuildPart& part : parts) {
    console.out << fmt::format("== {}, {} of it\n", part.name, part.count);
    SplitDone done = split_part(part.job, folder / part.name, options, console, false);
    if (!done.days) return done.exit;
    if (done.exit != Exit::done) exit = done.exit;
    add_copies(all, *done.days, part);
    shopping.push_back({part.name, part.count, std::move(done.shopping)});
    console.out << '\n';
  }
  const Status told = hand_over_build(console.out, join_days(all), shopping, folder);
  return told ? exit : fail(console, told.error());
}

Exit split(const SplitOptions& options, const Console& console) {
  Result<Job> job = gather_job(options);
  if (!job) return fail(console, job.error());
  Result<std::vector<PrinterRecord>> records = load_records(records_folder(options.records));
  if (!records) return fail(console, records.error());
  job->records = std::move(*records);
  if (options.writes_job) {
    console.out << write_job(*job);
    return Exit::done;
  }
  const std::filesystem::path folder = out_folder(options, *job);
  const Status free = check_out_folder(folder, *job);
  if (!free) return fail(console, free.error());

  if (is_build(*job)) return split_build(*job, folder, options, console);
  return split_part(*job, folder, options, console, true).exit;
}

/// How hard seams are looked for, and what is wished of them.
void add_search_options(CLI::App* command, SplitOptions& options) {
  command->add_option("--effort", options.effort, "quick, normal (default) or thorough");
  command->add_option("--symmetric", options.symmetric,
                      "x, y or z: the seams mirror each other across this axis; none (default)");
  command
      ->add_option("--most-pieces", options.most_pieces,
                   "no plan with more pieces than this; 0: any")
      ->check(CLI::Range(0, 400));
  command
      ->add_option("--other-plans", options.other_plans,
                   "look for up to 4 plans with other aims too and compare them in the report")
      ->check(CLI::Range(0, 4));
  command->add_option("--seams", options.seams,
                      "take the seams of this plan.json instead of searching");
  command->add_option("--take", options.take, "with --seams: which of its other plans, from 1")
      ->check(CLI::Range(1, 4));
  command->add_option("--seed", options.seed, "another seed, another try")
      ->check(CLI::Range(0, 2'000'000'000));
}

}  // namespace

Body add_split(CLI::App& program) {
  const auto options = std::make_shared<SplitOptions>();
  CLI::App* command = program.add_subcommand(
      "split",
      "The main job: find the cuts, put keys in, lead wires, estimate the prints, write the "
      "hand-off folder.\n"
      "PART alone works: a 180 mm cube printer with 5 mm margin, PLA, 0.4 mm nozzle, 0.2 mm "
      "layers.\n"
      "Ctrl-C once: finish with the best plan so far. Twice: stop, nothing half written.");
  command->add_option("PART", options->part, "STL, OBJ, PLY, OFF, 3MF or glTF");
  command->add_option("--unit", options->unit, "what the file's numbers mean: mm, cm, m, inch");
  command->add_option("--length", options->length_mm,
                      "scale the longest side to this many mm, up to 100000");
  command->add_option("--worn-side", options->worn_side,
                      "the side that lies on a body, as -z: seams go there");
  command->add_option("--wall-side", options->wall_side, "the side that hangs on a wall, as -z");
  command->add_option("--around", options->around,
                      "a ring, cuff or band worn around this axis: x, y, z");
  command->add_option("--up", options->up, "which way is up when it is seen, as +z");
  command->add_option(
      "--printer", options->printers,
      "room in mm, as 180x180x180 or 220x220x250:NAME, or a generic machine: small, mid, "
      "tall or round; again for more printers");
  command->add_option("--margin", options->margin_mm, "kept free at each side of the bed, mm")
      ->check(CLI::Range(0.0, 500.0));
  command->add_option("--poses", options->poses,
                      "standing (default), or tilted: any rotation, on supports");
  command->add_option("--job", options->job_file,
                      "job file (TOML) with every choice; this line's options lie over it");
  command->add_option("--out", options->out, "folder for the hand-off; default PART-hand-off here");
  add_search_options(command, *options);
  command
      ->add_option("--threads", options->threads, "0: all cores; the result does not depend on it")
      ->check(CLI::Range(0, 1024));
  command->add_option("--key", options->key,
                      "dowel (default), pin, tongue, lap, strap, none, or flange or magnet, which "
                      "come apart again; "
                      "where dowels have no room, straps are laid");
  command->add_option("--records", options->records,
                      "folder of finished prints' records (see record); default: your data folder");
  command->add_flag("--json", options->as_json, "print plan.json on standard output");
  command->add_flag("--write-job", options->writes_job,
                    "print a job file with every key and its default, and end");
  return [options](const Console& console) { return split(*options, console); };
}

}  // namespace seamwright::app
