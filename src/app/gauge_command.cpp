#include <fmt/format.h>

#include <filesystem>
#include <fstream>
#include <ostream>

#include "app/commands.h"
#include "app/record_store.h"
#include "seamwright/joints/gauge.h"
#include "seamwright/joints/loose_parts.h"
#include "seamwright/mesh/save.h"

namespace seamwright::app {
namespace {

struct GaugeCommand {
  std::string out = "gauge.stl", printer, records;
  std::optional<double> slid;  ///< the figure beside the hole: hundredths of a millimetre
  GaugeOptions gauge;
};

Exit write_gauge(const GaugeCommand& command, const Console& console) {
  const Result<Gauge> gauge = make_gauge(command.gauge);
  if (!gauge) return fail(console, gauge.error());
  const std::vector<Solid> bodies{gauge->plate, gauge->pins};
  const Solid solid = gathered(bodies);
  std::error_code ignored;
  if (std::filesystem::is_directory(command.out, ignored))
    return fail(console,
                {"bad-usage", fmt::format("--out {}: is a folder; name a file", command.out)});
  std::ofstream file(command.out, std::ios::binary);
  write_stl(file, solid);
  file.close();
  if (!file) {
    return fail(console, {"bad-usage", fmt::format("--out {}: can't be written", command.out)});
  }
  const Vec3 size = solid.box().size();
  console.out << fmt::format(
      "{}: a plate with {} holes and a foot with two {:.1f} mm pins, {:.0f} x {:.0f} x {:.0f} mm.\n"
      "Print it as it lies, in the material and layers of your part. The holes are {:.2f} to "
      "{:.2f} mm "
      "wider\nper side; the figures beside them are hundredths of a millimetre, the row begins at "
      "the "
      "corner that\nis cut off. Take the tightest hole a pin slides into by hand and say so:\n"
      "  seamwright gauge --printer NAME --slid FIGURE\n",
      command.out, gauge->clearances_mm.size(), command.gauge.diameter_mm, size.x, size.y, size.z,
      gauge->clearances_mm.front(), gauge->clearances_mm.back());
  return Exit::done;
}

/// What the printed gauge showed, into the printer's record: split then takes it as the clearance.
Exit record_gauge(const GaugeCommand& command, const Console& console) {
  if (command.printer.empty())
    return fail(console, {"bad-usage", "gauge: --slid: say of which printer with --printer"});
  const auto folder = records_folder(command.records);
  const Result<RecordLock> lock = RecordLock::take(folder, command.printer);
  if (!lock) return fail(console, lock.error());
  Result<PrinterRecord> record = load_record(folder, command.printer);
  if (!record) return fail(console, record.error());
  record->slide_clearance_mm = *command.slid / 100;
  if (const Status saved = save_record(folder, *record); !saved)
    return fail(console, saved.error());
  console.out << fmt::format(
      "On record: what slides on \"{}\" has {:.2f} mm per side. split takes it as "
      "slide_clearance_mm\nunless the job file gives its own.\n",
      command.printer, *record->slide_clearance_mm);
  return Exit::done;
}

}  // namespace

Body add_gauge(CLI::App& program) {
  const auto options = std::make_shared<GaugeCommand>();
  CLI::App* command = program.add_subcommand(
      "gauge",
      "Write a small piece with stepped holes and two pins: it shows your printer's clearance.\n"
      "  seamwright gauge                                         to print\n"
      "  seamwright gauge --printer \"small cube 180\" --slid 20    the tightest hole that slid");
  command->add_option("--out", options->out, "the STL to write; default gauge.stl here");
  command
      ->add_option("--least", options->gauge.least_mm, "clearance per side of the first hole, mm")
      ->check(CLI::Range(0.01, 1.0));
  command->add_option("--step", options->gauge.step_mm, "from one hole to the next, mm")
      ->check(CLI::Range(0.01, 0.5));
  command->add_option("--holes", options->gauge.hole_count, "how many")->check(CLI::Range(2, 12));
  command->add_option("--printer", options->printer, "the printer that printed it");
  command
      ->add_option("--slid", options->slid,
                   "the figure beside the tightest hole that slid: goes into the printer's record")
      ->check(CLI::Range(1.0, 100.0));
  command->add_option("--records", options->records,
                      "folder of the records; default: your data folder");
  return [options](const Console& console) {
    return options->slid ? record_gauge(*options, console) : write_gauge(*options, console);
  };
}

}  // namespace seamwright::app
