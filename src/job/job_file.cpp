#include "seamwright/job/job_file.h"

#include <fmt/format.h>

#include <sstream>

#include "job/field_reader.h"
#include "job/region_choice.h"
#include "seamwright/days/hours.h"
#include "seamwright/days/plan_days.h"
#include "seamwright/mesh/units.h"
#include "seamwright/profile/printer_presets.h"

namespace seamwright {
namespace {

using job_detail::FieldReader;
using job_detail::has_no_region;
using job_detail::is_one_region;
using job_detail::place;

const std::vector<std::string> kSections{
    "part",   "printer", "material", "print",  "cost",   "joints", "search", "wire",   "pocket",
    "trough", "spar",    "lock",     "stand",  "joint",  "show",   "hide",   "forbid", "prefer",
    "done",   "days",    "wear",     "finish", "travel", "mount",  "bag"};

template <class Settings>
Status begin(Settings&, const toml::table&, const std::string&) {
  return ok();
}
/// The preset and the motion come first, so that single keys lie over them.
Status begin(Printer& printer, const toml::table& table, const std::string& file) {
  if (const auto word = table["preset"].value<std::string>()) {
    const auto preset = preset_printer(*word);
    if (!preset) {
      return Error{"job-bad-value",
                   fmt::format("{}: [[printer]] preset = \"{}\": give small, mid, tall or round",
                               place(file, *table["preset"].node()), *word)};
    }
    printer = *preset;
  }
  const auto motion = value_named<Motion>(table["motion"].value_or(std::string_view("slow")));
  if (motion) printer = with_motion(std::move(printer), *motion);
  return ok();
}

template <class Settings>
Status read_table(Settings& settings, const toml::table& table, const std::string& file,
                  const std::string& section) {
  FieldReader reader(table, file, section);
  describe(settings, reader);
  return reader.finish();
}

/// `[section]`: one table.
template <class Settings>
Status read_section(Settings& settings, const toml::table& root, const std::string& key,
                    const std::string& file) {
  const toml::node* node = root.get(key);
  if (node == nullptr) return ok();
  if (!node->is_table())
    return Error{"job-bad-value",
                 fmt::format("{}: write [{}] once, in single brackets", place(file, *node), key)};
  return read_table(settings, *node->as_table(), file, "[" + key + "]");
}

/// `[[section]]`: a list of tables, each over the defaults.
template <class Settings>
Status read_list(std::vector<Settings>& list, const toml::table& root, const std::string& key,
                 const std::string& file) {
  const toml::node* node = root.get(key);
  if (node == nullptr) return ok();
  const toml::array* array = node->as_array();
  if (array == nullptr)
    return Error{"job-bad-value",
                 fmt::format("{}: write [[{}]], in double brackets", place(file, *node), key)};
  list.clear();
  for (const toml::node& entry : *array) {
    if (!entry.is_table())
      return Error{"job-bad-value",
                   fmt::format("{}: [[{}]] holds keys and values", place(file, entry), key)};
    list.emplace_back();
    const Status begun = begin(list.back(), *entry.as_table(), file);
    if (!begun) return begun.error();
    const Status status = read_table(list.back(), *entry.as_table(), file, "[[" + key + "]]");
    if (!status) return status.error();
  }
  return ok();
}

Status check_sections(const toml::table& root, const std::string& file) {
  for (const auto& [key, node] : root) {
    const std::string word(key.str());
    if (std::find(kSections.begin(), kSections.end(), word) != kSections.end()) continue;
    return Error{"job-unknown-key",
                 fmt::format("{}: no section or key \"{}\"; the nearest one is [{}]",
                             place(file, node), word, job_detail::nearest_word(word, kSections))};
  }
  return ok();
}

/// `[part]`, or a build's `[[part]]` list.
Status read_parts(Job& job, const toml::table& root, const std::string& file) {
  const toml::node* node = root.get("part");
  if (node == nullptr || !node->is_array()) return read_section(job.part, root, "part", file);
  if (const Status read = read_list(job.parts, root, "part", file); !read) return read;
  if (job.parts.empty())
    return Error{"job-bad-value",
                 fmt::format("{}: [[part]] holds at least one part", place(file, *node))};
  job.part = job.parts.front();
  return ok();
}

/// The preset comes first, so that single weights lie over it.
Status read_cost(CostWeights& cost, const toml::table& root, const std::string& file) {
  const toml::node_view<const toml::node> named = root["cost"]["weights"];
  if (const auto word = named.value<std::string>()) {
    const auto preset = preset_weights(*word);
    if (!preset) {
      return Error{"job-bad-value",
                   fmt::format("{}: [cost] weights = \"{}\": give raw, painted, show or table",
                               place(file, *named.node()), *word)};
    }
    cost = *preset;
  }
  return read_section(cost, root, "cost", file);
}

/// A filament that is known by its name comes first, so that single keys lie over it.
Status read_material(Material& material, const toml::table& root, const std::string& file) {
  const auto name = root["material"]["name"].value<std::string>();
  if (const auto known = name ? preset_material(*name) : std::nullopt) material = *known;
  return read_section(material, root, "material", file);
}

Status check_regions(const Job& job, const std::string& name) {
  for (const ForbidChoice& zone : job.forbids) {
    if (!is_one_region(zone))
      return Error{"job-bad-value", fmt::format("{}: [[forbid]] \"{}\": give low and high of a "
                                                "box, high over low on every axis, or center and "
                                                "radius_mm of a ball",
                                                name, zone.name)};
  }
  for (const auto* list : {&job.shows, &job.hides}) {
    for (const SkinChoice& skin : *list) {
      const int ways = !skin.group.empty() + skin.direction.has_value() + is_one_region(skin);
      if (ways == 1 && (is_one_region(skin) || has_no_region(skin))) continue;
      return Error{"job-bad-value",
                   fmt::format("{}: [[{}]]: give one of group, direction, low and high of a box, "
                               "center and radius_mm of a ball",
                               name, list == &job.shows ? "show" : "hide")};
    }
  }
  return ok();
}

/// The job's own rules, beyond single ranges.
Status check_rules(const Job& job, const std::string& name) {
  for (const Printer& printer : job.printers) {
    const std::vector<ClearBox> boxes = clear_boxes(printer);
    const Vec3 usable = boxes.empty() ? Vec3{} : boxes.front().size_mm;
    if (std::min({usable.x, usable.y, usable.z}) < 10) {
      return Error{"job-bad-value",
                   fmt::format("{}: printer \"{}\" has less than 10 mm left inside its margins",
                               name, printer.name)};
    }
  }
  for (const LockChoice& lock : job.locks) {
    if (norm(lock.normal) < 1e-9)
      return Error{"job-bad-value", name + ": [[lock]] normal is the zero vector"};
  }
  for (const PreferChoice& wish : job.prefers) {
    if (norm(wish.normal) < 1e-9)
      return Error{"job-bad-value", name + ": [[prefer]] normal is the zero vector"};
  }
  for (const JointChoice& choice : job.joinery.choices) {
    const std::size_t count = choice.pieces.size();
    if (count == 2 || (count == 0 && !choice.seam.empty())) continue;
    return Error{"job-bad-value", name +
                                      ": [[joint]]: give seam = \"S3\", or the marks of both "
                                      "pieces, as pieces = [\"A1\", \"B2\"], or both"};
  }
  const Status regions = check_regions(job, name);
  if (!regions) return regions;
  for (const StandChoice& stand : job.stands) {
    if (norm(stand.down) < 1e-9)
      return Error{"job-bad-value", name + ": [[stand]] down is the zero vector"};
  }
  return ok();
}

constexpr const char* kQuoteHint = "; texts stand in quotes, as unit = \"mm\"";

/// Dates and hours, before anything long is done.
Status check_days(const DaysChoice& days, const toml::table& root, const std::string& name) {
  const std::optional<DaysFault> fault = find_days_fault(days);
  if (!fault) return ok();
  const toml::node_view<const toml::node> key = root["days"][fault->key];
  const toml::node& node = fault->index ? *key[*fault->index].node() : *key.node();
  return Error{"job-bad-value", fmt::format("{}: [days] {} = {}", place(name, node), fault->key,
                                            fault->error.message)};
}

/// Printers' own hours.
Status check_hours(const Job& job, const toml::table& root, const std::string& name) {
  for (std::size_t p = 0; p < job.printers.size(); ++p) {
    for (const char* key : {"awake", "home"}) {
      const auto& rules = key[0] == 'a' ? job.printers[p].awake : job.printers[p].home;
      for (std::size_t i = 0; i < rules.size(); ++i) {
        const auto hours = parse_week_hours({&rules[i], 1});
        if (hours) continue;
        return Error{"job-bad-value", fmt::format("{}: [[printer]] {} = {}",
                                                  place(name, *root["printer"][p][key][i].node()),
                                                  key, hours.error().message)};
      }
    }
  }
  return ok();
}

Status check_unit(const toml::node* part, const std::string& name) {
  const toml::table* table = part != nullptr ? part->as_table() : nullptr;
  const toml::node* unit = table != nullptr ? table->get("unit") : nullptr;
  const std::string word = unit != nullptr ? unit->value_or(std::string()) : "";
  if (word.empty() || unit_named(word)) return ok();
  return Error{"job-bad-value", fmt::format("{}: [part] unit = \"{}\": give mm, cm, m or inch",
                                            place(name, *unit), word)};
}

/// Of `[part]`, or of every `[[part]]`.
Status check_units(const toml::table& root, const std::string& name) {
  const toml::node* part = root.get("part");
  if (part == nullptr || !part->is_array()) return check_unit(part, name);
  for (const toml::node& entry : *part->as_array()) {
    if (Status known = check_unit(&entry, name); !known) return known;
  }
  return ok();
}

/// Every setting that the file gives a value.
std::vector<GivenSetting> given_in(const toml::table& root) {
  std::vector<GivenSetting> given;
  const auto add = [&](const std::string& section, const toml::node& node) {
    if (!node.is_table()) return;
    for (const auto& entry : *node.as_table())
      given.push_back({section + "." + std::string(entry.first.str()), "given in the job file"});
  };
  for (const auto& [key, node] : root) {
    const std::string section(key.str());
    add(section, node);
    const toml::array* list = node.as_array();
    for (std::size_t i = 0; list != nullptr && i < list->size(); ++i)
      add(fmt::format("{}.{}", section, i), *list->get(i));
  }
  return given;
}

/// A describe() visitor that writes one settings struct as commented TOML.
class FieldWriter {
 public:
  explicit FieldWriter(std::string& out) : out_(out) {}
  template <class Field>
  void operator()(const Field& field, const FieldDoc& doc) {
    const std::string value = text(field);
    const std::string line =
        value.empty() ? fmt::format("# {} =", doc.key) : fmt::format("{} = {}", doc.key, value);
    out_ += fmt::format("{:<40} # {} ({})\n", line, doc.help, doc.source);
  }

