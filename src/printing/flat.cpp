#include "printing/flat.h"

#include <cmath>

namespace seamwright::flat {
namespace {

using ClipperLib::Clipper;
using ClipperLib::ClipType;
using ClipperLib::PolyTree;

constexpr double kMitreLimit = 2.0;  // right angles stay; sharper than 60° are cut off square
constexpr double kCleanUnits = 20;   // 2 µm: what a Clipper result may lose for fewer points

double off_line_mm(Vec2 a, Vec2 b, Vec2 p) {
  const Vec2 along = b - a;
  const double length2 = dot(along, along);
  if (length2 <= 0) return norm(p - a);
  const double t = std::clamp(dot(p - a, along) / length2, 0.0, 1.0);
  return norm(p - (a + along * t));
}

/// Marks the points to keep strictly between `first` and `last` (an index may be the loop's size:
/// its first point again).
void keep_between(const Loop2& loop, std::size_t first, std::size_t last, double tolerance_mm,
                  std::vector<char>& keep) {
  std::vector<std::pair<std::size_t, std::size_t>> open{{first, last}};
  while (!open.empty()) {
    const auto [a, b] = open.back();
    open.pop_back();
    double worst_mm = tolerance_mm;
    std::size_t worst = a;
    for (std::size_t i = a + 1; i < b; ++i) {
      const double off_mm = off_line_mm(loop[a], loop[b % loop.size()], loop[i]);
      if (off_mm > worst_mm) {
        worst_mm = off_mm;
        worst = i;
      }
    }
    if (worst == a) continue;
    keep[worst] = 1;
    open.emplace_back(a, worst);
    open.emplace_back(worst, b);
  }
}

std::size_t farthest_from(const Loop2& loop, std::size_t from) {
  std::size_t best = from;
  double best2 = -1;
  for (std::size_t i = 0; i < loop.size(); ++i) {
    const Vec2 d = loop[i] - loop[from];
    if (dot(d, d) > best2) {
      best2 = dot(d, d);
      best = i;
    }
  }
  return best;
}

Paths clip(ClipType type, const Paths& subject, const Paths& other) {
  Clipper clipper;
  Paths out;
  clipper.AddPaths(subject, ClipperLib::ptSubject, true);
  clipper.AddPaths(other, ClipperLib::ptClip, true);
  clipper.Execute(type, out, ClipperLib::pftPositive, ClipperLib::pftPositive);
  return out;
}

void collect_islands(const ClipperLib::PolyNode& parent, std::vector<Paths>& out) {
  for (const ClipperLib::PolyNode* outer : parent.Childs) {
    Paths island{outer->Contour};
    for (const ClipperLib::PolyNode* hole : outer->Childs) island.push_back(hole->Contour);
    out.push_back(std::move(island));
    for (const ClipperLib::PolyNode* hole : outer->Childs) collect_islands(*hole, out);
  }
}

}  // namespace

Loop2 to_mm(const Path& path) {
  Loop2 loop;
  loop.reserve(path.size());
  for (const IntPoint& p : path) loop.push_back(to_mm(p));
  return loop;
}

Path from_mm(const Loop2& loop) {
  Path path;
  path.reserve(loop.size());
  for (const Vec2 p : loop) {
    path.emplace_back(std::llround(p.x * kUnitsPerMm), std::llround(p.y * kUnitsPerMm));
  }
  return path;
}

Loop2 simplified(const Loop2& loop, double tolerance_mm) {
  if (loop.size() <= 3) return loop;
  const std::size_t a = farthest_from(loop, 0), b = farthest_from(loop, a);
  const std::size_t low = std::min(a, b), high = std::max(a, b);
  Loop2 turned(loop.begin() + static_cast<std::ptrdiff_t>(low), loop.end());
  turned.insert(turned.end(), loop.begin(), loop.begin() + static_cast<std::ptrdiff_t>(low));
  std::vector<char> keep(turned.size(), 0);
  keep[0] = keep[high - low] = 1;
  keep_between(turned, 0, high - low, tolerance_mm, keep);
  keep_between(turned, high - low, turned.size(), tolerance_mm, keep);
  Loop2 out;
  for (std::size_t i = 0; i < turned.size(); ++i) {
    if (keep[i] != 0) out.push_back(turned[i]);
  }
  return out.size() >= 3 ? out : loop;
}

double area_mm2(const Paths& region) {
  double sum = 0;
  for (const Path& path : region) sum += ClipperLib::Area(path);
  return sum / (kUnitsPerMm * kUnitsPerMm);
}

double perimeter_mm(const Paths& region) {
  double sum = 0;
  for (const Path& path : region) {
    for (std::size_t i = 0; i < path.size(); ++i) {
      const IntPoint& a = path[i];
      const IntPoint& b = path[i + 1 < path.size() ? i + 1 : 0];
      const double x = static_cast<double>(b.X - a.X), y = static_cast<double>(b.Y - a.Y);
      sum += std::sqrt(x * x + y * y);
    }
  }
  return sum / kUnitsPerMm;
}

Paths grown(const Paths& region, double by_mm) {
  if (region.empty() || by_mm == 0) return region;
  ClipperLib::ClipperOffset offset(kMitreLimit);
  offset.AddPaths(region, ClipperLib::jtMiter, ClipperLib::etClosedPolygon);
  Paths out;
  offset.Execute(out, by_mm * kUnitsPerMm);
  ClipperLib::CleanPolygons(out, kCleanUnits);
  std::erase_if(out, [](const Path& path) { return path.size() < 3; });
  return out;
}

Paths opened(const Paths& region, double by_mm) {
  return grown(grown(region, -by_mm), by_mm);
}

Paths united(const Paths& loops) {
  return clip(ClipperLib::ctUnion, loops, {});
}

Paths minus(const Paths& region, const Paths& taken) {
  if (region.empty() || taken.empty()) return region;
  return clip(ClipperLib::ctDifference, region, taken);
}

Paths common(const Paths& a, const Paths& b) {
  if (a.empty() || b.empty()) return {};
  if (a == b) return a;
  return clip(ClipperLib::ctIntersection, a, b);
}

bool contains(const Paths& region, Vec2 p) {
  const Path at = from_mm({p});
  bool is_inside = false;
  for (const Path& path : region) {
    if (ClipperLib::PointInPolygon(at.front(), path) != 0) is_inside = !is_inside;
  }
  return is_inside;
}

std::vector<Paths> islands(const Paths& region) {
  std::vector<Paths> out;
  std::size_t outer_count = 0;
  for (const Path& path : region) outer_count += ClipperLib::Orientation(path) ? 1 : 0;
  if (outer_count == 1 && ClipperLib::Orientation(region.front())) {
    out.push_back(region);
    return out;
  }
  return islands_minus(region, {});
}

std::vector<Paths> islands_minus(const Paths& region, const Paths& taken) {
  std::vector<Paths> out;
  if (region.empty()) return out;
  Clipper clipper;
  PolyTree tree;
  clipper.AddPaths(region, ClipperLib::ptSubject, true);
  clipper.AddPaths(taken, ClipperLib::ptClip, true);
  clipper.Execute(ClipperLib::ctDifference, tree, ClipperLib::pftPositive, ClipperLib::pftPositive);
  collect_islands(tree, out);
  return out;
}

}  // namespace seamwright::flat
