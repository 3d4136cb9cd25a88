#include <algorithm>
#include <numeric>

#include "joints/key_planner.h"
#include "joints/outlines.h"

namespace seamwright::joints {
namespace {

constexpr double kOnPlane_mm = 0.01;  // as written in plan.json, and room for its rounding

const KeptPiece* find_kept(std::span<const KeptPiece> kept, PieceId piece) {
  const auto found = std::find_if(kept.begin(), kept.end(),
                                  [&](const KeptPiece& one) { return one.piece == piece; });
  return found == kept.end() ? nullptr : &*found;
}

}  // namespace

/// The faces of printed pieces first: what they have can't give way.
std::vector<std::size_t> KeyPlanner::kept_first(
    std::span<const std::optional<FaceContext>> contexts) const {
  std::vector<std::size_t> order(contexts.size());
  std::iota(order.begin(), order.end(), 0);
  std::stable_partition(order.begin(), order.end(), [&](std::size_t j) {
    const JointFace& face = *contexts[j]->face;
    return find_kept(inputs_.kept, face.above) != nullptr ||
           find_kept(inputs_.kept, face.below) != nullptr;
  });
  return order;
}

/// The keys of this kind (of pins, those that grow from `male`) that a printed piece brings to the
/// face and that its neighbour has room for. Of two printed pieces the first one's: what they share
/// they share.
std::vector<PlacedKey> KeyPlanner::kept_keys(const FaceContext& context, KeyKind kind,
                                             std::optional<Side> male) const {
  std::vector<PlacedKey> keys;
  const PlaneFrame frame(context.plane);
  for (const Side printed : {Side::above, Side::below}) {
    const KeptPiece* piece = find_kept(inputs_.kept, context.piece(printed));
    if (piece == nullptr) continue;
    for (const KeptKey& key : piece->keys) {
      if (key.kind != kind || std::abs(context.plane.distance(key.at)) > kOnPlane_mm) continue;
      if (male && (key.grows_from_piece ? printed : other(printed)) != *male) continue;
      const Vec2 at = frame.flatten(key.at);
      if (region_edge_distance_mm(context.face->region, at) < key.diameter_mm / 2) continue;
      if (has_room(context, other(printed), at, key.diameter_mm, key.depth_mm,
                   male == other(printed)))
        keys.push_back({at, key.diameter_mm, key.depth_mm});
    }
    break;
  }
  return keys;
}

/// The face's round keys as a printed piece has them; nothing where it brings none.
std::optional<KeyPlanner::Laid> KeyPlanner::laid_as_kept(const FaceContext& context) const {
  for (const std::optional<Side> male :
       {std::optional<Side>{}, std::optional(Side::above), std::optional(Side::below)}) {
    Laid laid{&context, male, {}, true};
    laid.layout.keys = kept_keys(context, male ? KeyKind::pin : KeyKind::dowel, male);
    if (!laid.layout.keys.empty()) return laid;
  }
  return {};
}

}  // namespace seamwright::joints
