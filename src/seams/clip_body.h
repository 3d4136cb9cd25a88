#pragma once

#include <array>
#include <cstdint>
#include <memory>
#include <optional>
#include <vector>

#include "seams/search_mesh.h"
#include "seamwright/core/vec.h"

namespace seamwright::search {

struct BodyFace {
  std::array<std::uint32_t, 3> corners;
  std::uint32_t face;  ///< position in SearchMesh::facts
  bool operator==(const BodyFace&) const = default;
};
struct BodyEdge {
  std::uint32_t from, to;
  bool operator==(const BodyEdge&) const = default;
};

/// A cap as the bag of its directed boundary edges, material on the left seen against `outward`.
/// Areas, centroids, hulls and components all follow from the bag, so no cap is ever triangulated
/// here.
struct BodyCap {
  Vec3 outward;
  double offset_mm = 0;  ///< outward · x
  std::vector<BodyEdge> edges;
  bool operator==(const BodyCap&) const = default;
};

/// A seat inside: its middle, and which it is.
struct BodySeat {
  Vec3 middle;
  std::uint32_t seat;
  bool operator==(const BodySeat&) const = default;
};

/// Half of a half of … the part, as the search sees it.
struct ClipBody {
  std::vector<Vec3> points;
  std::vector<BodyFace> faces;
  std::vector<BodyCap> caps;
  std::vector<std::array<Vec3, 2>> channels;  ///< pieces of channel centre lines inside
  std::vector<BodySeat> seats;                ///< whose middles are inside
  bool is_empty() const { return faces.empty() && caps.empty(); }
  /// Points and faces: the work of one look at all of it.
  double look_work() const { return static_cast<double>(points.size() + faces.size()); }
  /// To the bit, order and all: what a seam's move leaves alone comes out of the same cuts the
  /// same.
  bool operator==(const ClipBody&) const = default;
};

/// A stretch of a seam's outline and the face it runs on.
struct SectionEdge {
  Vec3 from, to;
  std::uint32_t face;
};

struct BodyHalves {
  std::shared_ptr<const ClipBody> above, below;  ///< never null, may be empty
  std::vector<SectionEdge> outline;              ///< on faces only, not on caps
};

ClipBody whole_body(const SearchMesh& mesh);

/// Cuts a body by a plane; a point at distance ≥ 0 is above, so a plane through vertices needs no
/// special case (the slivers it makes have no size). Caps are cut along the line where the two
/// planes meet: the crossings going down and those going up, each sorted along the line, are joined
/// in pairs, which keeps every bag closed whatever rounding does to their order. O(n + s log s).
BodyHalves clip(const ClipBody& body, const Plane& plane);

}  // namespace seamwright::search
