#pragma once

#include "seamwright/joints/key_pieces.h"
#include "support/shapes.h"

namespace seamwright::testing {

/// Pieces with their plan, joint faces and poses: what key_pieces takes, kept alive together.
struct PosedParts {
  SeamPlan plan;
  std::vector<CutPiece> pieces;
  std::vector<JointFace> faces;
  std::vector<Pose> poses;
  Vec3 usable_mm{170, 170, 178};

  std::vector<PosedPiece> posed() const {
    std::vector<PosedPiece> out;
    for (std::size_t i = 0; i < pieces.size(); ++i) {
      std::string mark(1, static_cast<char>('A' + i / 9));
      out.push_back({&pieces[i], poses[i], usable_mm, mark + std::to_string(i % 9 + 1)});
    }
    return out;
  }
};

inline KeyedPieces keyed(const PosedParts& parts, const Joinery& joinery = {}, int threads = 1) {
  seamwright::Run run;
  run.thread_count = threads;
  return key_pieces(parts.plan, parts.posed(), parts.faces, joinery, run).value();
}

/// The solid turned, standing with its box from (5, 5, 0).
inline Pose turned_pose(const Solid& solid, const Transform& turn) {
  Box3 box;
  for (Vec3 p : solid.points()) box.extend(turn.apply(p));
  Pose pose;
  pose.bed_from_part = turn;
  pose.bed_from_part.shift += Vec3{5, 5, 0} - box.low;
  pose.size_mm = box.size();
  return pose;
}

/// Faces wholly at z = 0 become the cap of seam 1.
inline Solid with_cap_at_zero(const Solid& solid) {
  std::vector<Origin> origins(solid.origins().begin(), solid.origins().end());
  for (std::size_t f = 0; f < solid.face_count(); ++f) {
    const auto corners = solid.corners(to_id<FaceId>(f));
    if (corners[0].z == 0 && corners[1].z == 0 && corners[2].z == 0) {
      origins[f] = {OriginKind::cap, 1};
    }
  }
  return Solid::adopt({solid.points().begin(), solid.points().end()},
                      {solid.triangles().begin(), solid.triangles().end()}, origins);
}

/// Two solids that meet in z = 0 in the given polygon (counter-clockwise seen from +z); both stand
/// on it, the upper as it is, the lower turned over.
inline PosedParts pair_at_zero(const Solid& above, const Solid& below,
                               const std::vector<Vec3>& outline) {
  PosedParts pair;
  pair.plan.seams.push_back({to_id<SeamId>(1), {}, Side::above, Plane{{0, 0, 1}, 0}});
  pair.plan.next_id = 2;
  pair.pieces = {{"S1+", to_id<SeamId>(1), Side::above, with_cap_at_zero(above)},
                 {"S1-", to_id<SeamId>(1), Side::below, with_cap_at_zero(below)}};
  JointFace face{to_id<SeamId>(1), to_id<PieceId>(0), to_id<PieceId>(1), {}, 0};
  const PlaneFrame frame(pair.plan.seams[0].plane);
  for (Vec3 p : outline) face.region.outer.push_back(frame.flatten(p));
  face.area_mm2 = region_area_mm2(face.region);
  pair.faces = {face};
  pair.poses = {turned_pose(above, {}),
                turned_pose(below, rotation({1, 0, 0}, Angle::degrees(180)))};
  return pair;
}

/// A box of the given size above z = 0 on the same box below.
inline PosedParts box_pair(Vec3 size) {
  return pair_at_zero(make_box(size), make_box(size, {0, 0, -size.z}),
                      {{0, 0, 0}, {size.x, 0, 0}, {size.x, size.y, 0}, {0, size.y, 0}});
}

}  // namespace seamwright::testing
