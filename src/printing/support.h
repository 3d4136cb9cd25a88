#pragma once

#include <span>
#include <vector>

#include "printing/flat.h"
#include "printing/strand.h"
#include "seamwright/core/run.h"
#include "seamwright/mesh/solid.h"
#include "seamwright/printing/layers.h"
#include "seamwright/profile/print_settings.h"

namespace seamwright {

/// Support lines of each layer: rows along x, line width / support_ratio apart, under every face
/// that looks down flatter than support_angle_deg, from the second layer below it to the bed or
/// to the part. Neighbouring rows' ends are linked. `outlines` are the part's regions a layer.
/// Columns are found on the rows alone, in cells of half a line width: no flat boolean, so their
/// cost is small beside the walls'. The same bits on any thread count.
std::vector<std::vector<Strand>> lay_support(const Solid& solid, const Transform& bed_from_part,
                                             std::span<const LayerSlab> slabs,
                                             const std::vector<flat::Paths>& outlines,
                                             const PrintSettings& print, const Run& run);

}  // namespace seamwright
