#pragma once

#include <array>
#include <memory>
#include <span>
#include <vector>

#include "seams/plan_tree.h"
#include "seamwright/profile/printer_presets.h"
#include "support/shapes.h"

namespace seamwright::search {

/// Prices on a solid, in a cube of 180.
struct Bench {
  explicit Bench(const Solid& solid)
      : mesh(make_search_mesh(solid, std::vector<double>(solid.face_count(), 1.0),
                              StandingRules{}.least_flat_side_mm2)),
        body(std::make_shared<ClipBody>(whole_body(mesh))) {
    prices.cost = *preset_weights("table");
    rules.rooms_mm = {{180, 180, 180}};
  }
  SearchMesh mesh;
  std::shared_ptr<ClipBody> body;
  PriceRules prices;
  FitRules rules;
};

/// Cut square to x at these places, in this order.
inline PlanPtr slices(PlanPricer& pricer, const std::shared_ptr<const ClipBody>& body,
                      std::span<const double> at_mm) {
  SeamPlan plan;
  for (const double x : at_mm) {
    Seam seam;
    seam.id = static_cast<SeamId>(plan.next_id++);
    if (!plan.seams.empty()) seam.parent = plan.seams.back().id;
    seam.side = Side::above;
    seam.plane = {{1, 0, 0}, x};
    plan.seams.push_back(seam);
  }
  return pricer.cut_by(plan, body);
}

/// 500 × 150 × 150 mm.
inline const Solid& bar() {
  static const Solid solid = testing::subdivide(testing::make_box({500, 150, 150}), 2);
  return solid;
}

}  // namespace seamwright::search
