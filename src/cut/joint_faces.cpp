#include "seamwright/cut/joint_faces.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <polyclipping/clipper.hpp>

#include "cut/cap_outline.h"

namespace seamwright {
namespace {

using ClipperLib::cInt;

constexpr double kGridMm = 1e-6;
constexpr double kLeastCellMm2 = 1e-3;

using FaceList = std::vector<std::uint32_t>;

std::map<SeamId, FaceList> cap_faces(const Solid& solid) {
  std::map<SeamId, FaceList> faces;
  for (std::uint32_t f = 0; f < solid.face_count(); ++f) {
    const Origin origin = solid.origins()[f];
    if (origin.kind == OriginKind::cap) faces[SeamId{origin.id}].push_back(f);
  }
  return faces;
}

/// One piece's cap on one seam, on the integer grid.
struct Cap {
  PieceId piece{};
  ClipperLib::Paths paths;
  ClipperLib::IntRect box{};
};
struct SeamCaps {
  std::vector<Cap> above, below;
};

ClipperLib::Path snap(const Loop2& loop) {
  ClipperLib::Path path;
  for (Vec2 p : loop) {
    path.emplace_back(static_cast<cInt>(std::llround(p.x / kGridMm)),
                      static_cast<cInt>(std::llround(p.y / kGridMm)));
  }
  return path;
}

Cap snap_cap(PieceId piece, const std::vector<Region2>& regions) {
  Cap cap{piece, {}, {}};
  for (const Region2& region : regions) {
    cap.paths.push_back(snap(region.outer));
    for (const Loop2& hole : region.holes) cap.paths.push_back(snap(hole));
  }
  ClipperLib::Clipper clipper;
  clipper.AddPaths(cap.paths, ClipperLib::ptSubject, true);
  cap.box = clipper.GetBounds();
  return cap;
}

bool boxes_meet(const ClipperLib::IntRect& a, const ClipperLib::IntRect& b) {
  return a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom;
}

Loop2 unsnap(const ClipperLib::Path& path) {
  Loop2 loop;
  for (const auto& p : path) {
    loop.push_back({static_cast<double>(p.X) * kGridMm, static_cast<double>(p.Y) * kGridMm});
  }
  return loop;
}

/// Outer loops with their holes; outer loops inside holes are regions of their own.
void gather_regions(const ClipperLib::PolyNode& parent, std::vector<Region2>& regions) {
  for (const ClipperLib::PolyNode* outer : parent.Childs) {
    Region2 region{unsnap(outer->Contour), {}};
    for (const ClipperLib::PolyNode* hole : outer->Childs) {
      region.holes.push_back(unsnap(hole->Contour));
      gather_regions(*hole, regions);
    }
    regions.push_back(std::move(region));
  }
}

std::vector<Region2> overlay(const Cap& above, const Cap& below) {
  ClipperLib::Clipper clipper;
  clipper.StrictlySimple(true);  // regions that touch in a point are two
  clipper.AddPaths(above.paths, ClipperLib::ptSubject, true);
  clipper.AddPaths(below.paths, ClipperLib::ptClip, true);
  ClipperLib::PolyTree tree;
  clipper.Execute(ClipperLib::ctIntersection, tree, ClipperLib::pftNonZero, ClipperLib::pftNonZero);
  std::vector<Region2> regions;
  gather_regions(tree, regions);
  return regions;
}

bool lies_before(const Region2& a, const Region2& b) {
  const auto least = [](const Region2& region) {
    std::pair<double, double> low{region.outer[0].x, region.outer[0].y};
    for (Vec2 p : region.outer) low = std::min(low, std::pair{p.x, p.y});
    return low;
  };
  return least(a) < least(b);
}

std::vector<JointFace> cells_of(SeamId seam, const SeamCaps& caps) {
  std::vector<JointFace> cells;
  for (const Cap& above : caps.above) {
    for (const Cap& below : caps.below) {
      if (!boxes_meet(above.box, below.box)) continue;
      std::vector<Region2> regions = overlay(above, below);
      std::stable_sort(regions.begin(), regions.end(), lies_before);
      for (Region2& region : regions) {
        const double area_mm2 = region_area_mm2(region);
        if (area_mm2 < kLeastCellMm2) continue;
        cells.push_back({seam, above.piece, below.piece, std::move(region), area_mm2});
      }
    }
  }
  return cells;
}

/// Above a seam, caps look down.
bool is_above(const Solid& solid, const FaceList& faces, const Plane& plane) {
  double facing = 0;
  for (std::uint32_t f : faces) facing += dot(solid.area_normal(FaceId{f}), plane.normal);
  return facing < 0;
}

std::map<SeamId, SeamCaps> gather_caps(const SeamPlan& plan, std::span<const CutPiece> pieces) {
  std::map<SeamId, SeamCaps> caps;
  for (std::size_t i = 0; i < pieces.size(); ++i) {
    for (const auto& [id, faces] : cap_faces(pieces[i].solid)) {
      const Seam* seam = find_seam(plan, id);
      require(seam != nullptr, "the caps of a plan's pieces lie on its seams");
      const auto regions =
          cut_detail::outline_faces(pieces[i].solid, faces, PlaneFrame(seam->plane));
      SeamCaps& home = caps[id];
      (is_above(pieces[i].solid, faces, seam->plane) ? home.above : home.below)
          .push_back(snap_cap(to_id<PieceId>(i), regions));
    }
  }
  return caps;
}

}  // namespace

std::vector<Region2> cap_regions(const Solid& solid, SeamId seam, const Plane& plane) {
  FaceList faces;
  const Origin cap{OriginKind::cap, static_cast<std::uint32_t>(seam)};
  for (std::uint32_t f = 0; f < solid.face_count(); ++f) {
    if (solid.origins()[f] == cap) faces.push_back(f);
  }
  return cut_detail::outline_faces(solid, faces, PlaneFrame(plane));
}

Result<std::vector<JointFace>> find_joint_faces(const SeamPlan& plan,
                                                std::span<const CutPiece> pieces) {
  const std::map<SeamId, SeamCaps> caps = gather_caps(plan, pieces);
  std::vector<JointFace> all;
  for (const Seam& seam : plan.seams) {
    const auto at = caps.find(seam.id);
    if (at == caps.end()) continue;
    try {
      std::ranges::move(cells_of(seam.id, at->second), std::back_inserter(all));
    } catch (const ClipperLib::clipperException& failed) {
      return Error{"joint-faces-failed",
                   fmt::format("seam S{}: {}", static_cast<std::uint32_t>(seam.id), failed.what())};
    }
  }
  return all;
}

}  // namespace seamwright
