#pragma once

#include "wiring/skin_way.h"

namespace seamwright::wiring_detail {

/// Points `step_mm` apart along a polyline, its ends kept.
std::vector<Vec3> resampled(std::span<const Vec3> line, double step_mm);
/// Least radius of the circles through samples two apart on either side; infinite when straight.
double least_bend_mm(std::span<const Vec3> points);
/// Moves a way of samples `step_mm` apart so that it passes the station: its nearest sample goes
/// there, the neighbours within 40 mm follow by a soft hat; ends stay.
void pass_station(std::vector<Vec3>& points, Vec3 station, double step_mm);
/// Unit tangents by central differences.
std::vector<Vec3> tangents_of(std::span<const Vec3> points);

/// Smooths a way over the skin in space, with a pull to the skin that weakens, until it bends no
/// tighter than wanted; passes the stations. O(samples · rounds).
SkinWay smooth_on_skin(const HiddenSkin& skin, std::span<const Vec3> way,
                       std::span<const Vec3> stations, const SkinWayOptions& options);

}  // namespace seamwright::wiring_detail
