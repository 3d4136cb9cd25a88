#include "joints/key_layout.h"

#include <algorithm>
#include <cstdint>
#include <map>
#include <numbers>

#include "seamwright/core/random.h"

namespace seamwright::joints {
namespace {

constexpr double kCertainMisfit_mm = 3;
constexpr std::size_t kDeeperTries = 16;
constexpr std::size_t kMostShifts = 120;    // places tried for one key
constexpr double kThirdKey_mm = 8;          // from the other two, at least
constexpr std::size_t kMostShuffles = 400;  // layouts tried after that
constexpr std::size_t kMostDraws = 1500;    // and where that is not enough
constexpr std::size_t kFewKeys = 4;

/// The misfit of one turn followed by one shift, both about the region's centre.
double misfit_of(std::span<const PlacedKey> keys, Vec2 center, double turn_rad, Vec2 shift,
                 double extra_mm) {
  const double c = std::cos(turn_rad), s = std::sin(turn_rad);
  double worst = norm(shift);
  for (const PlacedKey& key : keys) {
    const Vec2 from = key.at - center;
    const Vec2 at = center + Vec2{c * from.x - s * from.y, s * from.x + c * from.y} + shift;
    double best = std::numeric_limits<double>::infinity();
    for (const PlacedKey& hole : keys) {
      const double excess = std::max(0.0, key.diameter_mm - hole.diameter_mm - extra_mm);
      best = std::min(best, std::max(norm(at - hole.at) + excess, key.depth_mm - hole.depth_mm));
    }
    worst = std::max(worst, best);
  }
  return worst;
}

/// The least misfit over all shifts. The outline's own shift counts, and every term changes by at
/// most the change of the shift, so the best value is at least half of the unshifted one.
double best_shift_misfit(std::span<const PlacedKey> keys, Vec2 center, double turn_rad,
                         double extra_mm) {
  const double unshifted = misfit_of(keys, center, turn_rad, {}, extra_mm);
  if (unshifted > 2 * kCertainMisfit_mm) return unshifted / 2;
  double least = unshifted;
  Vec2 best;
  for (int i = 0; i < 24; ++i) {  // starts all over the disc, then descent from the best
    const double angle = i * 2.399963, radius = unshifted * std::sqrt((i + 0.5) / 24);
    const Vec2 shift{radius * std::cos(angle), radius * std::sin(angle)};
    const double value = misfit_of(keys, center, turn_rad, shift, extra_mm);
    if (value < least) least = value, best = shift;
  }
  for (double step = unshifted / 4; step > 0.01;) {
    const double before = least;
    for (int i = 0; i < 8; ++i) {
      const double angle = i * std::numbers::pi / 4;
      const Vec2 shift = best + Vec2{std::cos(angle), std::sin(angle)} * step;
      const double value = misfit_of(keys, center, turn_rad, shift, extra_mm);
      if (value < least - 1e-12) least = value, best = shift;
    }
    if (least == before) step /= 2;
  }
  return least;
}

/// Of the wrong pairing that fits best; values over twice the least, and those under `beat_mm`, are
/// not told apart.
KeyLayout against_others(std::vector<PlacedKey> keys, const LayoutRules& rules, double beat_mm) {
  const std::vector<FlatKey> flat = flat_keys(keys);
  KeyLayout layout{std::move(keys), 0, 2 * rules.least_misfit_mm, 0};
  for (std::size_t i = 0; i < rules.others.size() && layout.pairing_misfit_mm > beat_mm; ++i) {
    const double value = wrong_pairing_misfit_mm(flat, rules.others[i], rules.hole_extra_mm,
                                                 layout.pairing_misfit_mm);
    if (value < layout.pairing_misfit_mm) layout.pairing_misfit_mm = value, layout.pairing_with = i;
  }
  return layout;
}

class Layouter {
 public:
  Layouter(const Region2& region, std::span<const KeySpot> spots, const LayoutRules& rules,
           const DepthAt& depth_at)
      : spots_(spots), rules_(rules), depth_at_(depth_at), center_(region_center(region)) {}

  KeyLayout run() {
    std::vector<std::vector<PlacedKey>> by_size;
    double widest_spread = 0;
    for (auto d = rules_.diameters_mm.rbegin(); d != rules_.diameters_mm.rend(); ++d) {
      by_size.insert(by_size.begin(), spread_out(*d));
      widest_spread = std::max(widest_spread, spread(by_size.front()));
    }
    std::vector<PlacedKey> keys;
    for (const auto& candidate : by_size) {
      if (candidate.empty()) continue;
      if (keys.empty()) keys = candidate;
      if (candidate.size() < 2 || spread(candidate) < 0.6 * widest_spread) continue;
      keys = candidate;
      break;
    }
    return spoil_turns(std::move(keys));
  }

