#include "seamwright/joints/skin_marks.h"

#include <algorithm>
#include <cmath>
#include <memory>
#include <numbers>

#include "joints/flat_mesh.h"
#include "joints/glyphs.h"
#include "joints/hidden_ground.h"
#include "joints/outlines.h"
#include "seamwright/core/parallel.h"

namespace seamwright {
namespace {

using namespace joints;

constexpr double kStep_mm = 2;
constexpr double kClear_mm = 2.5;  // from a strap's edge to the letters
constexpr double kOver_mm = 0.6;   // tools over the skin
constexpr double kWallLeft_mm = 1;
constexpr double kSteepest_ratio = 2.15;
constexpr double kLook_mm = 6;  // over the skin, from where it is looked for
constexpr double kOnSkin_mm = 0.05;
constexpr double kBend_mm = 2;  // of the skin under the letters, off their plane
constexpr double kEdge_mm = 1;  // longest edge of a stroke, so that it follows the skin
constexpr std::array kShares{0.5, 0.35, 0.65, 0.2, 0.8};

/// Where a piece lies and how it stands, as its marks say it.
class PieceBearings {
 public:
  PieceBearings(const Bearings& whole, const Box3& part, const Box3& piece) : whole_(whole) {
    if (!whole.up || !whole.front) return;
    const Vec3 left = cross(*whole.up, *whole.front);  // of one who wears it, looking to the front
    if (norm(left) < 0.3) return;
    double most_right = 1e300, most_left = -1e300;
    for (int i = 0; i < 8; ++i) {
      const Vec3 corner{i & 1 ? piece.high.x : piece.low.x, i & 2 ? piece.high.y : piece.low.y,
                        i & 4 ? piece.high.z : piece.low.z};
      const double at = dot(corner - part.center(), left);
      most_right = std::min(most_right, at);
      most_left = std::max(most_left, at);
    }
    const double slack = 0.1 * (most_left - most_right);
    if (most_right >= -slack) side_ = "L";
    if (most_left <= slack) side_ = "R";
  }

  bool is_empty() const { return !whole_.up && !whole_.front; }

  /// An arrow to up, or to the front where up stands out of the skin, with its letter; then the
  /// side.
  std::string words(Vec3 along, Vec3 away) const {
    for (const auto& [direction, letter] :
         {std::pair(whole_.up, 'U'), std::pair(whole_.front, 'F')}) {
      if (!direction) continue;
      const Vec2 flat{dot(*direction, along), dot(*direction, away)};
      if (norm(flat) > 0.5) return std::string{arrow_to(flat), letter} + side_;
    }
    return side_;
  }

 private:
  static char arrow_to(Vec2 flat) {
    constexpr std::string_view kByEighth = ">/^\\<[v]";
    const double eighths = std::atan2(flat.y, flat.x) / (std::numbers::pi / 4);
    return kByEighth[static_cast<std::size_t>(std::lround(eighths) + 8) % 8];
  }

  const Bearings& whole_;
  std::string side_;
};

class Marker {
 public:
  Marker(const Plane& plane, double sign, const Solid& solid, const RayTree& tree,
         const HiddenGround& ground, const Joinery& joinery)
      : plane_(plane),
        sign_(sign),
        solid_(solid),
        tree_(tree),
        ground_(ground),
        joinery_(joinery) {}

  /// The mark at one place of the seam; `bearings` adds what it says of them to the text.
  std::optional<SkinMark> at(const EdgePoint& edge, const std::string& text,
                             const PieceBearings* bearings) const {
    const PlaneFrame frame(plane_);
    const Vec3 out = frame.u * edge.out.x + frame.v * edge.out.y;
    const auto middle = walk(frame.lift(edge.at), out);
    if (!middle) return {};
    const auto normal = ground_.normal(*middle, 1);
    if (!normal) return {};
    SkinMark mark;
    mark.text = text;
    mark.at = *middle;
    mark.out = *normal;
    const Vec3 up = plane_.normal * sign_;
    const Vec3 away = normalized(up - mark.out * dot(up, mark.out));
    mark.along = cross(away, mark.out);
    mark.height_mm = joinery_.mark_height_mm;
    if (bearings != nullptr) {
      const std::string words = bearings->words(mark.along, away);
      if (!words.empty()) mark.text += " " + words;
    }
    if (ground_.wall_mm(mark.at, mark.out) < joinery_.mark_depth_mm + kWallLeft_mm) return {};
    if (!set_tools(mark)) return {};
    return mark;
  }

 private:
  /// Over the skin from the seam to where the letters' middle comes.
  std::optional<Vec3> walk(Vec3 base, Vec3 out) const {
    const double goal = joinery_.strap_width_mm / 2 + kClear_mm + joinery_.mark_height_mm / 2;
    double height = 0;
    for (double at_mm = 0; at_mm < goal;) {
      const double to_mm = std::min(goal, at_mm + kStep_mm);
      const Vec3 start = base + plane_.normal * (sign_ * to_mm) + out * (height + kLook_mm);
      const auto hit = tree_.first_hit(start, -out, 0);
      if (!hit || hit->from_behind || solid_.origin(hit->face).kind != OriginKind::skin) return {};
      const double found = height + kLook_mm - hit->distance_mm;
      if (std::abs(found - height) > kSteepest_ratio * (to_mm - at_mm) + 1) return {};
      height = found;
      at_mm = to_mm;
    }
    return base + plane_.normal * (sign_ * goal) + out * height;
  }

