#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <tuple>

#include "joints/cell.h"
#include "seamwright/core/boxes.h"
#include "seamwright/core/parallel.h"
#include "seamwright/cut/boolean.h"
#include "seamwright/cut/plane_cut.h"
#include "seamwright/joints/laps.h"
#include "seamwright/query/mass_properties.h"

namespace seamwright {
namespace {

using joints::way_to;

constexpr double kSlabBeyond_mm = 0.15;  // the slab ends beyond the cut, before the bands do
// A block's edge beyond the part: other grids of faces are tried where booleans fail on one.
constexpr std::array kAround_mm{5.0, 6.37, 8.11};
constexpr double kCell_mm = 20;
constexpr double kAroundTool_mm = 8;  // faces at the cut stay as they were
// Of caps that are made and joined again; no plan numbers a seam so.
constexpr SeamId kPassing{0xfffffffe};

bool is_before(Vec3 a, Vec3 b) {
  return std::tie(a.x, a.y, a.z) < std::tie(b.x, b.y, b.z);
}

/// Whether a leaf lies on that side of the seam in the tree.
bool is_on(const SeamPlan& plan, const CutPiece& piece, SeamId seam, Side side) {
  const auto way = way_to(plan, piece);
  return std::any_of(way.begin(), way.end(), [&](const auto& step) {
    return step.first->id == seam && step.second == side;
  });
}

/// The points of a grid of cells over the box's shadow on the plane, rows of `columns` points.
struct FlatGrid {
  std::size_t columns = 0, rows = 0;
  std::vector<Vec2> points;
};

FlatGrid grid_under(const PlaneFrame& frame, const Box3& box, double around_mm) {
  Vec2 low{1e300, 1e300}, high{-1e300, -1e300};
  for (int i = 0; i < 8; ++i) {
    const Vec2 p = frame.flatten({i & 1 ? box.high.x : box.low.x, i & 2 ? box.high.y : box.low.y,
                                  i & 4 ? box.high.z : box.low.z});
    low = {std::min(low.x, p.x), std::min(low.y, p.y)};
    high = {std::max(high.x, p.x), std::max(high.y, p.y)};
  }
  low = low - Vec2{around_mm, around_mm};
  const Vec2 size = high + Vec2{around_mm, around_mm} - low;
  FlatGrid grid{static_cast<std::size_t>(std::ceil(size.x / kCell_mm)) + 1,
                static_cast<std::size_t>(std::ceil(size.y / kCell_mm)) + 1,
                {}};
  for (std::size_t r = 0; r < grid.rows; ++r) {
    for (std::size_t c = 0; c < grid.columns; ++c)
      grid.points.push_back(low + Vec2{size.x * static_cast<double>(c) / (grid.columns - 1.0),
                                       size.y * static_cast<double>(r) / (grid.rows - 1.0)});
  }
  return grid;
}

/// A block on the plane's `into` side: from the plane to `depth_mm`, over all of `box`. In small
/// faces: the booleans look at all of the part that lies in a face's box.
Solid block_on(const Plane& plane, Vec3 into, double depth_mm, const Box3& box, double around_mm) {
  const PlaneFrame frame(plane);
  const FlatGrid grid = grid_under(frame, box, around_mm);
  const std::size_t n = grid.points.size(), columns = grid.columns, rows = grid.rows;
  const bool is_up = dot(into, plane.normal) > 0;
  std::vector<Vec3> points;
  for (const double depth : {is_up ? 0.0 : depth_mm, is_up ? depth_mm : 0.0})
    for (const Vec2 p : grid.points) points.push_back(frame.lift(p) + into * depth);
  std::vector<Triangle> triangles;
  const auto quad = [&](std::size_t a, std::size_t b, std::size_t c, std::size_t d) {
    triangles.push_back({to_id<VertexId>(a), to_id<VertexId>(b), to_id<VertexId>(c)});
    triangles.push_back({to_id<VertexId>(a), to_id<VertexId>(c), to_id<VertexId>(d)});
  };
  const auto side = [&](std::size_t a, std::size_t b) { quad(a, b, n + b, n + a); };
  for (std::size_t r = 0; r + 1 < rows; ++r) {
    for (std::size_t c = 0; c + 1 < columns; ++c) {
      const std::size_t a = r * columns + c;
      quad(n + a, n + a + 1, n + a + columns + 1, n + a + columns);
      quad(a, a + columns, a + columns + 1, a + 1);
    }
    side((r + 1) * columns, r * columns);
    side(r * columns + columns - 1, (r + 1) * columns + columns - 1);
  }
  for (std::size_t c = 0; c + 1 < columns; ++c) {
    side(c, c + 1);
    side((rows - 1) * columns + c + 1, (rows - 1) * columns + c);
  }
  std::vector<Origin> origins(triangles.size());
  return Solid::adopt(std::move(points), std::move(triangles), std::move(origins));
}

class LapCutter {
 public:
  LapCutter(const Solid& whole, const SeamPlan& plan, std::span<const CutPiece> pieces,
            std::span<const JointFace> faces, std::span<const Lap> laps, const LapRules& rules)
      : whole_(whole), plan_(plan), pieces_(pieces), faces_(faces), laps_(laps), rules_(rules) {}

