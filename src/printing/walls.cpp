#include "printing/walls.h"

#include <cmath>
#include <optional>

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

/// Whether shrinking `outer` by `by_mm` to `inner` lost nothing but the band along its edge: the
/// band's area is then by × the mean edge (Steiner). Where a part vanishes or splits, it is not.
bool shrank_evenly(const Measured& outer, const Measured& inner, double by_mm) {
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
    for (std::size_t k = 0; k < plan_.count && !is_done(); ++k) lay_loop(k);
    return rest();
  }

 private:
  bool is_done() const { return left_.region.empty() && !middle_; }

  /// Even shrinking needs one offset a loop, from loop to loop; anything else is done by hand.
  void lay_loop(std::size_t k) {
    const double w = plan_.width_mm;
    const Measured& from = middle_ ? *middle_ : left_;
    const double by_mm = middle_ ? w : w / 2;
    Measured next = measured(flat::grown(from.region, -by_mm));
    const LineKind kind = k == 0 ? plan_.first : plan_.others;
    if (shrank_evenly(from, next, by_mm)) {
      last_loops_ = strands_.size();
      add_loops(next.region, kind, w, strands_);
      middle_ = std::move(next);
      return;
    }
    step_to_edge();
    lay_uneven_loop(k, kind);
  }

  void lay_uneven_loop(std::size_t k, LineKind kind) {
    const double w = plan_.width_mm;
    left_ = lay_narrow(std::move(left_), w, k == 0 ? plan_.first_thin : plan_.thin, strands_);
    const Paths loops = flat::grown(left_.region, -(w / 2 - kLessMm));
    Measured inner =
        measured(flat::opened(flat::grown(left_.region, -(w - kLessMm)), kSliverRatio * w));
    const double length_mm = flat::perimeter_mm(loops);
    if (length_mm > 0) {
      // Loops that lie closer than a line's width, or leave a sliver, share what there is.
      const double band_mm2 = left_.area_mm2 - inner.area_mm2;
      add_loops(loops, kind, std::clamp(band_mm2 / length_mm, 0.3 * w, 2 * w), strands_);
    }
    left_ = std::move(inner);
  }

  /// From the last loop's middle to its inner edge. What is too narrow for a line there goes to the
  /// loops beside it: the plastic has to fill the wall.
  void step_to_edge() {
    if (!middle_) return;
    const double half_mm = plan_.width_mm / 2;
    const Paths edge = flat::grown(middle_->region, -(half_mm - kLessMm));
    left_ = measured(flat::opened(edge, kSliverRatio * plan_.width_mm));
    const double lost_mm2 = flat::area_mm2(edge) - left_.area_mm2;
    if (middle_->edge_mm > 0 && lost_mm2 > 0) {
      const double wider_mm = std::min(lost_mm2 / middle_->edge_mm, 0.5 * plan_.width_mm);
      for (std::size_t i = last_loops_; i < strands_.size(); ++i) strands_[i].width_mm += wider_mm;
    }
    middle_.reset();
  }

  Paths rest() {
    const double reach_mm = kNarrowRatio * plan_.width_mm;
    if (middle_) {
      Measured edge = measured(flat::grown(middle_->region, -plan_.width_mm / 2));
      const Measured deep = measured(flat::grown(edge.region, -reach_mm));
      if (shrank_evenly(*middle_, edge, plan_.width_mm / 2) &&
          shrank_evenly(edge, deep, reach_mm)) {
        return std::move(edge.region);
      }
      step_to_edge();
    }
    if (left_.region.empty()) return {};
    return lay_narrow(std::move(left_), plan_.width_mm, plan_.thin, strands_).region;
  }

  const WallPlan& plan_;
  std::vector<Strand>& strands_;
  Measured left_;                   // what no loop has taken yet, when middle_ is empty
  std::size_t last_loops_ = 0;      // where the last loop's strands begin
  std::optional<Measured> middle_;  // the last loop, laid evenly
};

}  // namespace

Paths lay_walls(const Paths& island, const WallPlan& plan, std::vector<Strand>& strands) {
  return WallLayer(island, plan, strands).lay();
}

}  // namespace seamwright
