#include "seams/mirrored_plan.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "seams/exact_judge.h"
#include "seams/proxy.h"
#include "seamwright/core/parallel.h"
#include "seamwright/cut/plane_cut.h"
#include "seamwright/query/simplify.h"

namespace seamwright::search {
namespace {

constexpr std::size_t kScanFaces = 1500;

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

class MirrorPlanner {
 public:
  MirrorPlanner(const Skinned& part, const PlanOptions& options, const PieceJudge& judge,
                const Run& run)
      : part_(part), options_(options), judge_(judge), run_(run), mirror_(*options.mirror) {}

  /// A plan with a middle slab of this width (0: a seam in the mirror plane), and its hours; the
  /// side above the mirror is searched and the other its image, or the other way round.
  Result<PlannedSeams> plan_for(double width_mm, Effort effort) const {
    Result<PlannedSeams> planned = plan_for(width_mm, effort, true);
    if (planned || run_.should_stop()) return planned;
    return plan_for(width_mm, effort, false);
  }

  /// Widths worth a try: the room, what is left between sides that just fill one, a third of the
  /// part, a share of the room; all that leave sides.
  std::vector<double> widths() const {
    double low = std::numeric_limits<double>::infinity(), high = -low, room = 0;
    for (const Vec3 p : part_.solid.points()) {
      low = std::min(low, mirror_.distance(p));
      high = std::max(high, mirror_.distance(p));
    }
    for (const Printer& printer : options_.printers) {
      const Vec3 usable = printer.usable_mm();
      room = std::max({room, usable.x, usable.y, usable.z});
    }
    // Nothing shortens the slab across the mirror: it must leave the stand-in some play.
    const double thickest = room - 1, size = 2 * std::min(-low, high);
    std::vector<double> widths{0};
    const auto offer = [&](double width) {
      const auto is_near = [&](double other) { return std::abs(other - width) < 5; };
      if (width > 20 && width <= thickest && width < size - 20 &&
          std::none_of(widths.begin(), widths.end(), is_near))
        widths.push_back(width);
    };
    for (const double width : {thickest, size - 2 * thickest, size / 3, 0.6 * thickest})
      offer(width);
    return widths;
  }

 private:
  Result<PlannedSeams> plan_for(double width_mm, Effort effort, bool from_above) const {
    Plane upper = mirror_, lower = mirror_;
    upper.offset_mm += width_mm / 2;
    lower.offset_mm -= width_mm / 2;
    SeamPlan plan = apply(SeamPlan{}, AddSeam{{}, Side::above, upper}).value();
    if (width_mm > 0) plan = apply(plan, AddSeam{plan.seams[0].id, Side::below, lower}).value();
    const SeamId first = plan.seams.front().id, last = plan.seams.back().id;
    const Result<CutHalves> outer = plane_cut(part_.solid, from_above ? upper : lower, first);
    if (!outer) return outer.error();
    const std::optional<Solid>& side = from_above ? outer->above : outer->below;
    const std::optional<Solid>& rest = from_above ? outer->below : outer->above;
    if (!side || !rest) return Error{"no-plan", "the part lies on one side of the mirror"};
    const Result<SeamPlan> sides = searched(*side, sub_options(effort, false));
    if (!sides) return sides.error();
    const auto as_is = [](const Plane& plane) { return plane; };
    const auto image = [&](const Plane& plane) { return reflected(plane, mirror_); };
    from_above ? graft(plan, *sides, first, Side::above, as_is)
               : graft(plan, *sides, first, Side::above, image);
    from_above ? graft(plan, *sides, last, Side::below, image)
               : graft(plan, *sides, last, Side::below, as_is);
    if (width_mm > 0) {
      const Result<SeamPlan> middle =
          searched_middle(*rest, from_above ? lower : upper, from_above, effort);
      if (!middle) return middle.error();
      graft(plan, *middle, last, Side::above, as_is);
    }
    return judged(std::move(plan));
  }

  Result<SeamPlan> searched_middle(const Solid& rest, const Plane& plane, bool is_above,
                                   Effort effort) const {
    const Result<CutHalves> inner = plane_cut(rest, plane, static_cast<SeamId>(2));
    if (!inner) return inner.error();
    const std::optional<Solid>& slab = is_above ? inner->above : inner->below;
    if (!slab) return Error{"no-plan", "nothing lies about the mirror"};
    return searched(*slab, sub_options(effort, true));
  }

