#include "job/job_rules.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <sstream>

#include "job/region_choice.h"
#include "seamwright/days/hours.h"
#include "seamwright/days/plan_days.h"
#include "seamwright/mesh/units.h"
#include "seamwright/profile/printer_presets.h"

namespace seamwright::job_detail {
namespace {

/// The file that a job was read from, to tell where its faults are.
struct JobText {
  const toml::table& root;
  const std::string& file;

  Error fault_at(const toml::node* node, const std::string& what) const {
    return {"job-bad-value",
            fmt::format("{}: {}", node != nullptr ? place(file, *node) : file, what)};
  }
  /// A fault of the `index`-th `[[section]]`: at the key's line, or where that is left out at the
  /// section's own.
  Error fault(const char* section, std::size_t index, const char* key,
              const std::string& what) const {
    const toml::node_view<const toml::node> item = root[section][index];
    const toml::node* node = item[key].node() != nullptr ? item[key].node() : item.node();
    return fault_at(node, fmt::format("[[{}]] {}", section, what));
  }
};

/// "A1", "AB12": letters, then a number.
bool is_mark(std::string_view word) {
  const auto digits =
      std::find_if_not(word.begin(), word.end(), [](char c) { return c >= 'A' && c <= 'Z'; });
  const auto is_digit = [](char c) { return c >= '0' && c <= '9'; };
  return digits != word.begin() && digits != word.end() &&
         std::all_of(digits, word.end(), is_digit);
}
/// "S3"
bool is_seam(std::string_view word) {
  return is_mark(word) && word[0] == 'S' && word.find_first_of("0123456789") == 1;
}

constexpr const char* kNoMark = "is no piece's mark; those are as A1 or B2";
constexpr const char* kNoSeam = "is no seam's name; those are as S1 or S2";

Status check_choice(const JointChoice& choice, std::size_t index, const JobText& text) {
  if (!choice.seam.empty() && !is_seam(choice.seam))
    return text.fault("joint", index, "seam",
                      fmt::format("seam = \"{}\" {}", choice.seam, kNoSeam));
  for (const std::string& mark : choice.pieces) {
    if (!is_mark(mark))
      return text.fault("joint", index, "pieces", fmt::format("pieces: \"{}\" {}", mark, kNoMark));
  }
  return ok();
}

/// What no plan can have is told before the search; what this one does not have, after it.
Status check_marks_and_seams(const Job& job, const JobText& text) {
  for (std::size_t i = 0; i < job.stands.size(); ++i) {
    if (!is_mark(job.stands[i].piece))
      return text.fault("stand", i, "piece",
                        fmt::format("piece = \"{}\" {}", job.stands[i].piece, kNoMark));
  }
  for (std::size_t i = 0; i < job.travel.seams.size(); ++i) {
    const std::string& seam = job.travel.seams[i];
    if (!is_seam(seam))
      return text.fault_at(text.root["travel"]["seams"][i].node(),
                           fmt::format("[travel] seams: \"{}\" {}", seam, kNoSeam));
  }
  for (std::size_t i = 0; i < job.days.same_spool.size(); ++i) {
    std::istringstream words(job.days.same_spool[i]);
    for (std::string word; words >> word;) {
      if (!is_mark(word))
        return text.fault_at(
            text.root["days"]["same_spool"][i].node(),
            fmt::format("[days] same_spool: \"{}\" {}; blanks part them", word, kNoMark));
    }
  }
  return ok();
}

template <class Zones>
Status check_skin(const Zones& skins, const char* section, const JobText& text) {
  for (std::size_t i = 0; i < skins.size(); ++i) {
    const auto& skin = skins[i];
    const int ways = !skin.group.empty() + skin.direction.has_value() + is_one_region(skin);
    if (ways == 1 && (is_one_region(skin) || has_no_region(skin))) continue;
    return text.fault(section, i, "",
                      "give one of group, direction, low and high of a box, center and radius_mm "
                      "of a ball");
  }
  return ok();
}

Status check_regions(const Job& job, const JobText& text) {
  for (std::size_t i = 0; i < job.forbids.size(); ++i) {
    if (is_one_region(job.forbids[i])) continue;
    return text.fault("forbid", i, "",
                      fmt::format("\"{}\": give low and high of a box, high over low on every "
                                  "axis, or center and radius_mm of a ball",
                                  job.forbids[i].name));
  }
  if (Status shows = check_skin(job.shows, "show", text); !shows) return shows;
  return check_skin(job.hides, "hide", text);
}

Status check_directions(const Job& job, const JobText& text) {
  const auto find = [&](const auto& list, const char* section, const char* key,
                        auto direction) -> Status {
    for (std::size_t i = 0; i < list.size(); ++i) {
      if (norm(list[i].*direction) < 1e-9)
        return text.fault(
            section, i, key,
            fmt::format("{} is the zero vector; give a direction, as [0, 0, -1]", key));
    }
    return ok();
  };
  if (Status locks = find(job.locks, "lock", "normal", &LockChoice::normal); !locks) return locks;
  if (Status wishes = find(job.prefers, "prefer", "normal", &PreferChoice::normal); !wishes)
    return wishes;
  return find(job.stands, "stand", "down", &StandChoice::down);
}

Status check_printers(const Job& job, const JobText& text) {
  for (std::size_t i = 0; i < job.printers.size(); ++i) {
    const std::vector<ClearBox> boxes = clear_boxes(job.printers[i]);
    const Vec3 usable = boxes.empty() ? Vec3{} : boxes.front().size_mm;
    if (std::min({usable.x, usable.y, usable.z}) >= 10) continue;
    return text.fault("printer", i, "margin_mm",
                      fmt::format("\"{}\" has less than 10 mm left inside its margins: give a "
                                  "smaller margin_mm or a larger room_mm",
                                  job.printers[i].name));
  }
  return ok();
}

Status check_joints(const Job& job, const JobText& text) {
  for (std::size_t i = 0; i < job.joinery.choices.size(); ++i) {
    const JointChoice& choice = job.joinery.choices[i];
    const std::size_t count = choice.pieces.size();
    if (count == 2 || (count == 0 && !choice.seam.empty())) {
      if (Status known = check_choice(choice, i, text); !known) return known;
      continue;
    }
    return text.fault("joint", i, "pieces",
                      "give seam = \"S3\", or the marks of both pieces, as pieces = [\"A1\", "
                      "\"B2\"], or both");
  }
  return ok();
}

/// Names tell what is led through the part and set into it apart, in pictures, tables and faults.
class NameRules {
 public:
  explicit NameRules(const JobText& text) : text_(text) {}
  template <class Specs>
  Status check(const Specs& specs, const char* section) {
    for (std::size_t i = 0; i < specs.size(); ++i) {
      const std::string& name = specs[i].name;
      if (name.empty())
        return text_.fault(section, i, "name", "has no name: give one, as name = \"left lamp\"");
      if (name == "edge" && std::string_view(section) == "pocket")
        return text_.fault(section, i, "name",
                           "name = \"edge\": wires so end at the part's edge; give another");
      const auto [first, is_new] = taken_.emplace(name, section);
      if (!is_new)
        return text_.fault(section, i, "name",
                           fmt::format("name = \"{}\": a [[{}]] above has it already; give each "
                                       "its own",
                                       name, first->second));
    }
    return ok();
  }

