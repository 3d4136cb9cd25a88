#include "wiring/body_field.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "seamwright/core/parallel.h"
#include "wiring/field_search.h"

namespace seamwright::wiring_detail {
namespace {

constexpr std::size_t kMostNodes = 40'000'000;  // 160 MB
constexpr double kMouthCosine = 0.6;            // a way leaves the skin within 53° of its normal
constexpr double kJitter = 0.3137;              // columns of the grid miss the mesh's own corners

/// The squared distance transform of one line: exact lower envelope of parabolas. Source:
/// Felzenszwalb and Huttenlocher, Theory of Computing 8 (2012) (memory).
class LineTransform {
 public:
  explicit LineTransform(std::size_t longest)
      : value_(longest), site_(longest), border_(longest + 1) {}
  template <class Get, class Set>
  void run(std::size_t count, const Get& get, const Set& set) {
    for (std::size_t i = 0; i < count; ++i) value_[i] = get(i);
    std::size_t last = 0;
    site_[0] = 0;
    border_[0] = -kFar, border_[1] = kFar;
    for (std::size_t q = 1; q < count; ++q) {
      float at = meet(q, site_[last]);
      while (at <= border_[last]) at = meet(q, site_[--last]);
      site_[++last] = q;
      border_[last] = at, border_[last + 1] = kFar;
    }
    last = 0;
    for (std::size_t q = 0; q < count; ++q) {
      while (border_[last + 1] < static_cast<float>(q)) ++last;
      const float away = static_cast<float>(q) - static_cast<float>(site_[last]);
      set(q, away * away + value_[site_[last]]);
    }
  }

