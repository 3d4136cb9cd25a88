#include "printing/walls.h"

#include <cmath>

#include "printing/middle_line.h"

namespace seamwright {
namespace {

using flat::Paths;

// Off round numbers on purpose: walls are drawn as multiples of the line width, and a threshold on
// such a multiple would take one wall for both sides of it, all along its length.
constexpr double kNarrowRatio = 0.77;  // half the width, in lines, under which one line is laid
constexpr double kSliverRatio = 0.15;  // half the width, in lines, under which nothing is
constexpr double kLessMm = 0.003;      // offsets meant to keep a part shrink by this much less

struct Measured {
  Paths region;
  double area_mm2 = 0, edge_mm = 0;
};

Measured measured(Paths region) {
  const double area_mm2 = flat::area_mm2(region), edge_mm = flat::perimeter_mm(region);
  return {std::move(region), area_mm2, edge_mm};
}

Measured shrunk(const Measured& from, double by_mm) {
  return measured(flat::grown(from.region, -by_mm));
}

double loop_length_mm(const std::vector<Vec2>& points) {
  double sum = norm(points.front() - points.back());
  for (std::size_t i = 1; i < points.size(); ++i) sum += norm(points[i] - points[i - 1]);
  return sum;
}

/// Whether shrinking `outer` by `by_mm` to `inner` lost nothing but the band along its edge: the
/// band's area is then by × the mean edge (Steiner). Where a part vanishes or splits, it is not.
bool shrank_evenly(const Measured& outer, const Measured& inner, double by_mm) {
  if (inner.region.empty()) return false;
  const double band_mm2 = by_mm * (outer.edge_mm + inner.edge_mm) / 2;
  return std::abs(outer.area_mm2 - inner.area_mm2 - band_mm2) <=
         0.01 * band_mm2 + 0.05 * by_mm * by_mm;
}

void add_loops(const Paths& loops, LineKind kind, double width_mm, std::vector<Strand>& strands) {
  for (const flat::Path& loop : loops) {
    strands.push_back({kind, true, width_mm, flat::to_mm(loop), 0});
  }
}

/// What is left of the region, without the parts that hold one line only; those are laid.
Measured lay_narrow(Measured region, double width_mm, LineKind kind, std::vector<Strand>& strands) {
  const double reach_mm = kNarrowRatio * width_mm;
  const Paths wide = flat::grown(flat::grown(region.region, -reach_mm), reach_mm + kLessMm);
  Paths narrow = flat::opened(flat::minus(region.region, wide), kSliverRatio * width_mm);
  // Stubs at the ends and corners of wide parts are theirs, not lines.
  Paths kept;
  for (const Paths& part : flat::islands(narrow)) {
    if (flat::area_mm2(part) < width_mm * width_mm) continue;
    kept.insert(kept.end(), part.begin(), part.end());
    for (Strand& line : middle_lines(part, kind)) strands.push_back(std::move(line));
  }
  if (kept.empty()) return region;
  return measured(flat::opened(flat::minus(region.region, kept), kSliverRatio * width_mm));
}

class WallLayer {
 public:
  WallLayer(const Paths& island, const WallPlan& plan, std::vector<Strand>& strands)
      : plan_(plan), strands_(strands), left_(measured(island)) {}

  Paths lay() {
    for (std::size_t k = lay_even_loops(); k < plan_.count && !left_.region.empty(); ++k) {
      lay_uneven_loop(k);
    }
    return rest();
  }

 private:
  LineKind kind(std::size_t k) const { return k == 0 ? plan_.first : plan_.others; }

  /// As long as shrinking is even: one offset from loop to loop. A loop counts only when the step
  /// after it is even too, else its two sides could lie closer than a line. Returns how many.
  std::size_t lay_even_loops() {
    const double w = plan_.width_mm;
    Measured loop = shrunk(left_, w / 2), last;
    if (!shrank_evenly(left_, loop, w / 2)) return 0;
    for (std::size_t k = 0; k < plan_.count; ++k) {
      const double by_mm = k + 1 == plan_.count ? w / 2 : w;
      Measured next = shrunk(loop, by_mm);
      if (!shrank_evenly(loop, next, by_mm)) {
        if (k > 0) left_ = shrunk(last, w / 2 - kLessMm);
        return k;
      }
      last_loops_ = strands_.size();
      add_loops(loop.region, kind(k), w, strands_);
      last = std::move(loop);
      loop = std::move(next);
    }
    left_ = std::move(loop);
    return plan_.count;
  }

  void lay_uneven_loop(std::size_t k) {
    const double w = plan_.width_mm;
    left_ = lay_narrow(std::move(left_), w, k == 0 ? plan_.first_thin : plan_.thin, strands_);
    const Paths loops = flat::grown(left_.region, -(w / 2 - kLessMm));
    Measured inner =
        measured(flat::opened(flat::grown(left_.region, -(w - kLessMm)), kSliverRatio * w));
    const double length_mm = flat::perimeter_mm(loops);
    last_loops_ = strands_.size();
    if (length_mm > 0) {
      // Loops that lie closer than a line's width, or leave a sliver, share what there is.
      const double band_mm2 = left_.area_mm2 - inner.area_mm2;
      add_loops(loops, kind(k), std::clamp(band_mm2 / length_mm, 0.3 * w, 2 * w), strands_);
    }
    left_ = std::move(inner);
  }

  /// What is left for the fill. Slivers too narrow for a line go to the loops beside them: the
  /// plastic has to fill the wall.
  Paths rest() {
    const double w = plan_.width_mm, reach_mm = kNarrowRatio * w;
    if (left_.region.empty()) return {};
    if (shrank_evenly(left_, shrunk(left_, reach_mm), reach_mm)) return std::move(left_.region);
    const double before_mm2 = left_.area_mm2;
    left_ = measured(flat::opened(left_.region, kSliverRatio * w));
    widen_last_loops(before_mm2 - left_.area_mm2);
    if (left_.region.empty()) return {};
    return lay_narrow(std::move(left_), w, plan_.thin, strands_).region;
  }

  void widen_last_loops(double lost_mm2) {
    double length_mm = 0;
    for (std::size_t i = last_loops_; i < strands_.size(); ++i) {
      length_mm += loop_length_mm(strands_[i].points);
    }
    if (!(length_mm > 0) || lost_mm2 <= 0) return;
    const double wider_mm = std::min(lost_mm2 / length_mm, 0.5 * plan_.width_mm);
    for (std::size_t i = last_loops_; i < strands_.size(); ++i) strands_[i].width_mm += wider_mm;
  }

  const WallPlan& plan_;
  std::vector<Strand>& strands_;
  Measured left_;               // what no loop has taken yet
  std::size_t last_loops_ = 0;  // where the last loop's strands begin
};

}  // namespace

Paths lay_walls(const Paths& island, const WallPlan& plan, std::vector<Strand>& strands) {
  return WallLayer(island, plan, strands).lay();
}

}  // namespace seamwright