 private:
  const JobText& text_;
  std::map<std::string, const char*> taken_;
};

Status check_names(const WiringSpec& wiring, const JobText& text) {
  NameRules names(text);
  for (const Status& status :
       {names.check(wiring.pockets, "pocket"), names.check(wiring.wires, "wire"),
        names.check(wiring.troughs, "trough"), names.check(wiring.spars, "spar")}) {
    if (!status) return status;
  }
  return ok();
}

/// Dates and hours, before anything long is done.
Status check_days(const DaysChoice& days, const toml::table& root, const std::string& file) {
  const std::optional<DaysFault> fault = find_days_fault(days);
  if (!fault) return ok();
  const toml::node_view<const toml::node> key = root["days"][fault->key];
  const toml::node& node = fault->index ? *key[*fault->index].node() : *key.node();
  return Error{"job-bad-value", fmt::format("{}: [days] {} = {}", place(file, node), fault->key,
                                            fault->error.message)};
}

/// Printers' own hours.
Status check_hours(const Job& job, const toml::table& root, const std::string& file) {
  for (std::size_t p = 0; p < job.printers.size(); ++p) {
    for (const char* key : {"awake", "home"}) {
      const auto& rules = key[0] == 'a' ? job.printers[p].awake : job.printers[p].home;
      for (std::size_t i = 0; i < rules.size(); ++i) {
        const auto hours = parse_week_hours({&rules[i], 1});
        if (hours) continue;
        return Error{"job-bad-value", fmt::format("{}: [[printer]] {} = {}",
                                                  place(file, *root["printer"][p][key][i].node()),
                                                  key, hours.error().message)};
      }
    }
  }
  return ok();
}

Status check_unit(const toml::node* part, const std::string& file) {
  const toml::table* table = part != nullptr ? part->as_table() : nullptr;
  const toml::node* unit = table != nullptr ? table->get("unit") : nullptr;
  const std::string word = unit != nullptr ? unit->value_or(std::string()) : "";
  if (word.empty() || unit_named(word)) return ok();
  return Error{"job-bad-value", fmt::format("{}: [part] unit = \"{}\": give mm, cm, m or inch",
                                            place(file, *unit), word)};
}

/// Of `[part]`, or of every `[[part]]`.
Status check_units(const toml::table& root, const std::string& file) {
  const toml::node* part = root.get("part");
  if (part == nullptr || !part->is_array()) return check_unit(part, file);
  for (const toml::node& entry : *part->as_array()) {
    if (Status known = check_unit(&entry, file); !known) return known;
  }
  return ok();
}

}  // namespace

Status check_rules(const Job& job, const toml::table& root, const std::string& file) {
  const JobText text{root, file};
  for (const Status& status :
       {check_days(job.days, root, file), check_hours(job, root, file), check_units(root, file),
        check_printers(job, text), check_directions(job, text), check_joints(job, text),
        check_marks_and_seams(job, text), check_regions(job, text),
        check_names(job.wiring, text)}) {
    if (!status) return status;
  }
  return ok();
}

}  // namespace seamwright::job_detail
