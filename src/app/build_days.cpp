#include "app/build_days.h"

#include <fmt/format.h>

#include <fstream>
#include <ostream>

#include "seamwright/days/chart.h"
#include "seamwright/days/ics.h"
#include "seamwright/handoff/package_3mf.h"
#include "seamwright/mesh/load.h"

namespace seamwright::app {

Status write_file(const std::filesystem::path& path, const std::string& bytes) {
  std::error_code ignored;
  if (std::filesystem::is_directory(path, ignored))
    return Error{"write-failed", path.string() + ": is a folder; name a file"};
  std::ofstream out(path, std::ios::binary | std::ios::trunc);
  out << bytes;
  out.close();
  if (!out) return Error{"write-failed", path.string() + ": can't be written"};
  return ok();
}

std::vector<std::string> printer_names(const DaysInput& input) {
  std::vector<std::string> names;
  for (const DaysPrinter& printer : input.printers) names.push_back(printer.load.name);
  return names;
}

void print_plan(std::ostream& out, const DayPlan& plan, const DaysInput& input) {
  const std::vector<std::string> names = printer_names(input);
  for (const std::string& sentence : calendar_sentences(plan)) out << sentence << '\n';
  out << '\n' << calendar_table(plan, names) << '\n' << calendar_bars(plan, names);
  if (plan.night_count + plan.empty_house_count > 0) {
    out << "\n! " << unattended_caution() << '\n';
  }
}

namespace {

/// One load's bed as a package. `printer` is the one the calendar gives it.
Result<std::string> load_package(const Load& load, std::size_t printer, const DaysInput& input,
                                 const std::filesystem::path& from) {
  std::vector<std::string> names;
  std::vector<Solid> solids;
  for (const NestPlace& place : *load.places[printer]) {
    const DayPiece& piece = input.pieces[load.pieces[place.item]];
    Transform onto_bed = rotation({0, 0, 1}, place.turn);
    onto_bed.shift = {place.shift.x, place.shift.y, 0};
    for (const std::string& file : piece.files) {
      Result<TriangleSoup> soup = load_mesh(from / file);
      if (!soup) return soup.error();
      Result<Solid> solid = Solid::make(std::move(*soup));
      if (!solid) return Error(solid.error()).within((from / file).string());
      names.push_back(names.empty() || file == piece.files[0] ? piece.mark : piece.mark + " pads");
      solids.push_back(solid->transformed(onto_bed));
    }
  }
  std::vector<NamedSolid> named;
  for (std::size_t i = 0; i < solids.size(); ++i) named.push_back({names[i], &solids[i]});
  return package_3mf(named, std::string("seamwright ") + SEAMWRIGHT_VERSION);
}

}  // namespace

Status write_loads(const DayPlan& plan, const DaysInput& input, const std::filesystem::path& from,
                   const std::filesystem::path& folder) {
  std::error_code failed;
  std::filesystem::create_directories(folder / "loads", failed);
  for (const CalendarEntry& entry : plan.calendar.entries) {
    const Result<std::string> bytes =
        load_package(plan.loads[entry.load], entry.printer, input, from);
    if (!bytes) return bytes.error();
    const std::string name = fmt::format("load-{:02}.3mf", entry.load + 1);
    if (Status done = write_file(folder / "loads" / name, *bytes); !done) return done;
  }
  return ok();
}

Status hand_over_build(std::ostream& out, const NamedDays& build,
                       std::span<const ShoppingPart> shopping,
                       const std::filesystem::path& folder) {
  if (Status done = write_file(folder / "days.json", days_json(build)); !done) return done;
  const Result<DayPlan> plan = plan_days(build.input);
  if (!plan) return plan.error();
  out << "== the whole build\n";
  print_plan(out, *plan, build.input);
  if (Status done = write_loads(*plan, build.input, folder, folder); !done) return done;
  out << "\nThe loads, each one bed: " << (folder / "loads").string() << '\n';
  std::size_t begun = 0;
  for (const std::size_t count : plan->calendar.spool_count) begun += count;
  const std::vector<ShoppingLine> lines = join_shopping(shopping, begun);
  out << "\nTo buy, for all of it (shopping.csv says how each was found):\n";
  for (const ShoppingLine& line : lines)
    out << fmt::format("  {:>10}  {}\n", line.amount(), line.what);
  if (Status done = write_file(folder / "shopping.csv", shopping_csv(lines)); !done) return done;
  if (!plan->has_date) return ok();
  return write_file(folder / "calendar.ics",
                    calendar_ics(*plan, printer_names(build.input), build.title));
}

}  // namespace seamwright::app
