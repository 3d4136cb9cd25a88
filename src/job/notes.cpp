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

/// A describe() visitor that lists a settings struct as assumptions, leaving out what is the
/// maker's own.
class AssumptionLister {
 public:
  AssumptionLister(std::vector<Assumption>& list, std::string section)
      : list_(list), section_(std::move(section)) {}
  template <class Field>
  void operator()(const Field& field, const FieldDoc& doc) {
    const std::string value = text(field);
    if (!value.empty() && doc.source != "yours")
      list_.push_back({section_ + "." + std::string(doc.key), value, std::string(doc.source)});
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
  std::string section_;
};

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
                        clock_hours(piece.print.print_s));
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
    if (piece.planned.pose.foot == Foot::supports) {
      out.warnings.push_back(
          {"lies-on-supports",
           fmt::format("{} finds no flat foot and lies on supports.", piece.mark)});
    }
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
  for (const Printer& printer : job.printers)
    describe(printer, AssumptionLister(out.assumptions, "printer"));
  describe(job.material, AssumptionLister(out.assumptions, "material"));
  describe(job.print, AssumptionLister(out.assumptions, "print"));
  describe(job.cost, AssumptionLister(out.assumptions, "cost"));
  const GaugedJoinery gauged = gauged_joinery(job);
  describe(gauged.joinery, AssumptionLister(out.assumptions, "joints"));
  for (Assumption& assumption : out.assumptions) {
    if (assumption.key == "joints.slide_clearance_mm" && !gauged.source.empty())
      assumption.source = gauged.source;
  }
  describe(job.days, AssumptionLister(out.assumptions, "days"));
  if (!job.mounts.empty()) describe(job.wear, AssumptionLister(out.assumptions, "wear"));
  describe(job.finish, AssumptionLister(out.assumptions, "finish"));
  for (const BagChoice& bag : job.bags) describe(bag, AssumptionLister(out.assumptions, "bag"));
  add_run_warnings(out, sight);
  tell_long_prints(out, job.search.longest_print_h);
  return out;
}

}  // namespace seamwright::job_detail
