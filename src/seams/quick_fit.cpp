#include "seams/quick_fit.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>
#include <tuple>

#include "pose/footing.h"
#include "pose/outline.h"
#include "seams/far_points.h"
#include "seams/misfit.h"

namespace seamwright::search {
namespace {

using pose_detail::depth_inside;
using pose_detail::least_width;

constexpr int kFacetSpread = 24;
constexpr std::size_t kMostFacets = 4;
constexpr int kTiltSpread = 80;  ///< half of it is tried: upside down is as large
/// Above this the piece is so much too large that no facet would save it.
constexpr double kSupportsFrom_h = 2.2;
constexpr double kFar_h = std::numeric_limits<double>::infinity();
/// What rolling onto the facets of all points, and tilting a little, may better a misfit by.
constexpr double kRollHope_h = 0.06, kTiltHope_h = 0.3;

double shortfall(double have, double need) {
  return have >= need ? 0 : std::min(1.0, (need - have) / need);
}

/// A thin sheet: mean thickness under 8 mm and much wider than thick, as the pose room has it.
bool is_sheet(const PieceShape& piece) {
  if (piece.area_mm2 <= 0) return false;
  const double thickness = 2 * piece.volume_mm3 / piece.area_mm2;
  if (thickness >= 8) return false;
  Box3 box;
  for (Vec3 p : piece.points) box.extend(p);
  return piece.area_mm2 / 2 >= 6 * thickness * norm(box.size());
}

class Grader {
 public:
  Grader(const PieceShape& piece, const FitRules& rules, double at_most_h)
      : piece_(piece),
        rules_(rules),
        support_cosine_(std::cos(rules.standing.support_from.radians())),
        legs_cosine_(std::cos(rules.legs_from.radians())),
        is_sheet_(is_sheet(piece)),
        at_most_h_(at_most_h) {
    best_.penalty_h = at_most_h;
  }

  FitGrade run(const EarlierPose* earlier) {
    if (earlier != nullptr && norm(earlier->down) == 0) earlier = nullptr;  // it lay nowhere
    if (earlier != nullptr && earlier->foot == Foot::tilted && rules_.poses != Poses::tilted)
      earlier = nullptr;  // it need not stand then
    if (earlier != nullptr) along_ = earlier->along;
    const bool stays = rules_.stays_as_before;
    if (earlier != nullptr && (stays || !rules_.measures_support)) try_as_before(*earlier);
    if (stays && earlier != nullptr && norm(best_.down) > 0) {
      if (rules_.poses == Poses::tilted && !best_.fits()) polish_tilt(best_.down);
    } else if (!best_.fits()) {
      if (is_larger_than_rooms()) {
        if (at_most_h_ > 1) grade_roughly();
      } else {
        try_all(earlier);
      }
    }
    if (best_.penalty_h >= at_most_h_) best_.penalty_h = kFar_h;
    return best_;
  }

 private:
  /// The shadow's hull and the height with `down` below.
  void look(Vec3 down) {
    measure_height(down);
    draw_outline();
  }

  void measure_height(Vec3 down) {
    frame_u_ = any_perpendicular(-down);
    frame_v_ = cross(-down, frame_u_);
    double top = std::numeric_limits<double>::infinity();
    bed_mm_ = -top;
    for (const Vec3 p : piece_.points) {
      const double depth = dot(down, p);
      top = std::min(top, depth);
      bed_mm_ = std::max(bed_mm_, depth);
    }
    height_mm_ = bed_mm_ - top;
  }

  void draw_outline() {
    cast_shadow(piece_.points, {frame_u_, frame_v_}, shadow_);
    outline_ = quick_outline(shadow_);
  }

  /// Whether it lies in a room turned as it lay before: then no outline need be drawn.
  bool fits_as_turned(Vec3 down) const {
    return std::any_of(rules_.rooms_mm.begin(), rules_.rooms_mm.end(), [&](Vec3 room) {
      return height_mm_ <= room.z + pose_detail::kFitTolerance_mm &&
             fits_turned(piece_.points, down, along_, room);
    });
  }

