#pragma once

#include "joints/key_planner.h"
#include "joints/straps.h"

namespace seamwright::joints {

/// Lays straps where they are asked for, and where a face has room for fewer than two keys; warns
/// of joints that still have too little.
void add_straps(const JointInputs& inputs, std::span<const std::optional<FaceContext>> contexts,
                const KeyPlanner& planner, const HiddenSkin& hidden, KeyedPieces& out,
                const Run& run);

}  // namespace seamwright::joints
