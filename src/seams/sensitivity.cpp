#include "seams/sensitivity.h"

#include "seamwright/core/parallel.h"

namespace seamwright::search {
namespace {

constexpr double kMove_mm = 10;

/// The seams of a tree in to_seam_plan's order.
void list_seams(const PlanPtr& node, std::vector<const PlanNode*>& seams) {
  if (node->is_leaf()) return;
  seams.push_back(node.get());
  list_seams(node->above, seams);
  list_seams(node->below, seams);
}

std::optional<double> moved_h(const PlanNode& node, double by_mm, const FullPart& full,
                              const SearchSetting& setting) {
  PlanPricer pricer(full.mesh, setting.own_prices, setting.rules);
  Plane plane = node.plane;
  plane.offset_mm += by_mm;
  const PlanPtr moved = pricer.replay_moved(node.body, plane, node);
  if (moved->misfits > node.misfits || moved->pieces < node.pieces) return std::nullopt;
  return moved->total_h - node.total_h;
}

}  // namespace

void add_sensitivity(PlannedSeams& planned, const FullPart& full, const SearchSetting& setting,
                     const Run& run) {
  PlanPricer pricer(full.mesh, setting.own_prices, setting.rules);
  const PlanPtr plan = pricer.cut_by(planned.plan, channelled_body(full.mesh, setting));
  std::vector<const PlanNode*> seams;
  list_seams(plan, seams);
  if (seams.size() != planned.seam_costs.size()) return;
  for_each_index(seams.size(), run, [&](std::size_t i) {
    planned.seam_costs[i].forward_h = moved_h(*seams[i], kMove_mm, full, setting);
    planned.seam_costs[i].back_h = moved_h(*seams[i], -kMove_mm, full, setting);
  });
}

}  // namespace seamwright::search