 private:
  static std::string text(double value) {
    const std::string digits = fmt::format("{}", value);
    return digits.find_first_of(".einf") == std::string::npos ? digits + ".0" : digits;
  }
  static std::string text(int value) { return fmt::format("{}", value); }
  static std::string text(bool value) { return value ? "true" : "false"; }
  static std::string text(const std::string& value) {
    if (value.empty()) return "";
    std::ostringstream out;
    out << toml::value<std::string>(value);
    return out.str();
  }
  static std::string text(const Vec3& p) {
    return fmt::format("[{}, {}, {}]", text(p.x), text(p.y), text(p.z));
  }
  template <class Value>
  static std::string text(const std::optional<Value>& value) {
    return value ? text(*value) : "";
  }
  static std::string text(const WirePlace& place) {
    return place.pocket.empty() ? text(place.point) : text(place.pocket);
  }
  template <class Item>
  static std::string text(const std::vector<Item>& items) {
    std::string list;
    for (const Item& item : items) list += (list.empty() ? "" : ", ") + text(item);
    return "[" + list + "]";
  }
  template <named_enum E>
  static std::string text(E value) {
    return fmt::format("\"{}\"", name_of(value));
  }
  std::string& out_;
};

template <class Settings>
void write_section(std::string& out, const std::string& heading, const Settings& settings) {
  out += fmt::format("\n{}\n", heading);
  describe(settings, FieldWriter(out));
}

/// All items; when there is none, one with its defaults as a comment, so that its keys are seen.
template <class Item>
void write_items(std::string& out, const std::string& heading, const std::vector<Item>& items) {
  for (const Item& item : items) write_section(out, heading, item);
  if (!items.empty()) return;
  std::string sample;
  write_section(sample, heading, Item{});
  std::istringstream lines(sample.substr(1));
  out += "\n";
  for (std::string line; std::getline(lines, line);)
    out += line.starts_with("#") ? line + "\n" : "# " + line + "\n";
}

}  // namespace

Result<Job> read_job(std::string_view toml, const std::string& name) {
  const toml::parse_result parsed = toml::parse(toml, std::string_view(name));
  if (!parsed) {
    const std::string_view what = parsed.error().description();
    const bool is_bare = what.find("could not determine value type") != std::string_view::npos;
    return Error{"job-syntax", fmt::format("{}:{}: {}{}", name, parsed.error().source().begin.line,
                                           what, is_bare ? kQuoteHint : "")};
  }
  const toml::table& root = parsed.table();
  Job job;
  for (const Status& status : {check_sections(root, name),
                               read_parts(job, root, name),
                               read_list(job.printers, root, "printer", name),
                               read_material(job.material, root, name),
                               read_section(job.print, root, "print", name),
                               read_cost(job.cost, root, name),
                               read_section(job.joinery, root, "joints", name),
                               read_section(job.search, root, "search", name),
                               read_list(job.wiring.wires, root, "wire", name),
                               read_list(job.wiring.pockets, root, "pocket", name),
                               read_list(job.wiring.troughs, root, "trough", name),
                               read_list(job.wiring.spars, root, "spar", name),
                               read_list(job.locks, root, "lock", name),
                               read_list(job.stands, root, "stand", name),
                               read_list(job.prefers, root, "prefer", name),
                               read_list(job.forbids, root, "forbid", name),
                               read_list(job.shows, root, "show", name),
                               read_list(job.hides, root, "hide", name),
                               read_list(job.dones, root, "done", name),
                               read_list(job.joinery.choices, root, "joint", name),
                               read_section(job.days, root, "days", name),
                               read_section(job.wear, root, "wear", name),
                               read_section(job.finish, root, "finish", name),
                               read_section(job.travel, root, "travel", name),
                               read_list(job.mounts, root, "mount", name),
                               read_list(job.bags, root, "bag", name),
                               check_days(job.days, root, name),
                               check_hours(job, root, name),
                               check_units(root, name),
                               check_rules(job, name)}) {
    if (!status) return status.error();
  }
  job.given = given_in(root);
  return job;
}

std::string write_job(const Job& job) {
  std::string out =
      "# A seamwright job: every choice of one run. Leave out what you don't care for.\n";
  if (job.parts.empty()) write_section(out, "[part]", job.part);
  for (const PartChoice& part : job.parts) write_section(out, "[[part]]", part);
  for (const Printer& printer : job.printers) write_section(out, "[[printer]]", printer);
  write_section(out, "[material]", job.material);
  write_section(out, "[print]", job.print);
  write_section(out, "[cost]", job.cost);
  write_section(out, "[joints]", job.joinery);
  write_section(out, "[search]", job.search);
  write_section(out, "[days]", job.days);
  write_section(out, "[wear]", job.wear);
  write_section(out, "[finish]", job.finish);
  write_section(out, "[travel]", job.travel);
  for (const MountChoice& mount : job.mounts) write_section(out, "[[mount]]", mount);
  for (const BagChoice& bag : job.bags) write_section(out, "[[bag]]", bag);
  write_items(out, "[[pocket]]", job.wiring.pockets);
  write_items(out, "[[wire]]", job.wiring.wires);
  write_items(out, "[[trough]]", job.wiring.troughs);
  write_items(out, "[[spar]]", job.wiring.spars);
  for (const LockChoice& lock : job.locks) write_section(out, "[[lock]]", lock);
  write_items(out, "[[prefer]]", job.prefers);
  write_items(out, "[[forbid]]", job.forbids);
  write_items(out, "[[show]]", job.shows);
  write_items(out, "[[hide]]", job.hides);
  write_items(out, "[[done]]", job.dones);
  for (const StandChoice& stand : job.stands) write_section(out, "[[stand]]", stand);
  for (const JointChoice& choice : job.joinery.choices) write_section(out, "[[joint]]", choice);
  return out;
}

}  // namespace seamwright
