#include "wiring/skin_way.h"

#include <fmt/format.h>

#include <algorithm>
#include <limits>
#include <numeric>
#include <queue>

#include "seamwright/core/parallel.h"
#include "wiring/edge_place.h"
#include "wiring/smooth_skin_way.h"

namespace seamwright::wiring_detail {
namespace {

constexpr double kPatchCosine = 0.766;     // cos 40°
constexpr std::size_t kRimReachRuns = 40;  // of a millimetre
constexpr double kRimReachMm = kRimReachRuns;
constexpr double kRimCost = 4;
constexpr double kStraightStepMm = 2, kOnSkinMm = 0.05;
constexpr double kFar = std::numeric_limits<double>::infinity();

std::uint32_t root(std::vector<std::uint32_t>& parent, std::uint32_t f) {
  while (parent[f] != f) f = parent[f] = parent[parent[f]];
  return f;
}

/// Open nodes of a shortest-way search, nearest first, ties by node.
using Queue = std::priority_queue<std::pair<double, std::uint32_t>,
                                  std::vector<std::pair<double, std::uint32_t>>, std::greater<>>;

std::vector<std::uint32_t> allowed_faces(const std::vector<bool>& is_allowed) {
  std::vector<std::uint32_t> faces;
  for (std::uint32_t f = 0; f < is_allowed.size(); ++f) {
    if (is_allowed[f]) faces.push_back(f);
  }
  return faces;
}

}  // namespace

HiddenSkin::HiddenSkin(const Solid& part, std::vector<bool> is_allowed, const Run& run)
    : part_(part),
      is_allowed_(std::move(is_allowed)),
      patch_of_(part.face_count()),
      face_of_(allowed_faces(is_allowed_)),
      nodes_(part.face_count()) {
  require(is_allowed_.size() == part.face_count(), "one permission a face");
  for_each_index(2, run, [&](std::size_t half) {
    if (half == 1) {
      tree_ =
          TriangleTree(corners_where(part_, [this](FaceId f) { return is_allowed_[to_index(f)]; }));
      return;
    }
    link_edges();
    spread_rim();
  });
}

void HiddenSkin::link_edges() {
  places_.assign(part_.points().begin(), part_.points().end());
  std::iota(patch_of_.begin(), patch_of_.end(), 0u);
  for (const std::uint32_t f : face_of_) {
    for (std::size_t k = 0; k < 3; ++k)
      nodes_[f][k] = static_cast<std::uint32_t>(to_index(part_.triangles()[f][k]));
  }
  std::vector<Vec3> unit_normals(part_.face_count());
  for (const std::uint32_t f : face_of_)
    unit_normals[f] = normalized(part_.area_normal(to_id<FaceId>(f)));
  const std::vector<EdgeSide> halves = edge_sides(part_, is_allowed_);
  std::vector<bool> is_rim(places_.size(), false);
  for (std::size_t i = 0; i < halves.size();) {
    std::size_t end = i + 1;
    while (end < halves.size() && halves[end].ends == halves[i].ends) ++end;
    const auto p = static_cast<std::uint32_t>(halves[i].ends >> 32);
    const auto q = static_cast<std::uint32_t>(halves[i].ends & 0xffffffffu);
    const auto middle = static_cast<std::uint32_t>(places_.size());
    places_.push_back((places_[p] + places_[q]) / 2);
    for (std::size_t k = i; k < end; ++k) nodes_[halves[k].face][3 + halves[k].side] = middle;
    bool is_smooth = end - i == 2;
    if (is_smooth) {
      const std::uint32_t a = halves[i].face, b = halves[i + 1].face;
      is_smooth = dot(unit_normals[a], unit_normals[b]) > kPatchCosine;
      if (is_smooth) patch_of_[root(patch_of_, b)] = root(patch_of_, a);
    }
    is_rim.push_back(!is_smooth);
    if (!is_smooth) is_rim[p] = is_rim[q] = true;
    i = end;
  }
  for (std::uint32_t f = 0; f < patch_of_.size(); ++f) patch_of_[f] = root(patch_of_, f);
  rim_mm_.assign(places_.size(), kRimReachMm);
  for (std::size_t n = 0; n < places_.size(); ++n) {
    if (is_rim[n]) rim_mm_[n] = 0;
  }
  first_face_.assign(places_.size() + 1, 0);
  for (const std::uint32_t f : face_of_) {
    for (const std::uint32_t n : nodes_[f]) ++first_face_[n + 1];
  }
  std::partial_sum(first_face_.begin(), first_face_.end(), first_face_.begin());
  node_faces_.resize(first_face_.back());
  std::vector<std::uint32_t> next(first_face_.begin(), first_face_.end() - 1);
  for (const std::uint32_t f : face_of_) {
    for (const std::uint32_t n : nodes_[f]) node_faces_[next[n]++] = f;
  }
}

void HiddenSkin::spread_rim() {
  // Nodes in runs of a millimetre: a heap took three times as long. What comes later to a run that
  // is being read is read in the same run, so the distances are those of any order.
  std::array<std::vector<std::pair<double, std::uint32_t>>, kRimReachRuns + 1> open;
  for (std::uint32_t n = 0; n < places_.size(); ++n) {
    if (rim_mm_[n] == 0) open[0].push_back({0, n});
  }
  for (auto& run : open) {
    for (std::size_t next = 0; next < run.size(); ++next) {
      const auto [mm, n] = run[next];
      if (mm > rim_mm_[n]) continue;
      for (std::uint32_t i = first_face_[n]; i < first_face_[n + 1]; ++i) {
        for (const std::uint32_t m : nodes_[node_faces_[i]]) {
          const double via_mm = mm + norm(places_[m] - places_[n]);
          if (via_mm >= rim_mm_[m]) continue;
          rim_mm_[m] = via_mm;
          open[static_cast<std::size_t>(via_mm)].push_back({via_mm, m});
        }
      }
    }
  }
}

Vec3 HiddenSkin::normal(const NearTriangle& at) const {
  return normalized(part_.area_normal(to_id<FaceId>(face_of_[at.triangle])));
}

double HiddenSkin::rim_mm(const NearTriangle& at) const {
  double least_mm = kRimReachMm;
  for (const std::uint32_t n : nodes_[face_of_[at.triangle]])
    least_mm = std::min(least_mm, rim_mm_[n] + norm(places_[n] - at.point));
  return least_mm;
}

std::vector<Vec3> HiddenSkin::shortest(const NearTriangle& from, const NearTriangle& to,
                                       std::span<const KeepOut> keep_out, double rim_mm,
                                       bool is_on_patch) const {
  const auto blocked = [&](Vec3 p) {
    return std::any_of(keep_out.begin(), keep_out.end(), [&](const KeepOut& ball) {
      return norm(p - ball.at) < ball.radius_mm && norm(p - from.point) > 4 &&
             norm(p - to.point) > 4;
    });
  };
  const std::uint32_t start = face_of_[from.triangle], goal = face_of_[to.triangle];
  const std::uint32_t patch = patch_of_[start];
  std::vector<double> cost(places_.size(), kFar);
  std::vector<std::uint32_t> before(places_.size(), 0xffffffffu);
  std::vector<bool> is_closed(places_.size(), false);
  Queue open;
  for (const std::uint32_t n : nodes_[start]) {
    cost[n] = norm(places_[n] - from.point);
    open.push({cost[n] + norm(places_[n] - to.point), n});
  }
  const auto is_goal = [&](std::uint32_t n) {
    return std::find(nodes_[goal].begin(), nodes_[goal].end(), n) != nodes_[goal].end();
  };
  while (!open.empty()) {
    const std::uint32_t n = open.top().second;
    open.pop();
    if (is_closed[n]) continue;
    is_closed[n] = true;
    if (is_goal(n)) {
      std::vector<Vec3> way{to.point};
      for (std::uint32_t at = n; at != 0xffffffffu; at = before[at]) way.push_back(places_[at]);
      way.push_back(from.point);
      std::reverse(way.begin(), way.end());
      return way;
    }
    for (std::uint32_t i = first_face_[n]; i < first_face_[n + 1]; ++i) {
      if (is_on_patch && patch_of_[node_faces_[i]] != patch) continue;
      for (const std::uint32_t m : nodes_[node_faces_[i]]) {
        if (is_closed[m]) continue;
        const double near_ratio = std::max(0.0, 1 - rim_mm_[m] / rim_mm);
        const double step =
            norm(places_[m] - places_[n]) * (1 + kRimCost * near_ratio * near_ratio);
        if (cost[n] + step >= cost[m] || blocked(places_[m])) continue;
        cost[m] = cost[n] + step;
        before[m] = n;
        open.push({cost[m] + norm(places_[m] - to.point), m});
      }
    }
  }
  return {};
}

bool HiddenSkin::holds_straight(const NearTriangle& from, const NearTriangle& to,
                                std::span<const KeepOut> keep_out) const {
  const Vec3 way = to.point - from.point;
  const double length_mm = norm(way);
  for (double mm = 0; mm < length_mm; mm += kStraightStepMm) {
    const Vec3 p = from.point + way * (mm / length_mm);
    const NearTriangle near = nearest(p);
    if (near.distance_mm > kOnSkinMm || patch(near) != patch(from)) return false;
    for (const KeepOut& ball : keep_out) {
      if (norm(p - ball.at) < ball.radius_mm && std::min(mm, length_mm - mm) > 4) return false;
    }
  }
  return true;
}

Result<SkinWay> HiddenSkin::lead(std::span<const Vec3> through, std::span<const KeepOut> keep_out,
                                 const SkinWayOptions& options) const {
  require(through.size() >= 2, "a way has two ends");
  if (face_of_.empty()) return Error{"rib-no-way", "no skin is hidden"};
  std::vector<Vec3> way, stations;
  const auto is_passage_end = [&](Vec3 p) {
    return std::any_of(options.passages.begin(), options.passages.end(),
                       [&](const Passage& held) { return norm(p - held.at) < held.half_mm + 1; });
  };
  for (std::size_t i = 0; i + 1 < through.size(); ++i) {
    const NearTriangle from = nearest(through[i]), to = nearest(through[i + 1]);
    std::vector<Vec3> leg;
    // Large flat faces have no corners on the way for the graph to pass.
    if (holds_straight(from, to, keep_out)) leg = {from.point, to.point};
    // Over sharp edges only where nothing leads round them.
    for (const bool is_on_patch : {true, false}) {
      if (leg.empty()) leg = shortest(from, to, keep_out, options.rim_mm, is_on_patch);
    }
    if (leg.empty()) {
      return Error{"rib-no-way",
                   fmt::format("no way over the hidden skin leads from ({:.0f}, {:.0f}, {:.0f}) to "
                               "({:.0f}, {:.0f}, {:.0f}): skin that is seen or another channel "
                               "lies between; give points between",
                               from.point.x, from.point.y, from.point.z, to.point.x, to.point.y,
                               to.point.z)};
    }
    way.insert(way.end(), leg.begin() + (way.empty() ? 0 : 1), leg.end());
    if (i > 0 && !is_passage_end(from.point)) stations.push_back(from.point);
  }
  return smooth_on_skin(*this, way, stations, options);
}

}  // namespace seamwright::wiring_detail
