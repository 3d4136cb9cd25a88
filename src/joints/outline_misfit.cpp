#include "joints/outline_misfit.h"

#include <algorithm>
#include <cmath>

#include "joints/flat_motion.h"
#include "joints/key_layout.h"
#include "joints/key_spots.h"
#include "joints/outlines.h"

namespace seamwright::joints {
namespace {

constexpr double kSample_mm = 1;
constexpr std::size_t kMostSamples = 96;

Loop2 sampled(const Region2& region) {
  const Loop2 fine = divided(region.outer, kSample_mm);
  const std::size_t stride = std::max<std::size_t>(1, fine.size() / kMostSamples);
  Loop2 samples;
  for (std::size_t i = 0; i < fine.size(); i += stride) samples.push_back(fine[i]);
  return samples;
}

/// Two faces laid on each other by a motion of the first.
class Overlay {
 public:
  Overlay(const FlatFace& face, const FlatFace& other, double extra_mm)
      : face_(face),
        other_(other),
        own_(sampled(*face.region)),
        theirs_(sampled(*other.region)),
        extra_mm_(extra_mm) {}

  /// The greater of the keys' and the outlines' error, or `enough_mm` as soon as one reaches it.
  double error_mm(const Motion& motion, double enough_mm) const {
    const double rods = worst_error(face_.keys, other_.keys, motion, extra_mm_, enough_mm);
    Motion inverse{motion.c, -motion.s, {}};
    inverse.shift = motion.back({});
    const double holes = worst_error(other_.keys, face_.keys, inverse, extra_mm_, enough_mm);
    double worst = std::min(rods, holes);  // rods may stand in either
    for (std::size_t i = 0; i < own_.size() && worst < enough_mm; ++i)
      worst = std::max(worst, outside_mm(*other_.region, motion(own_[i])));
    for (std::size_t i = 0; i < theirs_.size() && worst < enough_mm; ++i)
      worst = std::max(worst, outside_mm(*face_.region, motion.back(theirs_[i])));
    return std::min(worst, enough_mm);
  }

  /// The error after small shifts, and turns where asked, that let it sink.
  double sunk_mm(const Motion& motion, double enough_mm, bool may_turn) const {
    Moved moved{region_center(*face_.region), 1, may_turn};
    for (Vec2 p : own_) moved.reach_mm = std::max(moved.reach_mm, norm(p - moved.middle));
    return sunk_error_mm(motion, error_mm(motion, 2 * enough_mm), moved,
                         [&](const Motion& next, double enough) { return error_mm(next, enough); });
  }

 private:
  static double outside_mm(const Region2& region, Vec2 p) {
    return norm(p - nearest_on_outline(region, p));
  }

  const FlatFace &face_, &other_;
  Loop2 own_, theirs_;
  double extra_mm_;
};

Region2 mirrored(const Region2& region) {
  Region2 out = region;
  const auto turn_over = [](Loop2& loop) {
    for (Vec2& p : loop) p.y = -p.y;
    std::reverse(loop.begin(), loop.end());
  };
  turn_over(out.outer);
  for (Loop2& hole : out.holes) turn_over(hole);
  return out;
}

double laid_on_each_other_mm(const FlatFace& face, const FlatFace& other, double extra_mm,
                             double far_mm) {
  const Overlay overlay(face, other, extra_mm);
  double least = far_mm;
  for (const FlatKey& a : face.keys) {
    for (const FlatKey& b : face.keys) {
      for (const FlatKey& p : other.keys) {
        for (const FlatKey& q : other.keys) {
          if (&a == &b || &p == &q) continue;
          if (std::abs(norm(b.at - a.at) - norm(q.at - p.at)) > 2 * least) continue;
          least = std::min(least, overlay.sunk_mm(laying(a.at, b.at, p.at, q.at), least, true));
        }
      }
    }
  }
  return least;
}

}  // namespace

double outlined_turn_misfit_mm(const FlatFace& face, Vec2 center, double hole_extra_mm,
                               double far_mm) {
  const Overlay overlay(face, face, hole_extra_mm);
  double least = far_mm;
  for (int turn_deg : kWrongTurns_deg) {
    const Motion turn = turn_about(center, Angle::degrees(turn_deg).radians());
    least = std::min(least, overlay.sunk_mm(turn, least, false));
    for (const FlatKey& rod : face.keys) {
      for (const FlatKey& hole : face.keys) {
        const Motion laid = turn.turned(center, 0, hole.at - turn(rod.at));
        least = std::min(least, overlay.sunk_mm(laid, least, false));
      }
    }
  }
  return least;
}

double outlined_pairing_misfit_mm(const FlatFace& face, const FlatFace& other, double hole_extra_mm,
                                  double far_mm) {
  const double least = laid_on_each_other_mm(face, other, hole_extra_mm, far_mm);
  const Region2 turned_over = mirrored(*other.region);
  FlatFace mirror{&turned_over, other.keys};
  for (FlatKey& key : mirror.keys) key.at.y = -key.at.y;
  return laid_on_each_other_mm(face, mirror, hole_extra_mm, least);
}

}  // namespace seamwright::joints
