#pragma once

#include <string>

#include "seamwright/joints/joint_sample.h"

namespace seamwright::app {

/// A PNG of the sample opened like a book: both halves side by side with their joint faces up, the
/// above half on the left, and the loose parts in front of them; below, the same from the other
/// side of the wall. Guarantees: the same bytes on any machine's thread count.
std::string sample_picture_png(const JointSample& sample, const SampleCut& cut);

}  // namespace seamwright::app
