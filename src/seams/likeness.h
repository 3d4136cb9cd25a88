#pragma once

#include "seams/plan_tree.h"

namespace seamwright::search {

/// How much two plans of one body are the same: the share of its points that lie in the same piece
/// by both, each piece of a plan matched with the piece of the other that it shares most with; the
/// mean of both ways. 1 when they divide the points alike, in whatever order of cuts. Looks at some
/// 400 of the points, O(seams) each.
double likeness(const PlanNode& a, const PlanNode& b);

}  // namespace seamwright::search
