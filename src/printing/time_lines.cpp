#include <algorithm>
#include <array>
#include <cmath>
#include <optional>

#include "seamwright/core/parallel.h"
#include "seamwright/printing/filament.h"
#include "seamwright/printing/motion.h"
#include "seamwright/printing/print_estimate.h"
#include "seamwright/profile/printer_presets.h"

namespace seamwright {
namespace {

constexpr double kSamePlaceMm = 0.01;  // shorter ways between lines are no travel
constexpr int kPaceSteps = 24;         // halvings that find a layer's pace: to 1e-7

struct Machine {
  MotionLimits limits;
  std::array<double, kLineKindCount> speeds_mm_per_s, accelerations_mm_per_s2;
  std::optional<double> first_layer_acceleration_mm_per_s2;
  double travel_acceleration_mm_per_s2, layer_change_s;
  double travel_mm_per_s, flow_limit_mm3_per_s, slowest_mm_per_s, shortest_layer_s;
  double first_layer_mm_per_s, retraction_from_mm, retraction_pair_s;
};

Machine machine_of(const Printer& printer, const Material& shared_material,
                   const PrintSettings& shared_print) {
  const PrintSettings print = settings_on(printer, shared_print);
  const Material material = material_on(printer, shared_material);
  Machine m;
  m.limits = {printer.acceleration_mm_per_s2, printer.corner_jerk_mm_per_s, std::nullopt};
  if (printer.corner_rule == CornerRule::deviation)
    m.limits.junction_deviation_mm = printer.junction_deviation_mm;
  m.accelerations_mm_per_s2.fill(printer.acceleration_mm_per_s2);
  m.accelerations_mm_per_s2[to_index(LineKind::outer_wall)] =
      printer.outer_wall_acceleration_mm_per_s2.value_or(printer.acceleration_mm_per_s2);
  m.first_layer_acceleration_mm_per_s2 = printer.first_layer_acceleration_mm_per_s2;
  m.travel_acceleration_mm_per_s2 =
      printer.travel_acceleration_mm_per_s2.value_or(printer.acceleration_mm_per_s2);
  m.layer_change_s = printer.layer_change_s;
  m.speeds_mm_per_s = {
      print.outer_wall_speed(), print.inner_wall_speed(), print.gap_speed(),
      print.solid_fill_speed(), print.top_skin_speed(),   print.sparse_fill_speed(),
      print.support_speed(),    print.inner_wall_speed(), print.bridge_speed()};
  m.travel_mm_per_s = printer.travel_mm_per_s;
  m.flow_limit_mm3_per_s = material.flow_limit_mm3_per_s;
  m.slowest_mm_per_s = print.slowest_mm_per_s;
  m.shortest_layer_s = print.shortest_layer_s;
  m.first_layer_mm_per_s = print.first_layer_mm_per_s;
  m.retraction_from_mm = printer.retraction_from_mm;
  m.retraction_pair_s = 2 * trapezoid_s(printer.retraction_mm, 0, printer.retraction_mm_per_s, 0,
                                        printer.feeder_acceleration_mm_per_s2);
  return m;
}

/// Sums of one layer.
struct LayerTime {
  std::array<double, kLineKindCount> line_mm{}, kind_s{}, volume_mm3{};
  double travel_mm = 0, travel_s = 0, retraction_s = 0, change_s = 0;
  double total_s() const {
    double sum = travel_s + retraction_s + change_s;
    for (const double s : kind_s) sum += s;
    return sum;
  }
};

double length_mm(std::span<const Vec2> points, bool is_loop) {
  double sum = 0;
  for (std::size_t i = 1; i < points.size(); ++i) sum += norm(points[i] - points[i - 1]);
  return is_loop ? sum + norm(points.front() - points.back()) : sum;
}

Vec2 end_of(const LaidLayer& layer, const LaidLine& line) {
  return layer.points[line.is_loop ? line.point_begin : line.point_end - 1];
}

class LayerTimer {
 public:
  LayerTimer(const Machine& machine, const LaidLayer& layer, bool is_first)
      : machine_(machine), layer_(layer), is_first_(is_first), timer_(machine.limits) {}

  LayerTime time(std::optional<Vec2> from) {
    LayerTime sums;
    measure(from, sums);
    if (!is_first_) sums.change_s = machine_.layer_change_s;
    drive(1, sums);
    // The shortest-layer rule slows all lines alike, down to the slowest speed.
    if (layer_.lines.empty() || sums.total_s() >= machine_.shortest_layer_s) return sums;
    double slow = 0, fast = 1;
    for (int step = 0; step < kPaceSteps; ++step) {
      const double pace = (slow + fast) / 2;
      drive(pace, sums);
      (sums.total_s() >= machine_.shortest_layer_s ? slow : fast) = pace;
      if (is_at_floor(pace)) break;
    }
    return sums;
  }

