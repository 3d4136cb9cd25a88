#include "seamwright/handoff/line_drawing.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "handoff/edge_halves.h"
#include "handoff/ray_scene.h"
#include "handoff/report_text.h"
#include "seamwright/core/parallel.h"

namespace seamwright {
namespace {

constexpr double kStep_px = 2;           // an edge is tested for being hidden this often
constexpr double kShortest_px = 0.5;     // shorter edges are specks
constexpr double kSharp_cosine = 0.766;  // 40°
constexpr double kEdgeOn = 1e-9;         // cosine: rounding of faces seen edge on
constexpr double kOffSurface_mm = 0.3;   // from where the way to the viewer begins
constexpr double kRoom_ratio = 0.05;

enum class EdgeStyle : std::uint8_t { outline, inner };

struct DrawnEdge {
  Vec3 from, to;
  Vec3 lift;  ///< unit, out of both its faces
  EdgeStyle style = EdgeStyle::inner;
};

/// The edges worth drawing, seen against `view` (from the viewer), placed.
std::vector<DrawnEdge> edges_of(const DrawnBody& body, Vec3 view) {
  const Solid& solid = *body.solid;
  std::vector<Vec3> normals;
  for (std::size_t f = 0; f < solid.face_count(); ++f)
    normals.push_back(body.placement.rotate(normalized(solid.area_normal(to_id<FaceId>(f)))));
  std::vector<DrawnEdge> edges;
  const std::vector<EdgeHalf> halves = halves_of(solid);
  for (std::size_t i = 0; i + 1 < halves.size(); ++i) {
    if (halves[i].ends != halves[i + 1].ends) continue;
    const Vec3 one = normals[halves[i].face], other = normals[halves[i + 1].face];
    const bool faces_one = dot(one, view) < -kEdgeOn, faces_other = dot(other, view) < -kEdgeOn;
    if (!faces_one && !faces_other) continue;
    const bool is_rim =
        solid.origins()[halves[i].face].kind != solid.origins()[halves[i + 1].face].kind;
    const bool is_outline = faces_one != faces_other;
    if (!is_outline && !is_rim && dot(one, other) > kSharp_cosine) continue;
    edges.push_back({body.placement.apply(solid.points()[halves[i].ends >> 32]),
                     body.placement.apply(solid.points()[halves[i].ends & 0xffffffffu]),
                     normalized(one + other), is_outline ? EdgeStyle::outline : EdgeStyle::inner});
  }
  return edges;
}

/// A parallel view that holds all points.
Camera parallel_view(const std::vector<DrawnBody>& bodies, Vec3 from_target, PictureSize size) {
  const Vec3 back = normalized(from_target);
  Camera camera{{}, {}, {0, 0, 1}, {}, 1};
  camera.eye = back;
  const ViewFrame axes(camera, size);
  Box3 seen;
  for (const DrawnBody& body : bodies) {
    for (Vec3 p : body.solid->points()) {
      const Vec3 at = body.placement.apply(p);
      seen.extend({dot(at, axes.right()), dot(at, axes.up()), dot(at, axes.back())});
    }
  }
  const Vec3 middle = seen.center(), extent = seen.size();
  camera.target = axes.right() * middle.x + axes.up() * middle.y + axes.back() * middle.z;
  camera.eye = camera.target + back * (extent.z + 100);
  const double ratio = static_cast<double>(size.height) / size.width;
  camera.height_mm = std::max(extent.y, extent.x * ratio) / (1 - 2 * kRoom_ratio);
  return camera;
}

/// The seen stretches of an edge as SVG path data.
std::string seen_path(const DrawnEdge& edge, const ViewFrame& frame, const RayScene& scene) {
  const Vec2 a = *frame.pixel(edge.from), b = *frame.pixel(edge.to);
  const double length = norm(b - a);
  if (length < kShortest_px) return "";
  const int steps = std::clamp(static_cast<int>(std::ceil(length / kStep_px)), 1, 2000);
  std::string path;
  int begin = -1;
  for (int i = 0; i <= steps; ++i) {
    bool is_seen = false;
    if (i < steps) {
      const Vec3 at = edge.from + (edge.to - edge.from) * ((i + 0.5) / steps);
      const Vec3 start = at + edge.lift * 0.02 + frame.to_viewer(at) * 0.02;
      is_seen = !scene.is_blocked({start, frame.to_viewer(at)}, kOffSurface_mm, 1e9);
    }
    if (is_seen && begin < 0) begin = i;
    if (is_seen || begin < 0) continue;
    const Vec2 p = a + (b - a) * (static_cast<double>(begin) / steps),
               q = a + (b - a) * (static_cast<double>(i) / steps);
    path += fmt::format("M{:.1f} {:.1f}L{:.1f} {:.1f}", p.x, p.y, q.x, q.y);
    begin = -1;
  }
  return path;
}

std::string path_element(const std::string& data, const char* weight, const char* more = "") {
  if (data.empty()) return "";
  return fmt::format(
      "<path d=\"{}\" fill=\"none\" stroke=\"#2b2530\" stroke-width=\"{}\" "
      "stroke-linecap=\"round\"{}></path>\n",
      data, weight, more);
}

std::string names(const std::vector<DrawnBody>& bodies, const ViewFrame& frame) {
  std::string out;
  for (const DrawnBody& body : bodies) {
    if (body.name.empty()) continue;
    Box3 box;
    for (Vec3 p : body.solid->points()) box.extend(body.placement.apply(p));
    const Vec2 at = *frame.pixel(box.center());
    out += fmt::format(
        "<text x=\"{:.1f}\" y=\"{:.1f}\" font-family=\"sans-serif\" font-size=\"15\" "
        "font-weight=\"bold\" text-anchor=\"middle\" fill=\"#2b2530\" stroke=\"#faf8f3\" "
        "stroke-width=\"4\" paint-order=\"stroke\">{}</text>\n",
        at.x, at.y, text::escaped(body.name));
  }
  return out;
}

}  // namespace

std::string line_drawing_svg(const std::vector<DrawnBody>& bodies,
                             const std::vector<DrawnPath>& paths, Vec3 from_target,
                             PictureSize size, const Run& run) {
  require(!bodies.empty(), "a drawing shows a body");
  const Camera camera = parallel_view(bodies, from_target, size);
  const ViewFrame frame(camera, size);
  PictureScene scene;
  std::vector<DrawnEdge> edges;
  for (const DrawnBody& body : bodies) {
    scene.solids.push_back({body.solid, body.placement, {}, {}});
    for (DrawnEdge& edge : edges_of(body, -frame.back())) edges.push_back(edge);
  }
  const RayScene rays(scene, 1);
  const std::vector<std::string> seen = map_index(
      edges.size(), run, [&](std::size_t i) { return seen_path(edges[i], frame, rays); }, 64);
  std::string outline, inner, ways;
  for (std::size_t i = 0; i < edges.size(); ++i)
    (edges[i].style == EdgeStyle::outline ? outline : inner) += seen[i];
  for (const DrawnPath& path : paths) {
    const Vec2 a = *frame.pixel(path.from), b = *frame.pixel(path.to);
    ways += fmt::format("M{:.1f} {:.1f}L{:.1f} {:.1f}", a.x, a.y, b.x, b.y);
  }
  return fmt::format(
             "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {} {}\" width=\"{}\" "
             "height=\"{}\">\n",
             size.width, size.height, size.width, size.height) +
         path_element(inner, "0.7") + path_element(outline, "1.6") +
         path_element(ways, "0.8", " stroke-dasharray=\"9 3 2 3\"") + names(bodies, frame) +
         "</svg>\n";
}

}  // namespace seamwright
