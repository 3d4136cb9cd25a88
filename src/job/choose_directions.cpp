#include "job/choose_directions.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <numeric>

#include "job/shrinkage.h"
#include "seamwright/pose/quick_estimate.h"
#include "seamwright/profile/printer_presets.h"

namespace seamwright::job_detail {
namespace {

constexpr std::size_t kFinalists = 3;
// The quick estimate is off by 12 % at worst: who is behind by more than twice that stays behind.
constexpr double kStillInReach = 1.25;

/// Sight by the face of the file that skin came from: cuts keep that, not positions.
class SightByFace {
 public:
  explicit SightByFace(const HandOff& out) {
    for (std::size_t f = 0; f < out.wired.face_count(); ++f) {
      const Origin origin = out.wired.origins()[f];
      if (origin.kind == OriginKind::skin && f < out.sight.size())
        sight_.emplace(origin.id, out.sight[f]);
    }
  }
  std::vector<double> of(const Solid& piece) const {
    std::vector<double> sight;
    for (const Origin origin : piece.origins()) {
      const auto found = sight_.find(origin.id);
      const bool is_skin = origin.kind == OriginKind::skin && found != sight_.end();
      sight.push_back(is_skin ? found->second : 0);
    }
    return sight;
  }

 private:
  std::map<std::uint32_t, double> sight_;
};

/// The rooms of all printers in one list, and whose each is.
struct Rooms {
  std::vector<Vec3> sizes_mm;
  std::vector<std::size_t> printers;
  Rooms(const HandOff& out) {
    for (std::size_t p = 0; p < out.printers.size(); ++p) {
      for (const ClearBox& box :
           clear_boxes(with_room_for_shrinkage(out.printers[p], out.material))) {
        sizes_mm.push_back(box.size_mm);
        printers.push_back(p);
      }
    }
  }
  /// The rooms of the printer on which a piece costs least come first.
  void sort_by(const std::vector<double>& price_of_printer) {
    std::vector<std::size_t> order(printers.size());
    std::iota(order.begin(), order.end(), 0);
    std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
      return price_of_printer[printers[a]] < price_of_printer[printers[b]];
    });
    const Rooms before = *this;
    for (std::size_t i = 0; i < order.size(); ++i) {
      sizes_mm[i] = before.sizes_mm[order[i]];
      printers[i] = before.printers[order[i]];
    }
  }
};

class Chooser {
 public:
  Chooser(HandOff& out, const Job& job, const Run& run)
      : out_(out), job_(job), run_(run), sight_(out), rooms_(out) {}

  Status choose(std::size_t index, const std::string& mark) {
    PlannedPiece& piece = out_.seams.pieces[index];
    const Solid& solid = piece.cut.solid;
    prices_ = prices_of(piece);
    rooms_.sort_by(prices_);
    setting_ = {rooms_.sizes_mm,  job_.search.poses, {},
                sight_.of(solid), out_.cost,         out_.material.warp_ratio};
    setting_.rules.support_from = Angle::degrees(out_.print.support_angle_deg);
    const PoseTime quick = [&](const Pose& pose, std::size_t room) {
      return quick_estimate(solid, pose, printer(room), out_.material, out_.print).print_s;
    };
    if (const StandChoice* stand = stand_of(mark)) {
      const auto fixed = direction_down(solid, stand->down, setting_, quick);
      if (fixed) return take(piece, {*fixed}, true);
      tell_too_large(*stand);
    }
    std::vector<Direction> ranked = rank_directions(solid, setting_, quick);
    if (ranked.empty()) return keep(piece);  // the search's own pose, on supports
    keep_cheapest(ranked);
    if (job_.search.effort != Effort::quick) {
      const Status timed = time_in_full(solid, ranked);
      if (!timed) return timed.error();
    }
    return take(piece, std::move(ranked), false);
  }

 private:
  const Printer& printer(std::size_t room) const { return out_.printers[rooms_.printers[room]]; }

  /// Only the ways to stand on the printer whose hours cost the piece least, of those that hold it.
  void keep_cheapest(std::vector<Direction>& ranked) const {
    const auto price = [&](const Direction& d) { return prices_[rooms_.printers[d.room]]; };
    double least = price(ranked.front());
    for (const Direction& direction : ranked) least = std::min(least, price(direction));
    std::erase_if(ranked, [&](const Direction& d) { return price(d) > least; });
  }

