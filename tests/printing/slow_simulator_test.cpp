// An independent clock: every line is driven in steps of a millisecond, braking as late as it can
// for the corners ahead. Shares nothing with the planner but the lines and the settings.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "seamwright/printing/print_estimate.h"
#include "support/shapes.h"
#include "support/soups.h"

namespace seamwright {
namespace {

using testing::make_box;
using testing::make_cylinder;
using testing::make_frustum;
using testing::make_tube;

constexpr double kStep_s = 1e-3;

/// A way of straight lines with the highest speed allowed at each of its points.
struct Way {
  std::vector<double> at_mm{0}, limit_mm_per_s;

  Way(std::vector<Vec2> points, double ends, double cruise, double jerk) {
    std::vector<Vec2> clean{points.front()};
    for (const Vec2 p : points) {
      if (p != clean.back()) clean.push_back(p);
    }
    for (std::size_t i = 1; i < clean.size(); ++i)
      at_mm.push_back(at_mm.back() + norm(clean[i] - clean[i - 1]));
    limit_mm_per_s.assign(clean.size(), cruise);
    limit_mm_per_s.front() = limit_mm_per_s.back() = std::min(ends, cruise);
    for (std::size_t i = 1; i + 1 < clean.size(); ++i) {
      const Vec2 in = normalized(clean[i] - clean[i - 1]),
                 out = normalized(clean[i + 1] - clean[i]);
      // Each axis jumps by v times its change of direction: the largest may not pass the jerk.
      while (limit_mm_per_s[i] * std::max(std::abs(out.x - in.x), std::abs(out.y - in.y)) > jerk)
        limit_mm_per_s[i] *= 0.999;
    }
  }
};

/// Seconds along a way. Each step ends at the highest speed that acceleration gives and from which
/// every point ahead can still be met at its limit; it is cut short where it would pass a point.
double drive_s(const Way& way, double cruise, double acceleration) {
  const double far_mm = cruise * cruise / (2 * acceleration) + 1, gain = acceleration * kStep_s;
  double at_mm = 0, speed = way.limit_mm_per_s.front(), seconds = 0;
  for (std::size_t next = 1; next < way.at_mm.size();) {
    double wanted = std::min(cruise, speed + gain);
    for (std::size_t i = next; i < way.at_mm.size() && way.at_mm[i] - at_mm < far_mm; ++i) {
      // wanted² = limit² + 2 a (what is left after this step's way at the mean speed).
      const double limit = way.limit_mm_per_s[i], left_mm = way.at_mm[i] - at_mm;
      const double root =
          gain * gain / 4 + limit * limit + 2 * acceleration * left_mm - gain * speed;
      wanted = std::min(wanted, std::sqrt(std::max(root, 0.0)) - gain / 2);
    }
    wanted = std::max(wanted, 1e-3);
    const double left_mm = way.at_mm[next] - at_mm, way_mm = (speed + wanted) / 2 * kStep_s;
    if (way_mm < left_mm) {
      at_mm += way_mm;
      seconds += kStep_s;
      speed = wanted;
      continue;
    }
    const double change = (wanted - speed) / kStep_s;
    const double end = std::sqrt(std::max(speed * speed + 2 * change * left_mm, 1e-6));
    seconds += 2 * left_mm / (speed + end);
    speed = end;
    at_mm = way.at_mm[next++];
  }
  return seconds;
}

double straight_s(double length_mm, double cruise, double acceleration) {
  return drive_s(Way({{0, 0}, {length_mm, 0}}, 0, cruise, 1), cruise, acceleration);
}

class SlowSimulator {
 public:
  SlowSimulator(const Printer& printer, const Material& material, const PrintSettings& print)
      : printer_(printer), material_(material), print_(print) {}

  double print_s(const LaidPiece& piece) const {
    double sum = print_.heating_s + printer_.start_and_finish_s;
    std::optional<Vec2> at;
    for (std::size_t i = 0; i < piece.layers.size(); ++i) {
      if (i > 0) sum += printer_.layer_change_s;
      for (const LaidLine& line : piece.layers[i].lines)
        sum += line_s(piece.layers[i], line, i, at);
    }
    return sum;
  }

