#include <numeric>

#include "days/best_way.h"

namespace seamwright::days_detail {

PriceCurve::PriceCurve(std::span<const CalendarLoad> loads, std::span<const std::size_t> chosen,
                       std::span<const double> begin)
    : prices_(loads.size(), 0.0) {
  std::vector<double> lengths_min;
  for (const std::size_t load : chosen) {
    Minute least = kNever;
    for (const auto& print : loads[load].print_min) {
      if (print) least = std::min(least, *print);
    }
    places_.push_back({load, 0, static_cast<double>(least), 0});
    lengths_min.push_back(static_cast<double>(least));
  }
  std::sort(lengths_min.begin(), lengths_min.end());
  const std::size_t last = lengths_min.empty() ? 0 : lengths_min.size() - 1;
  for (std::size_t node = 0; node < std::min(kNodes, lengths_min.size()); ++node) {
    const double length_min =
        lengths_min[node * last / std::max<std::size_t>(1, std::min(kNodes - 1, last))];
    if (nodes_min_.empty() || length_min > nodes_min_.back()) nodes_min_.push_back(length_min);
  }
  factors_.assign(nodes_min_.size(), 1.0);
  set_places();
  for (const Place& place : places_) {
    if (!begin.empty() && place.length_min == nodes_min_[place.node])
      factors_[place.node] = begin[place.load] / place.length_min;
  }
  set_prices();
}

void PriceCurve::set_places() {
  for (Place& place : places_) {
    const auto above = std::upper_bound(nodes_min_.begin(), nodes_min_.end(), place.length_min);
    place.node = static_cast<std::size_t>(above - nodes_min_.begin()) - 1;
    place.share_ratio = 0;
    if (place.node + 1 == nodes_min_.size()) continue;
    const double low = nodes_min_[place.node], high = nodes_min_[place.node + 1];
    place.share_ratio = (place.length_min - low) / (high - low);
  }
}

void PriceCurve::refine(std::size_t most_bends) {
  if (nodes_min_.size() >= most_bends) return;
  double steepest = 0;
  std::size_t at = 0;
  std::vector<double> inside;
  for (std::size_t node = 0; node + 1 < nodes_min_.size(); ++node) {
    const double jump = std::abs(std::log(factors_[node + 1] / factors_[node]));
    if (jump <= steepest) continue;
    std::vector<double> lengths_min;
    for (const Place& place : places_) {
      if (place.node == node && place.share_ratio > 0) lengths_min.push_back(place.length_min);
    }
    if (lengths_min.empty()) continue;
    steepest = jump;
    at = node;
    inside = std::move(lengths_min);
  }
  if (inside.empty()) return;
  std::sort(inside.begin(), inside.end());
  const double length_min = inside[inside.size() / 2];
  const double share = (length_min - nodes_min_[at]) / (nodes_min_[at + 1] - nodes_min_[at]);
  const auto next = static_cast<std::ptrdiff_t>(at + 1);
  factors_.insert(factors_.begin() + next,
                  factors_[at] + (factors_[at + 1] - factors_[at]) * share);
  nodes_min_.insert(nodes_min_.begin() + next, length_min);
  set_places();
  set_prices();
}

void PriceCurve::set_prices() {
  for (const Place& place : places_) {
    const double low = factors_[place.node];
    const double high = place.share_ratio > 0 ? factors_[place.node + 1] : low;
    prices_[place.load] = place.length_min * (low + (high - low) * place.share_ratio);
  }
}

void PriceCurve::learn(std::span<const double> uses, double step) {
  std::vector<double> used(factors_.size(), 0.0), count(factors_.size(), 0.0);
  for (const Place& place : places_) {
    const auto add = [&](std::size_t node, double share) {
      used[node] += share * uses[place.load];
      count[node] += share;
    };
    add(place.node, 1 - place.share_ratio);
    if (place.share_ratio > 0) add(place.node + 1, place.share_ratio);
  }
  double sum = 0;
  for (std::size_t node = 0; node < factors_.size(); ++node) {
    factors_[node] *= std::exp(step * std::clamp(1 - used[node] / count[node], -2.0, 1.0));
    sum += factors_[node];
  }
  for (double& factor : factors_) factor *= static_cast<double>(factors_.size()) / sum;
  set_prices();
}

}  // namespace seamwright::days_detail
