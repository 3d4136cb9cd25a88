#pragma once

#include "seams/clip_body.h"
#include "seamwright/core/random.h"

namespace seamwright::search {

/// The axes of the part frame.
inline constexpr std::array<Vec3, 3> kPartAxes{Vec3{1, 0, 0}, Vec3{0, 1, 0}, Vec3{0, 0, 1}};

/// The axes turned about one of them.
std::array<Vec3, 3> turned_about(std::array<Vec3, 3> axes, std::size_t about, Angle by);

/// Three perpendicular directions by chance.
std::array<Vec3, 3> random_axes(Random& random);

/// The extent of a body's points along three axes, in the axes' own coordinates.
Box3 extent_along(const ClipBody& body, const std::array<Vec3, 3>& axes);

/// Principal axes of a body's points, the longest spread first, right-handed.
std::array<Vec3, 3> principal_axes(const ClipBody& body);

/// A point of the plane next to the body's skin: of a few of its points, chosen by chance, the one
/// nearest to the plane. For a body with points.
Vec3 point_on_plane(const ClipBody& body, const Plane& plane, Random& random);

/// Where a plane is to be turned: the skin within `reach_mm` of `center`, or of all the plane when
/// there is no center.
struct SkinPatch {
  double reach_mm = 30;
  std::optional<Vec3> center;
};

/// The plane turned square to the skin about it: its normal becomes the direction in which the skin
/// near by turns least (the least eigenvector of the faces' normals by area), which is the axis of
/// a limb and the run of a bent sheet. The plane keeps the middle of that skin. Unchanged where the
/// skin shows no such direction within 50° of the normal. O(faces).
Plane square_to_skin(const ClipBody& body, const Plane& plane, const SkinPatch& patch);

}  // namespace seamwright::search