 private:
  static double spread(const std::vector<PlacedKey>& keys) {
    return keys.size() < 2 ? 0 : norm(keys[0].at - keys[1].at);
  }

  std::optional<double> depth(std::size_t spot, double diameter_mm) {
    const auto [at, is_new] = known_.try_emplace({spot, diameter_mm});
    if (!is_new) return at->second;
    for (double smaller : rules_.diameters_mm) {  // no room for a smaller one: none for this
      const auto other = known_.find({spot, smaller});
      if (smaller < diameter_mm && other != known_.end() && !other->second) return {};
    }
    return at->second = depth_at_(spots_[spot].at, diameter_mm);
  }

  bool keeps_gap(std::span<const PlacedKey> keys, Vec2 at, double diameter_mm,
                 std::size_t but = SIZE_MAX) const {
    for (std::size_t i = 0; i < keys.size(); ++i) {
      if (i == but) continue;
      const double least =
          (keys[i].diameter_mm + diameter_mm) / 2 + rules_.hole_extra_mm + rules_.gap_mm;
      if (norm(keys[i].at - at) < least * (rules_.has_teardrops ? 1.25 : 1)) return false;
    }
    return true;
  }

  /// The valid spot furthest by `distance`, at least `least_mm`; a tenth nearer where that goes
  /// deeper.
  template <class Distance>
  std::optional<PlacedKey> furthest(double diameter_mm, double least_mm,
                                    const std::vector<PlacedKey>& keys, const Distance& distance) {
    std::vector<std::pair<double, std::size_t>> order;
    for (std::size_t i = 0; i < spots_.size(); ++i) {
      const double d = distance(spots_[i].at);
      if (d >= least_mm) order.emplace_back(-d, i);
    }
    std::sort(order.begin(), order.end());
    std::optional<PlacedKey> best;
    double furthest_mm = 0;
    std::size_t tried = 0;
    for (const auto& [negative, i] : order) {
      if (best && (-negative < 0.9 * furthest_mm || ++tried > kDeeperTries)) break;
      if (!keeps_gap(keys, spots_[i].at, diameter_mm)) continue;
      const auto room = depth(i, diameter_mm);
      if (!room) continue;
      if (!best) furthest_mm = -negative;
      if (!best || *room > best->depth_mm) best = PlacedKey{spots_[i].at, diameter_mm, *room};
    }
    return best;
  }

  /// Two keys tell faces apart by one distance only; three leave room for many faces.
  std::size_t least_keys() const { return rules_.others.empty() ? 2 : 3; }

  std::vector<PlacedKey> spread_out(double diameter_mm) {
    const auto from = [](Vec2 a) { return [a](Vec2 p) { return norm(p - a); }; };
    auto first = furthest(diameter_mm, 0, {}, from(center_));
    if (!first) return {};
    auto second = furthest(diameter_mm, 0, {*first}, from(first->at));
    if (!second) return {*first};
    if (auto better =
            furthest(diameter_mm, norm(first->at - second->at), {*second}, from(second->at)))
      first = better;
    std::vector<PlacedKey> keys{*first, *second};
    while (keys.size() < rules_.most_keys) {
      const auto gap = [&](Vec2 p) {
        double least = std::numeric_limits<double>::infinity();
        for (const PlacedKey& k : keys) least = std::min(least, norm(p - k.at));
        return least;
      };
      const double least_mm = keys.size() < least_keys() ? kThirdKey_mm : rules_.reach_mm;
      const auto next = furthest(diameter_mm, least_mm, keys, gap);
      if (!next) break;
      keys.push_back(*next);
    }
    return keys;
  }

  bool is_safe(const KeyLayout& layout) const { return layout.is_safe(rules_.least_misfit_mm); }
  double worth_mm(const KeyLayout& layout) const { return layout.worth_mm(rules_.least_misfit_mm); }

  /// The layout judged; one worth less than `beat_mm` is not judged to the end.
  KeyLayout judged(std::vector<PlacedKey> keys, double beat_mm) const {
    const double least_mm = beat_mm - rules_.least_misfit_mm;
    KeyLayout layout = against_others(std::move(keys), rules_, least_mm);
    if (layout.pairing_misfit_mm > least_mm)
      layout.misfit_mm = wrong_turn_misfit_mm(layout.keys, center_, rules_.hole_extra_mm);
    return layout;
  }