  double rule_misfit(Vec3 down, std::vector<Vec2>& contact, double contact_mm2) const {
    const StandingRules& r = rules_.standing;
    const double tip_need = (is_sheet_ ? r.sheet_tip : r.least_tip).degrees();
    const double slender_most = is_sheet_ ? r.sheet_slender_ratio : r.most_slender_ratio;
    const std::vector<Vec2> base = quick_outline(contact);
    const Vec2 center{dot(frame_u_, piece_.centroid), dot(frame_v_, piece_.centroid)};
    const double over_bed = std::max(1e-9, bed_mm_ - dot(down, piece_.centroid));
    const double tip = Angle::radians(std::atan2(depth_inside(base, center), over_bed)).degrees();
    const double ratio = height_mm_ / std::max(least_width(base), 1e-6);
    return shortfall(tip, tip_need) + shortfall(contact_mm2, r.least_contact_mm2) +
           std::min(1.0, std::max(0.0, ratio / slender_most - 1));
  }

  /// Whether a face facing `facing_mm2` downward of its `size_mm2` needs support.
  bool needs_support(double facing_mm2, double size_mm2) const {
    return facing_mm2 > support_cosine_ * size_mm2;
  }
  /// Whether a support under it would bear the piece.
  bool gives_a_leg(double facing_mm2, double size_mm2) const {
    return facing_mm2 > legs_cosine_ * size_mm2;
  }

  double support_mm2(Vec3 down, double bed_contact_mm2) const {
    double area = 0;
    for (const Vec3 n : piece_.area_normals) {
      const double size = norm(n);
      if (needs_support(dot(n, down), size)) area += size;
    }
    for (const FootShape& foot : piece_.feet) {
      if (foot.is_cap && needs_support(dot(foot.outward, down), 1)) area += foot.area_mm2;
    }
    return std::max(0.0, area - bed_contact_mm2);
  }

  void offer(const Misfit& misfit, Foot foot, Vec3 down, double contact_mm2) {
    FitGrade grade{misfit.hours(), 0, foot, down,
                   frame_u_ * misfit.along.x + frame_v_ * misfit.along.y};
    if (grade.penalty_h > best_.penalty_h) return;
    if (rules_.measures_support) grade.support_mm2 = support_mm2(down, contact_mm2);
    if (grade.penalty_h == best_.penalty_h && grade.support_mm2 >= best_.support_mm2) return;
    best_ = grade;
  }

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

  void try_foot(const FootShape& foot) {
    if (is_beaten(foot)) return;
    measure_height(foot.outward);
    const double by_height = height_misfit_h(height_mm_);
    if (by_height > 0) least_foot_h_ = std::min(least_foot_h_, by_height);
    if (by_height >= best_.penalty_h) return;
    if (bed_mm_ > foot.offset_mm + pose_detail::kContactReach_mm) return;
    contact_.clear();
    for (const Vec3 p : foot.points) contact_.push_back({dot(frame_u_, p), dot(frame_v_, p)});
    const double rules = rule_misfit(foot.outward, contact_, foot.area_mm2);
    const Foot kind = foot.is_cap ? Foot::joint_face : Foot::flat_side;
    if (rules == 0 && fits_as_turned(foot.outward)) {
      least_foot_h_ = 0;
      return offer_as_turned(kind, foot.outward, foot.area_mm2);
    }
    draw_outline();
    for (const Vec3 room : rules_.rooms_mm) {
      Misfit misfit = size_misfit(outline_, height_mm_, room);
      misfit.rules = rules;
      // As of a foot that its height rules out unseen, so that what is asked for changes nothing.
      if (by_height == 0) least_foot_h_ = std::min(least_foot_h_, misfit.hours());
      offer(misfit, kind, foot.outward, foot.area_mm2);
    }
  }

  void try_all(const EarlierPose* earlier) {
    for (const FootShape& foot : piece_.feet) {
      if (may_bear(foot)) try_foot(foot);
    }
    const bool is_near = least_foot_h_ < kSupportsFrom_h || std::isinf(least_foot_h_);
    if (!best_.fits() && is_near) try_supports();
    if (rules_.poses == Poses::tilted && !best_.fits()) try_tilted(earlier);
  }

  bool may_bear(const FootShape& foot) const {
    return foot.is_cap || foot.area_mm2 >= rules_.standing.least_flat_side_mm2;
  }

