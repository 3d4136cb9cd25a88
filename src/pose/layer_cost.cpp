#include "pose/layer_cost.h"

#include <algorithm>

namespace seamwright::pose_detail {
namespace {

// Off round numbers: walls are often drawn as multiples of the line width.
constexpr double kOneLineWidths = 1.54;  // a strip under this is filled by one line
constexpr double kSliverWidths = 0.3;    // a strip under this by none
constexpr double kLoopedWidths = 4.1;    // skins narrower than this are looped, not hatched
constexpr double kHatchInset = 0.35;     // of a line's width, between the last wall's edge and fill
constexpr double kTurnBackJerk =
    0.75;  // speed at a hatch line's end, of the jerk: turns of 90° at 45°
constexpr double kMovesPerIsland = 1.5;  // with retraction, a layer; the full model: 1 to 1.9
constexpr double kMovesPerSkin = 3;  // more where part of a layer is skin; the full model: 2 to 4

/// Time from rest to rest along a length.
double move_s(double length_mm, double cruise_mm_per_s, double acceleration_mm_per_s2) {
  const double v = cruise_mm_per_s, a = acceleration_mm_per_s2;
  return length_mm * a >= v * v ? length_mm / v + v / a : 2 * std::sqrt(length_mm / a);
}

/// Time along a straight line entered and left at the same speed.
double line_s(double length_mm, double ends_mm_per_s, double cruise_mm_per_s,
              double acceleration_mm_per_s2) {
  const double e = std::min(ends_mm_per_s, cruise_mm_per_s), v = cruise_mm_per_s,
               a = acceleration_mm_per_s2;
  const double peak2 = a * length_mm + e * e;
  if (peak2 >= v * v) return length_mm / v + (v - e) * (v - e) / (a * v);
  return 2 * (std::sqrt(peak2) - e) / a;
}

/// The section and what insets of it have left, by Steiner's formula with the section's own
/// corners.
struct Inset {
  double area_mm2, edge_mm, shrink_ratio;
  double edge_at(double depth_mm) const { return std::max(0.0, edge_mm - shrink_ratio * depth_mm); }
  double area_at(double depth_mm) const {
    // A shrinking edge that has vanished has vanished for good.
    if (edge_at(depth_mm) == 0) return 0;
    return std::max(0.0, area_mm2 - depth_mm * (edge_mm - shrink_ratio * depth_mm / 2));
  }
  /// Mean width of what is left: exact for strips.
  double width_at(double depth_mm) const {
    const double edge = edge_at(depth_mm);
    return edge > 0 ? 2 * area_at(depth_mm) / edge : 0;
  }
};

/// A part of the inside that is filled in one way.
struct Filled {
  double area_mm2 = 0, edge_mm = 0;
};

class LayerTimer {
 public:
  LayerTimer(const LayerSums& layer, std::size_t number, double thickness_mm,
             const Settings& settings)
      : layer_(layer),
        number_(number),
        thickness_mm_(thickness_mm),
        settings_(settings),
        inset_{layer.area_mm2, layer.edge_mm, layer.shrink_ratio},
        width_mm_(settings.print.line_width_mm) {}

  LayerCost cost() {
    lay_walls();
    lay_inside();
    lay_support();
    if (number_ == 0) lay_brim();
    LayerCost cost{slowed(lines_s_) + ways_s() + change_s(), plastic_mm2_ * thickness_mm_,
                   support_mm2_ * thickness_mm_};
    return cost;
  }

 private:
  double speed(double wanted_mm_per_s) const {
    const PrintSettings& print = settings_.print;
    if (number_ == 0) wanted_mm_per_s = std::min(wanted_mm_per_s, print.first_layer_mm_per_s);
    return std::min(wanted_mm_per_s,
                    settings_.material.flow_limit_mm3_per_s / (width_mm_ * thickness_mm_));
  }
  double acceleration() const { return settings_.printer.acceleration_mm_per_s2; }
  /// The speed through a right angle.
  double corner_mm_per_s() const {
    const Printer& printer = settings_.printer;
    if (printer.corner_rule == CornerRule::jerk) return printer.corner_jerk_mm_per_s;
    constexpr double kRightAngle = 2.41421356;  // s / (1 - s), s = sin 45°
    return std::sqrt(acceleration() * printer.junction_deviation_mm * kRightAngle);
  }
  /// The speed at which a line begins and ends.
  double end_mm_per_s() const {
    const Printer& printer = settings_.printer;
    return printer.corner_rule == CornerRule::jerk ? printer.corner_jerk_mm_per_s : 0;
  }

