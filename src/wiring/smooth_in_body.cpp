#include <algorithm>
#include <cmath>

#include "wiring/body_field.h"
#include "wiring/smooth_skin_way.h"

namespace seamwright::wiring_detail {
namespace {

constexpr double kLevelsMm[] = {16, 8, 4, 2};
constexpr int kRounds = 80, kPassageRounds = 1200;
constexpr double kLaplace = 0.15;
constexpr double kSteepMouth = 0.8;  // a way gains so much depth for each millimetre from its end
constexpr double kFlatMouth = 0.56;  // 34° to the skin; a mouth under 30° is refused
constexpr int kEasingRounds = 400, kLastRounds = 12;
constexpr double kEasingReachMm = 36;

/// Moves the inner points of a way; ends stay.
class BodySmoother {
 public:
  BodySmoother(std::vector<Vec3> way, const RayTree& body, std::span<const Vec3> stations,
               std::span<const KeepOut> keep_out, const BoreNeed& need)
      : points_(std::move(way)),
        body_(body),
        stations_(stations),
        keep_out_(keep_out),
        need_(need) {}

  std::vector<Vec3> run() {
    for (const double step_mm : kLevelsMm) {
      points_ = resampled(points_, step_mm);
      if (points_.size() < 4) continue;
      for (int round = 0; round < kRounds; ++round) {
        is_held_ = samples_held(points_, need_.passages, step_mm);
        smooth();
        straighten(step_mm);
        push_off();
        for (const Vec3& station : stations_) pass_station(points_, station, step_mm);
        hold_in_passages(points_, need_.passages, {}, step_mm);
      }
      // The last pushes leave grain; what bends must not feel it.
      for (int round = 0; round < 6; ++round) smooth();
    }
    if (!need_.passages.empty()) relax_through_passages();
    return points_;
  }

  /// Widens bends that are too tight, moving only what lies near them; mouths may turn flatter.
  std::vector<Vec3> ease() {
    constexpr double kStepMm = 2;
    mouth_ratio_ = kFlatMouth;
    points_ = resampled(points_, kStepMm);
    std::vector<Vec3> tight;
    for (int round = 0; round < kEasingRounds; ++round) {
      if (round % 10 == 0) {
        if (round > 0) points_ = resampled(points_, kStepMm);
        if (least_bend_mm(points_) >= 1.05 * need_.bend_mm && round > 0) return points_;
        hold_all_but_near(tight);
      }
      limit_all_bends(1.12);
      push_off();
      for (const Vec3& station : stations_) pass_station(points_, station, kStepMm);
      hold_in_passages(points_, need_.passages, {}, kStepMm);
    }
    for (int round = 0; round < kLastRounds; ++round) limit_all_bends(1.08);
    return points_;
  }

 private:
  /// From sample to sample too: over two, every other one is bound to no end.
  void limit_all_bends(double share) {
    limit_bends_widely(points_, is_held_, share * need_.bend_mm);
    limit_bends(points_, is_held_, share * need_.bend_mm, 1);
  }

  /// Adds the places of tight bends to those known, and holds what lies far from all of them.
  void hold_all_but_near(std::vector<Vec3>& tight) {
    for (std::size_t i = 2; i + 2 < points_.size(); ++i) {
      if (least_bend_mm(std::span(points_).subspan(i - 2, 5)) < 1.05 * need_.bend_mm)
        tight.push_back(points_[i]);
    }
    is_held_ = samples_held(points_, need_.passages, 2);
    for (std::size_t i = 0; i < points_.size(); ++i) {
      is_held_[i] = is_held_[i] || std::none_of(tight.begin(), tight.end(), [&](Vec3 place) {
                      return norm(points_[i] - place) < kEasingReachMm;
                    });
    }
  }

  void smooth() {
    std::vector<Vec3> next = points_;
    for (std::size_t i = 1; i + 1 < points_.size(); ++i) {
      if (is_held_[i]) continue;
      next[i] = points_[i] + ((points_[i - 1] + points_[i + 1]) / 2 - points_[i]) * kLaplace;
    }
    points_ = std::move(next);
  }

