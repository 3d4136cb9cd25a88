#include "seams/body_sweep.h"

#include <algorithm>
#include <cmath>

namespace seamwright::search {
namespace {

/// Adds the chord of one triangle: zero at its lowest and highest corner, greatest at the middle
/// one.
void add_chords(const std::array<Vec3, 3>& corners, double hours_per_mm, BodySweep& sweep) {
  std::array<std::pair<double, Vec3>, 3> at;
  for (std::size_t i = 0; i < 3; ++i) at[i] = {dot(corners[i], sweep.normal), corners[i]};
  if (at[1].first < at[0].first) std::swap(at[0], at[1]);
  if (at[2].first < at[1].first) std::swap(at[1], at[2]);
  if (at[1].first < at[0].first) std::swap(at[0], at[1]);
  const double h0 = at[0].first, h1 = at[1].first, h2 = at[2].first;
  if (h2 <= h0) return;
  const Vec3 across = at[0].second + (at[2].second - at[0].second) * ((h1 - h0) / (h2 - h0));
  const double longest = norm(at[1].second - across) * hours_per_mm;
  const double first = std::ceil((h0 - sweep.low_mm) / sweep.step_mm);
  for (double k = std::max(1.0, first); k <= static_cast<double>(sweep.hours.size()); k += 1) {
    const double h = sweep.low_mm + sweep.step_mm * k;
    if (h > h2) break;
    const double share = h < h1 ? (h - h0) / (h1 - h0) : h1 < h2 ? (h2 - h) / (h2 - h1) : 1.0;
    sweep.hours[static_cast<std::size_t>(k) - 1] += longest * share;
  }
}

void measure_extent(const ClipBody& body, BodySweep& sweep) {
  sweep.low_mm = std::numeric_limits<double>::infinity();
  sweep.high_mm = -sweep.low_mm;
  for (const Vec3 p : body.points) {
    const double h = dot(sweep.normal, p);
    sweep.low_mm = std::min(sweep.low_mm, h);
    sweep.high_mm = std::max(sweep.high_mm, h);
  }
}

void add_faces(const ClipBody& body, PlanPricer& pricer, BodySweep& sweep) {
  for (const BodyFace& f : body.faces) {
    add_chords({body.points[f.corners[0]], body.points[f.corners[1]], body.points[f.corners[2]]},
               pricer.outline_h_per_mm(sweep.normal, f.face), sweep);
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
  measure_extent(body, sweep);
  sweep.hours.assign(offset_count, 0.0);
  sweep.step_mm =
      std::max(1e-9, (sweep.high_mm - sweep.low_mm) / static_cast<double>(offset_count + 1));
  add_faces(body, pricer, sweep);
  return sweep;
}

BodySweep sweep_body_by_steps(const ClipBody& body, Vec3 normal, double step_mm,
                              PlanPricer& pricer) {
  BodySweep sweep;
  sweep.normal = normal;
  measure_extent(body, sweep);
  const double steps = std::ceil((sweep.high_mm - sweep.low_mm) / step_mm);
  sweep.hours.assign(static_cast<std::size_t>(std::max(1.0, steps - 1)), 0.0);
  sweep.step_mm = step_mm;
  add_faces(body, pricer, sweep);
  return sweep;
}

}  // namespace seamwright::search