 private:
  static constexpr float kFar = std::numeric_limits<float>::infinity();
  float meet(std::size_t q, std::size_t p) const {
    const auto fq = static_cast<float>(q), fp = static_cast<float>(p);
    return ((value_[q] + fq * fq) - (value_[p] + fp * fp)) / (2 * (fq - fp));
  }
  std::vector<float> value_;
  std::vector<std::size_t> site_;
  std::vector<float> border_;
};

}  // namespace

BodyField::BodyField(const Solid& part, const RayTree& body, const Run& run) : body_(body) {
  const Vec3 size = part.box().size();
  step_mm_ = std::max(2.0, std::cbrt(size.x * size.y * size.z / kMostNodes));
  low_ = part.box().low - Vec3{1, 1, 1} * (step_mm_ * (1 + kJitter));
  for (std::size_t axis = 0; axis < 3; ++axis)
    count_[axis] = static_cast<std::size_t>(std::ceil(size[axis] / step_mm_)) + 4;
  mark_inside(part, run);
  spread_depth(run);
}

/// Columns of rays along z: each face adds its turn to the columns it covers, above its height.
void BodyField::mark_inside(const Solid& part, const Run& run) {
  struct Crossing {
    float z;
    std::int8_t turn;
  };
  std::vector<std::vector<Crossing>> columns(count_[0] * count_[1]);
  for (std::size_t f = 0; f < part.face_count(); ++f) {
    const auto [a, b, c] = part.corners(to_id<FaceId>(f));
    const double area = (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x);
    if (area == 0) continue;
    const auto first = [&](double v, std::size_t axis) {
      return static_cast<std::size_t>(std::max(0.0, std::ceil((v - low_[axis]) / step_mm_)));
    };
    for (std::size_t y = first(std::min({a.y, b.y, c.y}), 1); y < count_[1]; ++y) {
      const double py = low_.y + static_cast<double>(y) * step_mm_;
      if (py > std::max({a.y, b.y, c.y})) break;
      for (std::size_t x = first(std::min({a.x, b.x, c.x}), 0); x < count_[0]; ++x) {
        const double px = low_.x + static_cast<double>(x) * step_mm_;
        if (px > std::max({a.x, b.x, c.x})) break;
        const double u = ((b.x - px) * (c.y - py) - (b.y - py) * (c.x - px)) / area;
        const double v = ((c.x - px) * (a.y - py) - (c.y - py) * (a.x - px)) / area;
        if (u < 0 || v < 0 || u + v > 1) continue;
        columns[y * count_[0] + x].push_back(
            {static_cast<float>(u * a.z + v * b.z + (1 - u - v) * c.z),
             static_cast<std::int8_t>(area < 0 ? 1 : -1)});
      }
    }
  }
  depth_mm_.assign(count_[0] * count_[1] * count_[2], 0.0f);
  for_each_index(
      columns.size(), run,
      [&](std::size_t i) {
        std::vector<Crossing>& column = columns[i];
        std::sort(column.begin(), column.end(),
                  [](const Crossing& p, const Crossing& q) { return p.z < q.z; });
        int turns = 0;
        std::size_t next = 0;
        for (std::size_t z = 0; z < count_[2]; ++z) {
          const double height = low_.z + static_cast<double>(z) * step_mm_;
          while (next < column.size() && column[next].z <= height) turns += column[next++].turn;
          if (turns > 0) depth_mm_[z * columns.size() + i] = 1;
        }
      },
      64);
}

void BodyField::spread_depth(const Run& run) {
  constexpr float kInside = 1e12f;
  for (float& d : depth_mm_) d = d > 0 ? kInside : 0.0f;
  const std::size_t nx = count_[0], ny = count_[1], nz = count_[2];
  for_each_index(nz, run, [&](std::size_t z) {
    LineTransform line(std::max({nx, ny, nz}));
    for (std::size_t y = 0; y < ny; ++y) {
      float* row = &depth_mm_[index(0, y, z)];
      line.run(
          nx, [&](std::size_t x) { return row[x]; }, [&](std::size_t x, float v) { row[x] = v; });
    }
    for (std::size_t x = 0; x < nx; ++x) {
      float* row = &depth_mm_[index(x, 0, z)];
      line.run(
          ny, [&](std::size_t y) { return row[y * nx]; },
          [&](std::size_t y, float v) { row[y * nx] = v; });
    }
  });
  for_each_index(ny, run, [&](std::size_t y) {
    LineTransform line(std::max({nx, ny, nz}));
    for (std::size_t x = 0; x < nx; ++x) {
      float* row = &depth_mm_[index(x, y, 0)];
      line.run(
          nz, [&](std::size_t z) { return row[z * nx * ny]; },
          [&](std::size_t z, float v) {
            // The skin lies about half a step before the first node outside.
            row[z * nx * ny] =
                v <= 0 ? 0.0f
                       : std::max(0.1f, (std::sqrt(v) - 0.5f) * static_cast<float>(step_mm_));
          });
    }
  });
}

std::pair<BodyField::Node, BodyField::Node> BodyField::nodes_round(Vec3 middle,
                                                                   double reach_mm) const {
  Node from{}, to{};
  for (std::size_t axis = 0; axis < 3; ++axis) {
    const double at = (middle[axis] - low_[axis]) / step_mm_, reach = reach_mm / step_mm_;
    const auto last = static_cast<double>(count_[axis] - 1);
    from[axis] = static_cast<std::size_t>(std::clamp(at - reach, 0.0, last));
    to[axis] = static_cast<std::size_t>(std::clamp(at + reach, 0.0, last));
  }
  return {from, to};
}

/// Nodes near an end where a way may begin: clear, and straight below the skin there.
std::vector<std::size_t> BodyField::mouths(Vec3 end, double clear_mm,
                                           const std::vector<bool>& is_blocked) const {
  const auto skin = body_.nearest(end);
  const bool is_deep = body_.contains(end) && skin->distance_mm > 2;
  const double reach_mm = 2.2 * clear_mm + 2 * step_mm_;
  std::vector<std::size_t> found;
  const auto [from, to] = nodes_round(end, reach_mm);
  for (std::size_t z = from[2]; z <= to[2]; ++z) {
    for (std::size_t y = from[1]; y <= to[1]; ++y) {
      for (std::size_t x = from[0]; x <= to[0]; ++x) {
        const std::size_t node = index(x, y, z);
        if (depth_mm_[node] < clear_mm || is_blocked[node]) continue;
        const Vec3 way = grid().place(node) - end;
        if (norm(way) > reach_mm) continue;
        // Depth grows as fast as the way is long where it leaves the skin squarely.
        if (!is_deep && depth_mm_[node] + step_mm_ / 2 < kMouthCosine * norm(way)) continue;
        found.push_back(node);
      }
    }
  }
  return found;
}

std::vector<Vec3> BodyField::shortest(Vec3 from, Vec3 to, const BoreNeed& need,
                                      const std::vector<bool>& is_blocked) const {
  std::vector<std::size_t> starts, goals;
  for (const double share : {1.0, 0.85}) {
    if (starts.empty()) starts = mouths(from, share * need.clear_mm, is_blocked);
    if (goals.empty()) goals = mouths(to, share * need.clear_mm, is_blocked);
  }
  const std::vector<std::size_t> nodes =
      cheapest_way(grid(), {from, to, starts, goals, need.clear_mm, is_blocked});
  if (nodes.empty()) return {};
  std::vector<Vec3> way{from};
  for (const std::size_t node : nodes) way.push_back(grid().place(node));
  way.push_back(to);
  return way;
}

std::vector<bool> BodyField::blocked(std::span<const KeepOut> keep_out, double clear_mm) const {
  std::vector<bool> is_blocked(depth_mm_.size(), false);
  for (const KeepOut& ball : keep_out) {
    const double reach_mm = ball.radius_mm + clear_mm;
    const auto [from, to] = nodes_round(ball.at, reach_mm);
    for (std::size_t z = from[2]; z <= to[2]; ++z) {
      for (std::size_t y = from[1]; y <= to[1]; ++y) {
        for (std::size_t x = from[0]; x <= to[0]; ++x) {
          const std::size_t node = index(x, y, z);
          if (norm(grid().place(node) - ball.at) < reach_mm) is_blocked[node] = true;
        }
      }
    }
  }
  return is_blocked;
}

std::vector<Vec3> BodyField::lead(std::span<const Vec3> through, std::span<const KeepOut> keep_out,
                                  const BoreNeed& need) const {
  const std::vector<bool> is_blocked = blocked(keep_out, need.clear_mm);
  std::vector<Vec3> way, stations;
  const auto is_passage_end = [&](Vec3 p) {
    return std::any_of(need.passages.begin(), need.passages.end(),
                       [&](const Passage& held) { return norm(p - held.at) < held.half_mm + 1; });
  };
  for (std::size_t i = 0; i + 1 < through.size(); ++i) {
    const std::vector<Vec3> leg = shortest(through[i], through[i + 1], need, is_blocked);
    if (leg.empty()) return {};
    way.insert(way.end(), leg.begin() + (way.empty() ? 0 : 1), leg.end());
    if (i > 0 && !is_passage_end(through[i])) stations.push_back(through[i]);
  }
  return smooth_in_body(std::move(way), body_, stations, keep_out, need);
}

}  // namespace seamwright::wiring_detail
