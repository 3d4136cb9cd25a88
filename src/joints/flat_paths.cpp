#include "joints/flat_paths.h"

#include <cmath>

namespace seamwright::joints {

using ClipperLib::Path;
using ClipperLib::Paths;

namespace {

constexpr double kMitreLimit = 3;
constexpr double kArc_mm = 0.01;  // of a rounded corner's polygon

Paths offset(ClipperLib::ClipperOffset& worker, const Paths& paths, ClipperLib::JoinType corners,
             double by_mm) {
  worker.AddPaths(paths, corners, ClipperLib::etClosedPolygon);
  Paths out;
  worker.Execute(out, by_mm * kPathUnits_per_mm);
  return out;
}

}  // namespace

Path path_of(const Loop2& loop) {
  Path path;
  for (Vec2 p : loop)
    path.push_back({std::llround(p.x * kPathUnits_per_mm), std::llround(p.y * kPathUnits_per_mm)});
  return path;
}

Paths paths_of(const Region2& region) {
  Paths paths{path_of(region.outer)};
  for (const Loop2& hole : region.holes) paths.push_back(path_of(hole));
  return paths;
}

Loop2 loop_of(const Path& path) {
  Loop2 loop;
  for (const auto& p : path)
    loop.push_back({static_cast<double>(p.X) / kPathUnits_per_mm,
                    static_cast<double>(p.Y) / kPathUnits_per_mm});
  return loop;
}

double area_mm2(const Path& path) {
  return ClipperLib::Area(path) / (kPathUnits_per_mm * kPathUnits_per_mm);
}

double area_mm2(const Paths& paths) {
  double area = 0;
  for (const Path& path : paths) area += area_mm2(path);
  return area;
}

Paths mitred_offset(const Paths& paths, double by_mm) {
  ClipperLib::ClipperOffset worker(kMitreLimit);
  return offset(worker, paths, ClipperLib::jtMiter, by_mm);
}

Paths rounded_offset(const Paths& paths, double by_mm) {
  ClipperLib::ClipperOffset worker(2, kArc_mm * kPathUnits_per_mm);
  return offset(worker, paths, ClipperLib::jtRound, by_mm);
}

Paths combined(ClipperLib::ClipType how, const Paths& a, const Paths& b) {
  ClipperLib::Clipper worker;
  worker.StrictlySimple(true);
  worker.AddPaths(a, ClipperLib::ptSubject, true);
  worker.AddPaths(b, ClipperLib::ptClip, true);
  Paths out;
  worker.Execute(how, out, ClipperLib::pftNonZero, ClipperLib::pftNonZero);
  return out;
}

Paths cleaned(Paths paths, double shortest_mm) {
  ClipperLib::CleanPolygons(paths, shortest_mm * kPathUnits_per_mm);
  ClipperLib::SimplifyPolygons(paths, ClipperLib::pftNonZero);
  return paths;
}

}  // namespace seamwright::joints
