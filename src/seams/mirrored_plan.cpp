#include "seams/mirrored_plan.h"

#include <fmt/format.h>

#include "seams/exact_judge.h"
#include "seamwright/cut/plane_cut.h"

namespace seamwright::search {
namespace {

Vec3 reflected(Vec3 p, const Plane& mirror) {
  return p - mirror.normal * (2 * mirror.distance(p));
}
Plane reflected(const Plane& plane, const Plane& mirror) {
  const double along = dot(plane.normal, mirror.normal);
  return {plane.normal - mirror.normal * (2 * along),
          plane.offset_mm - 2 * mirror.offset_mm * along};
}

/// A solid with what is known of each of its faces.
struct Skinned {
  Solid solid;
  std::vector<double> sight, weight;
  SkinView view() const { return {sight, weight}; }
};

/// Faces know their position, so that halves can tell whose they are.
Solid numbered(const Solid& solid) {
  std::vector<Origin> origins(solid.origins().begin(), solid.origins().end());
  for (std::size_t f = 0; f < origins.size(); ++f) origins[f].id = static_cast<std::uint32_t>(f);
  return Solid::adopt({solid.points().begin(), solid.points().end()},
                      {solid.triangles().begin(), solid.triangles().end()}, std::move(origins));
}

Skinned half_of(const Skinned& whole, Solid half) {
  Skinned out{std::move(half), {}, {}};
  const auto carried = [&](const std::vector<double>& values, std::size_t face) {
    const Origin& origin = out.solid.origins()[face];
    return origin.kind == OriginKind::cap ? 1.0 : values[origin.id];
  };
  for (std::size_t f = 0; f < out.solid.face_count(); ++f) {
    out.sight.push_back(carried(whole.sight, f));
    if (!whole.weight.empty()) out.weight.push_back(carried(whole.weight, f));
  }
  return out;
}

/// The seams of `from` under a half of another plan, each plane changed by `change`.
template <class Change>
void graft(SeamPlan& onto, const SeamPlan& from, std::optional<SeamId> parent, Side side,
           const Change& change) {
  std::vector<std::pair<SeamId, SeamId>> renamed;
  for (const Seam& seam : from.seams) {
    AddSeam add{parent, side, change(seam.plane)};
    for (const auto& [before, now] : renamed) {
      if (seam.parent == before) add = {now, seam.side, add.plane};
    }
    onto = apply(onto, add).value();
    renamed.emplace_back(seam.id, onto.seams.back().id);
  }
}

/// What a side is asked: wishes of either side hold on both.
PlanOptions side_options(const PlanOptions& options) {
  const Plane mirror = *options.mirror;
  PlanOptions side = options;
  side.mirror.reset();
  side.most_pieces = 0;
  side.other_plans = 0;
  for (Zone zone : options.forbidden) {
    zone.center = reflected(zone.center, mirror);
    side.forbidden.push_back(std::move(zone));
  }
  for (const PreferredSeam& wish : options.preferred)
    side.preferred.push_back({reflected(wish.plane, mirror), wish.discount_ratio});
  for (SeatZone seat : options.seats) {
    seat.middle = reflected(seat.middle, mirror);
    for (Vec3& half : seat.half_edges) half = half - mirror.normal * (2 * dot(half, mirror.normal));
    side.seats.push_back(std::move(seat));
  }
  for (std::vector<Vec3> path : options.channel_paths) {
    for (Vec3& p : path) p = reflected(p, mirror);
    side.channel_paths.push_back(std::move(path));
  }
  return side;
}

/// The plan of one side and its image.
Result<SeamPlan> mirrored_from(const Skinned& whole, bool from_above, const PlanOptions& options,
                               const PieceJudge& judge, const Run& run) {
  const Plane mirror = *options.mirror;
  SeamPlan plan = apply(SeamPlan{}, AddSeam{{}, Side::above, mirror}).value();
  const SeamId middle = plan.seams[0].id;
  Result<CutHalves> halves = plane_cut(whole.solid, mirror, middle);
  if (!halves) return halves.error();
  if (!halves->above || !halves->below)
    return Error{"no-plan", "the part lies on one side of the mirror"};
  const Skinned side = half_of(whole, std::move(from_above ? *halves->above : *halves->below));
  const Result<PlannedSeams> found =
      plan_seams(side.solid, side.view(), side_options(options), judge, run);
  if (!found) return found.error();
  const auto as_is = [](const Plane& plane) { return plane; };
  const auto image = [&](const Plane& plane) { return reflected(plane, mirror); };
  from_above ? graft(plan, found->plan, middle, Side::above, as_is)
             : graft(plan, found->plan, middle, Side::above, image);
  from_above ? graft(plan, found->plan, middle, Side::below, image)
             : graft(plan, found->plan, middle, Side::below, as_is);
  return plan;
}

/// The plan on the part itself, whose faces keep their origins.
Result<PlannedSeams> judged(SeamPlan plan, const Solid& part, const SkinView& skin,
                            const PlanOptions& options, const PieceJudge& judge, const Run& run) {
  PlanOptions given = options;
  given.given = std::move(plan);
  Result<PlannedSeams> held =
      plan_seams(part, skin, given, judge, {run.thread_count, run.cancel, {}});
  if (held && options.most_pieces > 0 && held->pieces.size() > options.most_pieces) {
    return Error{"no-plan", fmt::format("{} pieces, more than the {} you allow",
                                        held->pieces.size(), options.most_pieces)};
  }
  return held;
}

bool fits_whole(const Solid& part, const PlanOptions& options) {
  for (const Solid& solid : split_components(part)) {
    if (!exact_pose(solid, options)) return false;
  }
  return true;
}

}  // namespace

Result<PlannedSeams> find_mirrored_plan(const Solid& part, const SkinView& skin,
                                        const PlanOptions& options, const PieceJudge& judge,
                                        const Run& run) {
  require(options.locked.empty() && options.done_cells.empty(),
          "a mirrored plan has no locked seams and no done pieces");
  if (fits_whole(part, options)) return judged({}, part, skin, options, judge, run);
  const Skinned whole{numbered(part),
                      {skin.sight.begin(), skin.sight.end()},
                      {skin.weight.begin(), skin.weight.end()}};
  std::optional<Result<PlannedSeams>> held;
  for (const bool from_above : {true, false}) {
    Result<SeamPlan> plan = mirrored_from(whole, from_above, options, judge, run);
    held = plan ? judged(std::move(*plan), part, skin, options, judge, run)
                : Result<PlannedSeams>(plan.error());
    if (*held) return std::move(*held);
    if (run.should_finish()) return std::move(*held);
  }
  return Error(held->error()).within("while looking for a plan that mirrors itself");
}

}  // namespace seamwright::search