  /// The skin under a point of the letters' plane.
  std::optional<Vec3> skin_under(const SkinMark& mark, Vec2 p) const {
    const Vec3 up = cross(mark.out, mark.along);
    const Vec3 start = mark.at + mark.along * p.x + up * p.y + mark.out * (2 * kBend_mm);
    const auto hit = tree_.first_hit(start, -mark.out, 0);
    if (!hit || hit->from_behind || std::abs(hit->distance_mm - 2 * kBend_mm) > kBend_mm) return {};
    if (solid_.origin(hit->face).kind != OriginKind::skin) return {};
    const Vec3 found = start - mark.out * hit->distance_mm;
    if (!ground_.is_hidden(found, kOnSkin_mm)) return {};
    return found;
  }

  bool set_tools(SkinMark& mark) const {
    const auto strokes = text_outlines(mark.text, mark.height_mm);
    if (!strokes) return false;
    for (const Loop2& stroke : *strokes) {
      auto tool = prism(mark, divided(stroke, kEdge_mm));
      if (!tool) return false;
      mark.tools.push_back(std::move(*tool));
    }
    return true;
  }

  std::optional<Solid> prism(const SkinMark& mark, const Loop2& outline) const {
    const auto n = static_cast<std::uint32_t>(outline.size());
    std::vector<Vec3> floor, top;
    std::vector<FlatEdge> edges;
    for (std::uint32_t i = 0; i < n; ++i) {
      const auto skin = skin_under(mark, outline[i]);
      if (!skin) return {};
      floor.push_back(*skin - mark.out * joinery_.mark_depth_mm);
      top.push_back(*skin + mark.out * kOver_mm);
      edges.push_back({i, (i + 1) % n});
    }
    const auto flat = mesh_flat(outline, edges);
    if (!flat) return {};
    std::vector<Triangle> triangles;
    const auto add = [&](std::uint32_t a, std::uint32_t b, std::uint32_t c) {
      triangles.push_back({to_id<VertexId>(a), to_id<VertexId>(b), to_id<VertexId>(c)});
    };
    for (const FlatTriangle& t : *flat) {
      add(t[0], t[2], t[1]);
      add(n + t[0], n + t[1], n + t[2]);
    }
    for (std::uint32_t i = 0; i < n; ++i) {
      add(i, (i + 1) % n, n + (i + 1) % n);
      add(i, n + (i + 1) % n, n + i);
    }
    std::vector<Vec3> points = std::move(floor);
    points.insert(points.end(), top.begin(), top.end());
    std::vector<Origin> origins(triangles.size(), {OriginKind::mark, 0});
    return Solid::adopt(std::move(points), std::move(triangles), std::move(origins));
  }

  const Plane& plane_;
  double sign_;
  const Solid& solid_;
  const RayTree& tree_;
  const HiddenGround& ground_;
  const Joinery& joinery_;
};

bool keeps_clear(const SkinMark& mark, std::span<const SkinMark> others) {
  const double half = text_aspect_ratio(mark.text) * mark.height_mm / 2;
  return std::none_of(others.begin(), others.end(), [&](const SkinMark& other) {
    const double other_half = text_aspect_ratio(other.text) * other.height_mm / 2;
    return norm(mark.at - other.at) < half + other_half + 2;
  });
}

}  // namespace

std::vector<SkinMark> plan_skin_marks(const SeamPlan& plan, std::span<const PosedPiece> pieces,
                                      std::span<const JointFace> faces, const HiddenSkin& hidden,
                                      const Joinery& joinery, const Bearings& bearings,
                                      const Run& run) {
  if (hidden.whole == nullptr || !joinery.has_marks) return {};
  const HiddenGround ground(hidden);
  const auto trees = map_index(pieces.size(), run, [&](std::size_t p) {
    return std::make_unique<RayTree>(pieces[p].cut->solid);
  });
  // Each side's candidates at once, then one after another, so that marks keep clear.
  const auto found = map_index(2 * faces.size(), run, [&](std::size_t i) {
    const JointFace& face = faces[i / 2];
    const bool is_above = i % 2 == 0;
    const std::size_t own = to_index(is_above ? face.above : face.below),
                      other = to_index(is_above ? face.below : face.above);
    const Plane& plane = find_seam(plan, face.seam)->plane;
    const Marker marker(plane, is_above ? 1 : -1, pieces[own].cut->solid, *trees[own], ground,
                        joinery);
    const PieceBearings stands(bearings, hidden.whole->box(), pieces[own].cut->solid.box());
    const auto stretches = hidden_stretches(face.region, PlaneFrame(plane), ground, kStep_mm);
    std::vector<SkinMark> candidates;
    for (const PieceBearings* told : {&stands, static_cast<const PieceBearings*>(nullptr)}) {
      if (told != nullptr && told->is_empty()) continue;
      for (const auto& stretch : stretches) {
        for (double share : kShares) {
          const auto at = static_cast<std::size_t>(share * static_cast<double>(stretch.size() - 1));
          auto mark = marker.at(stretch[at], pieces[own].mark + " " + pieces[other].mark, told);
          if (!mark) continue;
          mark->piece = to_id<PieceId>(own);
          mark->joint = i / 2;
          candidates.push_back(std::move(*mark));
        }
      }
    }
    return candidates;
  });
  std::vector<SkinMark> marks;
  for (const auto& candidates : found) {
    const auto clear = std::find_if(candidates.begin(), candidates.end(),
                                    [&](const SkinMark& mark) { return keeps_clear(mark, marks); });
    if (clear != candidates.end()) marks.push_back(*clear);
  }
  return marks;
}

}  // namespace seamwright
