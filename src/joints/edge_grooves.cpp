#include "seamwright/joints/edge_grooves.h"

#include <algorithm>
#include <cmath>

#include "joints/hidden_ground.h"
#include "joints/sweep.h"
#include "seamwright/core/parallel.h"

namespace seamwright {
namespace {

using namespace joints;

constexpr double kStep_mm = 1.5;
constexpr double kOver_mm = 0.5;     // over the skin
constexpr double kFlat_mm = 0.1;     // at the bottom
constexpr double kMost_ratio = 0.4;  // of the wall
constexpr double kLeastWall_mm = 1.2;
constexpr double kLeast_mm = 8;     // of groove worth having
constexpr std::size_t kWindow = 2;  // stations over which normals are smoothed, to both sides

struct Station {
  Vec3 at, normal;
  double depth_mm = 0, wall_mm = 0;
  std::array<Vec3, 4> section;
  bool is_good = false;
};

std::vector<Station> stations_of(const std::vector<EdgePoint>& stretch, const PlaneFrame& frame,
                                 const HiddenGround& ground, GrooveSize size) {
  std::vector<Station> stations;
  for (const EdgePoint& edge : stretch) {
    Station station;
    station.at = frame.lift(edge.at);
    const auto normal = ground.normal(station.at, 1.0);
    station.normal = normal.value_or(Vec3{});
    station.is_good = normal.has_value();
    stations.push_back(station);
  }
  std::vector<Vec3> smooth;
  for (std::size_t i = 0; i < stations.size(); ++i) {
    Vec3 sum;
    for (std::size_t k = i - std::min(i, kWindow); k <= std::min(i + kWindow, stations.size() - 1);
         ++k)
      sum += stations[k].normal;
    smooth.push_back(normalized(sum));
  }
  for (std::size_t i = 0; i < stations.size(); ++i) {
    Station& station = stations[i];
    const Vec3 way =
        stations[std::min(i + 1, stations.size() - 1)].at - stations[i > 0 ? i - 1 : 0].at;
    const Vec3 along = normalized(way);
    station.normal = normalized(smooth[i] - along * dot(smooth[i], along));
    station.wall_mm = ground.wall_mm(station.at, station.normal);
    station.depth_mm = std::min(size.depth_mm, kMost_ratio * station.wall_mm);
    station.is_good &= station.wall_mm >= kLeastWall_mm && norm(along) > 0.5;
    const Vec3 across = cross(station.normal, along);
    const double slope = (size.width_mm - kFlat_mm) / 2 / std::max(0.1, station.depth_mm);
    const double top = size.width_mm / 2 + slope * kOver_mm;
    const Vec3 low = station.at - station.normal * station.depth_mm,
               high = station.at + station.normal * kOver_mm;
    station.section = {low - across * (kFlat_mm / 2), low + across * (kFlat_mm / 2),
                       high + across * top, high - across * top};
  }
  return stations;
}

/// Whether every corner of the section goes forward from one station to the next.
bool is_forward(const Station& a, const Station& b) {
  const Vec3 along = normalized(b.at - a.at);
  for (std::size_t k = 0; k < 4; ++k)
    if (dot(b.section[k] - a.section[k], along) < 0.25 * norm(b.at - a.at)) return false;
  return true;
}

void add_grooves(EdgeGrooves& out, const std::vector<Station>& stations, Origin origin) {
  for (std::size_t i = 0; i < stations.size();) {
    std::size_t end = i;
    double length = 0, deepest = 0;
    std::vector<std::array<Vec3, 4>> sections;
    while (end < stations.size() && stations[end].is_good &&
           (end == i || is_forward(stations[end - 1], stations[end]))) {
      if (end > i) length += norm(stations[end].at - stations[end - 1].at);
      deepest = std::max(deepest, stations[end].depth_mm / stations[end].wall_mm);
      sections.push_back(stations[end].section);
      ++end;
    }
    if (length >= kLeast_mm) {
      out.tools.push_back(swept_solid(sections, origin));
      out.grooved_mm += length;
      out.deepest_ratio = std::max(out.deepest_ratio, deepest);
    }
    i = std::max(end, i + 1);
  }
  for (std::size_t i = 1; i < stations.size(); ++i)
    out.asked_mm += norm(stations[i].at - stations[i - 1].at);
}

}  // namespace

GrooveSize groove_size(SeamEdge edge) {
  switch (edge) {
    case SeamEdge::none:
      return {};
    case SeamEdge::weld:
      return {2.2, 1.1};
    case SeamEdge::filler:
      return {1.0, 0.6};
  }
  throw std::logic_error("broken contract: no such SeamEdge");
}

EdgeGrooves plan_edge_grooves(const SeamPlan& plan, std::span<const JointFace> faces,
                              const HiddenSkin& hidden, SeamEdge edge, const Run& run) {
  if (edge == SeamEdge::none || hidden.whole == nullptr) return {};
  const HiddenGround ground(hidden);
  std::vector<EdgeGrooves> parts = map_index(faces.size(), run, [&](std::size_t j) {
    EdgeGrooves own;
    const PlaneFrame frame(find_seam(plan, faces[j].seam)->plane);
    const Origin origin{OriginKind::key, static_cast<std::uint32_t>(j)};
    for (const auto& stretch : shown_stretches(faces[j].region, frame, ground, kStep_mm))
      add_grooves(own, stations_of(stretch, frame, ground, groove_size(edge)), origin);
    return own;
  });
  EdgeGrooves all;
  for (EdgeGrooves& part : parts) {
    all.tools.insert(all.tools.end(), part.tools.begin(), part.tools.end());
    all.asked_mm += part.asked_mm;
    all.grooved_mm += part.grooved_mm;
    all.deepest_ratio = std::max(all.deepest_ratio, part.deepest_ratio);
  }
  return all;
}

}  // namespace seamwright
