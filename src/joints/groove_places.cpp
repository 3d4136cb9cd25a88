#include "joints/groove_places.h"

#include <algorithm>

#include "joints/outlines.h"

namespace seamwright::joints {
namespace {

constexpr double kGrooveReach_mm = 0.25;

Box3 box_of(const TakenPlace& place) {
  const Vec3 thick{place.radius_mm, place.radius_mm, place.radius_mm};
  Box3 box;
  for (const Vec3 p : {place.from, place.to}) {
    box.extend(p - thick);
    box.extend(p + thick);
  }
  return box;
}

bool is_far(const Box3& a, const Box3& b, double reach_mm) {
  for (std::size_t i = 0; i < 3; ++i)
    if (a.low[i] > b.high[i] + reach_mm || b.low[i] > a.high[i] + reach_mm) return true;
  return false;
}

}  // namespace

std::vector<std::pair<Vec2, Vec2>> lines_over(const Loop2& outline, double apart_mm) {
  double low = 1e300, high = -1e300;
  for (const Vec2 p : outline) {
    low = std::min(low, p.y);
    high = std::max(high, p.y);
  }
  std::vector<std::pair<Vec2, Vec2>> lines;
  for (double y = low + apart_mm / 2; y < high; y += apart_mm) {
    std::vector<double> crossings;
    for (std::size_t i = 0; i < outline.size(); ++i) {
      const Vec2 a = outline[i], b = outline[(i + 1) % outline.size()];
      if ((a.y <= y) != (b.y <= y))
        crossings.push_back(a.x + (b.x - a.x) * (y - a.y) / (b.y - a.y));
    }
    std::sort(crossings.begin(), crossings.end());
    for (std::size_t i = 0; i + 1 < crossings.size(); i += 2)
      lines.push_back({{crossings[i], y}, {crossings[i + 1], y}});
  }
  return lines;
}

std::vector<TakenPlace> groove_places(const CapFrame& frame, const Loop2& outline, double depth_mm,
                                      std::size_t joint) {
  const auto at = [&](Vec2 p, double height_mm) {
    return frame.lift(frame.from_plane(p), height_mm);
  };
  std::vector<TakenPlace> places;
  for (const Vec2 p : divided(outline, 2 * kGrooveReach_mm))
    places.push_back({at(p, 0), at(p, -depth_mm), kGrooveReach_mm, joint});
  for (const auto& [a, b] : lines_over(outline, 2 * kGrooveReach_mm))
    places.push_back({at(a, -depth_mm), at(b, -depth_mm), kGrooveReach_mm, joint});
  return places;
}

bool keeps_between(std::span<const TakenPlace> groove, std::span<const TakenPlace> taken,
                   double wall_mm) {
  Box3 whole;
  for (const TakenPlace& own : groove) {
    whole.extend(box_of(own).low);
    whole.extend(box_of(own).high);
  }
  return std::none_of(taken.begin(), taken.end(), [&](const TakenPlace& place) {
    if (is_far(box_of(place), whole, wall_mm)) return false;
    return std::any_of(groove.begin(), groove.end(), [&](const TakenPlace& own) {
      return segments_distance_mm(own.from, own.to, place.from, place.to) <
             own.radius_mm + place.radius_mm + wall_mm;
    });
  });
}

}  // namespace seamwright::joints
