#pragma once

#include <span>
#include <vector>

#include "seamwright/core/run.h"
#include "seamwright/query/ray_tree.h"
#include "wiring/field_search.h"
#include "wiring/skin_way.h"

namespace seamwright::wiring_detail {

/// What a bore needs on its way through a body.
struct BoreNeed {
  double clear_mm = 0;     ///< from the centre line to the skin: radius and wall
  double bend_mm = 15;     ///< wanted
  double margin_mm = 0.4;  ///< more than `clear_mm`, so that smoothing may take some of it
  std::vector<Passage> passages = {};  ///< their ends are among the points to lead through
};

/// How deep inside a body every place lies, on a grid: what ways of bores are searched on. Setup
/// O(faces + nodes).
class BodyField {
 public:
  /// The step is 2 mm, coarser where the grid would pass 40 million nodes (160 MB; a search's own
  /// memory grows with the nodes it reaches).
  BodyField(const Solid& part, const RayTree& body, const Run& run = {});

  /// The centre line of a bore through the points in order (the ends on the skin or inside): the
  /// shortest way that keeps clear, drawn towards the middle of the body, then smoothed coarse to
  /// fine against the exact distance. Empty when there is none. O(nodes log nodes).
  std::vector<Vec3> lead(std::span<const Vec3> through, std::span<const KeepOut> keep_out,
                         const BoreNeed& need) const;

  double step_mm() const { return step_mm_; }
  /// Of all nodes, 0 outside.
  std::span<const float> depths_mm() const { return depth_mm_; }

 private:
  std::size_t index(std::size_t x, std::size_t y, std::size_t z) const {
    return (z * count_[1] + y) * count_[0] + x;
  }
  DepthGrid grid() const { return {depth_mm_, count_, low_, step_mm_}; }
  using Node = std::array<std::size_t, 3>;
  /// The box of nodes round a place, cut at the grid's ends.
  std::pair<Node, Node> nodes_round(Vec3 middle, double reach_mm) const;
  std::vector<bool> blocked(std::span<const KeepOut> keep_out, double clear_mm) const;
  void mark_inside(const Solid& part, const Run& run);
  void spread_depth(const Run& run);
  std::vector<std::size_t> mouths(Vec3 end, double clear_mm,
                                  const std::vector<bool>& is_blocked) const;
  std::vector<Vec3> shortest(Vec3 from, Vec3 to, const BoreNeed& need,
                             const std::vector<bool>& is_blocked) const;

  const RayTree& body_;
  double step_mm_ = 2;
  Vec3 low_;
  std::array<std::size_t, 3> count_{};
  std::vector<float> depth_mm_;  ///< 0 outside
};

/// Smooths a bore's way: its own part in lead(), for ways found otherwise too. Ends stay.
std::vector<Vec3> smooth_in_body(std::vector<Vec3> way, const RayTree& body,
                                 std::span<const Vec3> stations, std::span<const KeepOut> keep_out,
                                 const BoreNeed& need);

/// Widens the bends of a smoothed way that are tighter than wanted: what lies near them moves, as
/// far from the skin as asked, and an end may leave the skin flatter, 34° at least. Whether the
/// outcome holds is for the caller to test. Ends stay.
std::vector<Vec3> ease_bends(std::vector<Vec3> way, const RayTree& body,
                             std::span<const Vec3> stations, std::span<const KeepOut> keep_out,
                             const BoreNeed& need);

}  // namespace seamwright::wiring_detail
