#include "pose/tilt_search.h"

#include <algorithm>
#include <cstdint>

namespace seamwright::pose_detail {
namespace {

/// The rotation with Rodrigues vector r (axis times the tangent of half the angle), as a frame.
Frame frame_of(Vec3 r) {
  const double s = 2 / (1 + dot(r, r));
  const auto turned = [&](Vec3 p) {
    const Vec3 a = cross(r, p);
    return p + (a + cross(r, a)) * s;
  };
  return {turned({1, 0, 0}), turned({0, 1, 0}), turned({0, 0, 1})};
}

/// Whether a Rodrigues vector is nearer to the identity than to any other rotation of the cube:
/// 90° turns cut it at tan 22.5°, 120° turns at |x| + |y| + |z| = 1.
bool is_nearest_to_identity(Vec3 r) {
  const double side = std::tan(Angle::degrees(22.5).radians());
  const double x = std::abs(r.x), y = std::abs(r.y), z = std::abs(r.z);
  return std::max({x, y, z}) <= side && x + y + z <= 1;
}

std::vector<Frame> make_tilt_frames() {
  constexpr double kStep = 0.1445;  // gives 353 frames
  std::vector<Frame> frames;
  for (int x = -6; x <= 6; ++x) {
    for (int y = -6; y <= 6; ++y) {
      for (int z = -6; z <= 6; ++z) {
        // A body-centred lattice: all coordinates even or all odd.
        if ((x & 1) != (y & 1) || (y & 1) != (z & 1)) continue;
        const Vec3 r = Vec3(x, y, z) * (kStep / 2);
        if (is_nearest_to_identity(r)) frames.push_back(frame_of(r));
      }
    }
  }
  return frames;
}

Vec3 extents(std::span<const Vec3> points, const Frame& frame) {
  constexpr double kFar = std::numeric_limits<double>::infinity();
  Vec3 low{kFar, kFar, kFar}, high{-kFar, -kFar, -kFar};
  for (const Vec3 p : points) {
    const double x = dot(frame[0], p), y = dot(frame[1], p), z = dot(frame[2], p);
    low = {std::min(low.x, x), std::min(low.y, y), std::min(low.z, z)};
    high = {std::max(high.x, x), std::max(high.y, y), std::max(high.z, z)};
  }
  return high - low;
}

Vec3 sorted(Vec3 a) {
  if (a.x > a.y) std::swap(a.x, a.y);
  if (a.y > a.z) std::swap(a.y, a.z);
  if (a.x > a.y) std::swap(a.x, a.y);
  return a;
}

/// `room` sorted.
double sorted_excess(std::span<const Vec3> points, const Frame& frame, Vec3 room) {
  const Vec3 size = sorted(extents(points, frame));
  return std::max({size.x - room.x, size.y - room.y, size.z - room.z});
}

/// The extremes in 37 directions both ways: enough to rank frames, a tenth of a big hull.
std::vector<Vec3> outer_points(std::span<const Vec3> points) {
  constexpr int kDirections = 37;
  if (points.size() <= 3 * kDirections) return {points.begin(), points.end()};
  std::vector<std::size_t> picks;
  for (int k = 0; k < kDirections; ++k) {
    // A spiral over the half sphere, turns by the golden angle.
    const double z = (k + 0.5) / kDirections, r = std::sqrt(1 - z * z), t = 2.399963229728653 * k;
    const Vec3 direction{r * std::cos(t), r * std::sin(t), z};
    std::size_t low = 0, high = 0;
    double least = dot(direction, points[0]), most = least;
    for (std::size_t i = 1; i < points.size(); ++i) {
      const double at = dot(direction, points[i]);
      if (at < least) least = at, low = i;
      if (at > most) most = at, high = i;
    }
    picks.push_back(low);
    picks.push_back(high);
  }
  std::sort(picks.begin(), picks.end());
  picks.erase(std::unique(picks.begin(), picks.end()), picks.end());
  std::vector<Vec3> outer;
  for (const std::size_t i : picks) outer.push_back(points[i]);
  return outer;
}

/// The 26 directions of a cube's faces, edges and corners, as turning axes of unit length.
std::vector<Vec3> turning_axes() {
  std::vector<Vec3> axes;
  for (int x = -1; x <= 1; ++x) {
    for (int y = -1; y <= 1; ++y) {
      for (int z = -1; z <= 1; ++z) {
        if (x != 0 || y != 0 || z != 0) axes.push_back(normalized(Vec3(x, y, z)));
      }
    }
  }
  return axes;
}

Frame turned(const Frame& frame, const Transform& by) {
  return {by.rotate(frame[0]), by.rotate(frame[1]), by.rotate(frame[2])};
}

/// Rows made of unit length and perpendicular again.
Frame squared(const Frame& frame) {
  const Vec3 x = normalized(frame[0]);
  const Vec3 y = normalized(frame[1] - x * dot(x, frame[1]));
  return {x, y, cross(x, y)};
}

struct Steps {
  double first_deg, last_deg;
};

/// Small turns about 26 axes, the step halved when none helps, until the points fit or the step is
/// too small to matter. The excess is not smooth (a maximum over corners), so no gradient is asked.
TiltedFrame descend(std::span<const Vec3> points, const Frame& start, Vec3 room, Steps steps) {
  static const std::vector<Vec3> axes = turning_axes();
  TiltedFrame best{start, sorted_excess(points, start, room)};
  std::size_t last = 0;
  for (double step_deg = steps.first_deg; step_deg > steps.last_deg && best.excess_mm > 0;
       step_deg /= 2) {
    for (std::size_t tried = 0; tried < axes.size() && best.excess_mm > 0;) {
      const std::size_t k = (last + tried) % axes.size();
      const Frame frame = turned(best.frame, rotation(axes[k], Angle::degrees(step_deg)));
      const double excess_mm = sorted_excess(points, frame, room);
      if (excess_mm < best.excess_mm) {
        best = {frame, excess_mm};
        last = k;
        tried = 0;
      } else {
        ++tried;
      }
    }
  }
  best.frame = squared(best.frame);
  best.excess_mm = sorted_excess(points, best.frame, room);
  return best;
}

/// How far the points reach along the directions of a frame, those that are short first.
struct Reach {
  std::array<std::size_t, 3> axes{0, 1, 2};  ///< of the frame, by size
  std::array<Vec3, 3> spans;                 ///< from the lowest point to the highest, by axis
  Vec3 size;                                 ///< by axis
  double over(std::size_t rank, Vec3 room) const { return size[axes[rank]] - room[rank]; }
  double excess_mm(Vec3 room) const {
    return std::max({over(0, room), over(1, room), over(2, room)});
  }
};

Reach reach_of(std::span<const Vec3> points, const Frame& frame) {
  Reach reach;
  for (std::size_t k = 0; k < 3; ++k) {
    double low = std::numeric_limits<double>::infinity(), high = -low;
    std::size_t lowest = 0, highest = 0;
    for (std::size_t i = 0; i < points.size(); ++i) {
      const double at = dot(frame[k], points[i]);
      if (at < low) low = at, lowest = i;
      if (at > high) high = at, highest = i;
    }
    reach.spans[k] = points[highest] - points[lowest];
    reach.size[k] = high - low;
  }
  auto& [a, b, c] = reach.axes;
  if (reach.size[a] > reach.size[b]) std::swap(a, b);
  if (reach.size[b] > reach.size[c]) std::swap(b, c);
  if (reach.size[a] > reach.size[b]) std::swap(a, b);
  return reach;
}

/// The shortest vector in the hull of some (Gilbert, SIAM J. Control 4 (1966), from memory): a
/// turn against it shortens all of them.
Vec3 shortest_of(std::span<const Vec3> hull) {
  constexpr int kRounds = 12;
  const auto shorter = [](Vec3 a, Vec3 b) { return dot(a, a) < dot(b, b); };
  Vec3 best = *std::min_element(hull.begin(), hull.end(), shorter);
  for (int round = 0; round < kRounds; ++round) {
    const auto least = std::min_element(
        hull.begin(), hull.end(), [&](Vec3 a, Vec3 b) { return dot(best, a) < dot(best, b); });
    const Vec3 way = *least - best;
    const double share = -dot(best, way) / std::max(dot(way, way), 1e-300);
    if (share < 1e-6) break;
    best += way * std::min(share, 1.0);
  }
  return best;
}

/// Turns that shorten the sides that are too long together, against the shortest of their rises.
/// Quick and rough: sides change which points bound them under way.
TiltedFrame slide(std::span<const Vec3> points, const Frame& start, Vec3 room, double radius_mm) {
  constexpr int kTries = 24;
  constexpr double kFirst_rad = 0.07, kGrow_ratio = 1.2;
  Reach reach = reach_of(points, start);
  TiltedFrame best{start, reach.excess_mm(room)};
  double step_rad = kFirst_rad;
  for (int tried = 0; tried < kTries && best.excess_mm > 0; ++tried) {
    std::array<Vec3, 3> rises;
    std::size_t count = 0;
    for (std::size_t rank = 0; rank < 3; ++rank) {
      // What such a turn can make the longest counts as well.
      if (reach.over(rank, room) < best.excess_mm - step_rad * radius_mm) continue;
      const std::size_t axis = reach.axes[rank];
      rises[count++] = cross(best.frame[axis], reach.spans[axis]);
    }
    const Vec3 rise = shortest_of({rises.data(), count});
    const double slope_mm = norm(rise);
    const bool is_flat = slope_mm < 1e-6 * radius_mm;
    const Frame frame =
        is_flat ? best.frame
                : turned(best.frame, rotation(rise * (-1 / slope_mm), Angle::radians(step_rad)));
    const Reach next = is_flat ? reach : reach_of(points, frame);
    if (next.excess_mm(room) < best.excess_mm) {
      best = {frame, next.excess_mm(room)};
      reach = next;
      step_rad *= kGrow_ratio;
    } else {
      step_rad /= 2;
    }
  }
  best.frame = squared(best.frame);
  return best;
}

double radius_of(std::span<const Vec3> points) {
  double most = 0;
  for (const Vec3 p : points) most = std::max(most, norm(p - points[0]));
  return most / 2;
}

/// The outer points go ahead: where even they do not fit, all points need not be asked (ten times
/// the work); where they do, all points follow from there.
TiltedFrame refine(std::span<const Vec3> points, std::span<const Vec3> outer, const Frame& start,
                   Vec3 room) {
  const TiltedFrame ahead = descend(outer, start, room, {1, 0.002});
  if (ahead.excess_mm > 0.01) return ahead;
  return descend(points, ahead.frame, room, {1, 5e-5});
}

bool is_roomier(const TiltedFrame& a, const TiltedFrame& b) {
  return a.excess_mm < b.excess_mm;
}

}  // namespace

const std::vector<Frame>& tilt_frames() {
  static const std::vector<Frame> frames = make_tilt_frames();
  return frames;
}

double frame_excess(std::span<const Vec3> points, const Frame& frame, Vec3 room) {
  return sorted_excess(points, frame, sorted(room));
}

std::vector<TiltedFrame> search_tilts(std::span<const Vec3> points, Vec3 room, std::size_t most,
                                      TiltEffort effort) {
  const Vec3 sides = sorted(room);
  const std::vector<Vec3> outer = outer_points(points);
  std::vector<TiltedFrame> tilts;
  for (const Frame& frame : tilt_frames())
    tilts.push_back({frame, sorted_excess(outer, frame, sides)});
  std::stable_sort(tilts.begin(), tilts.end(), is_roomier);
  tilts.resize(std::min(tilts.size(), std::max(effort.turned, most)));
  for (TiltedFrame& tilt : tilts) tilt.excess_mm = sorted_excess(points, tilt.frame, sides);
  std::stable_sort(tilts.begin(), tilts.end(), is_roomier);
  if (tilts.front().excess_mm > 0) {
    const double radius_mm = radius_of(outer);
    for (TiltedFrame& tilt : tilts) tilt = slide(outer, tilt.frame, sides, radius_mm);
    std::stable_sort(tilts.begin(), tilts.end(), is_roomier);
    tilts.resize(std::min(tilts.size(), effort.refined));
    for (TiltedFrame& tilt : tilts) tilt = refine(points, outer, tilt.frame, sides);
    std::stable_sort(tilts.begin(), tilts.end(), is_roomier);
    return tilts;
  }
  std::erase_if(tilts, [](const TiltedFrame& tilt) { return tilt.excess_mm > 0; });
  tilts.resize(std::min(tilts.size(), most));
  return tilts;
}

Transform lay_frame(std::span<const Vec3> points, const Frame& frame, Vec3 room) {
  const Vec3 size = extents(points, frame);
  std::array<std::size_t, 3> axes{0, 1, 2}, sides{0, 1, 2};
  std::stable_sort(axes.begin(), axes.end(), [&](auto a, auto b) { return size[a] < size[b]; });
  std::stable_sort(sides.begin(), sides.end(), [&](auto a, auto b) { return room[a] < room[b]; });
  Transform laid;
  for (std::size_t i = 0; i < 3; ++i) laid.rows[sides[i]] = frame[axes[i]];
  if (dot(laid.rows[0], cross(laid.rows[1], laid.rows[2])) < 0) laid.rows[0] = -laid.rows[0];
  Box3 box;
  for (const Vec3 p : points) box.extend(laid.rotate(p));
  laid.shift = -box.low;
  return laid;
}

}  // namespace seamwright::pose_detail
