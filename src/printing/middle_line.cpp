#include "printing/middle_line.h"

#include <algorithm>
#include <cmath>

namespace seamwright {
namespace {

/// A loop with its arc lengths, to cut pieces out of.
class Contour {
 public:
  explicit Contour(Loop2 loop) : loop_(std::move(loop)), at_mm_(loop_.size() + 1, 0) {
    for (std::size_t i = 0; i < loop_.size(); ++i) {
      at_mm_[i + 1] = at_mm_[i] + norm(point(i + 1) - point(i));
    }
  }
  double length_mm() const { return at_mm_.back(); }
  std::size_t size() const { return loop_.size(); }
  Vec2 point(std::size_t i) const { return loop_[i % loop_.size()]; }
  double at_mm(std::size_t i) const { return at_mm_[i]; }

  Vec2 sample(double s_mm) const {
    const std::size_t i = line_at(s_mm);
    const double length_mm = at_mm_[i + 1] - at_mm_[i];
    const double t = length_mm > 0 ? (wrap(s_mm) - at_mm_[i]) / length_mm : 0;
    return point(i) + (point(i + 1) - point(i)) * t;
  }

  /// The stretch from `from_mm`, `length_mm` long, as a path.
  std::vector<Vec2> stretch(double from_mm, double length_mm) const {
    std::vector<Vec2> out{sample(from_mm)};
    const double end_mm = wrap(from_mm) + length_mm;
    for (std::size_t i = line_at(from_mm) + 1;; ++i) {
      const double s_mm = at_mm_[i % size()] + (i >= size() ? this->length_mm() : 0);
      if (s_mm >= end_mm || i >= 2 * size()) break;
      out.push_back(point(i));
    }
    out.push_back(sample(from_mm + length_mm));
    return out;
  }

 private:
  double wrap(double s_mm) const {
    s_mm = std::fmod(s_mm, length_mm());
    return s_mm < 0 ? s_mm + length_mm() : s_mm;
  }
  std::size_t line_at(double s_mm) const {
    const auto after = std::upper_bound(at_mm_.begin(), at_mm_.end(), wrap(s_mm));
    const auto i = static_cast<std::size_t>(after - at_mm_.begin());
    return std::min(i, size()) - 1;
  }
  Loop2 loop_;
  std::vector<double> at_mm_;
};

/// Where half the contour must begin so that its ends lie farthest apart: a strip's two tips.
double tip_mm(const Contour& contour) {
  double best_mm = 0, best = -1;
  for (std::size_t i = 0; i < contour.size(); ++i) {
    const double s_mm = contour.at_mm(i);
    const double apart = norm(contour.sample(s_mm + contour.length_mm() / 2) - contour.point(i));
    if (apart > best) {
      best = apart;
      best_mm = s_mm;
    }
  }
  return best_mm;
}

/// The path moved to its left, where the material is.
void move_left(std::vector<Vec2>& path, double by_mm) {
  const std::vector<Vec2> old = path;
  for (std::size_t i = 0; i < path.size(); ++i) {
    const Vec2 in = i > 0 ? normalized(old[i] - old[i - 1]) : Vec2{};
    const Vec2 out = i + 1 < old.size() ? normalized(old[i + 1] - old[i]) : Vec2{};
    const Vec2 along = normalized(in + out);
    path[i] = old[i] + Vec2{-along.y, along.x} * by_mm;
  }
}

double path_mm(const std::vector<Vec2>& path) {
  double sum = 0;
  for (std::size_t i = 1; i < path.size(); ++i) sum += norm(path[i] - path[i - 1]);
  return sum;
}

double nearest_mm(const Contour& contour, Vec2 to) {
  double best_mm = 0, best = -1;
  for (std::size_t i = 0; i < contour.size(); ++i) {
    const double away = norm(contour.point(i) - to);
    if (best < 0 || away < best) {
      best = away;
      best_mm = contour.at_mm(i);
    }
  }
  return best_mm;
}

using Lines = std::vector<std::vector<Vec2>>;

/// Where one of several lines lies in a part's width.
struct Lane {
  double width_mm;  // of the part
  double in_mm;     // from its edge
};

Lines strip_line(const Contour& outer, const Lane& lane) {
  const double half_mm = outer.length_mm() / 2;
  const double end_mm = std::min(lane.width_mm / 2, 0.3 * half_mm);
  std::vector<Vec2> line = outer.stretch(tip_mm(outer) + end_mm, half_mm - 2 * end_mm);
  move_left(line, lane.in_mm);
  return {std::move(line)};
}

/// Half of every contour; a hole's half goes on where the last one ended, as one line with it when
/// that is near. Holes run clockwise, the other way round the ring: theirs is turned about.
Lines ring_lines(const std::vector<Contour>& contours, const Lane& lane) {
  Lines lines;
  for (std::size_t c = 0; c < contours.size(); ++c) {
    const Contour& contour = contours[c];
    const double half_mm = contour.length_mm() / 2;
    if (c == 0) {
      lines.push_back(contour.stretch(0, half_mm));
      move_left(lines.back(), lane.in_mm);
      continue;
    }
    const Vec2 end = lines.back().back();
    std::vector<Vec2> half = contour.stretch(nearest_mm(contour, end) - half_mm, half_mm);
    move_left(half, lane.width_mm - lane.in_mm);
    std::reverse(half.begin(), half.end());
    if (norm(half.front() - end) <= 2 * lane.width_mm) {
      lines.back().insert(lines.back().end(), half.begin(), half.end());
    } else {
      lines.push_back(std::move(half));
    }
  }
  return lines;
}

std::vector<Strand> lanes(const flat::Paths& narrow, LineKind kind, std::size_t lane_count) {
  const double area_mm2 = flat::area_mm2(narrow), width_mm = mean_width_mm(narrow);
  if (!(area_mm2 > 0)) return {};
  std::vector<Contour> contours;
  for (const flat::Path& path : narrow) contours.emplace_back(flat::to_mm(path));
  std::vector<Strand> out;
  double length_mm = 0;
  for (std::size_t k = 0; k < lane_count; ++k) {
    const Lane lane{width_mm,
                    width_mm * (static_cast<double>(k) + 0.5) / static_cast<double>(lane_count)};
    for (auto& line :
         contours.size() > 1 ? ring_lines(contours, lane) : strip_line(contours[0], lane)) {
      length_mm += path_mm(line);
      out.push_back({kind, false, 0, std::move(line), 0});
    }
  }
  if (!(length_mm > 0)) return {};
  for (Strand& strand : out) strand.width_mm = area_mm2 / length_mm;
  return out;
}

}  // namespace

double mean_width_mm(const flat::Paths& narrow) {
  const double area_mm2 = flat::area_mm2(narrow), half_mm = flat::perimeter_mm(narrow) / 2;
  if (!(half_mm > 0)) return 0;
  if (narrow.size() > 1) return area_mm2 / half_mm;  // a ring has no ends
  return (half_mm - std::sqrt(std::max(0.0, half_mm * half_mm - 4 * area_mm2))) / 2;
}

std::vector<Strand> middle_lines(const flat::Paths& narrow, LineKind kind) {
  return lanes(narrow, kind, 1);
}

std::vector<Strand> side_by_side_lines(const flat::Paths& narrow, LineKind kind,
                                       double line_width_mm) {
  const double lines = mean_width_mm(narrow) / line_width_mm;
  return lanes(narrow, kind, static_cast<std::size_t>(std::max(1L, std::lround(lines))));
}

}  // namespace seamwright
