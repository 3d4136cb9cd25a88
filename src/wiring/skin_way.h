#pragma once

#include <array>
#include <optional>
#include <span>
#include <vector>

#include "seamwright/core/result.h"
#include "seamwright/core/run.h"
#include "wiring/passage.h"
#include "wiring/triangle_tree.h"

namespace seamwright::wiring_detail {

/// A ball that a way on the skin keeps out of.
struct KeepOut {
  Vec3 at;
  double radius_mm = 0;
};

/// A way over the skin: samples 2 mm apart with unit normals (away from the material) smoothed over
/// 10 mm, and unit tangents.
struct SkinWay {
  std::vector<Vec3> points, normals, tangents;
  double off_skin_mm = 0;  ///< how far it leaves the skin at most
  double bend_mm = 0;      ///< least bend radius reached
};

struct SkinWayOptions {
  double bend_mm = 15;                 ///< least bend radius wanted
  double rim_mm = 20;                  ///< nearer to the patch's rim a way costs more
  int stiffness = 0;                   ///< 0, 1, 2: smoothed longer
  std::vector<Passage> passages = {};  ///< their ends are among the points to lead through
};

/// The skin that ridges may stand on, prepared for many ways: patches over which neighbouring faces
/// turn by less than 40°, and a graph of their corners and edge middles. Setup O(n log n), on two
/// threads at most, the same on any.
class HiddenSkin {
 public:
  /// `is_allowed` has one value a face.
  HiddenSkin(const Solid& part, std::vector<bool> is_allowed, const Run& run = {});

  /// A smooth way through points near the skin, in order: the shortest over the graph that stays on
  /// one patch (over sharp edges only where there is none), off the rim and out of `keep_out`, then
  /// smoothed in space with a weak pull to the skin until it bends as wanted. Errors: "rib-no-way"
  /// with the place. O(n log n).
  Result<SkinWay> lead(std::span<const Vec3> through, std::span<const KeepOut> keep_out,
                       const SkinWayOptions& options = {}) const;

  /// The allowed skin's nearest point.
  NearTriangle nearest(Vec3 from) const { return tree_.nearest(from); }
  /// The patch of the face a nearest() point lies on, and its outward normal.
  std::uint32_t patch(const NearTriangle& at) const { return patch_of_[face_of_[at.triangle]]; }
  Vec3 normal(const NearTriangle& at) const;
  /// Distance to the patch's rim along the graph, at most 40 mm.
  double rim_mm(const NearTriangle& at) const;

 private:
  using Nodes = std::array<std::uint32_t, 6>;  ///< corners, then middles of the edges after them
  void link_edges();
  void spread_rim();
  /// Whether the straight line between two places runs in their patch, off what is kept out.
  bool holds_straight(const NearTriangle& from, const NearTriangle& to,
                      std::span<const KeepOut> keep_out) const;
  std::vector<Vec3> shortest(const NearTriangle& from, const NearTriangle& to,
                             std::span<const KeepOut> keep_out, double rim_mm,
                             bool is_on_patch) const;

  const Solid& part_;
  std::vector<bool> is_allowed_;
  std::vector<std::uint32_t> patch_of_, face_of_;
  std::vector<Vec3> places_;
  std::vector<Nodes> nodes_;
  std::vector<std::uint32_t> first_face_, node_faces_;  ///< faces of a node, packed
  std::vector<double> rim_mm_;
  TriangleTree tree_{{}};
};

}  // namespace seamwright::wiring_detail
