#include "job/symmetry.h"

#include <fmt/format.h>

#include <algorithm>

#include "seamwright/query/ray_tree.h"

namespace seamwright::job_detail {

std::optional<Plane> mirror_plane(const Solid& part, Symmetry wish) {
  if (wish == Symmetry::none) return std::nullopt;
  const std::size_t axis = static_cast<std::size_t>(wish) - static_cast<std::size_t>(Symmetry::x);
  Vec3 normal;
  normal[axis] = 1;
  return Plane{normal, part.box().center()[axis]};
}

Status check_symmetry(const Job& job) {
  if (job.search.symmetric == Symmetry::none) return ok();
  const char* with = !job.locks.empty()           ? "[[lock]]"
                     : !job.dones.empty()         ? "[[done]]"
                     : job.given_plan             ? "--seams"
                     : job.search.other_plans > 0 ? "other_plans"
                                                  : nullptr;
  if (with == nullptr) return ok();
  return Error{"job-bad-value",
               fmt::format("[search] symmetric = \"{}\" does not go with {}, which asks for seams "
                           "of its own; drop one of the two",
                           name_of(job.search.symmetric), with)};
}

void tell_symmetry(HandOff& out, Symmetry wish) {
  const std::optional<Plane> mirror = mirror_plane(out.wired, wish);
  if (!mirror) return;
  constexpr double kAlike_mm = 1;
  constexpr std::size_t kCorners = 2000;
  const RayTree tree(out.wired);
  const auto points = out.wired.points();
  const std::size_t step = std::max<std::size_t>(1, points.size() / kCorners);
  double farthest_mm = 0;
  for (std::size_t i = 0; i < points.size(); i += step) {
    const Vec3 image = points[i] - mirror->normal * (2 * mirror->distance(points[i]));
    const auto near = tree.nearest(image);
    if (near) farthest_mm = std::max(farthest_mm, near->distance_mm);
  }
  if (farthest_mm <= kAlike_mm) return;
  out.warnings.push_back(
      {"not-symmetric",
       fmt::format("The seams mirror each other across {}, and the part does not: its mirror image "
                   "lies up to {:.1f} mm off it. Left and right pieces differ.",
                   name_of(wish), farthest_mm)});
}

}  // namespace seamwright::job_detail