  /// What the sides are asked: wishes of either side hold on both.
  PlanOptions sub_options(Effort effort, bool is_middle) const {
    PlanOptions sub = options_;
    sub.mirror.reset();
    sub.effort = effort;
    sub.most_pieces = 0;
    sub.other_plans = 0;
    if (is_middle) sub.across = mirror_.normal;
    for (Zone zone : options_.forbidden) {
      zone.center = reflected(zone.center, mirror_);
      sub.forbidden.push_back(std::move(zone));
    }
    for (const PreferredSeam& wish : options_.preferred)
      sub.preferred.push_back({reflected(wish.plane, mirror_), wish.discount_ratio});
    for (std::vector<Vec3> path : options_.channel_paths) {
      for (Vec3& p : path) p = reflected(p, mirror_);
      sub.channel_paths.push_back(std::move(path));
    }
    return sub;
  }

  Result<SeamPlan> searched(const Solid& half, const PlanOptions& sub) const {
    const Skinned skinned = half_of(part_, half);
    Result<PlannedSeams> found = plan_seams(skinned.solid, skinned.view(), sub, judge_, run_);
    if (!found) return found.error();
    return std::move(found->plan);
  }

  Result<PlannedSeams> judged(SeamPlan plan) const {
    PlanOptions whole = options_;
    whole.given = std::move(plan);
    Result<PlannedSeams> out = plan_seams(part_.solid, part_.view(), whole, judge_, run_);
    if (out && options_.most_pieces > 0 && out->pieces.size() > options_.most_pieces)
      return Error{"no-plan", fmt::format("{} pieces, more than the {} you allow",
                                          out->pieces.size(), options_.most_pieces)};
    return out;
  }

  const Skinned& part_;
  const PlanOptions& options_;
  const PieceJudge& judge_;
  const Run& run_;
  Plane mirror_;
};

/// The widths by the hours of quick plans, the best first; those that failed last.
std::vector<double> ranked_widths(const Skinned& part, const PlanOptions& options,
                                  const PieceJudge& judge, const Run& run) {
  const Solid coarse = simplify(part.solid, kScanFaces);
  const Skinned stand_in{numbered(coarse), carry_values(part.solid, part.sight, coarse),
                         carry_values(part.solid, part.weight, coarse)};
  const Run quiet{run.thread_count, run.cancel, {}};
  const MirrorPlanner planner(stand_in, options, judge, quiet);
  const std::vector<double> widths = planner.widths();
  std::vector<std::pair<double, double>> ranked;
  const std::vector<double> hours = map_index(widths.size(), run, [&](std::size_t i) {
    const Result<PlannedSeams> plan = planner.plan_for(widths[i], Effort::quick);
    return plan ? plan->maker_h : std::numeric_limits<double>::infinity();
  });
  for (std::size_t i = 0; i < widths.size(); ++i) ranked.emplace_back(hours[i], widths[i]);
  std::stable_sort(ranked.begin(), ranked.end(),
                   [](const auto& a, const auto& b) { return a.first < b.first; });
  std::vector<double> order;
  for (const auto& [h, width] : ranked) order.push_back(width);
  return order;
}

bool fits_whole(const Solid& part, const PlanOptions& options) {
  for (const Solid& solid : split_components(part)) {
    if (!exact_pose(solid, options)) return false;
  }
  return true;
}

}  // namespace

Result<SeamPlan> find_mirrored_plan(const Solid& part, const SkinView& skin,
                                    const PlanOptions& options, const PieceJudge& judge,
                                    const Run& run) {
  require(options.locked.empty() && options.done_cells.empty(),
          "a mirrored plan has no locked seams and no done pieces");
  if (fits_whole(part, options)) return SeamPlan{};
  const Skinned whole{numbered(part),
                      {skin.sight.begin(), skin.sight.end()},
                      {skin.weight.begin(), skin.weight.end()}};
  const std::vector<double> widths = ranked_widths(whole, options, judge, run);
  run.report(0.3);
  const Run quiet{run.thread_count, run.cancel, {}};
  const MirrorPlanner planner(whole, options, judge, quiet);
  std::optional<Result<PlannedSeams>> best;
  for (std::size_t i = 0; i < widths.size(); ++i) {
    if (i >= 2 && best->has_value()) break;
    Result<PlannedSeams> plan = planner.plan_for(widths[i], options.effort);
    if (run.should_stop()) return Error{"cancelled", "the search for seams was stopped"};
    if (!best || (plan && (!*best || plan->maker_h < best->value().maker_h)))
      best = std::move(plan);
    run.report(std::min(0.9, 0.3 * static_cast<double>(i + 2)));
  }
  if (!*best) return Error(best->error()).within("while looking for a plan that mirrors itself");
  return std::move(best->value().plan);
}

}  // namespace seamwright::search
