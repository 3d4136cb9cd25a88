#include "joints/tongues.h"

#include <algorithm>
#include <cmath>

#include "joints/flat_paths.h"
#include "joints/groove_places.h"
#include "joints/outlines.h"
#include "seamwright/query/section.h"

namespace seamwright::joints {
namespace {

using ClipperLib::Path;
using ClipperLib::Paths;

constexpr double kShortest_mm = 8;     // tongue worth having
constexpr double kCleanest_mm = 0.05;  // shortest edge
constexpr double kChamfer_mm = 0.3;
constexpr double kWorthThinner_ratio = 1.25;  // more tongue, for a thinner lip
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

bool floor_keeps_lip(const FaceContext& context, Side side, const Loop2& outline, double depth_mm,
                     double lip_mm) {
  constexpr double kApart_mm = 0.4, kAlong_mm = 0.3;
  const CapFrame& frame = context.side(side).frame;
  const double wanted_mm = std::hypot(lip_mm, kApart_mm / 2, kAlong_mm / 2);
  for (const auto& [a, b] : lines_over(outline, kApart_mm)) {
    const double count = std::ceil(norm(b - a) / kAlong_mm);
    for (double k = 0; k <= count; ++k) {
      const Vec2 p = count > 0 ? a + (b - a) * (k / count) : a;
      if (!context.near(side).keeps(frame.lift(frame.from_plane(p), -depth_mm), wanted_mm))
        return false;
    }
  }
  return true;
}

/// Whether the groove keeps its lip to all surroundings, down to its floor and under it. What lies
/// between the samples is asked of them.
bool keeps_lip(const FaceContext& context, Side side, const Loop2& outline, double depth_mm,
               double lip_mm) {
  constexpr double kSample_mm = 0.4, kLevel_mm = 0.3;
  const CapFrame& frame = context.side(side).frame;
  const int levels = std::max(1, static_cast<int>(std::ceil(depth_mm / kLevel_mm)));
  const double wanted_mm = std::hypot(lip_mm, kSample_mm / 2, depth_mm / levels / 2);
  for (const Vec2 p : divided(outline, kSample_mm)) {
    for (int level = levels; level >= 0; --level) {
      const Vec3 at = frame.lift(frame.from_plane(p), -depth_mm * level / levels);
      if (!context.near(side).keeps(at, wanted_mm)) return false;
    }
  }
  return floor_keeps_lip(context, side, outline, depth_mm, lip_mm);
}

double perimeter_mm(const Loop2& loop) {
  double perimeter = 0;
  for (std::size_t i = 0; i < loop.size(); ++i)
    perimeter += norm(loop[(i + 1) % loop.size()] - loop[i]);
  return perimeter;
}

std::vector<Loop2> outlines_with_lip(const FaceContext& context, const Paths& room, double lip_mm,
                                     const TongueRules& rules) {
  Paths inner = rounded_offset(room, -lip_mm);
  inner = combined(ClipperLib::ctDifference, inner, divisions(context.face->region.outer, rules));
  inner = rounded_offset(rounded_offset(inner, -rules.opening_mm), rules.opening_mm);
  inner = cleaned(std::move(inner), kCleanest_mm);
  std::vector<Loop2> outlines;
  for (const Path& path : inner) {
    if (path.size() < 8) continue;
    const Loop2 loop = loop_of(path);
    if (loop_area_mm2(loop) < 0) return {};  // a hole: the strips did not open the ring
    if (perimeter_mm(loop) / 2 < kShortest_mm || !moved_edges(loop, -rules.clearance_mm)) continue;
    outlines.push_back(loop);
  }
  return outlines;
}

/// Whether two edges that are no neighbours meet. O(points²), their boxes first.
bool crosses_itself(const Loop2& loop) {
  const std::size_t n = loop.size();
  const auto side = [](Vec2 a, Vec2 b, Vec2 p) { return cross(b - a, p - a); };
  for (std::size_t i = 0; i < n; ++i) {
    const Vec2 a = loop[i], b = loop[(i + 1) % n];
    for (std::size_t k = i + 2; k < n; ++k) {
      const Vec2 p = loop[k], q = loop[(k + 1) % n];
      if (i == 0 && k + 1 == n) continue;
      if (std::max(a.x, b.x) < std::min(p.x, q.x) || std::max(p.x, q.x) < std::min(a.x, b.x) ||
          std::max(a.y, b.y) < std::min(p.y, q.y) || std::max(p.y, q.y) < std::min(a.y, b.y))
        continue;
      if (side(a, b, p) * side(a, b, q) <= 0 && side(p, q, a) * side(p, q, b) <= 0) return true;
    }
  }
  return false;
}

}  // namespace

std::vector<Loop2> groove_outlines(const FaceContext& context, const Solid& female, Side side,
                                   double depth_mm, const TongueRules& rules) {
  if (context.width_mm < rules.least_wall_mm - 0.05 || context.width_mm > rules.widest_wall_mm)
    return {};
  const Paths room = straight_through(context, female, side, depth_mm);
  // In a leaning wall a lip as wide as is good leaves nothing; the least one may, or one that is
  // wider along the seam, since the plastic beside the groove is less than it looks there.
  std::vector<Loop2> best;
  for (double lip_mm :
       {rules.lip_ratio * context.width_mm, 2.8 * rules.least_lip_mm, 2.2 * rules.least_lip_mm,
        1.7 * rules.least_lip_mm, 1.3 * rules.least_lip_mm, 1.1 * rules.least_lip_mm}) {
    if (lip_mm < rules.least_lip_mm) continue;
    auto outlines = outlines_with_lip(context, room, lip_mm, rules);
    std::erase_if(outlines, [&](const Loop2& loop) {
      return !keeps_lip(context, side, loop, depth_mm, rules.least_lip_mm);
    });
    if (grooves_length_mm(outlines) > kWorthThinner_ratio * grooves_length_mm(best))
      best = std::move(outlines);
  }
  return best;
}

double grooves_length_mm(std::span<const Loop2> grooves) {
  double length_mm = 0;
  for (const Loop2& groove : grooves) length_mm += perimeter_mm(groove) / 2;
  return length_mm;
}

double thinnest_lip_mm(const FaceContext& context, Side side, std::span<const Loop2> grooves,
                       double depth_mm, double most_mm) {
  constexpr double kStep_mm = 0.05;
  double lip_mm = kStep_mm;
  const auto all_keep = [&](double wanted_mm) {
    return std::all_of(grooves.begin(), grooves.end(), [&](const Loop2& groove) {
      return keeps_lip(context, side, groove, depth_mm, wanted_mm);
    });
  };
  while (lip_mm + kStep_mm <= most_mm && all_keep(lip_mm + kStep_mm)) lip_mm += kStep_mm;
  return lip_mm;
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
  if (crosses_itself(moved)) return {};
  return moved;
}

double least_tongue_mm(double bevel_mm) {
  constexpr double kLeastMeeting_mm = 0.3;
  return bevel_mm + kLeastMeeting_mm + kChamfer_mm;
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
