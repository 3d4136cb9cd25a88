#pragma once

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <span>
#include <utility>
#include <vector>

#include "pose/legs.h"
#include "pose/turn.h"
#include "seams/far_points.h"
#include "seams/misfit.h"
#include "seams/quick_fit.h"

namespace seamwright::search {

constexpr double kFar_h = std::numeric_limits<double>::infinity();
/// What rolling onto the facets of all points, and tilting a little, may better a misfit by.
constexpr double kRollHope_h = 0.06, kTiltHope_h = 0.3;

/// A direction down, after the hours of its misfit.
using HourlyWay = std::pair<double, Vec3>;

/// One grading of one piece; piece and rules outlive it: see grade_fit. Feet and supports are in
/// fit_grader.cpp, tilts in fit_tilts.cpp.
class FitGrader {
 public:
  FitGrader(const PieceShape& piece, const FitRules& rules, double at_most_h);

  FitGrade run(const EarlierPose* earlier);
  /// See rule_spares.
  RuleSpares spares(const EarlierPose& pose);

 private:
  /// The shadow's hull and the height with `down` below.
  void look(Vec3 down) {
    measure_height(down);
    draw_outline();
  }

  void measure_height(Vec3 down);

  void draw_outline() {
    cast_shadow(piece_.points, {frame_u_, frame_v_}, shadow_);
    outline_ = quick_outline(shadow_);
  }

  /// The foot's corners on the bed, with `down` as measured last.
  void draw_contact(const FootShape& foot);

  /// Whether it lies in a room turned as it lay before: then no outline need be drawn.
  bool fits_as_turned(Vec3 down) const {
    return std::any_of(rules_.rooms_mm.begin(), rules_.rooms_mm.end(), [&](Vec3 room) {
      return height_mm_ <= room.z + pose_detail::kFitTolerance_mm &&
             fits_turned(piece_.points, down, along_, room);
    });
  }

  RuleSpares rule_spares(Vec3 down, std::vector<Vec2>& contact, double contact_mm2) const;
  /// What the standing rules miss on this contact; 0 when it stands.
  double rule_misfit(Vec3 down, std::vector<Vec2>& contact, double contact_mm2) const;

  /// Whether a face facing `facing_mm2` downward of its `size_mm2` needs support.
  bool needs_support(double facing_mm2, double size_mm2) const {
    return facing_mm2 > support_cosine_ * size_mm2;
  }
  /// Whether a support under it would bear the piece.
  bool gives_a_leg(double facing_mm2, double size_mm2) const {
    return facing_mm2 > legs_cosine_ * size_mm2;
  }

  double support_mm2(Vec3 down, double bed_contact_mm2) const;

  /// Kept when it is better than the best so far: less amiss, or as little on less support.
  void offer(const Misfit& misfit, Foot foot, Vec3 down, double contact_mm2);
  void offer_as_turned(Foot foot, Vec3 down, double contact_mm2) {
    Misfit none;
    none.along = {dot(along_, frame_u_), dot(along_, frame_v_)};
    offer(none, foot, down, contact_mm2);
  }

  /// Whether no pose with this foot could beat what has been found.
  bool is_beaten(const FootShape& foot) const {
    if (!best_.fits()) return false;
    if (!rules_.measures_support) return true;
    return support_mm2(foot.outward, foot.area_mm2) >= best_.support_mm2;
  }

  bool may_bear(const FootShape& foot) const {
    return foot.is_cap || foot.area_mm2 >= rules_.standing.least_flat_side_mm2;
  }

  void try_as_before(const EarlierPose& earlier);
  void try_all(const EarlierPose* earlier);
  void try_foot(const FootShape& foot);
  void try_supports();
  void try_more_supports();
  void try_on_supports(Vec3 down);
  double propped_contact(Vec3 down);
  void try_tilted(const EarlierPose* earlier);
  template <std::size_t N>
  std::array<HourlyWay, N> best_tilts(int spread, double at_most_h);
  void polish_tilt(Vec3 down);
  void offer_size(Vec3 room, Vec3 down);
  bool is_larger_than_rooms();
  void grade_roughly();

  /// A misfit of the farthest points under this is worth tilting from.
  double worth_a_tilt_h() const {
    return std::isinf(at_most_h_) ? kFar_h : at_most_h_ + 1 + kTiltHope_h;
  }
  /// A misfit under this is worth measuring on all points, which may better it by `hope_h`.
  double worth_a_look_h(double hope_h) const { return std::max(best_.penalty_h, 1 + hope_h); }
  const std::vector<Vec3>& far();
  double far_misfit_h(Vec3 down, double at_most_h);
  double full_misfit_h(Vec3 down, double at_most_h);
  double height_misfit_h(double height_mm) const;
  double outline_misfit_h(std::span<const Vec2> outline, double height_mm) const;

  const PieceShape& piece_;
  const FitRules& rules_;
  double support_cosine_, legs_cosine_;
  bool is_sheet_;
  double at_most_h_;
  double least_foot_h_ = kFar_h;  ///< the least amiss with a foot, of one too high its height alone
  FitGrade best_;
  Vec3 frame_u_, frame_v_;
  Vec3 along_;  ///< how it was turned before; none when not known
  double bed_mm_ = 0, height_mm_ = 0;
  std::vector<Vec2> shadow_, outline_, contact_;
  pose_detail::Legs legs_;
  std::vector<Vec3> far_;  ///< found when first asked for
};

}  // namespace seamwright::search
