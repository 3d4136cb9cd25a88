#include "seamwright/wiring/lids.h"

#include <fmt/format.h>

#include <cmath>

#include "wiring/smooth_skin_way.h"
#include "wiring/sweep_rings.h"

namespace seamwright {
namespace {

/// The way's middle in the plane: the same steps, the same turns about its ups.
std::vector<Vec3> developed(std::span<const Vec3> way, std::span<const Vec3> ups) {
  std::vector<Vec3> flat{{0, 0, 0}};
  double heading = 0;
  for (std::size_t i = 0; i + 1 < way.size(); ++i) {
    const Vec3 step = way[i + 1] - way[i];
    if (i > 0) {
      const Vec3 up = normalized(ups[i]), before = way[i] - way[i - 1];
      const Vec3 a = before - up * dot(before, up), b = step - up * dot(step, up);
      heading += std::atan2(dot(up, cross(a, b)), dot(a, b));
    }
    flat.push_back(flat.back() + Vec3{std::cos(heading), std::sin(heading), 0} * norm(step));
  }
  return flat;
}

double length_mm(std::span<const Vec3> line) {
  double sum_mm = 0;
  for (std::size_t i = 0; i + 1 < line.size(); ++i) sum_mm += norm(line[i + 1] - line[i]);
  return sum_mm;
}

/// The stretch of a line between two lengths along it.
std::vector<Vec3> stretch(std::span<const Vec3> line, double from_mm, double to_mm) {
  std::vector<Vec3> part;
  double passed_mm = 0;
  for (std::size_t i = 0; i + 1 < line.size(); ++i) {
    const double leg_mm = norm(line[i + 1] - line[i]);
    const auto at = [&](double mm) {
      return line[i] + (line[i + 1] - line[i]) * ((mm - passed_mm) / leg_mm);
    };
    const double end_mm = passed_mm + leg_mm;
    if (part.empty() && from_mm <= end_mm) part.push_back(at(std::max(from_mm, passed_mm)));
    if (!part.empty() && end_mm > from_mm) part.push_back(at(std::min(to_mm, end_mm)));
    if (end_mm >= to_mm) break;
    passed_mm = end_mm;
  }
  return part;
}

Solid flat_strip(std::span<const Vec3> middle, double width_mm, double thick_mm, Origin origin) {
  wiring_detail::Rings rings;
  const std::vector<Vec3> tangents = wiring_detail::tangents_of(middle);
  const Vec3 high{0, 0, thick_mm};
  for (std::size_t i = 0; i < middle.size(); ++i) {
    const Vec3 left = Vec3{-tangents[i].y, tangents[i].x, 0} * (width_mm / 2);
    rings.push_back(
        {middle[i] - left, middle[i] + left, middle[i] + left + high, middle[i] - left + high});
  }
  const Solid strip = wiring_detail::sweep_rings(rings, middle.front() + high / 2,
                                                 middle.back() + high / 2, origin);
  return strip.transformed({.shift = -strip.box().low});
}

}  // namespace

std::vector<ChannelLid> lids_of(std::span<const Channel> channels, double longest_mm) {
  std::vector<ChannelLid> lids;
  for (std::size_t c = 0; c < channels.size(); ++c) {
    const Channel& channel = channels[c];
    if (channel.lid_way.size() < 2) continue;
    const std::vector<Vec3> middle = developed(channel.lid_way, channel.lid_ups);
    const double whole_mm = length_mm(middle), width_mm = channel.lid_mm.y;
    const double most_mm = std::max(20.0, longest_mm - width_mm);
    const double count = std::ceil(whole_mm / most_mm);
    for (double i = 0; i < count; ++i) {
      const std::vector<Vec3> part =
          stretch(middle, whole_mm * i / count, whole_mm * (i + 1) / count);
      lids.push_back({fmt::format("L{}", lids.size() + 1), c,
                      flat_strip(part, width_mm, channel.lid_mm.z,
                                 {OriginKind::channel, static_cast<std::uint32_t>(c)}),
                      whole_mm / count});
    }
  }
  return lids;
}

}  // namespace seamwright