  /// What the piece costs on each printer, its own hours counted, as the search stood it. A room
  /// that is too small for it is passed over later.
  std::vector<double> prices_of(const PlannedPiece& piece) const {
    const bool is_free = std::all_of(out_.printers.begin(), out_.printers.end(),
                                     [](const Printer& p) { return p.price_per_h == 0; });
    if (is_free) return std::vector<double>(out_.printers.size(), 0.0);
    std::vector<double> prices;
    const QuickLayers layers(piece.cut.solid, piece.pose, out_.print);
    for (const Printer& printer : out_.printers) {
      const double print_s = layers.timed(printer, out_.material, out_.print).print_s;
      prices.push_back(printer.price_per_h * print_s / 3600);
    }
    return prices;
  }

  const StandChoice* stand_of(const std::string& mark) const {
    const auto found = std::find_if(job_.stands.begin(), job_.stands.end(),
                                    [&](const StandChoice& s) { return s.piece == mark; });
    return found == job_.stands.end() ? nullptr : &*found;
  }

  /// After a long search that is no reason to give nothing.
  void tell_too_large(const StandChoice& stand) {
    const auto index = static_cast<std::size_t>(&stand - job_.stands.data());
    out_.warnings.push_back(
        {"stand-does-not-fit",
         fmt::format(
             "{}[[stand]] piece = \"{}\": it fits no printer that way down, so it stands as "
             "it costs you the fewest hours; give another down, or a larger printer.",
             place_without_folder(job_.given, fmt::format("stand.{}.piece", index)), stand.piece)});
  }

  /// The finalists' print times by laying every line.
  Status time_in_full(const Solid& solid, std::vector<Direction>& ranked) {
    const double reach_h = kStillInReach * ranked.front().hours.total_h();
    while (ranked.size() > kFinalists ||
           (ranked.size() > 1 && ranked.back().hours.total_h() > reach_h))
      ranked.pop_back();
    if (ranked.size() < 2 || run_.should_finish()) return ok();
    for (Direction& direction : ranked) {
      const Result<PrintEstimate> full =
          estimate_print(solid, direction.pose.bed_from_part, printer(direction.room),
                         out_.material, out_.print, run_);
      if (!full) return full.error();
      direction.print_s = full->print_s;
      direction.hours.printing_h = printing_hours(full->print_s, out_.cost);
    }
    std::stable_sort(ranked.begin(), ranked.end(), [](const Direction& a, const Direction& b) {
      return a.hours.total_h() < b.hours.total_h();
    });
    return ok();
  }

  Status take(PlannedPiece& piece, std::vector<Direction> ranked, bool is_fixed) {
    piece.pose = ranked.front().pose;
    piece.printer = rooms_.printers[ranked.front().room];
    PieceDirections kept{std::move(ranked), is_fixed};
    if (kept.ranked.size() > kFinalists) kept.ranked.resize(kFinalists);
    out_.directions.push_back(std::move(kept));
    return ok();
  }
  Status keep(const PlannedPiece&) {
    out_.directions.emplace_back();
    return ok();
  }

  HandOff& out_;
  const Job& job_;
  const Run& run_;
  SightByFace sight_;
  Rooms rooms_;
  std::vector<double> prices_;  // one a printer
  DirectionSetting setting_;
};

}  // namespace

Status choose_directions(HandOff& out, const Job& job, const EarlierMarks& earlier,
                         const Run& run) {
  std::vector<CutPiece> cuts;
  for (const PlannedPiece& piece : out.seams.pieces) cuts.push_back(piece.cut);
  const std::vector<std::string> marks = assign_marks(cuts, earlier);
  Chooser chooser(out, job, run);
  for (std::size_t i = 0; i < marks.size(); ++i) {
    if (run.should_stop()) return Error{"cancelled", "stopped while choosing directions"};
    const Status chosen = chooser.choose(i, marks[i]);
    if (!chosen) return Error(chosen.error()).within("piece " + marks[i]);
    run.report(static_cast<double>(i + 1) / static_cast<double>(marks.size()));
  }
  return ok();
}

}  // namespace seamwright::job_detail
