#include "seamwright/days/footprint.h"

#include "printing/flat.h"

namespace seamwright {
namespace {

/// Upward faces cover the whole shadow of a closed solid: a line straight down that meets its
/// inside enters by one of them.
flat::Paths upward_faces(const Solid& solid) {
  flat::Paths faces;
  for (std::size_t f = 0; f < solid.face_count(); ++f) {
    const FaceId id = to_id<FaceId>(f);
    if (solid.area_normal(id).z <= 0) continue;
    const auto corners = solid.corners(id);
    flat::Path path = flat::from_mm(
        {{corners[0].x, corners[0].y}, {corners[1].x, corners[1].y}, {corners[2].x, corners[2].y}});
    if (ClipperLib::Area(path) > 0) faces.push_back(std::move(path));
  }
  return faces;
}

double left_of(const flat::Path& path) {
  return static_cast<double>(path.front().X);
}

/// Neighbours first, then their unions: one sweep over all faces at once is many times slower.
flat::Paths united_by_halves(const std::vector<flat::Path>& faces, std::size_t begin,
                             std::size_t end) {
  constexpr std::size_t kAtOnce = 64;
  if (end - begin <= kAtOnce) {
    return flat::united({faces.begin() + static_cast<std::ptrdiff_t>(begin),
                         faces.begin() + static_cast<std::ptrdiff_t>(end)});
  }
  const std::size_t middle = begin + (end - begin) / 2;
  flat::Paths halves = united_by_halves(faces, begin, middle);
  const flat::Paths right = united_by_halves(faces, middle, end);
  halves.insert(halves.end(), right.begin(), right.end());
  return flat::united(halves);
}

flat::Path simplified(const flat::Path& path, double tolerance_mm) {
  return flat::from_mm(flat::simplified(flat::to_mm(path), tolerance_mm));
}

}  // namespace

std::vector<Region2> footprint(const Solid& solid, double tolerance_mm, double margin_mm) {
  flat::Paths faces = upward_faces(solid);
  std::stable_sort(faces.begin(), faces.end(), [](const flat::Path& a, const flat::Path& b) {
    return left_of(a) < left_of(b);
  });
  // Grown by the tolerance, points dropped within it: what is left still covers the shadow.
  flat::Paths loops;
  for (const flat::Path& path :
       flat::grown(united_by_halves(faces, 0, faces.size()), tolerance_mm + margin_mm)) {
    if (std::abs(ClipperLib::Area(path)) < 1) continue;
    loops.push_back(simplified(path, 0.9 * tolerance_mm));
  }
  std::vector<Region2> regions;
  for (const flat::Paths& island : flat::islands(flat::united(loops))) {
    Region2 region{flat::to_mm(island.front()), {}};
    for (std::size_t i = 1; i < island.size(); ++i) region.holes.push_back(flat::to_mm(island[i]));
    regions.push_back(std::move(region));
  }
  return regions;
}

}  // namespace seamwright
