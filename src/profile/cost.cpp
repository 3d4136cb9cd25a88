#include "seamwright/profile/cost.h"

namespace seamwright {

std::optional<CostWeights> preset_weights(const std::string& name) {
  CostWeights weights;
  weights.weights = name;
  if (name == "painted") return weights;
  if (name == "raw") {
    weights.shown_h_per_cm = 0.02;
    weights.hidden_h_per_cm = 0.003;
    return weights;
  }
  if (name == "show") {
    weights.shown_h_per_cm = 0.06;
    weights.hidden_h_per_cm = 0.01;
    return weights;
  }
  if (name == "table") {
    weights.shown_h_per_cm = 0.02;
    weights.hidden_h_per_cm = 0.002;
    weights.support_h_per_cm2 = 0;
    weights.first_layer_failure_ratio = 0;
    weights.failure_per_h = 0;
    weights.failure_h = 0;
    weights.loose_joint_h = 0;
    weights.detail_ratio = weights.line_ratio = 1;
    return weights;
  }
  return std::nullopt;
}

}  // namespace seamwright
