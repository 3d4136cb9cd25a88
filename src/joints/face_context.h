#pragma once

#include <optional>
#include <string>

#include "joints/key_layout.h"
#include "joints/key_room.h"
#include "seamwright/joints/key_pieces.h"

namespace seamwright::joints {

/// The side across the seam.
constexpr Side other(Side side) {
  return side == Side::above ? Side::below : Side::above;
}

/// The inputs of key_pieces, passed on as one.
struct JointInputs {
  const SeamPlan& plan;
  std::span<const PosedPiece> pieces;
  std::span<const JointFace> faces;
  const Joinery& joinery;
  std::span<const KeptPiece> kept = {};
};

/// A joint face with all that placing keys and marks in it asks about.
struct FaceContext {
  const JointFace* face = nullptr;
  Plane plane;
  FaceSide above, below;
  Surroundings near_above, near_below;
  std::vector<KeySpot> spots;
  double width_mm = 0;  ///< of the widest circle inside the region

  const FaceSide& side(Side s) const { return s == Side::above ? above : below; }
  const Surroundings& near(Side s) const { return s == Side::above ? near_above : near_below; }
  PieceId piece(Side s) const { return s == Side::above ? face->above : face->below; }
};

/// Gathers the surroundings and spots of one joint face. O(faces of both pieces).
FaceContext gather_face(const JointInputs& inputs, const JointFace& face);

/// The kind asked for one joint face: the last choice that names its seam and pieces, else the
/// job's.
KeyKind key_for(const JointInputs& inputs, const JointFace& face);

/// "the joint of A1 and B2 on seam S3".
std::string joint_name(const JointInputs& inputs, const JointFace& face);

}  // namespace seamwright::joints
