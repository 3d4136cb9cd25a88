#pragma once

#include <memory>
#include <vector>

#include "seams/price_rules.h"
#include "seams/quick_fit.h"
#include "seamwright/core/run.h"
#include "seamwright/cut/seam_plan.h"

namespace seamwright::search {

/// A node of a plan under search: a seam with two halves, or a leaf. Immutable and shared, so that
/// a move rebuilds the subtree under it and the path above, and dropping a move costs nothing.
struct PlanNode;
using PlanPtr = std::shared_ptr<const PlanNode>;
struct PlanNode {
  std::shared_ptr<const ClipBody> body;
  Plane plane;  ///< meaningless for a leaf
  bool is_locked = false;
  bool is_done = false;       ///< a leaf that is printed already: it fits, and is not cut again
  PlanPtr above, below;       ///< both or none
  double own_h = 0;           ///< this seam's hours, or the leaf's pieces with their penalties
  double total_h = 0;         ///< with everything under it
  std::uint32_t pieces = 0;   ///< under it
  std::uint32_t misfits = 0;  ///< pieces that fit no printer
  std::uint32_t slivers = 0;  ///< pieces under a hundredth of the volume
  std::uint32_t seams = 0;    ///< in it
  std::vector<EarlierPose> poses;  ///< of a leaf: how each of its pieces lies
  bool is_leaf() const { return above == nullptr; }
};

/// Prices plans on one mesh. Counts its work, so that budgets don't depend on clocks. Not for
/// sharing between threads; cheap to make.
class PlanPricer {
 public:
  static constexpr double kNoLimit = std::numeric_limits<double>::infinity();

  /// Keeps all of them. `run`: whose wish to finish ends what is filled or cut by this pricer;
  /// none: it goes on.
  PlanPricer(const SearchMesh& mesh, const PriceRules& prices, const FitRules& rules,
             const Run* run = nullptr)
      : mesh_(mesh), prices_(prices), rules_(rules), run_(run) {}
  PlanPricer(const SearchMesh&, const PriceRules&, const FitRules&&, const Run* = nullptr) = delete;

  /// `like`: the leaf of before it changed a little. Null when it costs more than `most_h`.
  PlanPtr leaf(std::shared_ptr<const ClipBody> body, const PlanNode* like = nullptr,
               double most_h = kNoLimit);
  /// A leaf that is printed already.
  PlanPtr done_leaf(std::shared_ptr<const ClipBody> body);
  /// The body cut by the plane, both halves leaves; a leaf when the plane misses. Null when it
  /// costs more than `most_h`.
  PlanPtr split(std::shared_ptr<const ClipBody> body, const Plane& plane, double most_h = kNoLimit);
  /// The seams of `shape` applied to another body and priced anew. A seam that misses its half is
  /// dropped.
  PlanPtr replay(std::shared_ptr<const ClipBody> body, const PlanNode& shape);
  /// As replay, with the top seam moved to `plane`, of a `shape` that this pricer priced: what lies
  /// under it and is not changed by the move is taken over as it is. Null as soon as the plan is
  /// sure to cost more than `most_h`, or as good as sure: a changed half is not expected to get
  /// cheaper by more than kHope_h than it is in `shape`.
  PlanPtr replay_moved(std::shared_ptr<const ClipBody> body, const Plane& plane,
                       const PlanNode& shape, double most_h = kNoLimit);
  /// The body cut by a plan; seams that miss their half are dropped with all under them.
  PlanPtr cut_by(const SeamPlan& plan, std::shared_ptr<const ClipBody> body,
                 std::optional<SeamId> parent = {}, Side side = Side::above);
  /// A seam over two given halves.
  static PlanPtr join(std::shared_ptr<const ClipBody> body, const Plane& plane, bool is_locked,
                      double seam_h, PlanPtr above, PlanPtr below);

  /// Hours of one seam: its outline, what it does to channels, the zones and seats it goes
  /// through.
  double seam_h(const Plane& plane, const BodyHalves& halves, const ClipBody& body) const;
  /// Hours of a piece that fits, supports not counted.
  double fitting_piece_h(double area_mm2, double volume_mm3) const;
  /// Hours per mm of outline on a face: sight, weight and grazing.
  double outline_h_per_mm(Vec3 plane_normal, std::uint32_t face) const;

  const SearchMesh& mesh() const { return mesh_; }
  const FitRules& rules() const { return rules_; }
  const PriceRules& prices() const { return prices_; }
  bool should_finish() const { return run_ != nullptr && run_->should_finish(); }
  double work() const { return work_; }  ///< points and faces looked at
  void add_work(double work) { work_ += work; }

 private:
  enum class Known { nothing, what_is_unchanged };
  PlanPtr under_seam(std::shared_ptr<const ClipBody> body, const PlanPtr& shape, double most_h,
                     Known known);
  PlanPtr under_plane(std::shared_ptr<const ClipBody> body, const Plane& plane,
                      const PlanNode& shape, double most_h, Known known);
  double leaf_piece_h(const PieceShape& piece, const PlanNode* like, double most_h, PlanNode& node);

  const SearchMesh& mesh_;
  const PriceRules& prices_;
  const FitRules& rules_;
  const Run* run_;
  double work_ = 0;
};

/// The seam at a position in preorder, seams only.
const PlanNode& seam_at(const PlanNode& node, std::uint32_t seam_index);

/// Adds the preorder positions of the seams that have a leaf right under them with a misfit;
/// `index` is that of `node`.
void misfit_parents(const PlanNode& node, std::uint32_t index, std::vector<std::uint32_t>& out);

/// The plan with the seam at that position, and all under it, changed.
template <class Change>
PlanPtr change_seam(const PlanPtr& node, std::uint32_t seam_index, const Change& change) {
  if (seam_index == 0) return change(node);
  const bool is_in_above = seam_index - 1 < node->above->seams;
  PlanPtr above = node->above, below = node->below;
  PlanPtr& side = is_in_above ? above : below;
  side =
      change_seam(side, is_in_above ? seam_index - 1 : seam_index - 1 - node->above->seams, change);
  return PlanPricer::join(node->body, node->plane, node->is_locked, node->own_h, std::move(above),
                          std::move(below));
}

/// The plan as the rest of the program knows it; ids in the order of the tree, parents first.
SeamPlan to_seam_plan(const PlanNode& root);

}  // namespace seamwright::search
