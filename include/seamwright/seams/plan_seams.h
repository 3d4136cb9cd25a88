#pragma once

#include <array>
#include <functional>
#include <span>
#include <string>
#include <vector>

#include "seamwright/core/run.h"
#include "seamwright/cut/cut_plan.h"
#include "seamwright/pose/pose.h"
#include "seamwright/profile/cost.h"

namespace seamwright {

enum class Effort : std::uint8_t { quick, normal, thorough };

constexpr std::array<std::pair<std::string_view, Effort>, 3> names(Effort) {
  return {{{"quick", Effort::quick}, {"normal", Effort::normal}, {"thorough", Effort::thorough}}};
}

/// What the search asks of higher rooms about a piece: extra hours and a print time. `job` hands
/// the implementation in. Must be pure and safe to call from many threads.
struct PieceJudge {
  /// Print seconds of a posed piece on the printer at this position in PlanOptions::printers;
  /// empty: print time is not counted.
  std::function<double(const Solid&, const Pose&, std::size_t printer)> print_s;
};

struct PlanOptions {
  std::vector<Printer> printers{Printer{}};
  CostWeights cost;
  Poses poses = Poses::standing;
  Effort effort = Effort::normal;
  std::uint64_t seed = 1;
  std::vector<Plane> locked;  ///< seams the plan must start from, in order
  std::vector<std::vector<Vec3>>
      channel_paths;  ///< centre lines that seams cross squarely and do not run along
  std::size_t most_pieces = 400;
};

/// What one seam costs, for the report: lengths on the skin, and hours.
struct SeamCost {
  SeamId seam{};
  double shown_mm = 0, hidden_mm = 0, maker_h = 0;
};
struct PlannedPiece {
  CutPiece cut;
  Pose pose;
  std::size_t printer = 0;  ///< position in PlanOptions::printers
};
struct PlannedSeams {
  SeamPlan plan;
  std::vector<SeamCost> seam_costs;  ///< in the order of plan.seams
  std::vector<PlannedPiece> pieces;
  double maker_h = 0;                 ///< the objective J
  std::size_t piece_lower_bound = 1;  ///< no plan has fewer pieces
  std::string bound_reason;           ///< which bound binds: "volume", "diameter", …
  bool is_complete = true;            ///< false when the search was cut short
};

/// The plan with the least maker hours that was found: every piece fits a printer in its pose,
/// judged on the full mesh. `face_sight` has one value a face of `part`. Budgeted by evaluations,
/// so the same input, options and seed give the same plan on any thread count. Errors: "no-plan"
/// with the reason, "cancelled". Cost: 15 s at 89 k faces, normal effort, two cores.
Result<PlannedSeams> plan_seams(const Solid& part, std::span<const double> face_sight,
                                const PlanOptions& options, const PieceJudge& judge = {},
                                const Run& run = {});

/// A lower bound on the number of pieces of any plan, and why. O(n log n).
std::pair<std::size_t, std::string> piece_lower_bound(const Solid& part,
                                                      std::span<const Printer> printers);

}  // namespace seamwright
