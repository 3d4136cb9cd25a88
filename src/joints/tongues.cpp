#include "joints/tongues.h"

#include <algorithm>
#include <cmath>

#include "joints/flat_paths.h"
#include "joints/outlines.h"
#include "seamwright/query/section.h"

namespace seamwright::joints {
namespace {

using ClipperLib::Path;
using ClipperLib::Paths;

constexpr double kOpening_mm = 0.6;    // radius: a tongue is 1.2 mm wide at least
constexpr double kShortest_mm = 8;     // tongue worth having
constexpr double kCleanest_mm = 0.05;  // shortest edge
constexpr double kChamfer_mm = 0.3;
// Where the first division comes, as a share of the face's extent: off its middle and its thirds.
constexpr double kFirstDivision_ratio = 0.41;

/// What of the face lies over plastic at each of a few depths of the piece with the grooves.
Paths straight_through(const FaceContext& context, const Solid& female, Side side,
                       double depth_mm) {
  Paths room = paths_of(context.face->region);
  for (double share : {0.5, 1.0}) {
    const double into = (side == Side::above ? 1 : -1) * depth_mm * share;
    Paths at_depth;
    for (const SectionLoop& loop :
         section(female, {context.plane.normal, context.plane.offset_mm + into}))
      at_depth.push_back(path_of(loop.points));
    room = combined(ClipperLib::ctIntersection, room, at_depth);
  }
  return room;
}

Path strip(double from_mm, double to_mm, Vec2 along, double reach_mm) {
  const Vec2 across{-along.y, along.x};
  return path_of({along * from_mm - across * reach_mm, along * to_mm - across * reach_mm,
                  along * to_mm + across * reach_mm, along * from_mm + across * reach_mm});
}

/// Strips across the face's longer extent: the first off the middle, so that even one tells the
/// two ends apart, then as many as keep tongues short.
Paths divisions(const Loop2& outline, const TongueRules& rules) {
  Vec2 low = outline[0], high = outline[0];
  for (Vec2 p : outline) {
    low = {std::min(low.x, p.x), std::min(low.y, p.y)};
    high = {std::max(high.x, p.x), std::max(high.y, p.y)};
  }
  const bool is_wide = high.x - low.x >= high.y - low.y;
  const Vec2 along = is_wide ? Vec2{1, 0} : Vec2{0, 1};
  const double from = is_wide ? low.x : low.y, to = is_wide ? high.x : high.y;
  const double reach = norm(low) + norm(high) + 10;
  const double middle = from + kFirstDivision_ratio * (to - from);
  Paths strips;
  for (double at = middle; at < to; at += rules.longest_mm)
    strips.push_back(strip(at - rules.gap_mm / 2, at + rules.gap_mm / 2, along, reach));
  for (double at = middle - rules.longest_mm; at > from; at -= rules.longest_mm)
    strips.push_back(strip(at - rules.gap_mm / 2, at + rules.gap_mm / 2, along, reach));
  return strips;
}

/// Whether the groove keeps its lip to all surroundings, down to its floor. What lies between the
/// samples is asked of them.
bool keeps_lip(const FaceContext& context, Side side, const Loop2& outline, double depth_mm,
               double lip_mm) {
  constexpr double kSample_mm = 0.5, kLevel_mm = 0.3;
  const CapFrame& frame = context.side(side).frame;
  const int levels = std::max(1, static_cast<int>(std::ceil(depth_mm / kLevel_mm)));
  const double wanted_mm = std::hypot(lip_mm, kSample_mm / 2, depth_mm / levels / 2);
  for (const Vec2 p : divided(outline, kSample_mm)) {
    for (int level = levels; level >= 0; --level) {
      const Vec3 at = frame.lift(frame.from_plane(p), -depth_mm * level / levels);
      if (!context.near(side).keeps(at, wanted_mm)) return false;
    }
  }
  return true;
}

std::vector<Loop2> outlines_with_lip(const FaceContext& context, const Paths& room, double lip_mm,
                                     const TongueRules& rules) {
  Paths inner = rounded_offset(room, -lip_mm);
  inner = combined(ClipperLib::ctDifference, inner, divisions(context.face->region.outer, rules));
  inner = rounded_offset(rounded_offset(inner, -kOpening_mm), kOpening_mm);
  inner = cleaned(std::move(inner), kCleanest_mm);
  std::vector<Loop2> outlines;
  for (const Path& path : inner) {
    if (path.size() < 8) continue;
    const Loop2 loop = loop_of(path);
    if (loop_area_mm2(loop) < 0) return {};  // a hole: the strips did not open the ring
    double perimeter = 0;
    for (std::size_t i = 0; i < loop.size(); ++i)
      perimeter += norm(loop[(i + 1) % loop.size()] - loop[i]);
    if (perimeter / 2 < kShortest_mm || !moved_edges(loop, -rules.clearance_mm)) continue;
    outlines.push_back(loop);
  }
  return outlines;
}

}  // namespace

std::vector<Loop2> groove_outlines(const FaceContext& context, const Solid& female, Side side,
                                   double depth_mm, const TongueRules& rules) {
  if (context.width_mm < rules.least_wall_mm - 0.05 || context.width_mm > rules.widest_wall_mm)
    return {};
  const Paths room = straight_through(context, female, side, depth_mm);
  // In a leaning wall a lip as wide as is good leaves nothing; the least one may.
  for (double lip_mm : {rules.lip_ratio * context.width_mm, 1.7 * rules.least_lip_mm,
                        1.3 * rules.least_lip_mm, 1.1 * rules.least_lip_mm}) {
    if (lip_mm < rules.least_lip_mm) continue;
    auto outlines = outlines_with_lip(context, room, lip_mm, rules);
    std::erase_if(outlines, [&](const Loop2& loop) {
      return !keeps_lip(context, side, loop, depth_mm, rules.least_lip_mm);
    });
    if (!outlines.empty()) return outlines;
  }
  return {};
}

std::optional<Loop2> moved_edges(const Loop2& loop, double by_mm) {
  const std::size_t n = loop.size();
  Loop2 moved;
  for (std::size_t i = 0; i < n; ++i) {
    const Vec2 before = normalized(loop[i] - loop[(i + n - 1) % n]);
    const Vec2 after = normalized(loop[(i + 1) % n] - loop[i]);
    const Vec2 sum = Vec2{before.y, -before.x} + Vec2{after.y, -after.x};
    const double length2 = dot(sum, sum);
    if (length2 < 0.5) return {};  // sharper than 90°
    moved.push_back(loop[i] + sum * (2 * by_mm / length2));
  }
  for (std::size_t i = 0; i < n; ++i) {
    const std::size_t j = (i + 1) % n;
    if (dot(moved[j] - moved[i], loop[j] - loop[i]) <= 0) return {};
  }
  return moved;
}

CapFeature make_groove(const Loop2& outline, double depth_mm, double bevel_mm, Origin origin) {
  const auto mouth = bevel_mm > 0 ? moved_edges(outline, bevel_mm) : std::nullopt;
  CapFeature groove{{}, origin};
  if (mouth) groove.rings.push_back({*mouth, 0});
  groove.rings.push_back({outline, mouth ? -bevel_mm : 0});
  groove.rings.push_back({outline, -depth_mm});
  return groove;
}

CapFeature make_tongue(const Loop2& outline, double clearance_mm, double height_mm, Origin origin) {
  const auto fitted = moved_edges(outline, -clearance_mm);
  require(fitted.has_value(), "a groove's outline can be set in by the clearance");
  const Loop2& root = *fitted;
  CapFeature tongue{{{root, 0}}, origin};
  if (const auto tip = moved_edges(root, -kChamfer_mm)) {
    tongue.rings.push_back({root, height_mm - kChamfer_mm});
    tongue.rings.push_back({*tip, height_mm});
  } else {
    tongue.rings.push_back({root, height_mm});
  }
  return tongue;
}

}  // namespace seamwright::joints
