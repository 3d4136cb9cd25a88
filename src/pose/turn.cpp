#include "pose/turn.h"

#include <array>

namespace seamwright::pose_detail {
namespace {

Vec2 quarter_left(Vec2 a) {
  return {-a.y, a.x};
}
Vec2 quarter_right(Vec2 a) {
  return {a.y, -a.x};
}

/// Four lines that turn together around a convex outline: `corner_[k]` touches the line whose
/// direction is `along_` turned left k times by 90° (bottom, right, top, left).
class Calipers {
 public:
  explicit Calipers(std::span<const Vec2> outline) : outline_(outline) {
    for (std::size_t i = 1; i < outline.size(); ++i) {
      if (is_first(i, corner_[0], {0, -1}, {1, 0})) corner_[0] = i;
      if (is_first(i, corner_[1], {1, 0}, {0, 1})) corner_[1] = i;
      if (is_first(i, corner_[2], {0, 1}, {-1, 0})) corner_[2] = i;
      if (is_first(i, corner_[3], {-1, 0}, {0, -1})) corner_[3] = i;
    }
    find_next();
  }

  Vec2 along() const { return along_; }
  Vec2 next_along() const { return next_along_; }
  /// From the left touching corner to the right one, and from bottom to top.
  Vec2 across_width() const { return outline_[corner_[1]] - outline_[corner_[3]]; }
  Vec2 across_depth() const { return outline_[corner_[2]] - outline_[corner_[0]]; }

  void advance() {
    along_ = next_along_;
    corner_[next_] = (corner_[next_] + 1) % outline_.size();
    find_next();
  }

 private:
  /// Whether i touches a line with the outward direction before j; of two that both do, the farther
  /// one along the line, so that the next edge turns left.
  bool is_first(std::size_t i, std::size_t j, Vec2 outward, Vec2 line) const {
    const double a = dot(outline_[i], outward), b = dot(outline_[j], outward);
    return a > b || (a == b && dot(outline_[i], line) > dot(outline_[j], line));
  }
  Vec2 edge_from(std::size_t k) const {
    const std::size_t i = corner_[k];
    Vec2 edge = outline_[(i + 1) % outline_.size()] - outline_[i];
    for (std::size_t turn = 0; turn < k; ++turn) edge = quarter_right(edge);
    return edge;
  }
  void find_next() {
    Vec2 best = edge_from(0);
    next_ = 0;
    for (std::size_t k = 1; k < 4; ++k) {
      const Vec2 edge = edge_from(k);
      if (cross(edge, best) > 0) {
        best = edge;
        next_ = k;
      }
    }
    next_along_ = normalized(best);
  }

  std::span<const Vec2> outline_;
  std::array<std::size_t, 4> corner_{};
  Vec2 along_{1, 0}, next_along_{1, 0};
  std::size_t next_ = 0;
};

/// A stretch of turns over which the same corners touch.
struct Stretch {
  Vec2 from, to;                    ///< directions, `to` left of `from`
  Vec2 across_width, across_depth;  ///< between the touching corners
  double width_at(Vec2 along) const { return dot(across_width, along); }
  double depth_at(Vec2 along) const { return dot(across_depth, quarter_left(along)); }
};

/// The best turn so far, of an outline in a room seen with its width along or across.
struct Best {
  Turn turn;
  bool is_across = false;

  void offer(Vec2 along, double spare_mm, bool across) {
    if (spare_mm <= turn.spare_mm) return;
    turn = {along, spare_mm};
    is_across = across;
  }
};

/// Where both spares are equal inside the stretch: p cos t + q sin t = width − depth.
void offer_crossing(const Stretch& stretch, double width_mm, double depth_mm, bool across,
                    Best& best) {
  const double p = stretch.across_width.x - stretch.across_depth.y;
  const double q = stretch.across_width.y + stretch.across_depth.x;
  const double reach = std::hypot(p, q);
  if (reach == 0) return;
  const double middle = std::atan2(q, p);
  const double off = std::acos(std::clamp((width_mm - depth_mm) / reach, -1.0, 1.0));
  for (const double t : {middle - off, middle + off}) {
    const Vec2 along{std::cos(t), std::sin(t)};
    if (cross(stretch.from, along) < 0 || cross(along, stretch.to) < 0) continue;
    if (dot(stretch.from, along) < 0) continue;
    best.offer(along,
               std::min(width_mm - stretch.width_at(along), depth_mm - stretch.depth_at(along)),
               across);
  }
}

/// Inside a stretch each spare is convex, so the lesser of them is greatest at an end, or where
/// they cross when their order differs at the ends.
void offer_stretch(const Stretch& stretch, double width_mm, double depth_mm, bool across,
                   Best& best) {
  const double w0 = width_mm - stretch.width_at(stretch.from),
               w1 = width_mm - stretch.width_at(stretch.to);
  const double d0 = depth_mm - stretch.depth_at(stretch.from),
               d1 = depth_mm - stretch.depth_at(stretch.to);
  best.offer(stretch.from, std::min(w0, d0), across);
  best.offer(stretch.to, std::min(w1, d1), across);
  if ((w0 < d0) == (w1 < d1)) return;
  if (std::min(std::max(w0, w1), std::max(d0, d1)) <= best.turn.spare_mm) return;
  offer_crossing(stretch, width_mm, depth_mm, across, best);
}

}  // namespace

double spare_of_turn(std::span<const Vec2> points, Vec2 along, double width_mm, double depth_mm) {
  constexpr double kFar = std::numeric_limits<double>::infinity();
  double x0 = kFar, x1 = -kFar, y0 = kFar, y1 = -kFar;
  for (const Vec2 p : points) {
    const double x = dot(p, along), y = cross(along, p);
    x0 = std::min(x0, x), x1 = std::max(x1, x);
    y0 = std::min(y0, y), y1 = std::max(y1, y);
  }
  if (points.empty()) return std::min(width_mm, depth_mm);
  return std::min(width_mm - (x1 - x0), depth_mm - (y1 - y0));
}

Turn best_turn(std::span<const Vec2> outline, double width_mm, double depth_mm) {
  if (outline.size() < 2) return {{1, 0}, std::min(width_mm, depth_mm)};
  Best best;
  best.turn.spare_mm = -std::numeric_limits<double>::infinity();
  Calipers calipers(outline);
  for (std::size_t event = 0; event <= outline.size(); ++event) {
    const bool is_last = event == outline.size();
    const Stretch stretch{calipers.along(), is_last ? Vec2{0, 1} : calipers.next_along(),
                          calipers.across_width(), calipers.across_depth()};
    offer_stretch(stretch, width_mm, depth_mm, false, best);
    if (width_mm != depth_mm) offer_stretch(stretch, depth_mm, width_mm, true, best);
    if (!is_last) calipers.advance();
  }
  // Seen across, the found direction lies along the room's y axis.
  if (best.is_across) best.turn.along = quarter_right(best.turn.along);
  return best.turn;
}

}  // namespace seamwright::pose_detail
