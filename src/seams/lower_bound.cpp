#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "seamwright/profile/printer_presets.h"
#include "seamwright/query/hull.h"
#include "seamwright/query/mass_properties.h"
#include "seamwright/seams/plan_seams.h"

namespace seamwright {
namespace {

struct Bound {
  std::size_t pieces = 1;
  std::string reason = "it may fit as it is";
  void offer(double least, const char* why) {
    // A hair less than the quotient: a part that fills n rooms exactly needs n.
    const auto whole = static_cast<std::size_t>(std::max(1.0, std::ceil(least - 1e-6)));
    if (whole > pieces) pieces = whole, reason = why;
  }
};

/// The largest volume, diagonal and shadow that any of the rooms holds.
struct Rooms {
  double volume_mm3 = 0, diagonal_mm = 0, shadow_mm2 = 0;
  explicit Rooms(std::span<const Printer> printers) {
    for (const Printer& printer : printers) {
      for (const ClearBox& box : clear_boxes(printer)) offer(box.size_mm);
    }
  }
  void offer(Vec3 r) {
    volume_mm3 = std::max(volume_mm3, r.x * r.y * r.z);
    diagonal_mm = std::max(diagonal_mm, norm(r));
    // A box's greatest shadow, seen along a direction weighted by its sides' areas (Cauchy).
    shadow_mm2 = std::max(shadow_mm2, norm(Vec3{r.y * r.z, r.x * r.z, r.x * r.y}));
  }
};

/// Points of the part of which no piece can hold two: each farther than the diagonal from all
/// others. Greedy from each hull point in turn; any such set is a bound, a larger one only a
/// better.
std::size_t far_points(std::span<const Vec3> points, double diagonal_mm) {
  std::size_t most = 1;
  const std::size_t tries = std::min<std::size_t>(points.size(), 24);
  for (std::size_t t = 0; t < tries; ++t) {
    std::vector<Vec3> chosen{points[t * points.size() / tries]};
    std::vector<double> nearest(points.size(), std::numeric_limits<double>::infinity());
    while (true) {
      std::size_t best = points.size();
      for (std::size_t i = 0; i < points.size(); ++i) {
        nearest[i] = std::min(nearest[i], norm(points[i] - chosen.back()));
        // The nearest of those far enough packs closest.
        if (nearest[i] > diagonal_mm * (1 + 1e-9) &&
            (best == points.size() || nearest[i] < nearest[best]))
          best = i;
      }
      if (best == points.size()) break;
      chosen.push_back(points[best]);
    }
    most = std::max(most, chosen.size());
  }
  return most;
}

/// At most `count` points, evenly through the list.
std::vector<Vec3> thinned(std::span<const Vec3> points, std::size_t count) {
  std::vector<Vec3> some;
  const std::size_t n = std::min(points.size(), count);
  for (std::size_t i = 0; i < n; ++i) some.push_back(points[i * points.size() / n]);
  return some;
}

double diameter_mm(std::span<const Vec3> points) {
  double most = 0;
  for (std::size_t i = 0; i < points.size(); ++i) {
    for (std::size_t j = i + 1; j < points.size(); ++j)
      most = std::max(most, norm(points[i] - points[j]));
  }
  return most;
}

/// Whether every face can be reached from every other over shared corners. Only then do pieces form
/// a chain between two points.
bool is_connected(const Solid& part) {
  std::vector<std::uint32_t> parent(part.points().size());
  for (std::uint32_t i = 0; i < parent.size(); ++i) parent[i] = i;
  const auto find = [&](std::uint32_t i) {
    while (parent[i] != i) i = parent[i] = parent[parent[i]];
    return i;
  };
  for (const Triangle& t : part.triangles()) {
    for (std::size_t k = 1; k < 3; ++k) {
      const std::uint32_t a = find(static_cast<std::uint32_t>(t[0])),
                          b = find(static_cast<std::uint32_t>(t[k]));
      parent[std::max(a, b)] = std::min(a, b);
    }
  }
  for (const Triangle& t : part.triangles()) {
    if (find(static_cast<std::uint32_t>(t[0])) != 0) return false;
  }
  return true;
}

/// How far the outline of the shadow along an axis runs across, to and fro: the sum over the edges
/// between a face that looks along the axis and one that does not.
double outline_run_mm(const Solid& part, std::size_t axis, std::size_t across) {
  std::vector<std::uint64_t> edges;
  for (std::size_t f = 0; f < part.face_count(); ++f) {
    if (part.area_normal(to_id<FaceId>(f))[axis] <= 0) continue;
    const Triangle& t = part.triangles()[f];
    for (std::size_t i = 0; i < 3; ++i) {
      edges.push_back(std::uint64_t{static_cast<std::uint32_t>(t[i])} << 32 |
                      static_cast<std::uint32_t>(t[(i + 1) % 3]));
    }
  }
  std::sort(edges.begin(), edges.end());
  double run_mm = 0;
  for (const std::uint64_t edge : edges) {
    const std::uint64_t opposite = edge << 32 | edge >> 32;
    if (std::binary_search(edges.begin(), edges.end(), opposite)) continue;
    run_mm +=
        std::abs(part.points()[edge >> 32][across] - part.points()[edge & 0xffffffffU][across]);
  }
  return run_mm;
}

using Spans = std::vector<std::pair<double, double>>;

/// Adds the stretch of a triangle on each of the lines that cross it.
void add_spans(const std::array<Vec3, 3>& corners, std::size_t across, std::size_t up, double low,
               double step, std::vector<Spans>& lines) {
  double y0 = corners[0][up], y1 = y0;
  for (const Vec3& c : corners) y0 = std::min(y0, c[up]), y1 = std::max(y1, c[up]);
  const double first = std::max(0.0, std::ceil((y0 - low) / step - 0.5));
  for (auto k = static_cast<std::size_t>(first); k < lines.size(); ++k) {
    const double y = low + (static_cast<double>(k) + 0.5) * step;
    if (y >= y1) break;
    double a = std::numeric_limits<double>::infinity(), b = -a;
    for (std::size_t i = 0; i < 3; ++i) {
      const Vec3 p = corners[i], q = corners[(i + 1) % 3];
      if ((p[up] > y) == (q[up] > y)) continue;
      const double x = p[across] + (q[across] - p[across]) * ((y - p[up]) / (q[up] - p[up]));
      a = std::min(a, x), b = std::max(b, x);
    }
    if (a < b) lines[k].push_back({a, b});
  }
}

/// A lower bound of the shadow's area along an axis: the length of the shadow on each of many
/// lines, exactly, times their distance, less what can hide between them. Between lines the length
/// changes by no more than the outline's edges run across, so half a step times their sum is a true
/// error bound.
double shadow_mm2(const Solid& part, std::size_t axis) {
  constexpr std::size_t kLines = 1024;
  const std::size_t across = (axis + 1) % 3, up = (axis + 2) % 3;
  const double low = part.box().low[up], step = part.box().size()[up] / kLines;
  if (step <= 0) return 0;
  std::vector<Spans> lines(kLines);
  for (std::size_t f = 0; f < part.face_count(); ++f) {
    if (part.area_normal(to_id<FaceId>(f))[axis] <= 0) continue;
    add_spans(part.corners(to_id<FaceId>(f)), across, up, low, step, lines);
  }
  double area = 0;
  for (Spans& line : lines) {
    std::sort(line.begin(), line.end());
    double end = -std::numeric_limits<double>::infinity();
    for (const auto& [a, b] : line) {
      if (b > end) area += (b - std::max(a, end)) * step, end = b;
    }
  }
  return area - step / 2 * outline_run_mm(part, axis, across);
}

}  // namespace

std::pair<std::size_t, std::string> piece_lower_bound(const Solid& part,
                                                      std::span<const Printer> printers) {
  const Rooms rooms(printers);
  Bound bound;
  bound.offer(volume_mm3(part) / rooms.volume_mm3, "its volume fills as many rooms");
  const Hull hull = convex_hull(part.points());
  if (is_connected(part))
    bound.offer(diameter_mm(thinned(hull.points, 2000)) / rooms.diagonal_mm,
                "fewer rooms, from corner to corner, are shorter than it");
  bound.offer(static_cast<double>(far_points(thinned(part.points(), 4000), rooms.diagonal_mm)),
              "as many spots of it are too far apart for two to lie in one piece");
  for (std::size_t axis = 0; axis < 3; ++axis)
    bound.offer(shadow_mm2(part, axis) / rooms.shadow_mm2,
                "fewer rooms can't cover its outline, seen along an axis");
  return {bound.pieces, bound.reason};
}

Status check_piece_count(const Solid& part, std::span<const Printer> printers) {
  const auto [least, why] = piece_lower_bound(part, printers);
  if (least <= kMostPlannedPieces) return ok();
  std::string rooms;
  for (const Printer& printer : printers) {
    for (const ClearBox& box : clear_boxes(printer)) {
      const Vec3 room = box.size_mm;
      rooms += fmt::format("{}{:.0f} × {:.0f} × {:.0f} mm", rooms.empty() ? "" : ", ", room.x,
                           room.y, room.z);
    }
  }
  const Vec3 size = part.box().size();
  return Error{
      "too-many-pieces",
      fmt::format("the part, {:.0f} × {:.0f} × {:.0f} mm, would need {} pieces at least ({}), and "
                  "no more than {} are planned. Room inside the margins: {}. Take a larger printer "
                  "(--printer), or make the part smaller (--length, the longest side in mm)",
                  size.x, size.y, size.z, least, why, kMostPlannedPieces, rooms)};
}

}  // namespace seamwright