  static std::size_t reach_of(double step_mm) {
    return std::max<std::size_t>(1, static_cast<std::size_t>(4 / step_mm));
  }

  /// Where the way bends too tightly, its points go towards the middle of their neighbours.
  void straighten(double step_mm) {
    const std::size_t reach = reach_of(step_mm);
    std::vector<Vec3> next = points_;
    for (std::size_t i = reach; i + reach < points_.size(); ++i) {
      const Vec3 a = points_[i - reach], b = points_[i + reach];
      const double half_mm = norm(b - a) / 2;
      const Vec3 sag = points_[i] - (a + b) / 2;
      const double sag_mm = norm(sag);
      const double bend_mm = 1.15 * need_.bend_mm;
      const double allowed_mm =
          half_mm < bend_mm ? bend_mm - std::sqrt(bend_mm * bend_mm - half_mm * half_mm) : half_mm;
      if (sag_mm > allowed_mm) next[i] = points_[i] - sag * (0.5 * (1 - allowed_mm / sag_mm));
    }
    points_ = std::move(next);
  }

  /// The bends at a passage's ends need more rounds than all else: its samples don't give way.
  void relax_through_passages() {
    constexpr double kStepMm = 2;
    for (int round = 0; round < kPassageRounds; ++round) {
      is_held_ = samples_held(points_, need_.passages, kStepMm);
      if (round % 20 == 0) smooth();
      limit_bends_widely(points_, is_held_, 1.3 * need_.bend_mm);
      if (round % 4 == 0) push_off();
      for (const Vec3& station : stations_) pass_station(points_, station, kStepMm);
      hold_in_passages(points_, need_.passages, {}, kStepMm);
      if (round % 10 == 9) points_ = resampled(points_, kStepMm);
      if (round % 50 == 49 && least_bend_mm(points_) >= 1.1 * need_.bend_mm) return;
    }
  }

  void push_off() {
    const double wanted_mm = need_.clear_mm + need_.margin_mm;
    for (std::size_t i = 1; i + 1 < points_.size(); ++i) {
      if (is_held_[i]) continue;
      const double to_end_mm =
          std::min(norm(points_[i] - points_.front()), norm(points_.back() - points_[i]));
      const double here_mm = std::min(wanted_mm, mouth_ratio_ * to_end_mm);
      const auto skin = body_.nearest(points_[i], wanted_mm + 30);
      const bool is_inside = body_.contains(points_[i]);
      if (skin && (!is_inside || skin->distance_mm < here_mm)) {
        const Vec3 out = skin->point - points_[i];
        const double short_mm =
            is_inside ? here_mm - skin->distance_mm : here_mm + skin->distance_mm;
        points_[i] += normalized(out) * ((is_inside ? -0.5 : 0.5) * short_mm);
      }
      for (const KeepOut& ball : keep_out_) {
        const double apart_mm = norm(points_[i] - ball.at);
        const double kept_mm =
            std::min(ball.radius_mm + wanted_mm, mouth_ratio_ * to_end_mm + ball.radius_mm);
        if (apart_mm < kept_mm)
          points_[i] += normalized(points_[i] - ball.at) * (0.5 * (kept_mm - apart_mm));
      }
    }
  }

  std::vector<Vec3> points_;
  std::vector<bool> is_held_;  ///< samples in passages, and what easing leaves as it is
  double mouth_ratio_ = kSteepMouth;
  const RayTree& body_;
  std::span<const Vec3> stations_;
  std::span<const KeepOut> keep_out_;
  const BoreNeed& need_;
};

}  // namespace

std::vector<Vec3> smooth_in_body(std::vector<Vec3> way, const RayTree& body,
                                 std::span<const Vec3> stations, std::span<const KeepOut> keep_out,
                                 const BoreNeed& need) {
  return BodySmoother(std::move(way), body, stations, keep_out, need).run();
}

std::vector<Vec3> ease_bends(std::vector<Vec3> way, const RayTree& body,
                             std::span<const Vec3> stations, std::span<const KeepOut> keep_out,
                             const BoreNeed& need) {
  return BodySmoother(std::move(way), body, stations, keep_out, need).ease();
}

}  // namespace seamwright::wiring_detail
