#include "seams/plan_tree.h"

#include <algorithm>
#include <cmath>

namespace seamwright::search {
namespace {

constexpr double kSliverRatio = 0.01;  ///< pieces under this share of the volume are slivers

/// What a half may cost at least after a seam above it moved: a little less than before, and much
/// less only when something in it misfits or is a sliver now.
double least_expected_h(const PlanNode& before) {
  constexpr double kHope_h = 0.3;
  return before.misfits + before.slivers > 0 ? 0 : before.total_h - kHope_h;
}

void add_seams(const PlanNode& node, std::optional<SeamId> parent, Side side, SeamPlan& plan) {
  if (node.is_leaf()) return;
  Seam seam;
  seam.id = static_cast<SeamId>(plan.next_id++);
  seam.parent = parent;
  seam.side = side;
  seam.plane = node.plane;
  seam.is_locked = node.is_locked;
  plan.seams.push_back(seam);
  add_seams(*node.above, seam.id, Side::above, plan);
  add_seams(*node.below, seam.id, Side::below, plan);
}

}  // namespace

double PlanPricer::outline_h_per_mm(Vec3 plane_normal, std::uint32_t face) const {
  const FaceFacts& facts = mesh_.facts[face];
  if (!facts.is_skin) return 0;
  const double per_cm =
      prices_.cost.shown_h_per_cm * facts.sight + prices_.cost.hidden_h_per_cm * (1 - facts.sight);
  const double cosine = dot(plane_normal, facts.normal);
  const double sine = std::sqrt(std::max(0.0, 1 - cosine * cosine));
  const double grazing = sine >= 0.5 ? 1.0 : sine > 0.125 ? 0.5 / sine : 4.0;
  return facts.weight * per_cm / 10 * grazing;
}

double PlanPricer::seam_h(const Plane& plane, const BodyHalves& halves,
                          const ClipBody& body) const {
  double hours = 0;
  for (const SectionEdge& e : halves.outline) {
    hours += norm(e.to - e.from) * outline_h_per_mm(plane.normal, e.face);
  }
  hours += harmed_channels_h(plane, body);
  return hours * (1 - discount(prices_, plane)) + trespass_h(prices_, plane, halves) +
         cut_seats_h(prices_, plane, body);
}

double PlanPricer::fitting_piece_h(double area_mm2, double volume_mm3) const {
  const double share = volume_mm3 / mesh_.volume_mm3;
  const double sliver_h = share < kSliverRatio ? 1.5 - share / kSliverRatio : 0;
  const double print_h = prices_.pace.hours(area_mm2, volume_mm3);
  return prices_.cost.piece_h + printing_h(prices_, print_h) + sliver_h;
}

double PlanPricer::leaf_piece_h(const PieceShape& piece, const PlanNode* like, double most_h,
                                PlanNode& node) {
  const bool has_lain = like != nullptr && node.pieces < like->poses.size();
  const double sure_h = fitting_piece_h(piece.area_mm2, piece.volume_mm3);
  if (sure_h > most_h) return kNoLimit;
  const double not_counted_h = rules_.counts_misfits ? 0 : 1;
  const double at_most_h = (most_h - sure_h) / rules_.misfit_weight + not_counted_h;
  const FitGrade grade =
      grade_fit(piece, rules_, has_lain ? &like->poses[node.pieces] : nullptr, at_most_h);
  work_ += static_cast<double>(piece.points.size() * (1 + piece.feet.size()));
  if (!grade.fits()) node.misfits += 1;
  if (piece.volume_mm3 < kSliverRatio * mesh_.volume_mm3) node.slivers += 1;
  node.poses.push_back({grade.foot, grade.down, grade.along});
  return sure_h + prices_.cost.support_h_per_cm2 * grade.support_mm2 / 100 +
         rules_.misfit_weight * std::max(0.0, grade.penalty_h - not_counted_h);
}

PlanPtr PlanPricer::leaf(std::shared_ptr<const ClipBody> body, const PlanNode* like,
                         double most_h) {
  auto node = std::make_shared<PlanNode>();
  work_ += body->look_work();
  for (const PieceShape& piece : piece_shapes(*body, mesh_)) {
    node->own_h += leaf_piece_h(piece, like, most_h - node->own_h, *node);
    if (node->own_h > most_h) return nullptr;
    node->pieces += 1;
  }
  node->total_h = node->own_h;
  node->body = std::move(body);
  return node;
}

PlanPtr PlanPricer::done_leaf(std::shared_ptr<const ClipBody> body) {
  auto node = std::make_shared<PlanNode>();
  node->is_done = true;
  node->pieces = static_cast<std::uint32_t>(piece_shapes(*body, mesh_).size());
  node->total_h = node->own_h = prices_.cost.piece_h * node->pieces;
  node->body = std::move(body);
  return node;
}

PlanPtr PlanPricer::join(std::shared_ptr<const ClipBody> body, const Plane& plane, bool is_locked,
                         double seam_h, PlanPtr above, PlanPtr below) {
  auto node = std::make_shared<PlanNode>();
  node->body = std::move(body);
  node->plane = plane;
  node->is_locked = is_locked;
  node->own_h = seam_h;
  node->total_h = seam_h + above->total_h + below->total_h;
  node->pieces = above->pieces + below->pieces;
  node->misfits = above->misfits + below->misfits;
  node->slivers = above->slivers + below->slivers;
  node->seams = 1 + above->seams + below->seams;
  node->above = std::move(above);
  node->below = std::move(below);
  return node;
}

PlanPtr PlanPricer::split(std::shared_ptr<const ClipBody> body, const Plane& plane, double most_h) {
  const BodyHalves halves = clip(*body, plane);
  work_ += body->look_work();
  if (halves.above->is_empty() || halves.below->is_empty())
    return leaf(std::move(body), nullptr, most_h);
  const double hours = seam_h(plane, halves, *body);
  if (hours > most_h) return nullptr;
  PlanPtr above = leaf(halves.above, nullptr, most_h - hours);
  if (!above) return nullptr;
  PlanPtr below = leaf(halves.below, nullptr, most_h - hours - above->total_h);
  if (!below) return nullptr;
  return join(std::move(body), plane, false, hours, std::move(above), std::move(below));
}

PlanPtr PlanPricer::under_seam(std::shared_ptr<const ClipBody> body, const PlanPtr& shape,
                               double most_h, Known known) {
  if (known == Known::what_is_unchanged) {
    if (*body == *shape->body) return shape->total_h > most_h ? nullptr : shape;
    if (least_expected_h(*shape) > most_h) return nullptr;
  }
  if (!shape->is_leaf()) return under_plane(std::move(body), shape->plane, *shape, most_h, known);
  if (!shape->is_done) return leaf(std::move(body), shape.get(), most_h);
  PlanPtr made = done_leaf(std::move(body));
  return made->total_h > most_h ? nullptr : made;
}

PlanPtr PlanPricer::under_plane(std::shared_ptr<const ClipBody> body, const Plane& plane,
                                const PlanNode& shape, double most_h, Known known) {
  const BodyHalves halves = clip(*body, plane);
  work_ += body->look_work();
  if (halves.above->is_empty()) return under_seam(std::move(body), shape.below, most_h, known);
  if (halves.below->is_empty()) return under_seam(std::move(body), shape.above, most_h, known);
  const double hours = seam_h(plane, halves, *body);
  const bool above_first = shape.above->seams <= shape.below->seams;
  const PlanPtr& first_shape = above_first ? shape.above : shape.below;
  const PlanPtr& second_shape = above_first ? shape.below : shape.above;
  const double left_h = most_h - hours;
  if (left_h < least_expected_h(*first_shape) + least_expected_h(*second_shape)) return nullptr;
  PlanPtr first = under_seam(above_first ? halves.above : halves.below, first_shape,
                             left_h - least_expected_h(*second_shape), known);
  if (!first) return nullptr;
  PlanPtr second = under_seam(above_first ? halves.below : halves.above, second_shape,
                              left_h - first->total_h, known);
  if (!second) return nullptr;
  PlanPtr above = above_first ? std::move(first) : std::move(second);
  PlanPtr below = above_first ? std::move(second) : std::move(first);
  return join(std::move(body), plane, shape.is_locked, hours, std::move(above), std::move(below));
}

PlanPtr PlanPricer::replay(std::shared_ptr<const ClipBody> body, const PlanNode& shape) {
  if (!shape.is_leaf())
    return under_plane(std::move(body), shape.plane, shape, kNoLimit, Known::nothing);
  return shape.is_done ? done_leaf(std::move(body)) : leaf(std::move(body), &shape);
}

PlanPtr PlanPricer::replay_moved(std::shared_ptr<const ClipBody> body, const Plane& plane,
                                 const PlanNode& shape, double most_h) {
  return under_plane(std::move(body), plane, shape, most_h, Known::what_is_unchanged);
}

PlanPtr PlanPricer::cut_by(const SeamPlan& plan, std::shared_ptr<const ClipBody> body,
                           std::optional<SeamId> parent, Side side) {
  const auto seam = std::find_if(plan.seams.begin(), plan.seams.end(), [&](const Seam& s) {
    return s.parent == parent && (!parent || s.side == side);
  });
  if (seam == plan.seams.end()) return leaf(std::move(body));
  const BodyHalves halves = clip(*body, seam->plane);
  if (halves.above->is_empty() || halves.below->is_empty()) return leaf(std::move(body));
  const double hours = seam_h(seam->plane, halves, *body);
  PlanPtr above = cut_by(plan, halves.above, seam->id, Side::above);
  PlanPtr below = cut_by(plan, halves.below, seam->id, Side::below);
  return join(std::move(body), seam->plane, seam->is_locked, hours, std::move(above),
              std::move(below));
}

const PlanNode& seam_at(const PlanNode& node, std::uint32_t seam_index) {
  if (seam_index == 0) return node;
  if (seam_index - 1 < node.above->seams) return seam_at(*node.above, seam_index - 1);
  return seam_at(*node.below, seam_index - 1 - node.above->seams);
}

void misfit_parents(const PlanNode& node, std::uint32_t index, std::vector<std::uint32_t>& out) {
  if (node.is_leaf() || node.misfits == 0) return;
  const bool here = (node.above->is_leaf() && node.above->misfits > 0) ||
                    (node.below->is_leaf() && node.below->misfits > 0);
  if (here) out.push_back(index);
  misfit_parents(*node.above, index + 1, out);
  misfit_parents(*node.below, index + 1 + node.above->seams, out);
}

SeamPlan to_seam_plan(const PlanNode& root) {
  SeamPlan plan;
  add_seams(root, std::nullopt, Side::above, plan);
  return plan;
}

}  // namespace seamwright::search
