#pragma once

#include <map>
#include <optional>
#include <vector>

#include "seams/plan_search.h"

namespace seamwright::search {

/// What confirming needs of the part itself.
struct FullPart {
  std::shared_ptr<const Solid> solid;
  SearchMesh mesh;
};

/// The best exact pose of a piece over the printers: standing before tilted, the better foot first,
/// then less support; nothing when it fits none.
std::optional<std::pair<Pose, std::size_t>> exact_pose(const Solid& piece,
                                                       const PlanOptions& options);

/// Hours of one piece: handling, support, and what failed and overlong prints of it cost.
double piece_h(const Pose& pose, double print_s, const PriceRules& prices);

/// Judges plans on the part itself, one after another. Halves are cut, and pieces posed and timed,
/// only where a plan differs from the last one and, for halves, the `remembered_plans` before it
/// (some 200 MB each at a million faces); a piece that another cut above it left as it was is
/// known again by its points and faces. Not for sharing between threads.
class ExactJudge {
 public:
  ExactJudge(const FullPart& full, const SearchSetting& setting, const PlanOptions& options,
             const PieceJudge& judge, std::size_t remembered_plans = 0)
      : full_(full),
        setting_(setting),
        options_(options),
        judge_(judge),
        cutter_(full.solid, remembered_plans) {}

  /// Pieces that fit no printer.
  struct Misfits {
    std::vector<std::pair<SeamId, Side>> leaves;  ///< each once, in the plan's order
    std::string first_size;
    Error error() const;
  };
  /// The pieces of a plan in their poses; those that fit none are left out and noted. Errors:
  /// plane_cut's, "cancelled".
  Result<PlannedSeams> pose(const SeamPlan& plan, Misfits& misfits, const Run& run);
  /// Lengths, hours and figures of posed pieces, by the maker's own prices. Errors: "no-plan" when
  /// a seam goes through a forbidden zone.
  Result<PlannedSeams> price(PlannedSeams posed, const Run& run);
  /// Both. Errors: "no-plan" when a piece misfits, too.
  Result<PlannedSeams> judge(const SeamPlan& plan, const Run& run);

 private:
  /// The planes above a piece and which of the leaf's solids it is: the same planes, the same
  /// piece.
  using Key = std::vector<double>;
  /// A 128-bit hash of a piece's points and faces.
  using Shape = std::pair<std::uint64_t, std::uint64_t>;
  struct Known {
    std::optional<std::pair<Pose, std::size_t>> pose;
    double print_s = 0;
  };
  static Shape shape_of(const Solid& piece);
  void look_at_new(const std::vector<Key>& keys, const std::vector<CutPiece>& pieces,
                   const Run& run);
  Status price_seams(std::optional<SeamId> parent, Side side,
                     const std::shared_ptr<const ClipBody>& body, PlannedSeams& out,
                     const Run& run) const;
  SeamCost cost_of(const Seam& seam, const BodyHalves& halves, const ClipBody& body) const;
  Known look_at(const Solid& piece) const;

  const FullPart& full_;
  const SearchSetting& setting_;
  const PlanOptions& options_;
  const PieceJudge& judge_;
  PlanCutter cutter_;
  std::map<Key, Known> known_;
  std::map<Shape, Known> shapes_;
  std::shared_ptr<const ClipBody> whole_;  ///< the part as prices see it, once asked for
  std::vector<double> print_s_;            ///< of the pieces posed last
};

}  // namespace seamwright::search
