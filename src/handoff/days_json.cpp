#include "seamwright/handoff/days_json.h"

#include <nlohmann/json.hpp>

namespace seamwright {
namespace {

using Json = nlohmann::ordered_json;
constexpr const char* kSchema = "seamwright-days/1";

Json loop_json(const Loop2& loop) {
  Json points = Json::array();
  for (const Vec2 p : loop) points.push_back({p.x, p.y});
  return points;
}
Loop2 loop_from(const Json& json) {
  Loop2 loop;
  for (const Json& p : json) loop.push_back({p.at(0).get<double>(), p.at(1).get<double>()});
  return loop;
}

Json times_json(const std::vector<std::optional<double>>& times) {
  Json list = Json::array();
  for (const auto& s : times) list.push_back(s ? Json(*s) : Json());
  return list;
}
std::vector<std::optional<double>> times_from(const Json& json) {
  std::vector<std::optional<double>> times;
  for (const Json& s : json)
    times.push_back(s.is_null() ? std::nullopt : std::optional(s.get<double>()));
  return times;
}

Json piece_json(const DayPiece& piece) {
  Json outline = Json::array();
  for (const Region2& region : piece.outline) {
    Json loops = Json::array({loop_json(region.outer)});
    for (const Loop2& hole : region.holes) loops.push_back(loop_json(hole));
    outline.push_back(std::move(loops));
  }
  return {{"mark", piece.mark},
          {"height_mm", piece.height_mm},
          {"print_s", times_json(piece.print_s)},
          {"mass_g", piece.mass_g},
          {"layer_count", piece.layer_count},
          {"material", piece.material},
          {"planned_printer", piece.planned_printer},
          {"spool_group", piece.spool_group ? Json(*piece.spool_group) : Json()},
          {"trial", piece.is_trial},
          {"small", piece.is_small},
          {"files", piece.files},
          {"outline_mm", std::move(outline)}};
}
DayPiece piece_from(const Json& json) {
  DayPiece piece{.mark = json.at("mark").get<std::string>()};
  piece.height_mm = json.at("height_mm").get<double>();
  piece.print_s = times_from(json.at("print_s"));
  piece.mass_g = json.at("mass_g").get<double>();
  piece.layer_count = json.at("layer_count").get<std::size_t>();
  piece.material = json.at("material").get<std::size_t>();
  piece.planned_printer = json.at("planned_printer").get<std::size_t>();
  if (!json.at("spool_group").is_null())
    piece.spool_group = json.at("spool_group").get<std::size_t>();
  piece.is_trial = json.at("trial").get<bool>();
  piece.is_small = json.value("small", false);
  piece.files = json.value("files", std::vector<std::string>{});
  for (const Json& loops : json.at("outline_mm")) {
    Region2 region{loop_from(loops.at(0)), {}};
    for (std::size_t i = 1; i < loops.size(); ++i) region.holes.push_back(loop_from(loops[i]));
    piece.outline.push_back(std::move(region));
  }
  return piece;
}

Json printer_json(const DaysPrinter& printer) {
  Json blocked = Json::array();
  for (const Loop2& loop : printer.load.bed.blocked) blocked.push_back(loop_json(loop));
  return {{"name", printer.load.name},
          {"bed_mm", loop_json(printer.load.bed.outline)},
          {"blocked_mm", std::move(blocked)},
          {"height_mm", printer.load.height_mm},
          {"once_s", printer.load.once_s},
          {"travel_mm_per_s", printer.load.travel_mm_per_s},
          {"hop_s", printer.load.hop_s},
          {"awake", printer.awake},
          {"home", printer.home},
          {"spool_g", printer.spool_g},
          {"time_factor_ratio", printer.time_factor_ratio},
          {"mass_factor_ratio", printer.mass_factor_ratio}};
}
DaysPrinter printer_from(const Json& json) {
  DaysPrinter printer;
  printer.load.name = json.at("name").get<std::string>();
  printer.load.bed.outline = loop_from(json.at("bed_mm"));
  for (const Json& loop : json.at("blocked_mm"))
    printer.load.bed.blocked.push_back(loop_from(loop));
  printer.load.height_mm = json.at("height_mm").get<double>();
  printer.load.once_s = json.at("once_s").get<double>();
  printer.load.travel_mm_per_s = json.at("travel_mm_per_s").get<double>();
  printer.load.hop_s = json.at("hop_s").get<double>();
  printer.awake = json.at("awake").get<std::vector<std::string>>();
  printer.home = json.at("home").get<std::vector<std::string>>();
  printer.spool_g = json.at("spool_g").get<double>();
  printer.time_factor_ratio = json.at("time_factor_ratio").get<double>();
  printer.mass_factor_ratio = json.at("mass_factor_ratio").get<double>();
  return printer;
}

/// describe() visitors: the choice's keys are the job file's.
struct ChoiceWriter {
  Json& out;
  template <class Field>
  void operator()(const Field& field, const FieldDoc& doc) const {
    if constexpr (named_enum<Field>)
      out[std::string(doc.key)] = std::string(name_of(field));
    else
      out[std::string(doc.key)] = field;
  }
};
struct ChoiceReader {
  const Json& in;
  template <class Field>
  void operator()(Field& field, const FieldDoc& doc) const {
    const Json& value = in.at(std::string(doc.key));
    if constexpr (named_enum<Field>)
      field = value_named<Field>(value.get<std::string>()).value_or(field);
    else
      field = value.get<Field>();
  }
};

NamedDays days_from(const Json& json) {
  NamedDays days{json.at("title").get<std::string>(),
                 json.at("materials").get<std::vector<std::string>>(),
                 {}};
  for (const Json& piece : json.at("pieces")) days.input.pieces.push_back(piece_from(piece));
  for (const Json& printer : json.at("printers"))
    days.input.printers.push_back(printer_from(printer));
  describe(days.input.choice, ChoiceReader{json.at("choice")});
  days.input.first_layer_failure_ratio = json.at("first_layer_failure_ratio").get<double>();
  days.input.failure_per_h = json.at("failure_per_h").get<double>();
  days.input.band_ratio = json.at("band_ratio").get<double>();
  days.input.material_count = days.materials.size();
  for (const Json& times : json.at("thick_print_s"))
    days.input.thick_print_s.push_back(times_from(times));
  days.input.thick_layer_mm = json.at("thick_layer_mm").get<double>();
  return days;
}

/// What the planner takes for granted.
bool is_sound(const NamedDays& days) {
  const std::size_t printers = days.input.printers.size();
  const bool pieces_hold =
      std::all_of(days.input.pieces.begin(), days.input.pieces.end(), [&](const DayPiece& piece) {
        return piece.print_s.size() == printers && piece.planned_printer < printers &&
               piece.material < days.materials.size() && !piece.outline.empty();
      });
  const bool thick_holds =
      std::all_of(days.input.thick_print_s.begin(), days.input.thick_print_s.end(),
                  [&](const auto& times) { return times.size() == printers; });
  return printers > 0 && pieces_hold && thick_holds &&
         (days.input.thick_print_s.empty() ||
          days.input.thick_print_s.size() == days.input.pieces.size());
}

std::size_t index_of_name(std::vector<std::string>& names, const std::string& name) {
  const auto at = std::find(names.begin(), names.end(), name);
  if (at != names.end()) return static_cast<std::size_t>(at - names.begin());
  names.push_back(name);
  return names.size() - 1;
}

}  // namespace

std::string days_json(const NamedDays& days) {
  Json pieces = Json::array(), printers = Json::array(), thick = Json::array(), choice;
  for (const DayPiece& piece : days.input.pieces) pieces.push_back(piece_json(piece));
  for (const DaysPrinter& printer : days.input.printers) printers.push_back(printer_json(printer));
  for (const auto& times : days.input.thick_print_s) thick.push_back(times_json(times));
  describe(days.input.choice, ChoiceWriter{choice});
  const Json json = {{"schema", kSchema},
                     {"title", days.title},
                     {"materials", days.materials},
                     {"choice", std::move(choice)},
                     {"first_layer_failure_ratio", days.input.first_layer_failure_ratio},
                     {"failure_per_h", days.input.failure_per_h},
                     {"band_ratio", days.input.band_ratio},
                     {"printers", std::move(printers)},
                     {"thick_layer_mm", days.input.thick_layer_mm},
                     {"thick_print_s", std::move(thick)},
                     {"pieces", std::move(pieces)}};
  return json.dump(-1, ' ', false, Json::error_handler_t::replace) + "\n";
}

Result<NamedDays> read_days_json(std::string_view bytes) {
  const Error bad{
      "bad-days-file",
      "days.json is not one of this program, or damaged; run split again into that folder"};
  const Json json = Json::parse(bytes, nullptr, false);
  if (json.is_discarded() || !json.is_object() || json.value("schema", "") != kSchema) return bad;
  try {
    NamedDays days = days_from(json);
    if (!is_sound(days)) return bad;
    return days;
  } catch (const Json::exception&) {
    return bad;
  }
}

void fit_days(NamedDays& days, std::span<const PrinterRecord> records) {
  DaysInput& input = days.input;
  std::vector<double> mass_ratios;
  double band_ratio = 0;
  for (std::size_t p = 0; p < input.printers.size(); ++p) {
    DaysPrinter& printer = input.printers[p];
    const PrinterRecord* record = find_record(records, printer.load.name);
    const PrinterFit fit = record != nullptr ? fit_record(*record) : PrinterFit{};
    const double time_ratio =
        fit.timed_count > 0 ? fit.time_factor_ratio / printer.time_factor_ratio : 1;
    mass_ratios.push_back(fit.weighed_count > 0 ? fit.mass_factor_ratio / printer.mass_factor_ratio
                                                : 1);
    band_ratio = std::max(band_ratio, fit.time_band_ratio);
    printer.time_factor_ratio *= time_ratio;
    printer.mass_factor_ratio *= mass_ratios.back();
    printer.load.once_s *= time_ratio;
    const auto scale = [&](std::vector<std::optional<double>>& times) {
      if (times[p]) *times[p] *= time_ratio;
    };
    for (DayPiece& piece : input.pieces) scale(piece.print_s);
    for (auto& times : input.thick_print_s) scale(times);
  }
  for (DayPiece& piece : input.pieces) piece.mass_g *= mass_ratios[piece.planned_printer];
  input.band_ratio = band_ratio;
}

NamedDays join_days(std::span<const NamedDays> parts) {
  require(!parts.empty(), "there is a part");
  NamedDays joined{parts[0].title, {}, {}};
  if (parts.size() == 1) return parts[0];
  joined.input.choice = parts[0].input.choice;
  joined.input.first_layer_failure_ratio = parts[0].input.first_layer_failure_ratio;
  joined.input.failure_per_h = parts[0].input.failure_per_h;
  joined.input.band_ratio = parts[0].input.band_ratio;
  joined.input.thick_layer_mm = parts[0].input.thick_layer_mm;
  std::vector<std::string> printer_names;
  for (const NamedDays& part : parts) {
    if (&part != &parts[0]) joined.title += " and " + part.title;
    for (const DaysPrinter& printer : part.input.printers) {
      if (index_of_name(printer_names, printer.load.name) == joined.input.printers.size())
        joined.input.printers.push_back(printer);
    }
  }
  std::size_t first_group = 0;
  for (const NamedDays& part : parts) {
    const std::size_t begin_group = first_group;
    const auto spread = [&](const std::vector<std::optional<double>>& times) {
      std::vector<std::optional<double>> wide(printer_names.size());
      for (std::size_t i = 0; i < times.size(); ++i)
        wide[index_of_name(printer_names, part.input.printers[i].load.name)] = times[i];
      return wide;
    };
    for (DayPiece piece : part.input.pieces) {
      piece.mark = part.title + " " + piece.mark;
      piece.print_s = spread(piece.print_s);
      piece.planned_printer =
          index_of_name(printer_names, part.input.printers[piece.planned_printer].load.name);
      piece.material = index_of_name(joined.materials, part.materials[piece.material]);
      if (piece.spool_group) {
        *piece.spool_group += begin_group;
        first_group = std::max(first_group, *piece.spool_group + 1);
      }
      joined.input.pieces.push_back(std::move(piece));
    }
    for (const auto& times : part.input.thick_print_s)
      joined.input.thick_print_s.push_back(spread(times));
  }
  joined.input.material_count = joined.materials.size();
  return joined;
}

}  // namespace seamwright