  void try_as_before(const EarlierPose& earlier);
  bool is_larger_than_rooms();
  void grade_roughly();
  void try_supports();
  void try_on_supports(Vec3 down);
  /// A misfit of the farthest points under this is worth tilting from.
  double worth_a_tilt_h() const {
    return std::isinf(at_most_h_) ? kFar_h : at_most_h_ + 1 + kTiltHope_h;
  }
  /// A misfit under this is worth measuring on all points, which may better it by `hope_h`.
  double worth_a_look_h(double hope_h) const { return std::max(best_.penalty_h, 1 + hope_h); }
  void try_tilted(const EarlierPose* earlier);
  void polish_tilt(Vec3 down);
  double full_misfit_h(Vec3 down, double at_most_h);
  void offer_size(Vec3 room, Vec3 down);
  double propped_contact(Vec3 down);
  const std::vector<Vec3>& far();
  double far_misfit_h(Vec3 down, double at_most_h);
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
  std::vector<Vec3> far_;  ///< found when first asked for
};

bool is_taken(std::span<const Vec3> seen, Vec3 down) {
  constexpr double kSame = 0.985;  // 10°
  return std::any_of(seen.begin(), seen.end(), [&](Vec3 s) { return dot(s, down) > kSame; });
}

/// The footprint of a piece on supports: what touches the bed and the columns under what is
/// propped. Fills contact_, returns the area. Less than a small pad's worth of propped skin is a
/// flaw of the stand-in's mesh, not a leg.
double Grader::propped_contact(Vec3 down) {
  constexpr double kLeastLegs_mm2 = 25;
  contact_.clear();
  const auto is_on_bed = [&](Vec3 p) {
    return bed_mm_ - dot(down, p) <= pose_detail::kContactReach_mm;
  };
  const auto touch = [&](Vec3 p) { contact_.push_back({dot(frame_u_, p), dot(frame_v_, p)}); };
  for (const Vec3 p : piece_.points) {
    if (is_on_bed(p)) touch(p);
  }
  const std::size_t on_bed = contact_.size();
  double on_bed_mm2 = 0, on_legs_mm2 = 0;
  const auto add = [&](double facing_mm2, const auto& corners) {
    const bool is_flat = std::all_of(corners.begin(), corners.end(), is_on_bed);
    (is_flat ? on_bed_mm2 : on_legs_mm2) += facing_mm2;
    if (!is_flat) std::for_each(corners.begin(), corners.end(), touch);
  };
  for (std::size_t f = 0; f < piece_.faces.size(); ++f) {
    const double facing = dot(piece_.area_normals[f], down);
    if (facing <= 0 || !gives_a_leg(facing, norm(piece_.area_normals[f]))) continue;
    const auto& [a, b, c] = piece_.faces[f];
    add(facing, std::array{piece_.points[a], piece_.points[b], piece_.points[c]});
  }
  for (const FootShape& foot : piece_.feet) {
    if (foot.is_cap && gives_a_leg(dot(foot.outward, down), 1))
      add(foot.area_mm2 * dot(foot.outward, down), foot.points);
  }
  if (on_legs_mm2 >= kLeastLegs_mm2) return on_bed_mm2 + on_legs_mm2;
  contact_.resize(on_bed);
  return on_bed_mm2;
}

/// The same foot again, the hull facet next to that of before, or the same tilt.
void Grader::try_as_before(const EarlierPose& earlier) {
  constexpr double kAlike = 0.95;  // 18°
  if (earlier.foot == Foot::tilted) {
    measure_height(earlier.down);
    if (fits_as_turned(earlier.down)) return offer_as_turned(Foot::tilted, earlier.down, 0);
    draw_outline();
    for (const Vec3 room : rules_.rooms_mm) offer_size(room, earlier.down);
  } else if (earlier.foot == Foot::supports) {
    const std::optional<Vec3> facet = hull_facet_near(piece_.points, earlier.down);
    if (facet && dot(*facet, earlier.down) > kAlike) try_on_supports(*facet);
  } else {
    for (const FootShape& foot : piece_.feet) {
      if (may_bear(foot) && dot(foot.outward, earlier.down) > kAlike) try_foot(foot);
    }
  }
}

/// Whether no room holds the piece whichever way it lies: by its volume, or two of its points are
/// farther apart than the room's corners.
bool Grader::is_larger_than_rooms() {
  double volume = 0, diagonal = 0;
  for (const Vec3 room : rules_.rooms_mm) {
    volume = std::max(volume, room.x * room.y * room.z);
    diagonal = std::max(diagonal, norm(room));
  }
  if (piece_.volume_mm3 > 1.001 * volume) return true;
  Box3 box;
  for (const Vec3 p : piece_.points) box.extend(p);
  if (norm(box.size()) <= diagonal) return false;
  const std::vector<Vec3>& points = far();
  for (std::size_t i = 0; i < points.size(); ++i) {
    for (std::size_t k = 0; k < i; ++k) {
      if (norm(points[i] - points[k]) > 1.001 * diagonal) return true;
    }
  }
  return false;
}

/// The misfit of the farthest points with the feet or the facets of their hull down.
void Grader::grade_roughly() {
  const auto offer_roughly = [&](Vec3 down) {
    const double hours = std::max(1.0, far_misfit_h(down, best_.penalty_h));
    if (hours < best_.penalty_h) best_ = {hours, 0, Foot::supports, down};
  };
  for (const FootShape& foot : piece_.feet) {
    if (may_bear(foot)) offer_roughly(foot.outward);
  }
  for (int k = 0; k < kFacetSpread; ++k) {
    const std::optional<Vec3> down = hull_facet_near(far(), spread_direction(k, kFacetSpread));
    if (down) offer_roughly(*down);
  }
}

void Grader::try_on_supports(Vec3 down) {
  measure_height(down);
  const double area = propped_contact(down);
  const double rules = rule_misfit(down, contact_, area);
  if (rules == 0 && fits_as_turned(down)) return offer_as_turned(Foot::supports, down, 0);
  draw_outline();
  for (const Vec3 room : rules_.rooms_mm) {
    Misfit misfit = size_misfit(outline_, height_mm_, room);
    misfit.rules = rules;
    offer(misfit, Foot::supports, down, 0);
  }
}

/// Undercut joint faces, then hull facets, with the rest on supports. A spread of directions stands
/// for all facets; the few that come nearest by size are measured in full.
void Grader::try_supports() {
  for (const FootShape& foot : piece_.feet) {
    if (foot.is_cap) try_on_supports(foot.outward);
    if (best_.fits()) return;
  }
  std::vector<std::pair<double, Vec3>> facets;
  std::vector<Vec3> seen;
  for (int k = 0; k < kFacetSpread; ++k) {
    const std::optional<Vec3> down = hull_facet_near(far(), spread_direction(k, kFacetSpread));
    if (!down || is_taken(seen, *down)) continue;
    seen.push_back(*down);
    const double least = worth_a_look_h(kRollHope_h);
    const double hours = far_misfit_h(*down, least);
    if (hours < least) facets.emplace_back(hours, *down);
  }
  std::stable_sort(facets.begin(), facets.end(),
                   [](const auto& a, const auto& b) { return a.first < b.first; });
  if (facets.size() > kMostFacets) facets.resize(kMostFacets);
  for (const auto& [hours, down] : facets) {
    const std::optional<Vec3> facet = hull_facet_near(piece_.points, down);
    if (facet && hours < worth_a_look_h(kRollHope_h)) try_on_supports(*facet);
    if (best_.fits()) return;
  }
}

/// The best of ever smaller tilts away from `best`, while steps of their size may still make it
/// fit. `hours` may answer anything from `at_most` up for what is no better than that.
template <class Hours>
std::pair<double, Vec3> smaller_tilts(Vec3 best, double least, double first, const Hours& hours) {
  constexpr double kNear_h = 1.012, kGain_h = 3;  // out by a hundredth; gained by a radian, at most
  const auto is_of_use = [&](double step) {
    return least > 0 && least < 1 + kGain_h * step && step > (least < kNear_h ? 0.0004 : 0.004);
  };
  for (double step = first; is_of_use(step); step *= 0.6) {
    const Vec3 u = any_perpendicular(best), v = cross(best, u), from = best;
    for (const Vec3 side : {u, v, -u, -v}) {
      const Vec3 down = normalized(from + side * step);
      const double h = hours(down, least);
      if (h < least) least = h, best = down;
    }
  }
  return {least, best};
}

/// Any rotation: that of before, if it was tilted; else a spread of directions down, each turned
/// about the vertical by the calipers, the best three bettered by ever smaller tilts, the best of
/// those on all points. Only the size counts; the exact judge looks harder.
void Grader::try_tilted(const EarlierPose* earlier) {
  if (earlier != nullptr) {
    polish_tilt(earlier->down);
    if (best_.fits()) return;
  }
  const auto far_h = [&](Vec3 down, double at_most) { return far_misfit_h(down, at_most); };
  std::array<std::pair<double, Vec3>, 3> best;
  best.fill({worth_a_tilt_h(), Vec3{0, 0, -1}});
  const auto is_less = [](const auto& a, const auto& b) { return a.first < b.first; };
  for (int k = 0; k < kTiltSpread / 2; ++k) {
    const Vec3 down = spread_direction(k, kTiltSpread);
    auto worst = std::max_element(best.begin(), best.end(), is_less);
    const double hours = far_h(down, worst->first);
    if (hours < worst->first) *worst = {hours, down};
  }
  for (auto& [hours, down] : best) {
    if (hours < worth_a_tilt_h()) std::tie(hours, down) = smaller_tilts(down, hours, 0.2, far_h);
  }
  const auto& [least, down] = *std::min_element(best.begin(), best.end(), is_less);
  if (least < worth_a_look_h(kRollHope_h)) polish_tilt(down);
}

/// Small tilts judged on all points; the best is offered.
void Grader::polish_tilt(Vec3 down) {
  const auto hours = [&](Vec3 way, double at_most) {
    const double far = far_misfit_h(way, at_most);
    return far < at_most ? full_misfit_h(way, at_most) : far;
  };
  const double first = full_misfit_h(down, kFar_h);
  if (first >= worth_a_tilt_h()) return;
  const Vec3 best = smaller_tilts(down, first, 0.03, hours).second;
  look(best);
  for (const Vec3 room : rules_.rooms_mm) offer_size(room, best);
}

double Grader::full_misfit_h(Vec3 down, double at_most_h) {
  measure_height(down);
  const double by_height = height_misfit_h(height_mm_);
  if (by_height >= at_most_h) return by_height;
  draw_outline();
  return outline_misfit_h(outline_, height_mm_);
}

void Grader::offer_size(Vec3 room, Vec3 down) {
  offer(size_misfit(outline_, height_mm_, room), Foot::tilted, down, 0);
}

const std::vector<Vec3>& Grader::far() {
  if (far_.empty()) far_ = farthest_points(piece_.points);
  return far_;
}

/// The misfit of the farthest points; what is found to be `at_most_h` or more may be less than it
/// is.
double Grader::far_misfit_h(Vec3 down, double at_most_h) {
  double low = std::numeric_limits<double>::infinity(), high = -low;
  for (const Vec3 p : far()) {
    const double depth = dot(down, p);
    low = std::min(low, depth);
    high = std::max(high, depth);
  }
  const double by_height = height_misfit_h(high - low);
  if (by_height >= at_most_h) return by_height;
  const Vec3 u = any_perpendicular(-down), v = cross(-down, u);
  shadow_.clear();
  for (const Vec3 p : far()) shadow_.push_back({dot(u, p), dot(v, p)});
  return outline_misfit_h(quick_outline(shadow_), high - low);
}

/// What the height alone makes of it.
double Grader::height_misfit_h(double height_mm) const {
  double least = std::numeric_limits<double>::infinity();
  for (const Vec3 room : rules_.rooms_mm) {
    Misfit misfit;
    add_axis(misfit, height_mm, room.z);
    least = std::min(least, misfit.hours());
  }
  return least;
}

double Grader::outline_misfit_h(std::span<const Vec2> outline, double height_mm) const {
  double least = std::numeric_limits<double>::infinity();
  for (const Vec3 room : rules_.rooms_mm)
    least = std::min(least, size_misfit(outline, height_mm, room).hours());
  return least;
}

}  // namespace

FitRules stricter(FitRules rules, const Slack& slack) {
  const auto& [spare_mm, share, legs_deg] = slack;
  for (Vec3& room : rules.rooms_mm) room = room - Vec3{spare_mm, spare_mm, spare_mm};
  StandingRules& standing = rules.standing;
  standing.least_tip = Angle::radians((1 + share) * standing.least_tip.radians());
  standing.sheet_tip = Angle::radians((1 + share) * standing.sheet_tip.radians());
  standing.least_contact_mm2 *= 1 + share;
  rules.legs_from = Angle::degrees(rules.legs_from.degrees() - legs_deg);
  standing.most_slender_ratio /= 1 + share;
  standing.sheet_slender_ratio /= 1 + share;
  return rules;
}

FitGrade grade_fit(const PieceShape& piece, const FitRules& rules, const EarlierPose* earlier,
                   double at_most_h) {
  return Grader(piece, rules, at_most_h).run(earlier);
}

}  // namespace seamwright::search
