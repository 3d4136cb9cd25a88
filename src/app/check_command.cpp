#include <fmt/format.h>

#include <map>
#include <nlohmann/json.hpp>
#include <ostream>

#include "app/commands.h"
#include "seamwright/mesh/check.h"
#include "seamwright/mesh/load.h"
#include "seamwright/mesh/mend.h"
#include "seamwright/mesh/units.h"

namespace seamwright::app {
namespace {

using Json = nlohmann::ordered_json;

struct CheckOptions {
  std::string file, unit;
  std::optional<double> length_mm;
  bool as_json = false;
  int threads = 0;
};

/// What mending would do, tried on a copy: the answer a maker wants after a list of faults.
struct MendOutlook {
  bool is_mendable = false;
  std::vector<MendStep> steps;
  std::string refusal;
};

struct Checked {
  UnitChoice unit;
  HealthReport report;
  MendOutlook outlook;
};

Result<MendOutlook> try_mending(TriangleSoup soup, const Run& run) {
  Result<Mended> mended = mend(std::move(soup), run);
  if (mended) return MendOutlook{true, std::move(mended->steps), {}};
  if (mended.error().code == "cancelled") return mended.error();
  return MendOutlook{false, {}, mended.error().message};
}

Result<Checked> look_over(const CheckOptions& options, const Run& run) {
  std::optional<Unit> unit;
  if (!options.unit.empty()) {
    unit = unit_named(options.unit);
    if (!unit)
      return Error{"bad-usage", fmt::format("--unit {}: give mm, cm, m or inch", options.unit)};
  }
  Result<TriangleSoup> soup = load_mesh(options.file, run);
  if (!soup) return std::move(soup).error();
  Result<UnitChoice> choice = choose_unit(*soup, unit, options.length_mm);
  if (!choice) return std::move(choice).error().within(options.file);
  for (Vec3& p : soup->points) p = p * choice->scale_ratio;
  HealthReport report = check_mesh(*soup, run);
  // A report that was broken off would say of a faulty part that it is sound.
  if (run.should_stop()) return Error{"cancelled", "stopped while checking"};
  Result<MendOutlook> outlook = try_mending(std::move(*soup), run);
  if (!outlook) return outlook.error();
  return Checked{std::move(*choice), std::move(report), std::move(*outlook)};
}

/// A finding as a maker says it; the JSON keeps the code.
std::string finding_words(const std::string& code) {
  static const std::map<std::string, std::string> kWords{
      {"open-edge", "open edges, where the skin has a hole or a rim"},
      {"non-manifold-edge", "edges where more than two faces meet"},
      {"flipped-edge", "edges between faces that look opposite ways"},
      {"duplicate-face", "faces that are there twice"},
      {"zero-area-face", "faces without area"},
      {"self-crossing", "faces that go through each other"},
      {"overlapping-bodies", "bodies that go through each other"},
      {"inside-out-shell", "shells turned inside out"},
      {"nested-shell", "shells inside others"},
      {"thin-wall", "places where the wall is thin"},
      {"unused-point", "points that no face uses"}};
  const auto words = kWords.find(code);
  return words == kWords.end() ? code : words->second;
}

/// What goes right through: eye holes and handles, and tunnels that nobody meant.
std::string holes_in_words(const HealthReport& report) {
  if (!report.hole_count) return "";
  if (*report.hole_count == 0) return ", no hole goes through";
  return *report.hole_count == 1 ? ", 1 hole goes through"
                                 : fmt::format(", {} holes go through", *report.hole_count);
}

void print_text(std::ostream& out, const Checked& checked) {
  const HealthReport& report = checked.report;
  out << checked.unit.message << "\n\n";
  out << fmt::format("{} faces, {} corners, {} shell{}, {:.1f} cm2 of skin\n", report.face_count,
                     report.point_count, report.shell_count, report.shell_count == 1 ? "" : "s",
                     report.area_mm2 / 100);
  out << (report.volume_mm3 ? fmt::format("closed, {:.1f} cm3", *report.volume_mm3 / 1000)
                            : std::string("not closed"))
      << holes_in_words(report) << '\n';
  for (const HealthFinding& finding : report.findings) {
    out << fmt::format("\n{} {}: {}\n",
                       finding.is_fault ? "fault:" : "note:", finding_words(finding.code),
                       finding.count);
    for (const Vec3& place : finding.places)
      out << fmt::format("    at {:.2f}, {:.2f}, {:.2f}\n", place.x, place.y, place.z);
    if (!finding.advice.empty()) out << "  " << finding.advice << '\n';
  }
  out << '\n';
  if (!checked.outlook.is_mendable) {
    out << "can't be split as it is: " << checked.outlook.refusal << '\n';
    return;
  }
  if (checked.outlook.steps.empty()) out << "sound: ready to split\n";
  for (const MendStep& step : checked.outlook.steps) {
    out << fmt::format("split would mend it: {}, {} of them{}\n", mend_words(step.code), step.count,
                       step.detail.empty() ? "" : ", " + step.detail);
  }
}

Json to_json(const Vec3& p) {
  return Json::array({p.x, p.y, p.z});
}

void print_json(std::ostream& out, const Checked& checked) {
  const HealthReport& report = checked.report;
  Json json{{"schema", "seamwright-check/1"},
            {"size_mm", to_json(report.size_mm)},
            {"unit", unit_name(checked.unit.unit)},
            {"scale_ratio", checked.unit.scale_ratio},
            {"face_count", report.face_count},
            {"point_count", report.point_count},
            {"shell_count", report.shell_count},
            {"area_mm2", report.area_mm2},
            {"volume_mm3", report.volume_mm3 ? Json(*report.volume_mm3) : Json(nullptr)},
            {"is_closed", report.is_closed},
            {"euler_number", report.euler_number},
            {"hole_count", report.hole_count ? Json(*report.hole_count) : Json(nullptr)},
            {"findings", Json::array()},
            {"is_mendable", checked.outlook.is_mendable},
            {"mended", Json::array()},
            {"refusal", checked.outlook.refusal}};
  for (const HealthFinding& finding : report.findings) {
    Json places = Json::array();
    for (const Vec3& place : finding.places) places.push_back(to_json(place));
    json["findings"].push_back({{"code", finding.code},
                                {"count", finding.count},
                                {"is_fault", finding.is_fault},
                                {"places", std::move(places)},
                                {"advice", finding.advice}});
  }
  for (const MendStep& step : checked.outlook.steps) {
    json["mended"].push_back({{"code", step.code}, {"count", step.count}, {"detail", step.detail}});
  }
  out << json.dump(2) << '\n';
}

}  // namespace

Body add_check(CLI::App& program) {
  const auto options = std::make_shared<CheckOptions>();
  CLI::App* command = program.add_subcommand(
      "check", "Look a part over: its size, its faults, whether it can be split. Changes nothing.");
  command->add_option("PART", options->file, "STL, OBJ, PLY, OFF, 3MF or glTF")->required();
  command->add_option("--unit", options->unit, "what the file's numbers mean: mm, cm, m, inch");
  command->add_option("--length", options->length_mm,
                      "scale the longest side to this many mm, up to 100000");
  command->add_option("--threads", options->threads, "0: all cores")->check(CLI::Range(0, 1024));
  command->add_flag("--json", options->as_json, "print the report as JSON");
  return [options](const Console& console) {
    const Run run{.thread_count = options->threads, .cancel = console.cancel};
    const Result<Checked> checked = look_over(*options, run);
    if (!checked) return fail(console, checked.error());
    options->as_json ? print_json(console.out, *checked) : print_text(console.out, *checked);
    return checked->outlook.is_mendable ? Exit::done : Exit::bad_input;
  };
}

}  // namespace seamwright::app
