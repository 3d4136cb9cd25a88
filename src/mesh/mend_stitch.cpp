#include <fmt/format.h>

#include <cmath>
#include <map>

#include "mesh/draft.h"

namespace seamwright {
namespace {

constexpr double kReach = 1e-6;  // of the size, when welding needed less
constexpr int kMostRounds = 8;

/// A corner that lies on a face's open side, `share` of the way along it.
struct Insertion {
  double share = 0;
  std::uint32_t point = 0;
};

/// Open corners by their x, for finding those near a segment.
class OpenCorners {
 public:
  OpenCorners(const Draft& draft, const std::vector<EdgeUse>& open, double reach)
      : draft_(draft), reach_(reach) {
    for (const EdgeUse& use : open) order_.insert(order_.end(), {use.low, use.high});
    std::sort(order_.begin(), order_.end(), [&](std::uint32_t a, std::uint32_t b) {
      return draft.points[a].x != draft.points[b].x ? draft.points[a].x < draft.points[b].x : a < b;
    });
    order_.erase(std::unique(order_.begin(), order_.end()), order_.end());
  }
  /// Corners within reach of the inside of a → b, from a on.
  std::vector<Insertion> on(std::uint32_t a, std::uint32_t b) const {
    const Vec3 p = draft_.points[a], along = draft_.points[b] - p;
    const double length2 = dot(along, along);
    std::vector<Insertion> found;
    const double low = std::min(p.x, p.x + along.x) - reach_,
                 high = std::max(p.x, p.x + along.x) + reach_;
    auto at = std::lower_bound(order_.begin(), order_.end(), low,
                               [&](std::uint32_t i, double x) { return draft_.points[i].x < x; });
    for (; at != order_.end() && draft_.points[*at].x <= high; ++at) {
      const Vec3 q = draft_.points[*at] - p;
      const double share = dot(q, along) / length2;
      if (*at == a || *at == b || !(share > 0 && share < 1)) continue;
      if (norm(q - along * share) > reach_) continue;
      if (norm(q) <= reach_ || norm(q - along) <= reach_) continue;
      found.push_back({share, *at});
    }
    std::sort(found.begin(), found.end(),
              [](const Insertion& l, const Insertion& r) { return l.share < r.share; });
    return found;
  }

 private:
  const Draft& draft_;
  double reach_;
  std::vector<std::uint32_t> order_;
};

std::vector<EdgeUse> open_uses(const Draft& draft) {
  std::vector<EdgeUse> open;
  for_each_edge(draft.edge_uses(), [&](std::span<const EdgeUse> edge) {
    if (edge.size() % 2 == 1) open.insert(open.end(), edge.begin(), edge.end());
  });
  return open;
}

/// Splits a face at points on one of its sides into a fan about the corner across from it.
void split_face(Draft& draft, const EdgeUse& use, const std::vector<Insertion>& at) {
  const Triangle whole = draft.triangles[use.face];
  const VertexId end = whole[(use.side + 1) % 3], across = whole[(use.side + 2) % 3];
  VertexId from = whole[use.side];
  for (std::size_t i = 0; i <= at.size(); ++i) {
    const VertexId to = i < at.size() ? VertexId{at[i].point} : end;
    const Triangle part{from, to, across};
    if (i == 0) {
      draft.triangles[use.face] = part;
    } else {
      draft.triangles.push_back(part);
      draft.origins.push_back(draft.origins[use.face]);
    }
    from = to;
  }
}

/// One round: a face is split at one of its sides at most, the others wait for the next.
std::size_t split_round(Draft& draft, double reach) {
  const std::vector<EdgeUse> open = open_uses(draft);
  const OpenCorners corners(draft, open, reach);
  std::vector<std::pair<EdgeUse, std::vector<Insertion>>> splits;
  std::vector<bool> is_taken(draft.triangles.size(), false);
  for (const EdgeUse& use : open) {
    if (is_taken[use.face]) continue;
    const Triangle& t = draft.triangles[use.face];
    std::vector<Insertion> at = corners.on(static_cast<std::uint32_t>(t[use.side]),
                                           static_cast<std::uint32_t>(t[(use.side + 1) % 3]));
    std::erase_if(at,
                  [&](const Insertion& i) { return VertexId{i.point} == t[(use.side + 2) % 3]; });
    if (at.empty()) continue;
    is_taken[use.face] = true;
    splits.emplace_back(use, std::move(at));
  }
  for (const auto& [use, at] : splits) split_face(draft, use, at);
  return splits.size();
}

}  // namespace

void stitch(Draft& draft) {
  const std::size_t open_before = count_open_edges(draft);
  const double reach = std::max(draft.weld_mm, kReach * draft.size_mm);
  Draft tried = draft;
  std::size_t count = 0;
  for (int round = 0; round < kMostRounds; ++round) {
    const std::size_t split = split_round(tried, reach);
    if (split == 0) break;
    count += split;
  }
  if (count == 0 || count_open_edges(tried) >= open_before) return;
  draft = std::move(tried);
  draft.steps.push_back(
      {"stitch", count,
       fmt::format("edges split at corners that lie on them, at {:.3g} mm", reach)});
  drop_duplicates(draft);
}

}  // namespace seamwright
