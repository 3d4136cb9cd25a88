#include "seamwright/mesh/mend.h"

#include <fmt/format.h>

#include <cmath>
#include <map>

#include "mesh/bodies.h"
#include "mesh/draft.h"

namespace seamwright {
namespace {

constexpr std::size_t kMostPlaces = 10;

Draft make_draft(TriangleSoup soup) {
  Draft draft;
  draft.points = std::move(soup.points);
  draft.triangles = std::move(soup.triangles);
  draft.origins = std::move(soup.origins);
  if (draft.origins.empty()) {
    draft.origins.resize(draft.triangles.size());
    for (std::size_t f = 0; f < draft.origins.size(); ++f)
      draft.origins[f].id = static_cast<std::uint32_t>(f);
  }
  Box3 box;
  for (const Vec3& p : draft.points) box.extend(p);
  const Vec3 size = box.size();
  draft.size_mm = std::max({size.x, size.y, size.z});
  return draft;
}

Status check_input(const Draft& draft) {
  if (draft.triangles.empty())
    return Error{"cannot-mend", "The mesh has no faces. Export the part again."};
  for (std::size_t i = 0; i < draft.points.size(); ++i) {
    const Vec3 p = draft.points[i];
    if (std::isfinite(p.x) && std::isfinite(p.y) && std::isfinite(p.z)) continue;
    return Error{
        "cannot-mend",
        fmt::format("Point {} is not a finite number. Repair or delete the faces there.", i)};
  }
  return ok();
}

std::vector<Vec3> unbalanced_places(const Draft& draft) {
  std::vector<Vec3> places;
  for_each_edge(draft.edge_uses(), [&](std::span<const EdgeUse> edge) {
    if (edge_balance(edge) == 0 || places.size() == kMostPlaces) return;
    places.push_back((draft.points[edge[0].low] + draft.points[edge[0].high]) / 2);
  });
  return places;
}

Result<Mended> finish(Draft draft) {
  const std::vector<Vec3> places = unbalanced_places(draft);
  TriangleSoup soup;
  soup.points = std::move(draft.points);
  soup.triangles = std::move(draft.triangles);
  soup.origins = std::move(draft.origins);
  Result<Solid> solid = Solid::make(std::move(soup));
  if (solid) return Mended{std::move(solid).value(), std::move(draft.steps)};
  return Error{"cannot-mend", fmt::format("The mesh can't be made a closed body: {}{}. Mend these "
                                          "places in the modelling program (merge "
                                          "the bodies, delete inner walls), then export again.",
                                          solid.error().message, places_text(places))};
}

/// What most files need: nothing at all, or faces that collapsed.
bool is_sound(const Draft& draft) {
  const std::vector<EdgeUse> uses = draft.edge_uses();
  bool is_sound = true;
  for_each_edge(uses, [&](std::span<const EdgeUse> edge) {
    is_sound &= edge.size() == 2 && edge_balance(edge) == 0;
  });
  if (!is_sound) return false;
  const Bodies bodies = find_bodies(draft.points, draft.triangles, uses);
  return std::all_of(bodies.volume_mm3.begin(), bodies.volume_mm3.end(),
                     [](double v) { return v > 0; });
}

Status close(Draft& draft) {
  drop_duplicates(draft);
  if (count_open_edges(draft) > 0) weld_open_edges(draft);
  if (count_open_edges(draft) > 0) stitch(draft);
  if (!is_balanced(draft)) drop_hanging_walls(draft);
  if (draft.triangles.empty()) {
    return Error{
        "sheet-without-thickness",
        "Every face has another one back to back: the mesh is a sheet without thickness. Give it a "
        "thickness of 2–3 mm in the modelling program, then export again."};
  }
  if (!is_balanced(draft)) {
    if (Status oriented = orient(draft); !oriented) return oriented;
  }
  if (count_open_edges(draft) > 0) return fill_holes(draft);
  return ok();
}

}  // namespace

std::string mend_words(const std::string& code) {
  static const std::map<std::string, std::string> kWords{
      {"weld", "corners that all but meet joined"},
      {"drop-duplicates", "faces that are there twice left out"},
      {"drop-degenerate", "faces without area left out"},
      {"drop-hanging-walls", "faces of walls that hang loose left out"},
      {"orient", "faces that look inward turned"},
      {"stitch", "open edges stitched"},
      {"fill-holes", "small holes filled"},
      {"fill-large-holes", "large holes filled"},
      {"turn-outward", "bodies inside out turned"}};
  return kWords.at(code);
}

Result<Mended> mend(TriangleSoup soup, const Run& run) {
  Draft draft = make_draft(std::move(soup));
  if (Status input = check_input(draft); !input) return input.error();
  weld_exactly(draft);
  drop_degenerate(draft);
  if (is_sound(draft)) return finish(std::move(draft));
  if (run.should_stop()) return Error{"cancelled", "stopped while mending the mesh"};
  if (Status closed = close(draft); !closed) return closed.error();
  turn_outward(draft);
  return finish(std::move(draft));
}

}  // namespace seamwright
