#include "printing/order.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <tuple>

namespace seamwright {
namespace {

/// Stages within an island; brim and support come before all islands.
int stage_of(LineKind kind) {
  switch (kind) {
    case LineKind::brim:
      return 0;
    case LineKind::support:
      return 1;
    case LineKind::outer_wall:
    case LineKind::inner_wall:
      return 2;
    case LineKind::gap:
      return 3;
    case LineKind::solid_fill:
    case LineKind::bridge:
      return 4;
    case LineKind::top_skin:
      return 5;
    case LineKind::sparse_fill:
      return 6;
  }
  return 7;
}

double squared_mm2(Vec2 a, Vec2 b) {
  return dot(a - b, a - b);
}

/// A strand with the box of the points it may begin at.
struct Candidate {
  Strand* strand = nullptr;
  Vec2 low, high;
  bool is_laid = false;

  double least2(Vec2 at) const {
    const double x = std::max({0.0, low.x - at.x, at.x - high.x});
    const double y = std::max({0.0, low.y - at.y, at.y - high.y});
    return x * x + y * y;
  }
};

Candidate candidate(Strand& strand) {
  Candidate out{&strand, strand.points.front(), strand.points.front(), false};
  const auto extend = [&](Vec2 p) {
    out.low = {std::min(out.low.x, p.x), std::min(out.low.y, p.y)};
    out.high = {std::max(out.high.x, p.x), std::max(out.high.y, p.y)};
  };
  if (strand.is_loop) {
    for (const Vec2 p : strand.points) extend(p);
  } else {
    extend(strand.points.back());
  }
  return out;
}

struct Start {
  std::size_t candidate = 0, point = 0;
  double away2 = std::numeric_limits<double>::infinity();
};

void try_start(const Candidate& candidate, std::size_t index, Vec2 at, Start& best) {
  if (candidate.least2(at) >= best.away2) return;
  const std::vector<Vec2>& points = candidate.strand->points;
  const std::size_t step =
      candidate.strand->is_loop ? 1 : std::max<std::size_t>(1, points.size() - 1);
  for (std::size_t i = 0; i < points.size(); i += step) {
    const double away2 = squared_mm2(points[i], at);
    if (away2 < best.away2) best = {index, i, away2};
  }
}

Start nearest(const std::vector<Candidate>& candidates, std::size_t begin, std::size_t end,
              Vec2 at) {
  Start best;
  for (std::size_t i = begin; i < end; ++i) {
    if (!candidates[i].is_laid) try_start(candidates[i], i, at, best);
  }
  return best;
}

/// Appends the strand from its start point on; gives where it ends.
Vec2 append(const Strand& strand, std::size_t start, LaidLayer& layer) {
  LaidLine line{strand.kind, strand.is_loop, static_cast<float>(strand.width_mm),
                static_cast<std::uint32_t>(layer.points.size()), 0};
  const auto begin = strand.points.begin();
  if (strand.is_loop) {
    layer.points.insert(layer.points.end(), begin + static_cast<std::ptrdiff_t>(start),
                        strand.points.end());
    layer.points.insert(layer.points.end(), begin, begin + static_cast<std::ptrdiff_t>(start));
  } else if (start == 0) {
    layer.points.insert(layer.points.end(), begin, strand.points.end());
  } else {
    layer.points.insert(layer.points.end(), strand.points.rbegin(), strand.points.rend());
  }
  line.point_end = static_cast<std::uint32_t>(layer.points.size());
  layer.lines.push_back(line);
  return strand.is_loop ? strand.points[start] : layer.points.back();
}

/// Candidates sorted by island and stage; [begin, end) of each run.
struct Group {
  std::uint32_t island = 0;
  std::size_t begin = 0, end = 0;
};

int phase_of(const Strand& strand) {
  return std::min(stage_of(strand.kind), 2);
}

std::vector<Candidate> sorted_candidates(std::vector<Strand>& strands) {
  std::vector<Candidate> out;
  for (Strand& strand : strands) {
    if (strand.points.size() >= 2) out.push_back(candidate(strand));
  }
  std::stable_sort(out.begin(), out.end(), [](const Candidate& a, const Candidate& b) {
    const auto key = [](const Candidate& c) {
      return std::tuple(phase_of(*c.strand), phase_of(*c.strand) < 2 ? 0U : c.strand->island,
                        stage_of(c.strand->kind));
    };
    return key(a) < key(b);
  });
  return out;
}

class Orderer {
 public:
  Orderer(std::vector<Strand>& strands, LaidLayer& layer)
      : candidates_(sorted_candidates(strands)), layer_(layer) {
    for (std::size_t i = 0; i < candidates_.size(); ++i) {
      const Strand& s = *candidates_[i].strand;
      const bool is_new = i == 0 || phase_of(s) != phase_of(*candidates_[i - 1].strand) ||
                          (phase_of(s) == 2 && s.island != candidates_[i - 1].strand->island);
      if (is_new) groups_.push_back({s.island, i, i});
      groups_.back().end = i + 1;
    }
  }

  void run(std::optional<Vec2>& at) {
    if (candidates_.empty()) return;
    if (!at) at = candidates_.front().strand->points.front();
    std::vector<char> is_done(groups_.size(), 0);
    for (std::size_t round = 0; round < groups_.size(); ++round) {
      const std::size_t group = next_group(is_done, *at);
      is_done[group] = 1;
      lay_group(groups_[group], *at);
    }
  }

 private:
  int phase(const Group& group) const { return phase_of(*candidates_[group.begin].strand); }

  /// Phases in order; within the last, the island that begins nearest.
  std::size_t next_group(const std::vector<char>& is_done, Vec2 at) const {
    std::size_t best_group = groups_.size();
    double best2 = std::numeric_limits<double>::infinity();
    for (std::size_t g = 0; g < groups_.size(); ++g) {
      if (is_done[g] != 0) continue;
      if (phase(groups_[g]) < 2) return g;
      const Start start =
          nearest(candidates_, groups_[g].begin, stage_end(groups_[g].begin, groups_[g].end), at);
      if (start.away2 < best2) {
        best2 = start.away2;
        best_group = g;
      }
    }
    return best_group;
  }

  std::size_t stage_end(std::size_t begin, std::size_t end) const {
    std::size_t i = begin;
    while (i < end &&
           stage_of(candidates_[i].strand->kind) == stage_of(candidates_[begin].strand->kind))
      ++i;
    return i;
  }

  void lay_group(const Group& group, Vec2& at) {
    for (std::size_t begin = group.begin; begin < group.end;) {
      const std::size_t end = stage_end(begin, group.end);
      for (std::size_t k = begin; k < end; ++k) {
        const Start start = nearest(candidates_, begin, end, at);
        candidates_[start.candidate].is_laid = true;
        at = append(*candidates_[start.candidate].strand, start.point, layer_);
      }
      begin = end;
    }
  }

  std::vector<Candidate> candidates_;
  std::vector<Group> groups_;
  LaidLayer& layer_;
};

}  // namespace

void order_strands(std::vector<Strand>& strands, std::optional<Vec2>& at, LaidLayer& layer) {
  Orderer(strands, layer).run(at);
}

}  // namespace seamwright
