#pragma once

#include <span>
#include <vector>

#include "seamwright/cut/joint_faces.h"
#include "seamwright/wiring/wire_part.h"

namespace seamwright {

/// A seam that runs along a channel: there its keys find no room, and a ridge's foot or the wall
/// round a bore ends at the seam.
struct SeamRun {
  std::size_t channel = 0;  ///< position in WiredPart::channels
  SeamId seam{};
  double length_mm = 0;   ///< of the way, all such stretches together
  double nearest_mm = 0;  ///< least distance of the seam's faces from the centre line there
};

struct SeamRunOptions {
  double beside_mm = 5;    ///< from the centre line
  double longest_mm = 15;  ///< what is shorter is no run: a way crosses that band in 14 mm at 45°
};

/// How far each channel runs beside the faces that each seam has in the cut pieces: the stretches
/// of its centre line that make less than 45° with the plane and lie within `beside_mm` of a joint
/// face, in steps of at most 1 mm. By channel, then seam in the plan's order. O(steps · faces).
std::vector<SeamRun> find_seam_runs(const SeamPlan& plan, std::span<const JointFace> faces,
                                    std::span<const Channel> channels,
                                    const SeamRunOptions& options = {});

}  // namespace seamwright