  Result<CutPiece> piece(std::size_t p) const {
    Result<CutPiece> made = piece(p, kAround_mm[0]);
    for (std::size_t k = 1; k < kAround_mm.size() && !made; ++k) made = piece(p, kAround_mm[k]);
    return made;
  }

 private:
  /// A tool, and the plane behind all that it reaches of a piece: booleans look no further.
  struct LocalTool {
    Solid solid;
    Plane behind;
  };

  Result<CutPiece> piece(std::size_t p, double around_mm) const {
    CutPiece out = pieces_[p];
    std::vector<LocalTool> taken;
    const std::vector<SeamId> reached = seams_reached(to_id<PieceId>(p));
    if (!reached.empty()) {
      Result<Solid> longer = longer_piece(p, reached);
      if (!longer) return longer.error();
      out.solid = std::move(*longer);
      for (const SeamId seam : reached) {
        Result<LocalTool> rest = rest_of_slab(to_id<PieceId>(p), seam, out.solid.box(), around_mm);
        if (!rest) return rest.error();
        taken.push_back(std::move(*rest));
      }
    }
    for (const Lap& lap : laps_) {
      if (!gives_room(p, lap)) continue;
      Solid rooms = gathered(lap.rooms);  // apart from each other: one operation
      if (!boxes_meet(rooms.box(), out.solid.box())) continue;
      const Vec3 into = over_seam(lap);
      double reach_mm = dot(into, rooms.points().front());
      for (const Vec3 q : rooms.points()) reach_mm = std::max(reach_mm, dot(into, q));
      taken.push_back({std::move(rooms), {into, reach_mm + kAroundTool_mm}});
    }
    if (taken.empty()) return out;
    Result<Solid> cut = cut_away(out.solid, taken);
    if (!cut) return cut.error();
    return own_part(std::move(*cut), p);
  }

  /// The unit vector from a lap's male piece over the seam.
  Vec3 over_seam(const Lap& lap) const {
    const JointFace& face = faces_[lap.joint];
    const Vec3 normal = find_seam(plan_, face.seam)->plane.normal;
    return lap.male == face.above ? -normal : normal;
  }

  /// One tool after the other: slabs are large, and what they take need not be united first.
  static Result<Solid> cut_away(const Solid& body, std::span<const LocalTool> taken) {
    Result<Solid> left = body;
    for (const LocalTool& tool : taken) {
      left = less_nearby(*left, tool);
      if (!left) return left;
    }
    return left;
  }

  static bool has_passing_cap(const Solid& solid) {
    const Origin cap{OriginKind::cap, static_cast<std::uint32_t>(kPassing)};
    return std::find(solid.origins().begin(), solid.origins().end(), cap) != solid.origins().end();
  }

  /// The boolean of what lies before the plane, put together again with what lies behind it.
  static Result<Solid> less_nearby(const Solid& body, const LocalTool& tool) {
    const std::array tools{Tool{"cutting a lap", tool.solid}};
    const auto halves = plane_cut(body, tool.behind, kPassing);
    if (!halves) return halves.error();
    if (!halves->above || !halves->below) return combine(body, {}, tools);
    const Result<Solid> near = combine(*halves->below, {}, tools);
    if (!near) return near;
    Result<Solid> joined = join_at_plane(*halves->above, *near, tool.behind, kPassing);
    if (joined && !has_passing_cap(*joined)) return joined;
    return combine(body, {}, tools);
  }

  std::vector<SeamId> seams_reached(PieceId piece) const {
    std::vector<SeamId> seams;
    for (const Lap& lap : laps_) {
      const SeamId seam = faces_[lap.joint].seam;
      if (lap.male == piece && std::find(seams.begin(), seams.end(), seam) == seams.end())
        seams.push_back(seam);
    }
    return seams;
  }

  bool gives_room(std::size_t p, const Lap& lap) const {
    if (to_index(lap.male) == p) return false;
    const JointFace& face = faces_[lap.joint];
    const Side side = lap.male == face.above ? Side::below : Side::above;
    return is_on(plan_, pieces_[p], face.seam, side);
  }