 private:
  double wanted(LineKind kind) const {
    switch (kind) {
      case LineKind::outer_wall:
      case LineKind::gap:
      case LineKind::solid_fill:
      case LineKind::top_skin:
        return 0.5 * print_.nominal_mm_per_s;
      case LineKind::inner_wall:
      case LineKind::brim:
        return 0.8 * print_.nominal_mm_per_s;
      default:
        return print_.nominal_mm_per_s;
    }
  }

  double line_s(const LaidLayer& layer, const LaidLine& line, std::size_t index,
                std::optional<Vec2>& at) const {
    std::vector<Vec2> points(layer.points_of(line).begin(), layer.points_of(line).end());
    double seconds = 0;
    if (at && norm(points.front() - *at) > 0.01) {
      const double way_mm = norm(points.front() - *at), a = printer_.acceleration_mm_per_s2;
      seconds += straight_s(way_mm, printer_.travel_mm_per_s, a);
      if (way_mm > printer_.retraction_from_mm)
        seconds += 2 * straight_s(printer_.retraction_mm, printer_.retraction_mm_per_s,
                                  printer_.feeder_acceleration_mm_per_s2);
    }
    if (line.is_loop) points.push_back(points.front());
    at = points.back();
    double cruise = wanted(line.kind);
    if (index == 0) cruise = std::min(cruise, print_.first_layer_mm_per_s);
    const double section_mm2 = static_cast<double>(line.width_mm) * layer.height_mm;
    cruise = std::min(cruise, material_.flow_limit_mm3_per_s / section_mm2);
    const double jerk = printer_.corner_jerk_mm_per_s;
    return seconds +
           drive_s(Way(points, jerk, cruise, jerk), cruise, printer_.acceleration_mm_per_s2);
  }

  const Printer& printer_;
  const Material& material_;
  const PrintSettings& print_;
};

// The check: an independent slow simulator with 1 ms steps agrees to 0.5 % on ten pieces.
TEST(SlowSimulator, AgreesWithThePlannerOnTenPieces) {
  PrintSettings print;
  print.shortest_layer_s = 0;  // its rule is a search for a pace, tested apart
  print.heating_s = 0;
  Printer printer;
  printer.start_and_finish_s = 0;
  Printer quick = printer;
  quick.acceleration_mm_per_s2 = 3000;
  PrintSettings hurried = print;
  hurried.nominal_mm_per_s = 120;
  const Solid table = testing::solid_of(testing::merged(
      {testing::box_soup({6, 6, 0}, {10, 10, 3.1}), testing::box_soup({0, 0, 3}, {16, 16, 4})}));
  const Solid posts = testing::solid_of(testing::merged(
      {testing::box_soup({0, 0, 0}, {6, 6, 2}), testing::box_soup({20, 0, 0}, {26, 6, 2})}));
  const std::pair<const char*, Solid> pieces[] = {{"cube", make_box({12, 12, 3})},
                                                  {"plate", make_box({30, 30, 0.8})},
                                                  {"strip", make_box({60, 1.2, 3})},
                                                  {"post", make_box({5, 5, 6})},
                                                  {"disc", make_cylinder(10, 1.6, 96)},
                                                  {"tube", make_tube(12, 9, 2, 96)},
                                                  {"cone", make_frustum(8, 2, 4, 64)},
                                                  {"thin tube", make_tube(12, 11.2, 3, 96)},
                                                  {"table", table},
                                                  {"posts", posts}};
  for (const auto& [name, piece] : pieces) {
    const LaidPiece laid = lay_lines(piece, {}, print).value();
    for (const auto& [machine, settings] :
         {std::pair(&printer, &print), std::pair(&quick, &hurried)}) {
      const double planned_s = time_lines(laid, *machine, {}, *settings).value().print_s;
      const double slow_s = SlowSimulator(*machine, Material{}, *settings).print_s(laid);
      EXPECT_NEAR(planned_s / slow_s, 1, 0.005)
          << name << " at " << settings->nominal_mm_per_s << " mm/s";
    }
  }
}

// The simulator itself, by hand: 10 mm from rest to rest.
TEST(SlowSimulator, TakesTheTimeOfKinematics) {
  EXPECT_NEAR(straight_s(10, 1000, 1000), 0.2, 0.002);
  EXPECT_NEAR(straight_s(100, 100, 1000), 1.1, 0.002);
}

}  // namespace
}  // namespace seamwright
