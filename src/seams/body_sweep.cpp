#include "seams/body_sweep.h"

#include <algorithm>
#include <cmath>

namespace seamwright::search {
namespace {

/// A point and how high it lies along the normal.
using Corner = std::pair<double, const Vec3*>;

/// Adds the chord of one triangle: zero at its lowest and highest corner, greatest at the middle
/// one. Its price is asked for only where a plane of the sweep meets it.
template <class HoursPerMm>
void add_chords(std::array<Corner, 3> at, const HoursPerMm& hours_per_mm, BodySweep& sweep) {
  if (at[1].first < at[0].first) std::swap(at[0], at[1]);
  if (at[2].first < at[1].first) std::swap(at[1], at[2]);
  if (at[1].first < at[0].first) std::swap(at[0], at[1]);
  const double h0 = at[0].first, h1 = at[1].first, h2 = at[2].first;
  const double first = std::max(1.0, std::ceil((h0 - sweep.low_mm) / sweep.step_mm));
  const auto last = static_cast<double>(sweep.hours.size());
  if (h2 <= h0 || first > last || sweep.low_mm + sweep.step_mm * first > h2) return;
  const Vec3 across = *at[0].second + (*at[2].second - *at[0].second) * ((h1 - h0) / (h2 - h0));
  const double longest = norm(*at[1].second - across) * hours_per_mm();
  for (double k = first; k <= last; k += 1) {
    const double h = sweep.low_mm + sweep.step_mm * k;
    if (h > h2) break;
    const double share = h < h1 ? (h - h0) / (h1 - h0) : h1 < h2 ? (h2 - h) / (h2 - h1) : 1.0;
    sweep.hours[static_cast<std::size_t>(k) - 1] += longest * share;
  }
}

/// How high each point lies along the normal, and the least and the most of it.
std::vector<double> measure_heights(const ClipBody& body, BodySweep& sweep) {
  std::vector<double> heights;
  heights.reserve(body.points.size());
  sweep.low_mm = std::numeric_limits<double>::infinity();
  sweep.high_mm = -sweep.low_mm;
  for (const Vec3 p : body.points) {
    const double h = dot(sweep.normal, p);
    sweep.low_mm = std::min(sweep.low_mm, h);
    sweep.high_mm = std::max(sweep.high_mm, h);
    heights.push_back(h);
  }
  return heights;
}

void add_faces(const ClipBody& body, std::span<const double> heights, PlanPricer& pricer,
               BodySweep& sweep) {
  const auto corner = [&](std::uint32_t v) { return Corner{heights[v], &body.points[v]}; };
  for (const BodyFace& f : body.faces) {
    const auto& [a, b, c] = f.corners;
    add_chords(
        {corner(a), corner(b), corner(c)},
        [&] { return pricer.outline_h_per_mm(sweep.normal, f.face); }, sweep);
  }
  const bool has_wishes = !pricer.prices().forbidden.empty() || !body.seats.empty();
  for (std::size_t i = 0; i < sweep.hours.size() && has_wishes; ++i) {
    const Plane plane = sweep.plane_at(i);
    sweep.hours[i] +=
        possible_trespass_h(pricer.prices(), plane) + cut_seats_h(pricer.prices(), plane, body);
  }
  pricer.add_work(2.0 * static_cast<double>(body.faces.size() + body.points.size()));
}

}  // namespace

BodySweep sweep_body(const ClipBody& body, Vec3 normal, std::size_t offset_count,
                     PlanPricer& pricer) {
  BodySweep sweep;
  sweep.normal = normal;
  const std::vector<double> heights = measure_heights(body, sweep);
  sweep.hours.assign(offset_count, 0.0);
  sweep.step_mm =
      std::max(1e-9, (sweep.high_mm - sweep.low_mm) / static_cast<double>(offset_count + 1));
  add_faces(body, heights, pricer, sweep);
  return sweep;
}

BodySweep sweep_body_by_steps(const ClipBody& body, Vec3 normal, double step_mm,
                              PlanPricer& pricer) {
  BodySweep sweep;
  sweep.normal = normal;
  const std::vector<double> heights = measure_heights(body, sweep);
  const double steps = std::ceil((sweep.high_mm - sweep.low_mm) / step_mm);
  sweep.hours.assign(static_cast<std::size_t>(std::max(1.0, steps - 1)), 0.0);
  sweep.step_mm = step_mm;
  add_faces(body, heights, pricer, sweep);
  return sweep;
}

}  // namespace seamwright::search