  KeyLayout spoil_turns(std::vector<PlacedKey> keys) {
    if (keys.size() < 2) {
      KeyLayout alone{keys};
      if (rules_.thorough_round && !keys.empty()) search_widely(keys, alone);
      return alone;
    }
    if (keys.size() <= 3) make_smaller(keys[1]);
    KeyLayout best = judged(keys, -1);
    for (std::size_t back = 0; back < keys.size() && !is_safe(best); ++back)
      shift_key(keys, keys.size() - 1 - back, best);
    if (keys.size() < rules_.most_keys && !is_safe(best)) add_key(best);
    if (!is_safe(best)) reshuffle(keys, best);
    if (rules_.thorough_round && !is_safe(best)) search_widely(keys, best);
    return best;
  }

  void make_smaller(PlacedKey& key) {
    for (double diameter : rules_.diameters_mm) {
      if (diameter >= key.diameter_mm) continue;
      if (const auto room = depth_at_(key.at, diameter)) {
        key = {key.at, diameter, *room};
        return;
      }
    }
  }

  /// Moves one key to the nearest spot from which no wrong turn fits.
  void shift_key(const std::vector<PlacedKey>& keys, std::size_t which, KeyLayout& best) {
    std::vector<std::pair<double, std::size_t>> order;
    for (std::size_t i = 0; i < spots_.size(); ++i)
      order.emplace_back(norm(spots_[i].at - keys[which].at), i);
    std::sort(order.begin(), order.end());
    std::size_t tried = 0;
    for (const auto& [distance, i] : order) {
      if (tried >= kMostShifts) return;
      if (distance < 1 || !keeps_gap(keys, spots_[i].at, keys[which].diameter_mm, which)) continue;
      const auto room = depth(i, keys[which].diameter_mm);
      if (!room) continue;
      std::vector<PlacedKey> moved = keys;
      moved[which] = {spots_[i].at, keys[which].diameter_mm, *room};
      ++tried;
      KeyLayout layout = judged(std::move(moved), worth_mm(best));
      if (worth_mm(layout) > worth_mm(best)) best = std::move(layout);
      if (is_safe(best)) return;
    }
  }

  /// All keys at random places, no nearer together than three fifths of what they were; the same
  /// tries every time.
  void reshuffle(const std::vector<PlacedKey>& keys, KeyLayout& best) {
    Random random(rules_.others.size() + 1);
    const double least_spread = 0.6 * spread(keys);
    for (std::size_t k = 0; k < kMostShuffles && !is_safe(best); ++k) {
      std::vector<PlacedKey> shuffled;
      const std::size_t count = std::min(rules_.most_keys, keys.size() + k % 2);
      for (std::size_t tries = 0; shuffled.size() < count && tries < 12 * count; ++tries) {
        const std::size_t i = random.below(spots_.size());
        const double diameter_mm = keys[std::min(shuffled.size(), keys.size() - 1)].diameter_mm;
        if (!keeps_gap(shuffled, spots_[i].at, diameter_mm)) continue;
        if (shuffled.size() == 1 && norm(spots_[i].at - shuffled[0].at) < least_spread) continue;
        if (const auto room = depth(i, diameter_mm))
          shuffled.push_back({spots_[i].at, diameter_mm, *room});
      }
      if (shuffled.size() < keys.size()) continue;
      KeyLayout layout = judged(std::move(shuffled), worth_mm(best));
      if (worth_mm(layout) > worth_mm(best)) best = std::move(layout);
    }
  }

  /// A layout at random: few keys anywhere, of any size and depth, of many all but two where they
  /// were.
  std::vector<PlacedKey> at_random(const std::vector<PlacedKey>& keys, std::size_t count,
                                   Random& random) {
    std::vector<PlacedKey> drawn = keys;
    if (keys.size() <= kFewKeys) drawn.clear();
    while (drawn.size() + 2 > std::max<std::size_t>(keys.size(), 2) && !drawn.empty())
      drawn.erase(drawn.begin() + static_cast<std::ptrdiff_t>(random.below(drawn.size())));
    for (std::size_t tries = 0; drawn.size() < count && tries < 12 * count; ++tries) {
      const std::size_t spot = random.below(spots_.size());
      const double diameter_mm = rules_.diameters_mm[random.below(rules_.diameters_mm.size())];
      if (!keeps_gap(drawn, spots_[spot].at, diameter_mm)) continue;
      if (const auto room = depth(spot, diameter_mm))
        drawn.push_back({spots_[spot].at, diameter_mm,
                         random.below(2) == 0 ? *room : rules_.least_depth_ratio * diameter_mm});
    }
    return drawn;
  }

