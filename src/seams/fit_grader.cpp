#include "seams/fit_grader.h"

#include "pose/footing.h"
#include "pose/outline.h"

namespace seamwright::search {
namespace {

using pose_detail::depth_inside;
using pose_detail::least_width;

constexpr double kAlike = 0.95;  ///< cosine of 18°: a foot or facet counts as that of before
constexpr int kFacetSpread = 24, kMoreFacetSpread = 60;
constexpr std::size_t kMostFacets = 4;
/// What is known to miss by more is not looked at harder, nor are directions in which the farthest
/// points miss by more than the second. Of a caller that only wants fits the former is never known.
constexpr double kAllButFits_h = 1.1, kNearlyFits_h = 1.2;
/// Above this the piece is so much too large that no facet would save it.
constexpr double kSupportsFrom_h = 2.2;

/// A thin sheet: mean thickness under 8 mm and much wider than thick, as the pose room has it.
bool is_sheet(const PieceShape& piece) {
  if (piece.area_mm2 <= 0) return false;
  const double thickness = 2 * piece.volume_mm3 / piece.area_mm2;
  if (thickness >= 8) return false;
  Box3 box;
  for (Vec3 p : piece.points) box.extend(p);
  return piece.area_mm2 / 2 >= 6 * thickness * norm(box.size());
}

bool is_taken(std::span<const Vec3> seen, Vec3 down) {
  constexpr double kSame = 0.985;  // 10°
  return std::any_of(seen.begin(), seen.end(), [&](Vec3 s) { return dot(s, down) > kSame; });
}

}  // namespace

FitGrader::FitGrader(const PieceShape& piece, const FitRules& rules, double at_most_h)
    : piece_(piece),
      rules_(rules),
      support_cosine_(std::cos(rules.standing.support_from.radians())),
      legs_cosine_(std::cos(rules.legs_from.radians())),
      is_sheet_(is_sheet(piece)),
      at_most_h_(at_most_h) {
  best_.penalty_h = at_most_h;
}

FitGrade FitGrader::run(const EarlierPose* earlier) {
  if (earlier != nullptr && norm(earlier->down) == 0) earlier = nullptr;  // it lay nowhere
  if (earlier != nullptr && earlier->foot == Foot::tilted && rules_.poses != Poses::tilted)
    earlier = nullptr;  // it need not stand then
  if (earlier != nullptr) along_ = earlier->along;
  const bool stays = rules_.stays_as_before;
  if (earlier != nullptr && (stays || !rules_.measures_support)) try_as_before(*earlier);
  const bool only_fits_count = at_most_h_ <= 1 && rules_.counts_misfits;
  if (stays && earlier != nullptr && (only_fits_count || norm(best_.down) > 0)) {
    if (rules_.poses == Poses::tilted && !best_.fits()) polish_tilt(earlier->down);
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

void FitGrader::measure_height(Vec3 down) {
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

void FitGrader::draw_contact(const FootShape& foot) {
  contact_.clear();
  for (const Vec3 p : foot.points) contact_.push_back({dot(frame_u_, p), dot(frame_v_, p)});
}

RuleSpares FitGrader::rule_spares(Vec3 down, std::vector<Vec2>& contact, double contact_mm2) const {
  const StandingRules& r = rules_.standing;
  const double tip_need = (is_sheet_ ? r.sheet_tip : r.least_tip).degrees();
  const double slender_most = is_sheet_ ? r.sheet_slender_ratio : r.most_slender_ratio;
  const std::vector<Vec2> base = quick_outline(contact);
  const Vec2 center{dot(frame_u_, piece_.centroid), dot(frame_v_, piece_.centroid)};
  const double over_bed = std::max(1e-9, bed_mm_ - dot(down, piece_.centroid));
  const double tip = Angle::radians(std::atan2(depth_inside(base, center), over_bed)).degrees();
  const double ratio = height_mm_ / std::max(least_width(base), 1e-6);
  return {(tip - tip_need) / tip_need, (contact_mm2 - r.least_contact_mm2) / r.least_contact_mm2,
          1 - ratio / slender_most};
}

double FitGrader::rule_misfit(Vec3 down, std::vector<Vec2>& contact, double contact_mm2) const {
  double misfit = 0;
  for (const double spare : rule_spares(down, contact, contact_mm2))
    misfit += std::clamp(-spare, 0.0, 1.0);
  return misfit;
}

RuleSpares FitGrader::spares(const EarlierPose& pose) {
  if (pose.foot == Foot::supports) {
    const std::optional<Vec3> facet = hull_facet_near(piece_.points, pose.down);
    if (!facet || dot(*facet, pose.down) <= kAlike) return {-1, -1, -1};
    measure_height(*facet);
    const double area = propped_contact(*facet);
    return rule_spares(*facet, contact_, area);
  }
  RuleSpares best{-1, -1, -1};
  for (const FootShape& foot : piece_.feet) {
    if (!may_bear(foot) || dot(foot.outward, pose.down) <= kAlike) continue;
    measure_height(foot.outward);
    draw_contact(foot);
    const RuleSpares spares = rule_spares(foot.outward, contact_, foot.area_mm2);
    if (std::ranges::min(spares) > std::ranges::min(best)) best = spares;
  }
  return best;
}

double FitGrader::support_mm2(Vec3 down, double bed_contact_mm2) const {
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

void FitGrader::offer(const Misfit& misfit, Foot foot, Vec3 down, double contact_mm2) {
  FitGrade grade{misfit.hours(), 0, foot, down,
                 frame_u_ * misfit.along.x + frame_v_ * misfit.along.y};
  if (grade.penalty_h > best_.penalty_h) return;
  if (rules_.measures_support) grade.support_mm2 = support_mm2(down, contact_mm2);
  if (grade.penalty_h == best_.penalty_h && grade.support_mm2 >= best_.support_mm2) return;
  best_ = grade;
}

void FitGrader::try_foot(const FootShape& foot) {
  if (is_beaten(foot)) return;
  measure_height(foot.outward);
  const double by_height = height_misfit_h(height_mm_);
  if (by_height > 0) least_foot_h_ = std::min(least_foot_h_, by_height);
  if (by_height >= best_.penalty_h) return;
  if (bed_mm_ > foot.offset_mm + pose_detail::kContactReach_mm) return;
  draw_contact(foot);
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

void FitGrader::try_all(const EarlierPose* earlier) {
  for (const FootShape& foot : piece_.feet) {
    if (may_bear(foot)) try_foot(foot);
  }
  const bool is_near = least_foot_h_ < kSupportsFrom_h || std::isinf(least_foot_h_);
  if (!best_.fits() && is_near) try_supports();
  if (!best_.fits() && is_near && best_.penalty_h < kAllButFits_h) try_more_supports();
  if (rules_.poses == Poses::tilted && !best_.fits()) try_tilted(earlier);
}

/// The footprint of a piece on supports: what touches the bed and the columns under what is
/// propped. Fills contact_, returns the area. Less than a small pad's worth of propped skin is a
/// flaw of the stand-in's mesh, not a leg.
double FitGrader::propped_contact(Vec3 down) {
  constexpr double kLeastLegs_mm2 = 25;
  contact_.clear();
  const auto is_on_bed = [&](Vec3 p) {
    return bed_mm_ - dot(down, p) <= pose_detail::kContactReach_mm;
  };
  const auto at = [&](Vec3 p) { return Vec2{dot(frame_u_, p), dot(frame_v_, p)}; };
  for (const Vec3 p : piece_.points) {
    if (is_on_bed(p)) contact_.push_back(at(p));
  }
  const std::size_t on_bed = contact_.size();
  double on_bed_mm2 = 0, on_legs_mm2 = 0;
  const auto stands_on_legs = [&](double facing_mm2, const auto& corners) {
    const bool is_flat = std::all_of(corners.begin(), corners.end(), is_on_bed);
    (is_flat ? on_bed_mm2 : on_legs_mm2) += facing_mm2;
    return !is_flat;
  };
  for (std::size_t f = 0; f < piece_.faces.size(); ++f) {
    const double facing = dot(piece_.area_normals[f], down);
    if (facing <= 0 || !gives_a_leg(facing, norm(piece_.area_normals[f]))) continue;
    const auto& [i, j, k] = piece_.faces[f];
    const Vec3 a = piece_.points[i], b = piece_.points[j], c = piece_.points[k];
    if (stands_on_legs(facing, std::array{a, b, c}))
      legs_.add({at(a), at(b), at(c)}, facing, contact_);
  }
  legs_.finish(contact_);
  for (const FootShape& foot : piece_.feet) {
    const double facing = dot(foot.outward, down);
    if (!foot.is_cap || !gives_a_leg(facing, 1)) continue;
    if (!stands_on_legs(foot.area_mm2 * facing, foot.points)) continue;
    for (const Vec3 p : foot.points) contact_.push_back(at(p));
  }
  if (on_legs_mm2 >= kLeastLegs_mm2) return on_bed_mm2 + on_legs_mm2;
  contact_.resize(on_bed);
  return on_bed_mm2;
}

/// The same foot again, the hull facet next to that of before, or the same tilt.
void FitGrader::try_as_before(const EarlierPose& earlier) {
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
bool FitGrader::is_larger_than_rooms() {
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
void FitGrader::grade_roughly() {
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

void FitGrader::try_on_supports(Vec3 down) {
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
void FitGrader::try_supports() {
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

/// Facets of all points next to every direction in which the size nearly fits: what misses one way
/// by a little often fits another.
void FitGrader::try_more_supports() {
  for (int k = 0; k < kMoreFacetSpread; ++k) {
    const Vec3 way = spread_direction(k, kMoreFacetSpread);
    if (far_misfit_h(way, kNearlyFits_h) >= kNearlyFits_h) continue;
    const std::optional<Vec3> down = hull_facet_near(piece_.points, way);
    if (!down || far_misfit_h(*down, 1) > 0) continue;
    try_on_supports(*down);
    if (best_.fits()) return;
  }
}

void FitGrader::offer_size(Vec3 room, Vec3 down) {
  offer(size_misfit(outline_, height_mm_, room), Foot::tilted, down, 0);
}

const std::vector<Vec3>& FitGrader::far() {
  if (far_.empty()) far_ = farthest_points(piece_.points);
  return far_;
}

/// The misfit of the farthest points; what is found to be `at_most_h` or more may be less than it
/// is.
double FitGrader::far_misfit_h(Vec3 down, double at_most_h) {
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
double FitGrader::height_misfit_h(double height_mm) const {
  double least = std::numeric_limits<double>::infinity();
  for (const Vec3 room : rules_.rooms_mm) {
    Misfit misfit;
    add_axis(misfit, height_mm, room.z);
    least = std::min(least, misfit.hours());
  }
  return least;
}

double FitGrader::outline_misfit_h(std::span<const Vec2> outline, double height_mm) const {
  double least = std::numeric_limits<double>::infinity();
  for (const Vec3 room : rules_.rooms_mm)
    least = std::min(least, size_misfit(outline, height_mm, room).hours());
  return least;
}

}  // namespace seamwright::search
