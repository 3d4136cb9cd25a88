#include "job/notes.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <sstream>

#include "job/corner_pads.h"
#include "job/gauged_joinery.h"
#include "seamwright/core/time_words.h"

namespace seamwright::job_detail {
namespace {

/// A describe() visitor that lists a settings struct's keys, values and sources of defaults.
class FieldLister {
 public:
  explicit FieldLister(std::vector<Assumption>& list) : list_(list) {}
  template <class Field>
  void operator()(const Field& field, const FieldDoc& doc) {
    list_.push_back({std::string(doc.key), text(field), std::string(doc.source)});
  }

 private:
  static std::string text(double value) { return fmt::format("{}", value); }
  static std::string text(int value) { return fmt::format("{}", value); }
  static std::string text(bool value) { return value ? "yes" : "no"; }
  static std::string text(const std::string& value) { return value; }
  static std::string text(const Vec3& p) { return fmt::format("{} x {} x {}", p.x, p.y, p.z); }
  template <class Value>
  static std::string text(const std::optional<Value>& value) {
    return value ? text(*value) : "";
  }
  static std::string text(const std::vector<Vec3>& list) {
    std::string out;
    for (const Vec3& p : list) out += (out.empty() ? "" : ", ") + text(p);
    return out;
  }
  static std::string text(const std::vector<std::string>& list) {
    return fmt::format("{}", fmt::join(list, ", "));
  }
  template <named_enum E>
  static std::string text(E value) {
    return std::string(name_of(value));
  }
  std::vector<Assumption>& list_;
};

template <class Settings>
std::vector<Assumption> fields_of(const Settings& settings) {
  std::vector<Assumption> list;
  describe(settings, FieldLister(list));
  return list;
}

/// A section of the job, as the list of what the figures rest on names it.
struct ListedSection {
  std::string name;            ///< "printer"
  std::string given_as;        ///< "printer.0": where the job's given settings have it
  std::string filled_in = "";  ///< where values come from that are neither given nor the default
};

/// Of a value that nobody gave: "yours" is for those who give it.
std::string default_source(const std::string& source) {
  constexpr std::string_view kYours = "yours;";
  return source.starts_with(kYours) ? "assumption;" + source.substr(kYours.size()) : source;
}

/// Lists the settings with where each value comes from; without those that are the maker's alone
/// and were not given.
template <class Settings>
void list_settings(std::vector<Assumption>& list, const Job& job, const ListedSection& section,
                   const Settings& settings, const Settings& plain = {}) {
  const std::vector<Assumption> fields = fields_of(settings), defaults = fields_of(plain);
  for (std::size_t i = 0; i < fields.size(); ++i) {
    const auto& [key, value, source] = fields[i];
    const GivenSetting* given = find_given(job.given, section.given_as + "." + key);
    const bool is_default = value == defaults[i].value;
    if (value.empty() || (source == "yours" && given == nullptr)) continue;
    list.push_back({section.name + "." + key, value, default_source(source)});
    if (given != nullptr)
      list.back().source = given->by + (is_default ? ", the same as the default" : "");
    else if (!is_default && !section.filled_in.empty())
      list.back().source = section.filled_in;
  }
}

std::string filled_in_by(const Printer& printer) {
  const Printer plain;
  std::string words;
  if (printer.preset != plain.preset) words += fmt::format("preset \"{}\"", printer.preset);
  if (printer.motion != plain.motion)
    words += fmt::format("{}motion \"{}\"", words.empty() ? "" : ", ", name_of(printer.motion));
  return words + ": assumption";
}

/// A printer; the factors are those of its records.
void list_printer(std::vector<Assumption>& list, const Job& job, const HandOff& out,
                  std::size_t index) {
  const std::size_t begin = list.size();
  const Printer& printer = out.printers.at(index);
  list_settings(list, job, {"printer", fmt::format("printer.{}", index), filled_in_by(printer)},
                printer);
  if (index >= out.fits.size() || !out.fits[index].is_recorded()) return;
  for (std::size_t i = begin; i < list.size(); ++i) {
    const bool is_mass = list[i].key == "printer.mass_factor_ratio";
    const std::size_t count = is_mass ? out.fits[index].weighed_count : out.fits[index].timed_count;
    if ((is_mass || list[i].key == "printer.time_factor_ratio") && count > 0)
      list[i].source =
          fmt::format("fitted to {} on record",
                      count == 1 ? "a finished print" : fmt::format("{} finished prints", count));
  }
}

void list_joinery(std::vector<Assumption>& list, const Job& job) {
  const GaugedJoinery gauged = gauged_joinery(job);
  list_settings(list, job, {"joints", "joints"}, gauged.joinery);
  for (Assumption& assumption : list) {
    if (assumption.key == "joints.slide_clearance_mm" && !gauged.source.empty())
      assumption.source = gauged.source;
  }
}

/// All that the figures rest on, in the job file's order.
std::vector<Assumption> all_settings(const Job& job, const HandOff& out) {
  std::vector<Assumption> list;
  for (std::size_t i = 0; i < out.printers.size(); ++i) list_printer(list, job, out, i);
  list_settings(list, job,
                {"material", "material",
                 job.material.name + " by its name: densities of makers' data sheets, from memory; "
                                     "warping common practice, no source"},
                job.material);
  list_settings(list, job, {"print", "print"}, job.print);
  list_settings(list, job,
                {"cost", "cost", fmt::format("weights \"{}\": assumption", job.cost.weights)},
                job.cost);
  list_joinery(list, job);
  list_settings(list, job, {"days", "days"}, job.days);
  if (!job.mounts.empty()) list_settings(list, job, {"wear", "wear"}, job.wear);
  list_settings(list, job, {"finish", "finish"}, job.finish);
  for (std::size_t i = 0; i < job.bags.size(); ++i)
    list_settings(list, job, {"bag", fmt::format("bag.{}", i)}, job.bags[i]);
  return list;
}

std::size_t depth_of(const SeamPlan& plan, SeamId id) {
  std::size_t depth = 0;
  for (const Seam* seam = find_seam(plan, id); seam != nullptr && seam->parent;
       seam = find_seam(plan, *seam->parent))
    ++depth;
  return depth;
}

/// Prints that the maker can't watch to the end.
void tell_long_prints(HandOff& out, double longest_h) {
  if (longest_h <= 0) return;
  std::string list;
  for (const FinishedPiece& piece : out.pieces) {
    if (piece.is_done || piece.print.print_s <= 3600 * longest_h) continue;
    list += fmt::format("{}{} ({})", list.empty() ? "" : ", ", piece.mark,
                        rough_duration(piece.print.print_s));
  }
  if (list.empty()) return;
  out.warnings.push_back(
      {"long-print", fmt::format("longer than the {:g} h you can let a print run: {}. Allow more "
                                 "pieces, thicker layers, or raise [cost] over_window_h",
                                 longest_h, list)});
}

/// "-z" where it is an axis, as the options take it; else in numbers.
std::string side_words(Vec3 side, const char* plus) {
  constexpr double kAlong = 0.995;
  for (std::size_t k = 0; k < 3; ++k) {
    if (std::abs(side[k]) > kAlong) return fmt::format("{}{}", side[k] < 0 ? "-" : plus, "xyz"[k]);
  }
  return fmt::format("({:.2f}, {:.2f}, {:.2f})", side.x, side.y, side.z);
}

/// Pieces that lie on supports, and those that are mostly support however they stand.
void tell_support(HandOff& out, const FinishedPiece& piece) {
  constexpr double kMostly_ratio = 0.5;
  const PrintEstimate& print = piece.print;
  const double share_ratio = print.mass_g > 0 ? print.support_g / print.mass_g : 0;
  const bool lies = piece.planned.pose.foot == Foot::supports;
  if (piece.is_done || (!lies && share_ratio < kMostly_ratio)) return;
  out.warnings.push_back(
      {lies ? "lies-on-supports" : "mostly-support",
       fmt::format("{} {}: {} of its {:.0f} g are support, {:.0f} %; it prints {}.", piece.mark,
                   lies ? "finds no flat foot and lies on supports" : "is mostly support",
                   print.support_g < 1 ? "under 1 g" : fmt::format("{:.0f} g", print.support_g),
                   print.mass_g, 100 * share_ratio, rough_duration(print.print_s))});
}

void add_run_warnings(HandOff& out, const SightOptions& sight) {
  out.warnings.insert(out.warnings.begin(), {"part-size", out.part.unit.message});
  if (!out.is_complete)
    out.warnings.push_back(
        {"stopped-early",
         "The search was stopped: this is the best plan it had; run again for a better one."});
  for (const MendStep& step : out.part.mended) {
    if (step.code != "fill-large-holes") continue;
    out.warnings.push_back(
        {"large-hole-filled",
         fmt::format(
             "The part was open, and {} hole{} in its skin {} filled, {}. If an opening was "
             "meant, close it in the modelling program as it should be (a wall with a "
             "thickness), and split again.",
             step.count, step.count == 1 ? "" : "s", step.count == 1 ? "was" : "were",
             step.detail)});
  }
  if (sight.mode == SightMode::none) {
    const WornGuess guess = guess_worn_side(out.wired).value();
    std::string message =
        "How the part is worn was not given, so both sides of its skin count as seen.";
    if (guess.mode != SightMode::none) {
      message += guess.mode == SightMode::worn
                     ? fmt::format(" It looks worn on the side {}: {}. If so, give --worn-side.",
                                   side_words(guess.side, "+"), guess.reason)
                     : fmt::format(" It looks worn around the axis {}: {}. If so, give --around.",
                                   side_words(guess.side, ""), guess.reason);
    }
    out.warnings.push_back({"worn-side-unknown", message});
  }
  for (const FinishedPiece& piece : out.pieces) {
    offer_pads(out, piece);
    tell_support(out, piece);
    if (piece.print.open_chain_count > 0) {
      out.warnings.push_back(
          {"open-contours", fmt::format("{}: {} open contours were met while laying lines.",
                                        piece.mark, piece.print.open_chain_count)});
    }
  }
}

}  // namespace

std::vector<std::size_t> assembly_order(const SeamPlan& plan, std::span<const SeamId> seams) {
  std::map<SeamId, std::size_t> position;
  for (std::size_t i = 0; i < plan.seams.size(); ++i) position[plan.seams[i].id] = i;
  std::vector<std::size_t> order(seams.size());
  for (std::size_t i = 0; i < order.size(); ++i) order[i] = i;
  std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
    const SeamId sa = seams[a], sb = seams[b];
    const std::size_t da = depth_of(plan, sa), db = depth_of(plan, sb);
    return da != db ? da > db : position[sa] > position[sb];
  });
  return order;
}

std::vector<std::string> retired_marks(const EarlierMarks& earlier,
                                       const std::vector<std::string>& marks) {
  std::vector<std::string> retired = earlier.retired;
  for (const EarlierPiece& piece : earlier.pieces) {
    if (std::find(marks.begin(), marks.end(), piece.mark) == marks.end())
      retired.push_back(piece.mark);
  }
  return retired;
}

HandOff add_notes(HandOff out, const Job& job, const SightOptions& sight) {
  out.assumptions = all_settings(job, out);
  add_run_warnings(out, sight);
  tell_long_prints(out, job.search.longest_print_h);
  return out;
}

}  // namespace seamwright::job_detail