  /// Cut out of the whole anew, with the seams it reaches over moved by the lap's length.
  Result<Solid> longer_piece(std::size_t p, std::span<const SeamId> reached) const {
    Solid solid = whole_;
    for (const auto& [seam, side] : way_to(plan_, pieces_[p])) {
      Plane plane = seam->plane;
      const bool is_moved = std::find(reached.begin(), reached.end(), seam->id) != reached.end();
      const bool is_above = side == Side::above;
      if (is_moved) plane.offset_mm += is_above ? -rules_.length_mm : rules_.length_mm;
      auto halves = plane_cut(solid, plane, seam->id);
      if (!halves) return halves.error();
      std::optional<Solid>& half = is_above ? halves->above : halves->below;
      if (!half) return Error{"lap-failed", "nothing is left on one side of a seam"};
      solid = is_moved ? with_tip(std::move(*half), seam->id) : std::move(*half);
    }
    return solid;
  }

  /// The cut's end is the lap's tip, not the seam's cap.
  static Solid with_tip(Solid solid, SeamId seam) {
    std::vector<Origin> origins(solid.origins().begin(), solid.origins().end());
    const Origin cap{OriginKind::cap, static_cast<std::uint32_t>(seam)};
    for (Origin& origin : origins)
      if (origin.kind == cap.kind && origin.id == cap.id) origin.kind = OriginKind::key;
    return Solid::adopt({solid.points().begin(), solid.points().end()},
                        {solid.triangles().begin(), solid.triangles().end()}, std::move(origins));
  }

  /// What of the slab beyond a seam is not the piece's: a block less the bands.
  Result<LocalTool> rest_of_slab(PieceId piece, SeamId seam, Box3 box, double around_mm) const {
    const Plane& plane = find_seam(plan_, seam)->plane;
    std::vector<Tool> bands;
    bool is_above = true;
    for (const Lap& lap : laps_) {
      if (lap.male != piece || faces_[lap.joint].seam != seam) continue;
      is_above = faces_[lap.joint].above == piece;
      bands.push_back({"shaping a lap", gathered(lap.bands)});
      box.extend(bands.back().solid.box().low);
      box.extend(bands.back().solid.box().high);
    }
    const Vec3 into = is_above ? -plane.normal : plane.normal;
    const Solid slab = block_on(plane, into, rules_.length_mm + kSlabBeyond_mm, box, around_mm);
    Result<Solid> rest = combine(slab, {}, bands);
    if (!rest) return rest.error();
    std::vector<Origin> origins(rest->origins().begin(), rest->origins().end());
    for (std::size_t f = 0; f < origins.size(); ++f) {
      if (origins[f].kind == OriginKind::skin)  // the block's own: its top is the seam's cap
        origins[f] = {OriginKind::cap, static_cast<std::uint32_t>(seam)};
    }
    Solid shaped =
        Solid::adopt({rest->points().begin(), rest->points().end()},
                     {rest->triangles().begin(), rest->triangles().end()}, std::move(origins));
    return LocalTool{std::move(shaped),
                     {-into, kAroundTool_mm - dot(into, plane.normal) * plane.offset_mm}};
  }

  /// The component that is the piece: the one that shares most of its points.
  Result<CutPiece> own_part(Solid cut, std::size_t p) const {
    std::vector<Solid> parts = split_components(cut);
    std::vector<Vec3> own(pieces_[p].solid.points().begin(), pieces_[p].solid.points().end());
    std::sort(own.begin(), own.end(), is_before);
    const auto shared = [&](const Solid& part) {
      return std::count_if(part.points().begin(), part.points().end(), [&](Vec3 q) {
        return std::binary_search(own.begin(), own.end(), q, is_before);
      });
    };
    std::size_t best = 0;
    for (std::size_t i = 1; i < parts.size(); ++i)
      if (shared(parts[i]) > shared(parts[best])) best = i;
    CutPiece out = pieces_[p];
    const double before_mm3 = volume_mm3(out.solid);
    out.solid = std::move(parts[best]);
    if (volume_mm3(out.solid) < 0.6 * before_mm3)
      return Error{"lap-failed", fmt::format("piece {} would fall apart", out.id)};
    return out;
  }

  const Solid& whole_;
  const SeamPlan& plan_;
  std::span<const CutPiece> pieces_;
  std::span<const JointFace> faces_;
  std::span<const Lap> laps_;
  const LapRules& rules_;
};

}  // namespace

Result<std::vector<CutPiece>> lap_pieces(const Solid& whole, const SeamPlan& plan,
                                         std::span<const CutPiece> pieces,
                                         std::span<const JointFace> faces,
                                         std::span<const Lap> laps, const LapRules& rules,
                                         const Run& run) {
  const LapCutter cutter(whole, plan, pieces, faces, laps, rules);
  auto made =
      map_index(pieces.size(), run, [&](std::size_t p) { return std::optional(cutter.piece(p)); });
  std::vector<CutPiece> out;
  for (auto& piece : made) {
    if (!*piece) return std::move(*piece).error();
    out.push_back(std::move(**piece));
  }
  return out;
}

}  // namespace seamwright
