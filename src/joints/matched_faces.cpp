#include "seamwright/joints/matched_faces.h"

#include <algorithm>

namespace seamwright {
namespace {

constexpr double kSpeck_mm2 = 6;  // a corner beside two grooves of 2.2 mm

bool are_alike(const JointFace& a, const JointFace& b) {
  return a.seam == b.seam && a.above == b.above && a.below == b.below;
}

}  // namespace

bool match_faces(std::span<const JointFace> before, std::vector<JointFace>& faces) {
  if (faces.size() > before.size()) {
    std::erase_if(faces, [&](const JointFace& face) {
      const auto was_small = [&](const JointFace& b) {
        return are_alike(face, b) && b.area_mm2 < 2 * kSpeck_mm2;
      };
      return face.area_mm2 < kSpeck_mm2 && std::none_of(before.begin(), before.end(), was_small);
    });
  }
  return std::equal(faces.begin(), faces.end(), before.begin(), before.end(), are_alike);
}

}  // namespace seamwright
