#pragma once

#include <memory>

#include "seamwright/seams/plan_seams.h"

namespace seamwright {

/// A part on the desk: its plans are judged again and again while a maker moves seams about. What a
/// plan shares with those before it is not cut, posed or timed anew. Not for sharing between
/// threads.
class PlanDesk {
 public:
  /// As plan_seams. `skin` is copied from, `judge` is kept. O(faces).
  PlanDesk(std::shared_ptr<const Solid> part, const SkinView& skin, const PlanOptions& options,
           PieceJudge judge = {});
  ~PlanDesk();
  PlanDesk(PlanDesk&&) noexcept;

  /// The pieces of the plan in their poses with lengths and hours: the same as plan_seams gives for
  /// PlanOptions::given, but for what moving each seam would cost. Errors: "no-plan" when a piece
  /// fits no printer or a seam enters a forbidden zone, "cancelled". Cost: on 356 k faces
  /// in 10 pieces 0.03–0.13 s after a seam low in the plan moved; up to 0.24 s for the first two,
  /// under which most pieces change (two threads; `plan_desk_perf`).
  Result<PlannedSeams> judge(const SeamPlan& plan, const Run& run = {});

 private:
  struct Memory;
  std::unique_ptr<Memory> memory_;
};

}  // namespace seamwright
