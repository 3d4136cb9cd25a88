#include "seamwright/joints/key_pieces.h"

#include <fmt/format.h>

#include <algorithm>

#include "joints/key_features.h"
#include "joints/key_planner.h"
#include "seamwright/core/parallel.h"

namespace seamwright {
namespace {

using namespace joints;

Error cancelled() {
  return {"cancelled", "stopped while keys were put into the pieces"};
}

Status check_kind(KeyKind key) {
  if (key == KeyKind::dowel || key == KeyKind::pin || key == KeyKind::none) return ok();
  return Error{
      "key-kind-not-yet",
      "tongues, laps and straps can't be made yet; choose dowel (the default), pin or none"};
}

/// The works of every piece, one a seam, features in the order of the joints.
using PieceWorks = std::vector<std::vector<CapWork>>;

CapWork& work_on(std::vector<CapWork>& works, SeamId seam, const CapFrame& frame) {
  for (CapWork& work : works) {
    if (work.seam == seam) return work;
  }
  works.push_back({seam, frame, {}});
  return works.back();
}

/// How much a hole's mouth on the bed can be widened: the relief, less where the face's edge is
/// near.
double mouth_bevel_mm(const FaceContext& context, Vec2 at, double radius_mm, const FaceSide& side,
                      const Joinery& joinery) {
  if (!side.is_on_bed) return 0;
  const double room =
      region_edge_distance_mm(context.face->region, at) - radius_mm - joinery.relief_mm - 0.2;
  return std::clamp(room, 0.0, joinery.relief_mm);
}

CapFeature key_feature(const FaceContext& context, const Key& key, Side which, std::uint32_t id,
                       const Joinery& joinery) {
  const FaceSide& side = context.side(which);
  const Vec2 center = side.frame.flatten(key.at);
  const Origin origin{OriginKind::key, id};
  if (key.male == context.piece(which))
    return make_pin(center, key.diameter_mm / 2, key.depth_mm - kTipRoom_mm, origin);
  const double radius = hole_radius_mm(key.diameter_mm, side, joinery);
  const Vec2 at = PlaneFrame(context.plane).flatten(key.at);
  return make_hole(side, center, radius, key.depth_mm,
                   mouth_bevel_mm(context, at, radius, side, joinery), origin);
}

PieceWorks gather_works(std::span<const std::optional<FaceContext>> contexts,
                        std::span<const Joint> joints, std::size_t piece_count,
                        const Joinery& joinery) {
  PieceWorks works(piece_count);
  std::uint32_t key_id = 0;
  for (std::size_t j = 0; j < joints.size(); ++j) {
    const FaceContext& context = *contexts[j];
    for (const Key& key : joints[j].keys) {
      for (Side which : {Side::above, Side::below}) {
        CapWork& work = work_on(works[to_index(context.piece(which))], context.face->seam,
                                context.side(which).frame);
        work.features.push_back(key_feature(context, key, which, key_id, joinery));
      }
      ++key_id;
    }
  }
  return works;
}

double volume_of(std::span<const CapWork> works) {
  double volume = 0;
  for (const CapWork& work : works) {
    for (const CapFeature& feature : work.features) volume += feature_volume_mm3(feature);
  }
  return volume;
}

/// A cap so ragged that it can't be filled anew loses its keys, on both pieces, and the maker is
/// told.
bool drop_failed(const JointInputs& inputs, const PieceWorks& works,
                 std::span<const std::optional<Result<Solid>>> built, KeyedPieces& out) {
  bool any = false;
  for (std::size_t p = 0; p < built.size(); ++p) {
    if (built[p]->has_value()) continue;
    for (const CapWork& work : works[p]) {
      if (build_on_caps(inputs.pieces[p].cut->solid, {&work, 1}).has_value()) continue;
      for (Joint& joint : out.joints) {
        const bool is_here = to_index(joint.face.above) == p || to_index(joint.face.below) == p;
        if (joint.face.seam != work.seam || !is_here || joint.keys.empty()) continue;
        joint.keys.clear();
        joint.kind = KeyKind::none;
        out.warnings.push_back(
            {"joint-without-key",
             fmt::format("{} gets no key: {}. Move the seam a little",
                         joint_name(inputs, joint.face), built[p]->error().message)});
        any = true;
      }
    }
  }
  return any;
}

Status build_pieces(const JointInputs& inputs, std::span<const std::optional<FaceContext>> contexts,
                    KeyedPieces& out, const Run& run) {
  std::vector<std::optional<Result<Solid>>> built;
  PieceWorks works;
  do {
    works = gather_works(contexts, out.joints, inputs.pieces.size(), inputs.joinery);
    built = map_index(inputs.pieces.size(), run, [&](std::size_t p) {
      return std::optional(build_on_caps(inputs.pieces[p].cut->solid, works[p]));
    });
    if (run.should_stop()) return cancelled();
  } while (drop_failed(inputs, works, built, out));
  for (std::size_t p = 0; p < built.size(); ++p) {
    if (!*built[p]) return std::move(*built[p]).error();
    out.solids.push_back(std::move(**built[p]));
    out.added_volume_mm3.push_back(volume_of(works[p]));
  }
  return ok();
}

}  // namespace

Result<KeyedPieces> key_pieces(const SeamPlan& plan, std::span<const PosedPiece> pieces,
                               std::span<const JointFace> faces, const Joinery& joinery,
                               const Run& run) {
  if (auto known = check_kind(joinery.key); !known) return std::move(known).error();
  const JointInputs inputs{plan, pieces, faces, joinery};
  const auto contexts = map_index(faces.size(), run, [&](std::size_t i) {
    return run.should_stop() ? std::optional<FaceContext>()
                             : std::optional(gather_face(inputs, faces[i]));
  });
  KeyedPieces out;
  KeyPlanner planner(inputs);
  for (const auto& context : contexts) {
    if (run.should_stop()) return cancelled();
    out.joints.push_back(planner.plan(*context));
  }
  out.warnings = planner.take_warnings();
  out.poses = planner.poses();
  if (auto built = build_pieces(inputs, contexts, out, run); !built)
    return std::move(built).error();
  return out;
}

}  // namespace seamwright
