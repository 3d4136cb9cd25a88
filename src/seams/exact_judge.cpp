#include "seams/exact_judge.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <bit>

#include "seamwright/core/parallel.h"
#include "seamwright/pose/standing.h"
#include "seamwright/pose/tilted.h"
#include "seamwright/profile/printer_presets.h"

namespace seamwright::search {
namespace {

/// The planes above a leaf with the sides taken.
std::vector<double> way_to(const SeamPlan& plan, std::optional<SeamId> seam, Side side) {
  std::vector<double> way;
  while (seam) {
    const Seam* found = find_seam(plan, *seam);
    require(found != nullptr, "a piece's seam belongs to its plan");
    const Plane& p = found->plane;
    way.insert(way.end(),
               {p.normal.x, p.normal.y, p.normal.z, p.offset_mm, side == Side::above ? 1.0 : 0.0});
    seam = found->parent;
    side = found->side;
  }
  return way;
}

std::vector<std::vector<double>> keys_of(const SeamPlan& plan,
                                         const std::vector<CutPiece>& pieces) {
  std::vector<std::vector<double>> keys;
  std::map<std::vector<double>, double> solids;
  for (const CutPiece& piece : pieces) {
    std::vector<double> key = way_to(plan, piece.seam, piece.side);
    const double solid = solids[key]++;
    key.push_back(solid);
    keys.push_back(std::move(key));
  }
  return keys;
}

}  // namespace

double piece_h(const Pose& pose, double print_s, const PriceRules& prices) {
  const double handling_h =
      prices.cost.piece_h + prices.cost.support_h_per_cm2 * pose.support_mm2 / 100;
  return print_s > 0 ? handling_h + printing_h(prices, print_s / 3600) : handling_h;
}

std::optional<std::pair<Pose, std::size_t>> exact_pose(const Solid& piece,
                                                       const PlanOptions& options) {
  std::optional<std::pair<Pose, std::size_t>> best;
  const auto is_better = [&](const Pose& pose) {
    return !best || pose.foot < best->first.foot ||
           (pose.foot == best->first.foot && pose.support_mm2 < best->first.support_mm2);
  };
  for (std::size_t p = 0; p < options.printers.size(); ++p) {
    for (const ClearBox& box : clear_boxes(options.printers[p])) {
      const std::vector<Pose> poses = standing_poses(piece, box.size_mm);
      if (!poses.empty() && is_better(poses.front())) best = {poses.front(), p};
    }
  }
  if (best || options.poses == Poses::standing) return best;
  for (std::size_t p = 0; p < options.printers.size(); ++p) {
    for (const ClearBox& box : clear_boxes(options.printers[p])) {
      const std::optional<Pose> pose = tilted_pose(piece, box.size_mm);
      if (pose && (!best || pose->support_mm2 < best->first.support_mm2)) best = {*pose, p};
    }
  }
  return best;
}

Error ExactJudge::Misfits::error() const {
  const std::string which =
      leaves.size() == 1 ? fmt::format("a piece fits no printer in a stable pose, {}", first_size)
                         : fmt::format(
                               "{} pieces fit no printer in a stable pose, the "
                               "first {}",
                               leaves.size(), first_size);
  return {"no-plan", which +
                         "; move the seams around it, let pieces be tilted (--poses tilted), "
                         "or take a larger printer"};
}

ExactJudge::Known ExactJudge::look_at(const Solid& piece) const {
  Known known{exact_pose(piece, options_)};
  if (known.pose && judge_.print_s)
    known.print_s = judge_.print_s(piece, known.pose->first, known.pose->second);
  return known;
}

ExactJudge::Shape ExactJudge::shape_of(const Solid& piece) {
  Shape shape{piece.points().size(), piece.face_count()};
  const auto mix = [&](std::uint64_t bits) {
    shape.first = (shape.first ^ bits) * 0x9e3779b97f4a7c15ULL;
    shape.first ^= shape.first >> 32;
    shape.second = (shape.second + bits) * 0xff51afd7ed558ccdULL;
    shape.second ^= shape.second >> 29;
  };
  for (const Vec3 p : piece.points()) {
    mix(std::bit_cast<std::uint64_t>(p.x));
    mix(std::bit_cast<std::uint64_t>(p.y));
    mix(std::bit_cast<std::uint64_t>(p.z));
  }
  for (const Triangle& t : piece.triangles()) {
    mix(std::uint64_t{to_index(t[0])} << 32 | to_index(t[1]));
    mix(to_index(t[2]));
  }
  return shape;
}

/// Fills `known_` for every key.
void ExactJudge::look_at_new(const std::vector<Key>& keys, const std::vector<CutPiece>& pieces,
                             const Run& run) {
  std::vector<std::size_t> fresh;
  for (std::size_t i = 0; i < keys.size(); ++i) {
    if (!known_.contains(keys[i])) fresh.push_back(i);
  }
  const std::vector<Shape> shapes =
      map_index(fresh.size(), run, [&](std::size_t k) { return shape_of(pieces[fresh[k]].solid); });
  const std::vector<Known> looked = map_index(fresh.size(), run, [&](std::size_t k) {
    const auto seen = shapes_.find(shapes[k]);
    return seen != shapes_.end() ? seen->second : look_at(pieces[fresh[k]].solid);
  });
  for (std::size_t k = 0; k < fresh.size(); ++k)
    known_[keys[fresh[k]]] = shapes_[shapes[k]] = looked[k];
}

Result<PlannedSeams> ExactJudge::pose(const SeamPlan& plan, Misfits& misfits, const Run& run) {
  Result<std::vector<CutPiece>> pieces = cutter_.pieces(plan, run);
  if (!pieces) return std::move(pieces).error();
  const std::vector<Key> keys = keys_of(plan, *pieces);
  look_at_new(keys, *pieces, run);
  PlannedSeams out;
  out.plan = plan;
  misfits = {};
  print_s_.clear();
  for (std::size_t i = 0; i < keys.size(); ++i) {
    CutPiece& piece = (*pieces)[i];
    const Known& known = known_.at(keys[i]);
    if (known.pose) {
      print_s_.push_back(known.print_s);
      out.pieces.push_back({std::move(piece), known.pose->first, known.pose->second});
      continue;
    }
    const Vec3 size = piece.solid.box().size();
    if (misfits.leaves.empty())
      misfits.first_size = fmt::format("{:.0f} × {:.0f} × {:.0f} mm", size.x, size.y, size.z);
    const std::pair leaf{piece.seam.value_or(to_id<SeamId>(1)), piece.side};
    if (misfits.leaves.empty() || misfits.leaves.back() != leaf) misfits.leaves.push_back(leaf);
  }
  return out;
}

SeamCost ExactJudge::cost_of(const Seam& seam, const BodyHalves& halves,
                             const ClipBody& body) const {
  const PlanPricer pricer(full_.mesh, setting_.own_prices, setting_.rules);
  SeamCost cost;
  cost.seam = seam.id;
  cost.maker_h = pricer.seam_h(seam.plane, halves, body);
  cost.is_preferred = discount(setting_.own_prices, seam.plane) > 0;
  for (const SectionEdge& e : halves.outline) {
    const FaceFacts& facts = full_.mesh.facts[e.face];
    if (!facts.is_skin) continue;
    const double length_mm = norm(e.to - e.from);
    cost.shown_mm += facts.sight * length_mm;
    cost.hidden_mm += (1 - facts.sight) * length_mm;
    if (facts.weight > 1) cost.detail_mm += length_mm;
    if (facts.weight < 1) cost.line_mm += length_mm;
  }
  return cost;
}

Status ExactJudge::price_seams(std::optional<SeamId> parent, Side side,
                               const std::shared_ptr<const ClipBody>& body, PlannedSeams& out,
                               const Run& run) const {
  const std::vector<Seam>& seams = out.plan.seams;
  const auto seam = std::find_if(seams.begin(), seams.end(), [&](const Seam& s) {
    return s.parent == parent && (!parent || s.side == side);
  });
  if (seam == seams.end()) return ok();
  const BodyHalves halves = clip(*body, seam->plane);
  for (const Zone& zone : setting_.own_prices.forbidden) {
    if (trespass_h({.forbidden = {zone}}, seam->plane, halves) > 0)
      return Error{"no-plan", fmt::format("no seam was found that keeps out of the forbidden zone "
                                          "{}; make it smaller or allow more pieces",
                                          zone.name)};
  }
  out.seam_costs[static_cast<std::size_t>(seam - seams.begin())] = cost_of(*seam, halves, *body);
  std::array<Status, 2> done{ok(), ok()};
  for_each_index(2, run, [&](std::size_t half) {
    done[half] = half == 0 ? price_seams(seam->id, Side::above, halves.above, out, run)
                           : price_seams(seam->id, Side::below, halves.below, out, run);
  });
  return done[0] ? done[1] : done[0];
}

Result<PlannedSeams> ExactJudge::price(PlannedSeams out, const Run& run) {
  out.seam_costs.resize(out.plan.seams.size());
  for (std::size_t i = 0; i < out.plan.seams.size(); ++i)
    out.seam_costs[i].seam = out.plan.seams[i].id;
  if (!whole_) whole_ = channelled_body(full_.mesh, setting_);
  const Status allowed = price_seams(std::nullopt, Side::above, whole_, out, run);
  if (!allowed) return allowed.error();
  OtherPlan& figures = out.figures;
  figures = {.aim = {}, .plan = out.plan, .pieces = out.pieces.size()};
  for (const SeamCost& seam : out.seam_costs) {
    out.maker_h += seam.maker_h;
    figures.shown_mm += seam.shown_mm;
    figures.hidden_mm += seam.hidden_mm;
  }
  for (std::size_t i = 0; i < out.pieces.size(); ++i) {
    out.maker_h += piece_h(out.pieces[i].pose, print_s_[i], setting_.own_prices);
    figures.print_s += print_s_[i];
    figures.longest_print_s = std::max(figures.longest_print_s, print_s_[i]);
  }
  figures.maker_h = out.maker_h;
  return out;
}

Result<PlannedSeams> ExactJudge::judge(const SeamPlan& plan, const Run& run) {
  Misfits misfits;
  Result<PlannedSeams> posed = pose(plan, misfits, run);
  if (!posed) return posed;
  if (!misfits.leaves.empty()) return misfits.error();
  return price(std::move(*posed), run);
}

}  // namespace seamwright::search
