#include "wiring/edge_place.h"

#include <algorithm>
#include <cmath>
#include <numeric>

namespace seamwright::wiring_detail {
namespace {

constexpr double kSharpCosine = 0.766;  // cos 40°
constexpr double kWidestSideMm = 24;
constexpr double kUnderMm = 0.05;  // a ray so far under a face measures how wide the face is
constexpr double kSampleMm = 4;
constexpr double kBeyondMm = 0.6;

/// A face beside a sharp edge: a place on the edge and the way over the face, squarely from it.
struct BesideEdge {
  Vec3 at, inward, normal;
};

Vec3 unit_normal(const Solid& part, std::uint32_t face) {
  return normalized(part.area_normal(to_id<FaceId>(face)));
}

/// Both faces beside each convex sharp edge, at places `kSampleMm` apart along it.
std::vector<BesideEdge> beside_sharp_edges(const Solid& part) {
  std::vector<BesideEdge> found;
  const auto sides = edge_sides(part, std::vector<bool>(part.face_count(), true));
  for (std::size_t i = 0; i + 1 < sides.size(); ++i) {
    if (sides[i].ends != sides[i + 1].ends) continue;
    const Vec3 n[] = {unit_normal(part, sides[i].face), unit_normal(part, sides[i + 1].face)};
    if (dot(n[0], n[1]) > kSharpCosine) continue;
    const Vec3 p = part.points()[sides[i].ends >> 32],
               q = part.points()[sides[i].ends & 0xffffffffu];
    const Vec3 along = normalized(q - p);
    for (std::size_t k = 0; k < 2; ++k) {
      const auto [a, b, c] = part.corners(to_id<FaceId>(sides[i + k].face));
      Vec3 inward = cross(n[k], along);
      if (dot(inward, (a + b + c) / 3 - p) < 0) inward = -inward;
      if (dot(inward, n[1 - k]) > 0) continue;  // the edge is hollow: no rim
      const auto steps = static_cast<int>(std::ceil(std::max(1.0, norm(q - p) / kSampleMm)));
      for (int s = 0; s < steps; ++s)
        found.push_back({p + (q - p) * ((s + 0.5) / steps), inward, n[k]});
    }
  }
  return found;
}

/// How wide the face's side is from the edge on: to where a ray just under it comes out.
double width_mm(const RayTree& body, const BesideEdge& beside) {
  const auto hit = body.first_hit(beside.at + beside.inward * kUnderMm - beside.normal * kUnderMm,
                                  beside.inward, 0);
  return hit ? hit->distance_mm + kUnderMm : 0;
}

/// Whether the part ends at the edge: beyond it, under the face's plane, is air. A sliver in a
/// smooth skin has sharp edges too.
bool falls_away(const RayTree& body, const BesideEdge& beside) {
  return !body.contains(beside.at - beside.inward * kBeyondMm - beside.normal * (kBeyondMm / 3));
}

void nearest_first(std::vector<BesideEdge>& places, Vec3 near) {
  std::stable_sort(places.begin(), places.end(), [&](const BesideEdge& a, const BesideEdge& b) {
    return norm(a.at - near) < norm(b.at - near);
  });
}

}  // namespace

std::vector<EdgeSide> edge_sides(const Solid& part, const std::vector<bool>& is_wanted) {
  const auto each_side = [&](const auto& visit) {
    for (std::uint32_t f = 0; f < part.face_count(); ++f) {
      if (!is_wanted[f]) continue;
      const Triangle& t = part.triangles()[f];
      for (std::uint32_t k = 0; k < 3; ++k) {
        const std::uint64_t p = to_index(t[k]), q = to_index(t[(k + 1) % 3]);
        visit(std::min(p, q), std::max(p, q), f, k);
      }
    }
  };
  // By their lower ends first, a few each: sorting all at once took three times as long.
  std::vector<std::size_t> first(part.points().size() + 1, 0);
  each_side([&](auto p, auto, auto, auto) { ++first[p + 1]; });
  std::partial_sum(first.begin(), first.end(), first.begin());
  std::vector<EdgeSide> sides(first.back());
  std::vector<std::size_t> next(first.begin(), first.end() - 1);
  each_side([&](auto p, auto q, auto f, auto k) { sides[next[p]++] = {p << 32 | q, f, k}; });
  for (std::size_t p = 0; p + 1 < first.size(); ++p) {
    const auto begin = sides.begin();
    std::sort(begin + static_cast<std::ptrdiff_t>(first[p]),
              begin + static_cast<std::ptrdiff_t>(first[p + 1]),
              [](const EdgeSide& a, const EdgeSide& b) {
                return a.ends != b.ends ? a.ends < b.ends : a.face < b.face;
              });
  }
  return sides;
}

std::optional<EdgePlace> nearest_narrow_side(const Solid& part, const RayTree& body, Vec3 near,
                                             double clear_mm) {
  std::vector<BesideEdge> places = beside_sharp_edges(part);
  nearest_first(places, near);
  for (const BesideEdge& beside : places) {
    const double wide_mm = width_mm(body, beside);
    if (wide_mm < 2 * clear_mm || wide_mm > kWidestSideMm) continue;
    if (!falls_away(body, beside)) continue;
    const Vec3 middle = beside.at + beside.inward * (wide_mm / 2);
    const auto behind = body.first_hit(middle - beside.normal * kUnderMm, -beside.normal, 0);
    if (behind && behind->distance_mm > wide_mm) return EdgePlace{middle, -beside.normal};
  }
  return std::nullopt;
}

std::optional<EdgePlace> nearest_rim(const Solid& part, const RayTree& body, const HiddenSkin& skin,
                                     Vec3 near, double inset_mm) {
  std::vector<BesideEdge> places = beside_sharp_edges(part);
  nearest_first(places, near);
  for (const BesideEdge& beside : places) {
    const Vec3 inside = beside.at + beside.inward * inset_mm;
    const NearTriangle on_skin = skin.nearest(inside);
    if (on_skin.distance_mm > inset_mm / 2) continue;
    if (dot(skin.normal(on_skin), beside.normal) < kSharpCosine) continue;
    if (!falls_away(body, beside)) continue;
    if (width_mm(body, beside) > 2 * inset_mm + 4) return EdgePlace{on_skin.point, beside.inward};
  }
  return std::nullopt;
}

}  // namespace seamwright::wiring_detail