  static double widest_mm(const std::vector<PlacedKey>& keys) {
    double widest = 0;
    for (const PlacedKey& a : keys)
      for (const PlacedKey& b : keys) widest = std::max(widest, norm(a.at - b.at));
    return widest;
  }

  /// Counts, sizes and places at random; the one with its keys farthest apart that does it. The
  /// same tries every time.
  void search_widely(const std::vector<PlacedKey>& keys, KeyLayout& best) {
    Random random(1000 + rules_.others.size() +
                  100 * static_cast<std::size_t>(*rules_.thorough_round));
    std::vector<std::vector<PlacedKey>> drawn;
    for (std::size_t k = 0; k < kMostDraws; ++k) {
      const std::size_t count =
          std::min(rules_.most_keys, std::max<std::size_t>(2, keys.size() - 1 + k % 4));
      std::vector<PlacedKey> layout = at_random(keys, count, random);
      if (layout.size() >= 2) drawn.push_back(std::move(layout));
    }
    std::stable_sort(drawn.begin(), drawn.end(),
                     [](const auto& a, const auto& b) { return widest_mm(a) > widest_mm(b); });
    for (auto& candidate : drawn) {
      KeyLayout layout = judged(std::move(candidate), worth_mm(best));
      if (worth_mm(layout) > worth_mm(best)) best = std::move(layout);
      if (is_safe(best)) return;
    }
  }

  /// One more key where shifting is not enough: the nearest spot to the middle that does it.
  void add_key(KeyLayout& best) {
    const std::vector<PlacedKey> keys = best.keys;
    const double diameter_mm = keys.back().diameter_mm;
    std::vector<std::pair<double, std::size_t>> order;
    for (std::size_t i = 0; i < spots_.size(); ++i)
      order.emplace_back(norm(spots_[i].at - center_), i);
    std::sort(order.begin(), order.end());
    std::size_t tried = 0;
    for (const auto& [distance, i] : order) {
      if (tried >= kMostShifts || is_safe(best)) return;
      if (!keeps_gap(keys, spots_[i].at, diameter_mm)) continue;
      const auto room = depth(i, diameter_mm);
      if (!room) continue;
      ++tried;
      std::vector<PlacedKey> more = keys;
      more.push_back({spots_[i].at, diameter_mm, *room});
      KeyLayout layout = judged(std::move(more), worth_mm(best));
      if (worth_mm(layout) > worth_mm(best)) best = std::move(layout);
    }
  }

  std::span<const KeySpot> spots_;
  const LayoutRules& rules_;
  const DepthAt& depth_at_;
  Vec2 center_;
  std::map<std::pair<std::size_t, double>, std::optional<double>> known_;
};

}  // namespace

double wrong_turn_misfit_mm(std::span<const PlacedKey> keys, Vec2 center, double hole_extra_mm) {
  double least = std::numeric_limits<double>::infinity();
  for (int turn_deg : kWrongTurns_deg) {
    const double turn_rad = Angle::degrees(turn_deg).radians();
    least = std::min(least, best_shift_misfit(keys, center, turn_rad, hole_extra_mm));
  }
  return least;
}

std::vector<FlatKey> flat_keys(std::span<const PlacedKey> keys) {
  std::vector<FlatKey> flat;
  for (const PlacedKey& key : keys) flat.push_back({key.at, key.diameter_mm, key.depth_mm});
  return flat;
}

Vec2 region_center(const Region2& region) {
  Vec2 moment;
  double twice_area = 0;
  const Vec2 o = region.outer[0];
  const auto add = [&](const Loop2& loop) {
    for (std::size_t i = 0; i < loop.size(); ++i) {
      const Vec2 a = loop[i] - o, b = loop[(i + 1) % loop.size()] - o;
      const double w = cross(a, b);
      twice_area += w;
      moment = moment + (a + b) * w;
    }
  };
  add(region.outer);
  for (const Loop2& hole : region.holes) add(hole);
  return twice_area > 0 ? o + moment / (3 * twice_area) : o;
}

KeyLayout judge_layout(std::vector<PlacedKey> keys, Vec2 center, const LayoutRules& rules) {
  KeyLayout layout = against_others(std::move(keys), rules, -1);
  layout.misfit_mm =
      layout.keys.size() < 2 ? 0 : wrong_turn_misfit_mm(layout.keys, center, rules.hole_extra_mm);
  return layout;
}

KeyLayout lay_out_keys(const Region2& region, std::span<const KeySpot> spots,
                       const LayoutRules& rules, const DepthAt& depth_at) {
  return Layouter(region, spots, rules, depth_at).run();
}

}  // namespace seamwright::joints
