#include "printing/hatch.h"

#include <algorithm>
#include <cmath>
#include <optional>
#include <tuple>

namespace seamwright {
namespace {

constexpr double kLinkSpacings = 3;  // longest way along the edge to the next line

/// Where a hatch line crosses the region's edge.
struct Hit {
  long line = 0;
  double u_mm = 0;  // along the line
  std::uint32_t contour = 0;
  double at_mm = 0;  // along the contour
};

struct Chord {
  Hit ends[2];
  bool is_laid = false;
};

/// The region's contours turned so that the hatch lines run along x.
struct Turned {
  std::vector<Loop2> loops;
  std::vector<std::vector<double>> at_mm;  // arc length at each point, and the whole at the end
  double cosine, sine;

  Turned(const flat::Paths& region, Angle direction)
      : cosine(std::cos(direction.radians())), sine(std::sin(direction.radians())) {
    for (const flat::Path& path : region) {
      Loop2 loop = flat::to_mm(path);
      for (Vec2& p : loop) p = {cosine * p.x + sine * p.y, cosine * p.y - sine * p.x};
      std::vector<double> at{0};
      for (std::size_t i = 0; i < loop.size(); ++i) {
        at.push_back(at.back() + norm(loop[(i + 1) % loop.size()] - loop[i]));
      }
      loops.push_back(std::move(loop));
      at_mm.push_back(std::move(at));
    }
  }
  Vec2 back(Vec2 p) const { return {cosine * p.x - sine * p.y, sine * p.x + cosine * p.y}; }
};

std::vector<Hit> find_hits(const Turned& turned, double spacing_mm) {
  std::vector<Hit> hits;
  for (std::size_t c = 0; c < turned.loops.size(); ++c) {
    const Loop2& loop = turned.loops[c];
    for (std::size_t i = 0; i < loop.size(); ++i) {
      const Vec2 a = loop[i], b = loop[(i + 1) % loop.size()];
      // Half-open: a line at y is crossed when low < y <= high.
      const auto below = [&](double y) {
        return static_cast<long>(std::floor(y / spacing_mm - 0.5));
      };
      const long from = below(std::min(a.y, b.y)) + 1, to = below(std::max(a.y, b.y));
      for (long j = from; j <= to; ++j) {
        const double t = ((static_cast<double>(j) + 0.5) * spacing_mm - a.y) / (b.y - a.y);
        const double along = std::clamp(t, 0.0, 1.0);
        hits.push_back(
            {j, a.x + (b.x - a.x) * along, static_cast<std::uint32_t>(c),
             turned.at_mm[c][i] + (turned.at_mm[c][i + 1] - turned.at_mm[c][i]) * along});
      }
    }
  }
  std::sort(hits.begin(), hits.end(), [](const Hit& a, const Hit& b) {
    return std::tie(a.line, a.u_mm, a.contour, a.at_mm) <
           std::tie(b.line, b.u_mm, b.contour, b.at_mm);
  });
  return hits;
}

/// Chords of each line, even-odd. A line whose hits don't pair (two contours met in rounding) drops
/// its last hit.
std::vector<Chord> pair_hits(const std::vector<Hit>& hits, double shortest_mm) {
  std::vector<Chord> chords;
  for (std::size_t i = 0; i + 1 < hits.size();) {
    if (hits[i].line != hits[i + 1].line) {
      ++i;
      continue;
    }
    if (hits[i + 1].u_mm - hits[i].u_mm >= shortest_mm) {
      chords.push_back({{hits[i], hits[i + 1]}, false});
    }
    i += 2;
  }
  return chords;
}

class Linker {
 public:
  Linker(const Turned& turned, const HatchPlan& plan)
      : turned_(turned),
        plan_(plan),
        chords_(pair_hits(find_hits(turned, plan.spacing_mm), plan.shortest_mm)) {}

  std::vector<std::vector<Vec2>> link() {
    std::vector<std::vector<Vec2>> paths;
    for (std::size_t first = 0; first < chords_.size(); ++first) {
      if (!chords_[first].is_laid) paths.push_back(follow(first));
    }
    return paths;
  }

 private:
  struct Next {
    std::size_t chord = 0;
    int end = 0;
    double way_mm = 0;  // signed: against the contour when negative
  };

  std::vector<Vec2> follow(std::size_t chord) {
    std::vector<Vec2> path;
    int from = 0;
    for (;;) {
      Chord& laid = chords_[chord];
      laid.is_laid = true;
      path.push_back(at_hit(laid.ends[from]));
      path.push_back(at_hit(laid.ends[1 - from]));
      const auto next = find_next(chord, laid.ends[1 - from]);
      if (!next) return path;
      add_way(laid.ends[1 - from], next->way_mm, path);
      chord = next->chord;
      from = next->end;
    }
  }

  Vec2 at_hit(const Hit& hit) const {
    return turned_.back({hit.u_mm, (static_cast<double>(hit.line) + 0.5) * plan_.spacing_mm});
  }

  std::optional<Next> find_next(std::size_t chord, const Hit& end) const {
    std::optional<Next> best;
    std::size_t i = chord + 1;
    while (i < chords_.size() && chords_[i].ends[0].line == end.line) ++i;
    for (; i < chords_.size() && chords_[i].ends[0].line == end.line + 1; ++i) {
      if (chords_[i].is_laid) continue;
      for (int e = 0; e < 2; ++e) {
        const Hit& other = chords_[i].ends[e];
        if (other.contour != end.contour) continue;
        const double whole_mm = turned_.at_mm[end.contour].back();
        const double way_mm = std::remainder(other.at_mm - end.at_mm, whole_mm);
        if (std::abs(way_mm) > kLinkSpacings * plan_.spacing_mm) continue;
        if (!best || std::abs(way_mm) < std::abs(best->way_mm)) best = Next{i, e, way_mm};
      }
    }
    return best;
  }

  /// The contour's own points on the way.
  void add_way(const Hit& from, double way_mm, std::vector<Vec2>& path) const {
    const Loop2& loop = turned_.loops[from.contour];
    const std::vector<double>& at = turned_.at_mm[from.contour];
    const double whole_mm = at.back();
    const auto first = static_cast<std::size_t>(
        std::upper_bound(at.begin(), at.end() - 1, from.at_mm) - at.begin());
    const std::size_t n = loop.size();
    for (std::size_t k = 0; k < n; ++k) {
      const std::size_t i = way_mm > 0 ? (first + k) % n : (first + 2 * n - 1 - k) % n;
      double ahead_mm = way_mm > 0 ? at[i] - from.at_mm : from.at_mm - at[i];
      if (ahead_mm < 0) ahead_mm += whole_mm;
      if (ahead_mm >= std::abs(way_mm)) return;
      if (ahead_mm > 0) path.push_back(turned_.back(loop[i]));
    }
  }

  const Turned& turned_;
  const HatchPlan& plan_;
  std::vector<Chord> chords_;
};

}  // namespace

std::vector<std::vector<Vec2>> hatch(const flat::Paths& region, const HatchPlan& plan) {
  const Turned turned(region, plan.direction);
  return Linker(turned, plan).link();
}

}  // namespace seamwright