  void lay(double length_mm, double width_mm, double stops_s, double wanted_mm_per_s) {
    const double v = speed(wanted_mm_per_s);
    // Corners that follow each other closely leave no room to speed up at all.
    const double slowest_s = length_mm / std::min(v, corner_mm_per_s());
    lines_s_ += std::min(length_mm / v + stops_s, slowest_s);
    line_mm_ += length_mm;
    plastic_mm2_ += length_mm * width_mm;
  }
  double end_stop_s(double wanted_mm_per_s) const { return stop_s(speed(wanted_mm_per_s)); }
  double stop_s(double from_mm_per_s) const {
    const double lost = std::max(0.0, from_mm_per_s - end_mm_per_s());
    return lost * lost / (from_mm_per_s * acceleration());
  }
  /// What the corners of one loop cost at a speed, beside the loop's length.
  double corners_s(double wanted_mm_per_s) const {
    const double v = speed(wanted_mm_per_s);
    double sum = 0;
    for (std::size_t k = kSharpnessCount; k-- > 0;) {
      const double lost = v - corner_speed(sharpness_ratio(k));
      if (lost <= 0) break;  // gentler corners cost nothing
      sum += layer_.corner_n[k] * lost * lost;
    }
    return sum / (v * acceleration());
  }
  double corner_speed(double sharp_ratio) const {
    const Printer& printer = settings_.printer;
    if (printer.corner_rule == CornerRule::jerk) return printer.corner_jerk_mm_per_s / sharp_ratio;
    // The largest component of a change of direction is 0.9 of it in the mean over all directions.
    const double change = std::min(sharp_ratio / 0.9, 2.0);
    const double s = std::sqrt(1 - change * change / 4);
    return std::sqrt(acceleration() * printer.junction_deviation_mm * s / std::max(1 - s, 1e-12));
  }

  /// Each loop where it lies; a strip too narrow for two lines gets one.
  void lay_walls() {
    const PrintSettings& print = settings_.print;
    const double loops = std::max(1.0, std::abs(layer_.turn_n));
    for (int k = 0; k < print.wall_count; ++k) {
      const double left_mm = inset_.width_at(depth_mm_);
      if (left_mm < kSliverWidths * width_mm_) return spread_sliver();
      const bool is_outer = k == 0;
      const double wanted = is_outer ? print.outer_wall_speed() : print.inner_wall_speed();
      if (left_mm < kOneLineWidths * width_mm_) {
        return lay_gap();
      }
      const double width_mm = std::min(width_mm_, left_mm / 2);
      const double length_mm = inset_.edge_at(depth_mm_ + width_mm / 2);
      lay(length_mm, width_mm, std::max(corners_s(wanted), loops * end_stop_s(wanted)), wanted);
      short_moves_ += loops;
      depth_mm_ += width_mm;
    }
  }
  /// What is too narrow for a line widens the lines beside it.
  void spread_sliver() {
    plastic_mm2_ += inset_.area_at(depth_mm_);
    is_full_ = true;
  }
  void lay_gap() {
    const double wanted_mm_per_s = settings_.print.gap_speed();
    const double area_mm2 = inset_.area_at(depth_mm_), length_mm = inset_.edge_at(depth_mm_) / 2;
    if (length_mm > 0)
      lay(length_mm, area_mm2 / length_mm, end_stop_s(wanted_mm_per_s), wanted_mm_per_s);
    far_moves_ += 1;
    is_full_ = true;
  }

  void lay_inside() {
    const double area_mm2 = inset_.area_at(depth_mm_), edge_mm = inset_.edge_at(depth_mm_);
    if (is_full_ || area_mm2 <= 0) return;
    const double left_mm = inset_.width_at(depth_mm_);
    if (left_mm < kSliverWidths * width_mm_) return spread_sliver();
    if (left_mm < kOneLineWidths * width_mm_) return lay_gap();
    // Bare strips follow the edge, and are as much shorter inside the walls as the edge is.
    const double inside_ratio = layer_.edge_mm > 0 ? edge_mm / layer_.edge_mm : 1;
    const bool is_solid = settings_.print.fill_ratio >= 1;
    const double share = is_solid ? 1 : std::min(1.0, inside_ratio * layer_.skin_mm2 / area_mm2);
    if (left_mm < kLoopedWidths * width_mm_ && share < 1 && settings_.print.fill_ratio > 0)
      return lay_lanes(left_mm);
    const double skin_mm2 = share * area_mm2;
    lay_skin({skin_mm2, edge_mm * (2 - share)}, skin_speed(inside_ratio, skin_mm2));
    if (share > 0.02 && share < 0.98) far_moves_ += kMovesPerSkin;
    if (share < 1 && settings_.print.fill_ratio > 0) {
      lay_hatch({area_mm2 - skin_mm2, edge_mm * std::sqrt(1 - share)},
                width_mm_ / settings_.print.fill_ratio, settings_.print.sparse_fill_speed());
    }
  }

  /// An inside too narrow for a hatch: as many lines side by side as there is room for.
  void lay_lanes(double left_mm) {
    const double wanted_mm_per_s = settings_.print.gap_speed();
    const double lanes = std::max(1.0, std::round(left_mm / width_mm_));
    const double length_mm = lanes * inset_.edge_at(depth_mm_ + left_mm / 4) / 2;
    lay(length_mm, inset_.area_at(depth_mm_) / length_mm, lanes * end_stop_s(wanted_mm_per_s),
        wanted_mm_per_s);
    far_moves_ += 1;
    short_moves_ += lanes - 1;
    is_full_ = true;
  }

