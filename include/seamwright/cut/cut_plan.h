#pragma once

#include <memory>
#include <string>
#include <vector>

#include "seamwright/core/run.h"
#include "seamwright/cut/plane_cut.h"
#include "seamwright/cut/seam_plan.h"

namespace seamwright {

/// One leaf solid of a cut plan.
struct CutPiece {
  std::string id;  ///< its path in the tree: "S1+", "S1-/S4+", with ".2" for a second solid of the
                   ///< same half; "whole" when uncut
  std::optional<SeamId> seam;  ///< the deepest seam above it
  Side side = Side::above;
  Solid solid;
};

/// Cuts a solid by plans again and again. A half is remembered by a hash of its parent and plane,
/// so that after moving one seam only the halves under it are cut anew. Not for sharing between
/// threads.
class PlanCutter {
 public:
  /// A half is forgotten when the last `remembered_calls` calls of pieces() did not need it: the
  /// more, the more memory. 0: only what the last plan needed is kept.
  explicit PlanCutter(std::shared_ptr<const Solid> part, std::size_t remembered_calls = 8);
  ~PlanCutter();
  PlanCutter(PlanCutter&&) noexcept;

  /// The pieces of `plan`, in the order of the tree (a seam's above half first). A seam that misses
  /// its half leaves it whole. Errors: plane_cut's, with the seam named; "cancelled".
  Result<std::vector<CutPiece>> pieces(const SeamPlan& plan, const Run& run = {});

  /// Halves cut anew by the last call of pieces(): what the cache did not hold.
  std::size_t last_cut_count() const;

 private:
  struct Memory;
  std::unique_ptr<Memory> memory_;
};

/// One-shot form of PlanCutter.
Result<std::vector<CutPiece>> cut_plan(const Solid& part, const SeamPlan& plan,
                                       const Run& run = {});

}  // namespace seamwright
