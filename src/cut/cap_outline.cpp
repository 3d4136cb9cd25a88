#include "cut/cap_outline.h"

#include <algorithm>
#include <numeric>
#include <tuple>

#include "seamwright/core/result.h"

namespace seamwright::cut_detail {
namespace {

/// A directed edge and the patch (set of faces that hang together) it bounds.
struct Rim {
  std::uint32_t from = 0, to = 0, patch = 0;
};

/// A use of an undirected edge.
struct Use {
  std::uint32_t low = 0, high = 0, face = 0;  ///< face: position in the list of faces
  bool is_forward = false;
};

std::uint32_t find(std::vector<std::uint32_t>& parents, std::uint32_t i) {
  while (parents[i] != i) i = parents[i] = parents[parents[i]];
  return i;
}

std::vector<Use> edge_uses(const Solid& solid, std::span<const std::uint32_t> faces) {
  std::vector<Use> uses;
  for (std::uint32_t k = 0; k < faces.size(); ++k) {
    const Triangle& t = solid.triangles()[faces[k]];
    for (std::size_t i = 0; i < 3; ++i) {
      const auto a = static_cast<std::uint32_t>(t[i]),
                 b = static_cast<std::uint32_t>(t[(i + 1) % 3]);
      uses.push_back({std::min(a, b), std::max(a, b), k, a < b});
    }
  }
  std::sort(uses.begin(), uses.end(), [](const Use& l, const Use& r) {
    return std::tie(l.low, l.high, l.face) < std::tie(r.low, r.high, r.face);
  });
  return uses;
}

/// The edges without an opposite among the faces, as the faces run along them, by patch.
std::vector<Rim> rims_of(const Solid& solid, std::span<const std::uint32_t> faces) {
  const std::vector<Use> uses = edge_uses(solid, faces);
  std::vector<std::uint32_t> parents(faces.size());
  std::iota(parents.begin(), parents.end(), 0U);
  std::vector<Use> alone;
  for (std::size_t i = 0; i < uses.size();) {
    std::vector<Use> forward, backward;
    const Use& first = uses[i];
    for (; i < uses.size() && uses[i].low == first.low && uses[i].high == first.high; ++i) {
      (uses[i].is_forward ? forward : backward).push_back(uses[i]);
    }
    const std::size_t pairs = std::min(forward.size(), backward.size());
    for (std::size_t k = 0; k < pairs; ++k) {
      const std::uint32_t a = find(parents, forward[k].face), b = find(parents, backward[k].face);
      parents[std::max(a, b)] = std::min(a, b);
    }
    alone.insert(alone.end(), forward.begin() + static_cast<std::ptrdiff_t>(pairs), forward.end());
    alone.insert(alone.end(), backward.begin() + static_cast<std::ptrdiff_t>(pairs),
                 backward.end());
  }
  std::vector<Rim> rims;
  for (const Use& use : alone) {
    rims.push_back({use.is_forward ? use.low : use.high, use.is_forward ? use.high : use.low,
                    find(parents, use.face)});
  }
  return rims;
}

/// Chains one patch's rim into simple loops of vertices.
class Chainer {
 public:
  Chainer(const Solid& solid, const PlaneFrame& frame, std::span<const Rim> rims)
      : solid_(solid), frame_(frame), rims_(rims.begin(), rims.end()), is_taken_(rims.size()) {
    std::sort(rims_.begin(), rims_.end(), [](const Rim& l, const Rim& r) {
      return std::tie(l.from, l.to) < std::tie(r.from, r.to);
    });
  }

  std::vector<Loop2> run() {
    for (std::size_t i = 0; i < rims_.size(); ++i) {
      if (!is_taken_[i]) follow(i);
    }
    return std::move(loops_);
  }

 private:
  Vec2 at(std::uint32_t vertex) const { return frame_.flatten(solid_.points()[vertex]); }

  /// A walk that comes through a vertex again has closed a loop: it is split off, so that loops are
  /// simple and touch at most.
  void follow(std::size_t start) {
    std::vector<std::uint32_t> walk;
    for (std::size_t i = start;;) {
      is_taken_[i] = true;
      walk.push_back(rims_[i].from);
      const auto again = std::find(walk.begin(), walk.end(), rims_[i].to);
      if (again != walk.end()) {
        Loop2 loop;
        for (auto v = again; v != walk.end(); ++v) loop.push_back(at(*v));
        loops_.push_back(std::move(loop));
        walk.erase(again, walk.end());
        if (walk.empty()) return;
      }
      i = next_after(i);
    }
  }

  /// Of the edges that leave the end of edge i, the one with the sharpest left turn: it bounds the
  /// same corner of material.
  std::size_t next_after(std::size_t i) const {
    const Vec2 here = at(rims_[i].to), back = at(rims_[i].from) - here;
    auto [first, last] =
        std::equal_range(rims_.begin(), rims_.end(), Rim{rims_[i].to, 0, 0},
                         [](const Rim& l, const Rim& r) { return l.from < r.from; });
    std::size_t best = rims_.size();
    double least = 0;
    for (auto rim = first; rim != last; ++rim) {
      const auto k = static_cast<std::size_t>(rim - rims_.begin());
      if (is_taken_[k]) continue;
      const Vec2 along = at(rim->to) - here;
      double turn = std::atan2(cross(along, back), dot(along, back));  // clockwise from `back`
      if (turn <= 0) turn += 2 * std::numbers::pi;
      if (best == rims_.size() || turn < least) best = k, least = turn;
    }
    require(best < rims_.size(), "the outline of a cap is made of closed loops");
    return best;
  }

  const Solid& solid_;
  const PlaneFrame& frame_;
  std::vector<Rim> rims_;
  std::vector<bool> is_taken_;
  std::vector<Loop2> loops_;
};

/// One patch has one outer loop: the largest.
Region2 region_of(std::vector<Loop2> loops) {
  const auto outer = std::max_element(
      loops.begin(), loops.end(),
      [](const Loop2& l, const Loop2& r) { return loop_area_mm2(l) < loop_area_mm2(r); });
  Region2 region{std::move(*outer), {}};
  loops.erase(outer);
  region.holes = std::move(loops);
  return region;
}

}  // namespace

std::vector<Region2> outline_faces(const Solid& solid, std::span<const std::uint32_t> faces,
                                   const PlaneFrame& frame) {
  double facing = 0;
  for (std::uint32_t f : faces) facing += dot(solid.area_normal(FaceId{f}), frame.normal);
  std::vector<Rim> rims = rims_of(solid, faces);
  if (facing < 0) {
    for (Rim& rim : rims) std::swap(rim.from, rim.to);
  }
  std::stable_sort(rims.begin(), rims.end(),
                   [](const Rim& l, const Rim& r) { return l.patch < r.patch; });
  std::vector<Region2> regions;
  for (auto first = rims.begin(); first != rims.end();) {
    const auto last =
        std::find_if(first, rims.end(), [&](const Rim& r) { return r.patch != first->patch; });
    regions.push_back(region_of(Chainer(solid, frame, {first, last}).run()));
    first = last;
  }
  return regions;
}

}  // namespace seamwright::cut_detail