 private:
  void measure(std::optional<Vec2> at, LayerTime& sums) const {
    for (const LaidLine& line : layer_.lines) {
      const auto points = layer_.points_of(line);
      const double mm = length_mm(points, line.is_loop);
      sums.line_mm[to_index(line.kind)] += mm;
      sums.volume_mm3[to_index(line.kind)] +=
          mm * line_section_mm2(line.width_mm, layer_.height_mm);
      if (at) add_travel(norm(points.front() - *at), sums);
      at = end_of(layer_, line);
    }
  }

  void add_travel(double way_mm, LayerTime& sums) const {
    if (way_mm <= kSamePlaceMm) return;
    sums.travel_mm += way_mm;
    sums.travel_s +=
        trapezoid_s(way_mm, 0, machine_.travel_mm_per_s, 0, machine_.travel_acceleration_mm_per_s2);
    if (way_mm > machine_.retraction_from_mm) sums.retraction_s += machine_.retraction_pair_s;
  }

  /// The speed of a line when nothing hurries or slows its layer.
  double full_speed(const LaidLine& line) const {
    double speed = machine_.speeds_mm_per_s[to_index(line.kind)];
    if (is_first_) speed = std::min(speed, machine_.first_layer_mm_per_s);
    return std::min(
        speed, machine_.flow_limit_mm3_per_s / line_section_mm2(line.width_mm, layer_.height_mm));
  }

  double paced(double full_mm_per_s, double pace) const {
    return std::max(full_mm_per_s * pace, std::min(full_mm_per_s, machine_.slowest_mm_per_s));
  }

  bool is_at_floor(double pace) const {
    return std::all_of(layer_.lines.begin(), layer_.lines.end(), [&](const LaidLine& line) {
      return full_speed(line) * pace <= machine_.slowest_mm_per_s;
    });
  }

  void drive(double pace, LayerTime& sums) {
    sums.kind_s = {};
    const double ends = end_speed(machine_.limits);
    for (const LaidLine& line : layer_.lines) {
      const double speed = paced(full_speed(line), pace);
      const double usual = machine_.accelerations_mm_per_s2[to_index(line.kind)];
      timer_.set_acceleration(
          is_first_ ? machine_.first_layer_acceleration_mm_per_s2.value_or(usual) : usual);
      sums.kind_s[to_index(line.kind)] +=
          timer_.path_s(layer_.points_of(line), line.is_loop, {speed, ends, ends});
    }
  }

  const Machine& machine_;
  const LaidLayer& layer_;
  bool is_first_;
  PathTimer timer_;
};

/// Where the printer stands before each layer.
std::vector<std::optional<Vec2>> starts(const LaidPiece& piece) {
  std::vector<std::optional<Vec2>> out;
  std::optional<Vec2> at;
  for (const LaidLayer& layer : piece.layers) {
    out.push_back(at);
    if (!layer.lines.empty()) at = end_of(layer, layer.lines.back());
  }
  return out;
}

PrintEstimate summed(const std::vector<LayerTime>& layers, const Printer& printer,
                     const Material& material, const PrintSettings& print) {
  PrintEstimate out;
  out.layer_count = layers.size();
  double volume_mm3 = 0, support_mm3 = 0;
  out.start_s = print.heating_s + printer.start_and_finish_s;
  out.model_print_s = out.start_s;
  for (const LayerTime& layer : layers) {
    for (std::size_t k = 0; k < kLineKindCount; ++k) {
      out.line_mm[k] += layer.line_mm[k];
      out.kind_s[k] += layer.kind_s[k];
      out.kind_filament_mm[k] += filament_length_mm(layer.volume_mm3[k], material);
      volume_mm3 += layer.volume_mm3[k];
    }
    support_mm3 += layer.volume_mm3[to_index(LineKind::support)];
    out.travel_mm += layer.travel_mm;
    out.travel_s += layer.travel_s;
    out.retraction_s += layer.retraction_s;
    out.layer_change_s += layer.change_s;
    out.layer_s.push_back(layer.total_s());
    out.model_print_s += out.layer_s.back();
  }
  out.print_s = out.model_print_s * printer.time_factor_ratio;
  out.filament_mm = filament_length_mm(volume_mm3, material) * printer.mass_factor_ratio;
  out.model_mass_g = plastic_mass_g(volume_mm3, material);
  out.mass_g = out.model_mass_g * printer.mass_factor_ratio;
  out.support_g = plastic_mass_g(support_mm3, material) * printer.mass_factor_ratio;
  return out;
}

}  // namespace

Result<PrintEstimate> time_lines(const LaidPiece& piece, const Printer& printer,
                                 const Material& material, const PrintSettings& print,
                                 const Run& run) {
  const Machine machine = machine_of(printer, material, print);
  const auto from = starts(piece);
  const std::vector<LayerTime> layers = map_index(piece.layers.size(), run, [&](std::size_t i) {
    if (run.should_stop()) return LayerTime{};
    return LayerTimer(machine, piece.layers[i], i == 0).time(from[i]);
  });
  if (run.should_stop()) return Error{"cancelled", "stopped while timing lines"};
  PrintEstimate out = summed(layers, printer, material, print);
  out.open_chain_count = piece.open_chain_count;
  return out;
}

}  // namespace seamwright
