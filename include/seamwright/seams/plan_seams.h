#pragma once

#include <array>
#include <functional>
#include <span>
#include <string>
#include <vector>

#include "seamwright/core/result.h"
#include "seamwright/core/run.h"
#include "seamwright/core/zone.h"
#include "seamwright/cut/cut_plan.h"
#include "seamwright/pose/pose.h"
#include "seamwright/profile/cost.h"
#include "seamwright/seams/seat_zone.h"

namespace seamwright {

enum class Effort : std::uint8_t { quick, normal, thorough };

constexpr std::array<std::pair<std::string_view, Effort>, 3> names(Effort) {
  return {{{"quick", Effort::quick}, {"normal", Effort::normal}, {"thorough", Effort::thorough}}};
}

struct PlannedPiece;

/// A joint with nothing to hold it but glue on a narrow face.
struct LooseJoint {
  SeamId seam{};
  Vec3 middle;  ///< of its face. Part frame, mm
};

/// What the search asks of higher rooms about a piece, print times, and about a whole plan, its
/// loose joints. `job` hands the implementation in. Must be pure and safe to call from many
/// threads.
struct PieceJudge {
  /// Print seconds of a posed piece on the printer at this position in PlanOptions::printers;
  /// empty: print time is not counted.
  std::function<double(const Solid&, const Pose&, std::size_t printer)> print_s;
  /// The same without supports: two sizes of the part tell the pace at which it prints.
  std::function<double(const Solid&, const Pose&, std::size_t printer)> bare_print_s;
  /// The joints of a plan, or of one of its seams, that neither keys nor straps would hold, judged
  /// in the solid: dear, so asked only of the plans that a search ends with, to choose among them
  /// and to mend the best. What is left of them is not in `maker_h`. Empty: not counted.
  std::function<std::vector<LooseJoint>(const SeamPlan&, std::span<const PlannedPiece>,
                                        std::optional<SeamId> of)>
      loose_joints;
};

/// What the skin is like, one value a face of the part.
struct SkinView {
  std::span<const double> sight;   ///< 0…1
  std::span<const double> weight;  ///< of a seam's hours there: 3 over details, ¼ along lines;
                                   ///< empty: 1 everywhere
  SkinView(std::span<const double> seen, std::span<const double> weights = {})
      : sight(seen), weight(weights) {}
  SkinView(const std::vector<double>& seen) : sight(seen) {}
};

/// A plane the maker would like a seam on: one within 0.5 mm and 0.5° of it costs less.
struct PreferredSeam {
  Plane plane;
  double discount_ratio = 0.5;  ///< 0…1, taken off the seam's hours
};

struct PlanOptions {
  std::vector<Printer> printers{Printer{}};
  CostWeights cost;
  Poses poses = Poses::standing;
  Effort effort = Effort::normal;
  std::uint64_t seed = 1;
  std::vector<Plane> locked;             ///< seams the plan must start from, in order
  std::vector<Zone> forbidden;           ///< no seam goes through material in one of them
  std::vector<PreferredSeam> preferred;  ///< tried wherever they cut
  std::vector<std::vector<Vec3>>
      channel_paths;  ///< centre lines that seams cross squarely and do not run along
  /// Seats no seam should cut: one that does costs more than a piece, but is no reason for no plan.
  std::vector<SeatZone> seats;
  /// Pieces that are printed already, each as the half-spaces (distance ≤ 0) from its own seam up
  /// to the first: the seams on their way stay, and they are not cut again.
  std::vector<std::vector<Plane>> done_cells;
  /// The plan mirrors itself about this plane, whose normal is along an axis of the part: each seam
  /// has its mirror image, or is its own.
  std::optional<Plane> mirror;
  std::optional<SeamPlan> given;  ///< judged as it is, instead of a search
  std::size_t most_pieces = 0;    ///< 0: any
  double longest_print_h = 0;     ///< a piece that prints longer costs `over_window_h`; 0: any
  std::size_t other_plans = 0;    ///< how many plans that differ to look for beside the best
};

/// What one seam costs, for the report: lengths on the skin, and hours.
struct SeamCost {
  SeamId seam{};
  double shown_mm = 0, hidden_mm = 0, maker_h = 0;
  double detail_mm = 0;       ///< over details: faces whose weight is over 1
  double line_mm = 0;         ///< along panel lines and creases: weight under 1
  bool is_preferred = false;  ///< lies on a plane the maker prefers
  /// How the hours of all under this seam change when it alone moves 10 mm along its normal, or
  /// against it; nothing where a piece would then fit no printer.
  std::optional<double> forward_h, back_h;
};
struct PlannedPiece {
  CutPiece cut;
  Pose pose;
  std::size_t printer = 0;  ///< position in PlanOptions::printers
};
/// A plan beside the chosen one, with its figures.
struct OtherPlan {
  std::string aim;  ///< "fewest pieces", "least shown seam", "fewest print hours", …
  SeamPlan plan;
  std::size_t pieces = 0;
  double shown_mm = 0, hidden_mm = 0;
  double print_s = 0, longest_print_s = 0;  ///< by PieceJudge; 0 without one
  double maker_h = 0;                       ///< by the maker's own weights
};

struct PlannedSeams {
  SeamPlan plan;
  std::vector<SeamCost> seam_costs;  ///< in the order of plan.seams
  std::vector<PlannedPiece> pieces;
  double maker_h = 0;                 ///< the objective J
  std::size_t piece_lower_bound = 1;  ///< no plan has fewer pieces
  std::string bound_reason;           ///< why: "its volume fills as many rooms", …
  bool is_complete = true;            ///< false when the search was cut short
  OtherPlan figures;                  ///< of this plan
  std::vector<OtherPlan> others;      ///< better than it, and than each other, in some figure
};

/// The plan with the least maker hours that was found: every piece fits a printer in its pose,
/// judged on the full mesh. Guarantees: locked seams, done pieces and forbidden zones hold;
/// with a mirror, which goes with neither locked seams nor done pieces, so does symmetry to 1e-9.
/// Budgeted by evaluations, so the same input, options and seed give the same plan on any thread
/// count. A run that should finish gives the best plan there is by then, not complete. Errors:
/// "no-plan" with the reason, "too-many-pieces", "stopped-without-plan" when the run should finish
/// before there is any, "cancelled". Cost: 15 s at 89 k faces, normal effort,
/// two cores; as much again for each of `other_plans`.
Result<PlannedSeams> plan_seams(const Solid& part, const SkinView& skin, const PlanOptions& options,
                                const PieceJudge& judge = {}, const Run& run = {});

/// A lower bound on the number of pieces of any plan, and why. O(n log n).
std::pair<std::size_t, std::string> piece_lower_bound(const Solid& part,
                                                      std::span<const Printer> printers);

/// Of a part that needs more no plan is looked for: at a quarter of an hour to clean, glue and fill
/// each, 200 are more than a working week. Beyond, the printer is wrong, or the size.
inline constexpr std::size_t kMostPlannedPieces = 200;
/// Error "too-many-pieces" when the lower bound is above that, with the rooms and the remedies.
Status check_piece_count(const Solid& part, std::span<const Printer> printers);

}  // namespace seamwright
