#include "seamwright/joints/key_pieces.h"

#include <fmt/format.h>

#include <algorithm>

#include "joints/bed_relief.h"
#include "joints/key_features.h"
#include "joints/key_planner.h"
#include "joints/mark_place.h"
#include "joints/strap_stage.h"
#include "joints/tongues.h"
#include "seamwright/core/parallel.h"

namespace seamwright {
namespace {

using namespace joints;

Error cancelled() {
  return {"cancelled", "stopped while keys were put into the pieces"};
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

/// A tongue or its groove; the outline is turned over where the side's frame is mirrored.
CapFeature tongue_feature(const FaceContext& context, const Key& key, Side which, Origin origin,
                          const Joinery& joinery) {
  const FaceSide& side = context.side(which);
  Loop2 outline;
  for (Vec3 p : key.outline) outline.push_back(side.frame.flatten(p));
  if (side.frame.is_mirrored) std::reverse(outline.begin(), outline.end());
  if (key.male == context.piece(which))
    return make_tongue(outline, key.clearance_mm, key.depth_mm - kTipRoom_mm, origin);
  return make_groove(outline, key.depth_mm, side.is_on_bed ? joinery.relief_mm : 0, origin);
}

CapFeature key_feature(const FaceContext& context, const Key& key, Side which, std::uint32_t id,
                       const Joinery& joinery) {
  const FaceSide& side = context.side(which);
  const Vec2 center = side.frame.flatten(key.at);
  const Origin origin{OriginKind::key, id};
  if (key.kind == KeyKind::tongue) return tongue_feature(context, key, which, origin, joinery);
  if (key.male == context.piece(which))
    return make_pin(center, key.diameter_mm / 2, key.depth_mm - kTipRoom_mm, origin);
  const double radius = key.kind == KeyKind::magnet
                            ? key.diameter_mm / 2 + key.clearance_mm
                            : hole_radius_mm(key.diameter_mm, side, joinery);
  const Vec2 at = PlaneFrame(context.plane).flatten(key.at);
  return make_hole(side, center, radius, key.depth_mm,
                   mouth_bevel_mm(context, at, radius, side, joinery), origin);
}

void add_keys(PieceWorks& works, std::span<const std::optional<FaceContext>> contexts,
              std::span<const Joint> joints, const Joinery& joinery) {
  std::uint32_t key_id = 0;
  for (std::size_t j = 0; j < joints.size(); ++j) {
    const FaceContext& context = *contexts[j];
    for (const Key& key : joints[j].keys) {
      for (Side which : {Side::above, Side::below}) {
        if (key.kind == KeyKind::strap) continue;  // lies beside the cap
        CapWork& work = work_on(works[to_index(context.piece(which))], context.face->seam,
                                context.side(which).frame);
        work.features.push_back(key_feature(context, key, which, key_id, joinery));
        if (key.kind != KeyKind::magnet) continue;
        const auto k = static_cast<std::size_t>(&key - joints[j].keys.data());
        if (shows_north_above(joints[j].keys, k) != (which == Side::above)) continue;
        work.features.push_back(make_pole_dimple(context.side(which), work.frame.flatten(key.at),
                                                 key.diameter_mm / 2 + key.clearance_mm,
                                                 {OriginKind::key, key_id}));
      }
      ++key_id;
    }
  }
}

void add_marks(PieceWorks& works, std::span<const std::optional<FaceContext>> contexts,
               std::span<const EngravedMark> marks, const Joinery& joinery) {
  for (std::size_t m = 0; m < marks.size(); ++m) {
    const EngravedMark& mark = marks[m];
    const FaceContext& context = *contexts[mark.joint];
    const CapFrame& frame =
        context.side(mark.piece == context.face->above ? Side::above : Side::below).frame;
    const MarkPlace place{
        frame.flatten(mark.at),
        Angle::radians(std::atan2(dot(mark.along, frame.v), dot(mark.along, frame.u))),
        mark.height_mm};
    CapWork& work = work_on(works[to_index(mark.piece)], context.face->seam, frame);
    for (CapFeature& f : mark_features(place, mark.text, joinery.mark_depth_mm,
                                       {OriginKind::mark, static_cast<std::uint32_t>(m)})) {
      work.features.push_back(std::move(f));
    }
  }
}

PieceWorks gather_works(const JointInputs& inputs,
                        std::span<const std::optional<FaceContext>> contexts,
                        const KeyedPieces& out) {
  PieceWorks works(inputs.pieces.size());
  add_keys(works, contexts, out.joints, inputs.joinery);
  add_marks(works, contexts, out.marks, inputs.joinery);
  return works;
}

/// The marks of one joint face, one a side where it has room.
std::vector<EngravedMark> mark_face(const JointInputs& inputs, const FaceContext& context,
                                    const Joint& joint, std::size_t position) {
  std::vector<EngravedMark> marks;
  if (!inputs.joinery.has_marks || joint.kind == KeyKind::tongue) return marks;
  for (Side which : {Side::above, Side::below}) {
    const PieceId piece = context.piece(which);
    const std::string& text = inputs.pieces[to_index(piece)].mark;
    const auto place = find_mark_place(context, which, joint.keys, text, inputs.joinery);
    if (!place) continue;
    const CapFrame& frame = context.side(which).frame;
    const Vec3 along =
        frame.u * std::cos(place->turn.radians()) + frame.v * std::sin(place->turn.radians());
    marks.push_back({piece, position, text, frame.lift(place->at), along, place->height_mm});
  }
  return marks;
}

double volume_of(std::span<const CapWork> works) {
  double volume = 0;
  for (const CapWork& work : works) {
    for (const CapFeature& feature : work.features) volume += feature_volume_mm3(feature);
  }
  return volume;
}

/// What keys are built on: the piece, or the piece with its foot's rim taken off.
struct Base {
  std::optional<Solid> relieved;
  const Solid* solid = nullptr;
  double added_volume_mm3 = 0;
  std::string left_out;  ///< why there is no relief though a joint face lies on the bed
};

Base relieve(const JointInputs& inputs, std::span<const std::optional<FaceContext>> contexts,
             std::size_t p) {
  Base base{{}, &inputs.pieces[p].cut->solid, 0, {}};
  for (const auto& context : contexts) {
    for (Side which : {Side::above, Side::below}) {
      if (to_index(context->piece(which)) != p || !context->side(which).is_on_bed) continue;
      auto made = relieve_rim(*base.solid, context->plane, which, context->face->seam,
                              inputs.joinery.relief_mm, {OriginKind::key, kReliefOriginId});
      if (made) {
        base.relieved = std::move(made->solid);
        base.added_volume_mm3 = made->added_volume_mm3;
      } else {
        base.left_out = made.error().message;
      }
      return base;
    }
  }
  return base;
}

std::vector<Base> relieve_all(const JointInputs& inputs,
                              std::span<const std::optional<FaceContext>> contexts,
                              KeyedPieces& out, const Run& run) {
  auto bases = map_index(inputs.pieces.size(), run, [&](std::size_t p) {
    return inputs.joinery.relief_mm > 0 ? relieve(inputs, contexts, p)
                                        : Base{{}, &inputs.pieces[p].cut->solid, 0, {}};
  });
  for (std::size_t p = 0; p < bases.size(); ++p) {
    if (bases[p].relieved) bases[p].solid = &*bases[p].relieved;
    if (bases[p].left_out.empty()) continue;
    out.warnings.push_back(
        {"relief-left-out",
         fmt::format(
             "piece {} keeps the sharp rim of the joint face on its bed: {}. Scrape off the "
             "first layer's bulge before gluing",
             inputs.pieces[p].mark, bases[p].left_out)});
  }
  return bases;
}

/// A cap so ragged that it can't be filled anew loses its keys and marks, on both pieces, and the
/// maker is told.
bool drop_joint(const JointInputs& inputs, std::size_t j, const std::string& why,
                KeyedPieces& out) {
  Joint& joint = out.joints[j];
  const std::size_t marks_before = out.marks.size();
  std::erase_if(out.marks, [&](const EngravedMark& m) { return m.joint == j; });
  const std::size_t dropped =
      std::erase_if(joint.keys, [](const Key& key) { return key.kind != KeyKind::strap; });
  if (dropped == 0 && out.marks.size() == marks_before) return false;
  joint.kind = joint.keys.empty() ? KeyKind::none : KeyKind::strap;
  out.warnings.push_back({"joint-without-key",
                          fmt::format("{} gets no key: {}. Move the seam a little",
                                      joint_name(inputs, joint.face), why),
                          j});
  return true;
}

/// Which keys and marks can't be built even alone, as their features' origins.
std::vector<Origin> failing_alone(const Solid& base, const CapWork& work) {
  std::vector<Origin> failing;
  for (const CapFeature& feature : work.features) {
    const CapWork alone{work.seam, work.frame, {feature}};
    if (!build_on_caps(base, {&alone, 1})) failing.push_back(feature.origin);
  }
  return failing;
}

/// Takes out single keys and marks of a joint. How many keys that were.
std::size_t drop_features(std::span<const Origin> failing, std::size_t j, KeyedPieces& out) {
  const auto fails = [&](Origin origin) {
    return std::find(failing.begin(), failing.end(), origin) != failing.end();
  };
  for (std::size_t m = out.marks.size(); m-- > 0;) {
    if (out.marks[m].joint == j && fails({OriginKind::mark, static_cast<std::uint32_t>(m)}))
      out.marks.erase(out.marks.begin() + static_cast<std::ptrdiff_t>(m));
  }
  std::uint32_t id = 0;
  for (std::size_t before = 0; before < j; ++before)
    id += static_cast<std::uint32_t>(out.joints[before].keys.size());
  return std::erase_if(out.joints[j].keys, [&](const Key&) {
    return fails({OriginKind::key, id++});
  });
}

/// The keys and marks that fail alone go; where none does, all of the joint's. Whether any went.
bool drop_from_joint(const JointInputs& inputs, const Solid& base, const CapWork& work,
                     std::size_t j, const std::string& why, KeyedPieces& out) {
  const std::vector<Origin> failing = failing_alone(base, work);
  const std::size_t marks_before = out.marks.size();
  const std::size_t dropped = drop_features(failing, j, out);
  Joint& joint = out.joints[j];
  if (dropped == 0 && out.marks.size() == marks_before) return drop_joint(inputs, j, why, out);
  if (joint.keys.empty()) joint.kind = KeyKind::none;
  if (dropped > 0)
    out.warnings.push_back({joint.keys.empty() ? "joint-without-key" : "keys-left-out",
                            fmt::format("{} lacks {} of its keys: {}. Move the seam a little",
                                        joint_name(inputs, joint.face), dropped, why),
                            j});
  return true;
}

bool drop_failed(const JointInputs& inputs, std::span<const Base> bases, const PieceWorks& works,
                 std::span<const std::optional<Result<Solid>>> built, KeyedPieces& out) {
  bool any = false;
  for (std::size_t p = 0; p < built.size(); ++p) {
    if (built[p]->has_value()) continue;
    for (const CapWork& work : works[p]) {
      if (build_on_caps(*bases[p].solid, {&work, 1}).has_value()) continue;
      for (std::size_t j = 0; j < out.joints.size(); ++j) {
        const JointFace& face = out.joints[j].face;
        const bool is_here = to_index(face.above) == p || to_index(face.below) == p;
        if (face.seam == work.seam && is_here)
          any |= drop_from_joint(inputs, *bases[p].solid, work, j, built[p]->error().message, out);
      }
    }
  }
  return any;
}

Status build_pieces(const JointInputs& inputs, std::span<const std::optional<FaceContext>> contexts,
                    KeyedPieces& out, const Run& run) {
  const std::vector<Base> bases = relieve_all(inputs, contexts, out, run);
  std::vector<std::optional<Result<Solid>>> built;
  PieceWorks works;
  do {
    works = gather_works(inputs, contexts, out);
    built = map_index(inputs.pieces.size(), run, [&](std::size_t p) {
      return std::optional(build_on_caps(*bases[p].solid, works[p]));
    });
    if (run.should_stop()) return cancelled();
  } while (drop_failed(inputs, bases, works, built, out));
  for (std::size_t p = 0; p < built.size(); ++p) {
    if (!*built[p]) return std::move(*built[p]).error();
    out.solids.push_back(std::move(**built[p]));
    out.added_volume_mm3.push_back(bases[p].added_volume_mm3 + volume_of(works[p]));
  }
  return ok();
}

}  // namespace

bool shows_north_above(std::span<const Key> keys, std::size_t key) {
  std::size_t before = 0;
  for (std::size_t k = 0; k < key; ++k) before += keys[k].kind == KeyKind::magnet;
  return before % 2 == 0;
}

Result<KeyedPieces> key_pieces(const SeamPlan& plan, std::span<const PosedPiece> pieces,
                               std::span<const JointFace> faces, const Joinery& joinery,
                               const Run& run, const HiddenSkin& hidden,
                               std::span<const KeptPiece> kept) {
  const JointInputs inputs{plan, pieces, faces, joinery, kept};
  const auto contexts = map_index(faces.size(), run, [&](std::size_t i) {
    return run.should_stop() ? std::optional<FaceContext>()
                             : std::optional(gather_face(inputs, faces[i]));
  });
  KeyedPieces out;
  KeyPlanner planner(inputs);
  if (run.should_stop()) return cancelled();
  out.joints = planner.plan(contexts, run);
  if (run.should_stop()) return cancelled();
  const auto marks = map_index(faces.size(), run, [&](std::size_t i) {
    return mark_face(inputs, *contexts[i], out.joints[i], i);
  });
  for (const auto& own : marks) out.marks.insert(out.marks.end(), own.begin(), own.end());
  out.warnings = planner.take_warnings();
  add_straps(inputs, contexts, planner, hidden, out, run);
  out.poses = planner.poses();
  if (auto built = build_pieces(inputs, contexts, out, run); !built)
    return std::move(built).error();
  return out;
}

}  // namespace seamwright