  /// The mean speed over the bare top and what lies deeper.
  double skin_speed(double inside_ratio, double skin_mm2) const {
    const PrintSettings& print = settings_.print;
    if (skin_mm2 <= 0) return print.solid_fill_speed();
    const double top = std::min(1.0, inside_ratio * layer_.bare_top_mm2 / skin_mm2);
    return 1 / (top / print.top_skin_speed() + (1 - top) / print.solid_fill_speed());
  }

  void lay_skin(const Filled& skin, double wanted_mm_per_s) {
    if (skin.area_mm2 <= 0) return;
    if (2 * skin.area_mm2 < kLoopedWidths * width_mm_ * skin.edge_mm) {
      const double loops = skin.area_mm2 / (skin.edge_mm / 2 * width_mm_);
      lay(skin.area_mm2 / width_mm_, width_mm_, loops * end_stop_s(wanted_mm_per_s),
          wanted_mm_per_s);
      return;
    }
    lay_hatch(skin, width_mm_, wanted_mm_per_s);
  }

  /// Lines at the mean chord of the region (π area / edge), each linked to the next along the edge.
  void lay_hatch(Filled region, double spacing_mm, double wanted_mm_per_s) {
    const double whole_mm2 = region.area_mm2, inset_mm = kHatchInset * width_mm_;
    region.area_mm2 -= inset_mm * region.edge_mm;
    if (region.area_mm2 <= 0 || region.edge_mm <= 0) return;
    const double chord_mm = std::numbers::pi * region.area_mm2 / region.edge_mm;
    const double lines = region.area_mm2 / (spacing_mm * chord_mm);
    const double v = speed(wanted_mm_per_s), ends = kTurnBackJerk * corner_mm_per_s();
    lines_s_ += lines * (line_s(chord_mm, ends, v, acceleration()) +
                         line_s(spacing_mm, ends, v, acceleration()));
    line_mm_ += lines * (chord_mm + spacing_mm);
    // Solid lines are laid as wide as makes up the region.
    plastic_mm2_ +=
        spacing_mm == width_mm_ ? whole_mm2 : lines * (chord_mm + spacing_mm) * width_mm_;
  }

  void lay_support() {
    if (layer_.support_mm2 <= 0) return;
    const double before = plastic_mm2_;
    const double spacing_mm = width_mm_ / settings_.print.support_ratio;
    lay_hatch({layer_.support_mm2, 4 * std::sqrt(layer_.support_mm2)}, spacing_mm,
              settings_.print.support_speed());
    support_mm2_ = plastic_mm2_ - before;
    far_moves_ += 2;
  }

  void lay_brim() {
    for (int k = 0; k < static_cast<int>(std::lround(settings_.print.brim_mm / width_mm_)); ++k) {
      const double length_mm = layer_.edge_mm + 2 * std::numbers::pi * (k + 0.5) * width_mm_;
      lay(length_mm, width_mm_, 0, settings_.print.inner_wall_speed());
      short_moves_ += 1;
    }
  }

  /// The shortest-layer rule slows all lines alike, down to the slowest speed.
  double slowed(double lines_s) const {
    const PrintSettings& print = settings_.print;
    const double rest_s = print.shortest_layer_s - ways_s() - change_s();
    if (lines_s >= rest_s || line_mm_ == 0) return lines_s;
    return std::max(lines_s, std::min(rest_s, line_mm_ / print.slowest_mm_per_s));
  }

  double change_s() const { return number_ == 0 ? 0 : settings_.printer.layer_change_s; }

  double ways_s() const {
    const Printer& printer = settings_.printer;
    if (line_mm_ == 0) return 0;
    const double islands = std::max(1.0, std::round(layer_.turn_n));
    const double far_mm = std::max(5.0, std::sqrt(layer_.area_mm2) / 2);
    const double far_s = move_s(far_mm, printer.travel_mm_per_s, acceleration()) +
                         2 * move_s(printer.retraction_mm, printer.retraction_mm_per_s,
                                    printer.feeder_acceleration_mm_per_s2);
    return (kMovesPerIsland * islands + far_moves_) * far_s +
           short_moves_ * move_s(width_mm_, printer.travel_mm_per_s, acceleration());
  }

  const LayerSums& layer_;
  std::size_t number_;
  double thickness_mm_;
  const Settings& settings_;
  Inset inset_;
  double width_mm_;
  double depth_mm_ = 0;  // taken by walls so far
  bool is_full_ = false;
  double lines_s_ = 0, line_mm_ = 0, plastic_mm2_ = 0, support_mm2_ = 0;
  double short_moves_ = 0, far_moves_ = 0;
};

}  // namespace

LayerCost layer_cost(const LayerSums& layer, std::size_t number, double thickness_mm,
                     const Settings& settings) {
  return LayerTimer(layer, number, thickness_mm, settings).cost();
}

}  // namespace seamwright::pose_detail
