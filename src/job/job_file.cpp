#include "seamwright/job/job_file.h"

#include <fmt/format.h>

#include <sstream>

#include "job/field_reader.h"
#include "job/job_rules.h"
#include "seamwright/profile/printer_presets.h"

namespace seamwright {
namespace {

using job_detail::FieldReader;
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

constexpr const char* kQuoteHint = "; texts stand in quotes, as unit = \"mm\"";

/// Every setting that the file gives a value, and where.
std::vector<GivenSetting> given_in(const toml::table& root, const std::string& file) {
  std::vector<GivenSetting> given;
  const auto add = [&](const std::string& section, const toml::node& node) {
    if (!node.is_table()) return;
    for (const auto& [key, value] : *node.as_table())
      given.push_back(
          {section + "." + std::string(key.str()), "given in the job file", place(file, value)});
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
                               job_detail::check_rules(job, root, name)}) {
    if (!status) return status.error();
  }
  job.given = given_in(root, name);
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
