#include "joints/key_spots.h"

#include <algorithm>

namespace seamwright::joints {
namespace {

constexpr double kLeastStep_mm = 1;   // between the outline's samples
constexpr double kMostSamples = 160;  // of one region: bounds the cost on long outlines
constexpr double kNarrow_mm = 8;  // up to this width, places beside the middle are tried as well
constexpr double kLeastGap_mm = 0.4;  // between spots

/// A point of the outline with the unit normal into the region.
struct OutlineSample {
  Vec2 at, inward;
};

double outline_length_mm(const Region2& region) {
  double length = 0;
  const auto add = [&](const Loop2& loop) {
    for (std::size_t i = 0; i < loop.size(); ++i)
      length += norm(loop[(i + 1) % loop.size()] - loop[i]);
  };
  add(region.outer);
  for (const Loop2& hole : region.holes) add(hole);
  return length;
}

void sample_loop(const Loop2& loop, double step_mm, std::vector<OutlineSample>& samples) {
  double ahead = step_mm / 2;
  for (std::size_t i = 0; i < loop.size(); ++i) {
    const Vec2 a = loop[i], b = loop[(i + 1) % loop.size()];
    const double length = norm(b - a);
    const Vec2 along = normalized(b - a);
    for (; ahead < length; ahead += step_mm)
      samples.push_back({a + along * ahead, {-along.y, along.x}});
    ahead -= length;
  }
}

/// The centre of the widest circle inside the region that touches the outline at the sample: it
/// shrinks from the far side until nothing else is inside (Ma, Bae and Choi, Vis. Comput. 28
/// (2012)).
Vec2 widest_circle(const Region2& region, const OutlineSample& sample, double start_mm) {
  double radius = start_mm;
  for (int i = 0; i < 30; ++i) {
    const Vec2 center = sample.at + sample.inward * radius;
    const Vec2 touched = nearest_on_outline(region, center);
    const Vec2 chord = touched - sample.at;
    const double reach = dot(chord, sample.inward);
    if (norm(touched - center) >= radius - 1e-9 || reach <= 1e-12) return center;
    radius = dot(chord, chord) / (2 * reach);
  }
  return sample.at + sample.inward * radius;
}

class SpotList {
 public:
  explicit SpotList(const Region2& region) : region_(region) {}
  void offer(Vec2 at) {
    if (!region_contains(region_, at)) return;
    for (const KeySpot& s : spots_) {
      if (norm(s.at - at) < kLeastGap_mm) return;
    }
    spots_.push_back({at, region_edge_distance_mm(region_, at)});
  }
  std::vector<KeySpot> take() && { return std::move(spots_); }

 private:
  const Region2& region_;
  std::vector<KeySpot> spots_;
};

}  // namespace

Vec2 nearest_on_outline(const Region2& region, Vec2 from) {
  Vec2 nearest = region.outer[0];
  double least2 = dot(nearest - from, nearest - from);
  const auto look = [&](const Loop2& loop) {
    for (std::size_t i = 0; i < loop.size(); ++i) {
      const Vec2 a = loop[i], along = loop[i + 1 < loop.size() ? i + 1 : 0] - a;
      const double length2 = dot(along, along);
      const double t = length2 > 0 ? std::clamp(dot(from - a, along) / length2, 0.0, 1.0) : 0.0;
      const Vec2 p = a + along * t;
      const double distance2 = dot(p - from, p - from);
      if (distance2 < least2) {
        least2 = distance2;
        nearest = p;
      }
    }
  };
  look(region.outer);
  for (const Loop2& hole : region.holes) look(hole);
  return nearest;
}

std::vector<KeySpot> find_key_spots(const Region2& region, const std::vector<double>& insets_mm) {
  const double length = outline_length_mm(region);
  const double step = std::max(kLeastStep_mm, length / kMostSamples);
  std::vector<OutlineSample> samples;
  sample_loop(region.outer, step, samples);
  for (const Loop2& hole : region.holes) sample_loop(hole, step, samples);
  SpotList spots(region);
  for (const OutlineSample& s : samples) {
    const Vec2 middle = widest_circle(region, s, length / 2);
    spots.offer(middle);
    if (norm(middle - s.at) > kNarrow_mm / 2) continue;
    for (double aside_mm : {0.45, -0.45, 0.9, -0.9}) spots.offer(middle + s.inward * aside_mm);
  }
  for (double inset_mm : insets_mm) {
    for (const OutlineSample& s : samples) {
      const Vec2 at = s.at + s.inward * inset_mm;
      // Near corners another edge is closer than the sample's own: step back along the diagonal.
      const Vec2 away = at - nearest_on_outline(region, at);
      const double short_mm = inset_mm - norm(away);
      spots.offer(short_mm > 1e-9 ? at + normalized(away) * short_mm : at);
    }
  }
  return std::move(spots).take();
}

}  // namespace seamwright::joints
