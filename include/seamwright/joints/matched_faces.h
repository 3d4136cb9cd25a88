#pragma once

#include <span>
#include <vector>

#include "seamwright/cut/joint_faces.h"

namespace seamwright {

/// Drops from joint faces found again, after grooves, flanges or laps were made, the specks under
/// 6 mm² that those leave at corners; small faces of pairs that had one before stay. Whether the
/// faces are then those of before, in their order: the same seams and pieces. O(faces²).
bool match_faces(std::span<const JointFace> before, std::vector<JointFace>& faces);

}  // namespace seamwright
