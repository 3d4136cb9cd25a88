#include <tuple>

#include "seams/fit_grader.h"

namespace seamwright::search {
namespace {

constexpr int kTiltSpread = 80, kMoreTiltSpread = 160;
/// When the farthest points miss by less, the best way they lie, a tilt is worth looking for
/// harder.
constexpr double kAllButFits_h = 1.03;

/// The best of ever smaller tilts away from `best`, while steps of their size may still make it
/// fit. `hours` may answer anything from `at_most` up for what is no better than that.
template <class Hours>
std::pair<double, Vec3> smaller_tilts(Vec3 best, double least, double first, const Hours& hours) {
  constexpr double kNear_h = 1.012, kGain_h = 3;  // out by a hundredth; gained by a radian, at most
  const auto is_of_use = [&](double step) {
    return least > 0 && least < 1 + kGain_h * step && step > (least < kNear_h ? 0.0004 : 0.004);
  };
  for (double step = first; is_of_use(step); step *= 0.6) {
    const Vec3 u = any_perpendicular(best), v = cross(best, u), from = best;
    for (const Vec3 side : {u, v, -u, -v}) {
      const Vec3 down = normalized(from + side * step);
      const double h = hours(down, least);
      if (h < least) least = h, best = down;
    }
  }
  return {least, best};
}

}  // namespace

/// The best of a spread of directions down, each turned about the vertical by the calipers, then
/// bettered by ever smaller tilts; by the farthest points. What is no better than `at_most_h` is of
/// no use.
template <std::size_t N>
std::array<HourlyWay, N> FitGrader::best_tilts(int spread, double at_most_h) {
  const auto far_h = [&](Vec3 down, double at_most) { return far_misfit_h(down, at_most); };
  const auto is_less = [](const HourlyWay& a, const HourlyWay& b) { return a.first < b.first; };
  std::array<HourlyWay, N> best;
  best.fill({at_most_h, Vec3{0, 0, -1}});
  for (int k = 0; k < spread / 2; ++k) {  // upside down is as large
    const Vec3 down = spread_direction(k, spread);
    auto worst = std::max_element(best.begin(), best.end(), is_less);
    const double hours = far_h(down, worst->first);
    if (hours < worst->first) *worst = {hours, down};
  }
  for (auto& [hours, down] : best) {
    if (hours < at_most_h) std::tie(hours, down) = smaller_tilts(down, hours, 0.2, far_h);
  }
  std::stable_sort(best.begin(), best.end(), is_less);
  return best;
}

/// Any rotation: that of before, if it was tilted; else the best tilts by the farthest points,
/// bettered on all points; more of them where the piece all but fits. Only the size counts; the
/// exact judge looks harder.
void FitGrader::try_tilted(const EarlierPose* earlier) {
  if (earlier != nullptr) polish_tilt(earlier->down);
  if (best_.fits()) return;
  const auto [least_h, down] = best_tilts<3>(kTiltSpread, worth_a_tilt_h()).front();
  if (least_h < worth_a_look_h(kRollHope_h)) polish_tilt(down);
  if (best_.fits() || least_h > kAllButFits_h) return;
  for (const auto& [hours, way] : best_tilts<6>(kMoreTiltSpread, 1 + kTiltHope_h)) {
    if (hours == 0) polish_tilt(way);
    if (best_.fits()) return;
  }
}

/// Small tilts judged on all points; the best is offered.
void FitGrader::polish_tilt(Vec3 down) {
  const auto hours = [&](Vec3 way, double at_most) {
    const double far = far_misfit_h(way, at_most);
    return far < at_most ? full_misfit_h(way, at_most) : far;
  };
  const double first = full_misfit_h(down, kFar_h);
  if (first >= worth_a_tilt_h()) return;
  const Vec3 best = smaller_tilts(down, first, 0.03, hours).second;
  look(best);
  for (const Vec3 room : rules_.rooms_mm) offer_size(room, best);
}

double FitGrader::full_misfit_h(Vec3 down, double at_most_h) {
  measure_height(down);
  const double by_height = height_misfit_h(height_mm_);
  if (by_height >= at_most_h) return by_height;
  draw_outline();
  return outline_misfit_h(outline_, height_mm_);
}

}  // namespace seamwright::search
