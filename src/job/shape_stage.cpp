#include "job/shape_stage.h"

#include <fmt/format.h>

#include <algorithm>

#include "seamwright/joints/matched_faces.h"
#include "seamwright/joints/shaped_part.h"

namespace seamwright::job_detail {
namespace {

constexpr double kFit_mm = 2e-6;  // the poses' own

/// What the job asks for one joint face: the last choice that names it, else the job's.
JointChoice choice_for(const HandOff& out, std::span<const PosedPiece> posed,
                       const JointFace& face) {
  JointChoice found{"", {}, out.joinery.key};
  const std::string seam = seam_name(face.seam);
  for (const JointChoice& choice : out.joinery.choices)
    if (is_meant(choice, seam, posed[to_index(face.above)].mark, posed[to_index(face.below)].mark))
      found = choice;
  return found;
}

std::string pair_name(std::span<const PosedPiece> posed, const JointFace& face) {
  return fmt::format("the joint of {} and {} on seam {}", posed[to_index(face.above)].mark,
                     posed[to_index(face.below)].mark, seam_name(face.seam));
}

bool is_travel(const HandOff& out, const JointFace& face) {
  const auto& seams = out.joinery.travel_seams;
  return std::find(seams.begin(), seams.end(), seam_name(face.seam)) != seams.end();
}

/// Says so, and lets the joint have a strap instead, or magnets where it must come apart.
void leave_out(HandOff& out, std::span<const PosedPiece> posed, const JointFace& face, KeyKind kind,
               const std::string& why) {
  out.joinery.choices.push_back(
      {seam_name(face.seam),
       {posed[to_index(face.above)].mark, posed[to_index(face.below)].mark},
       is_travel(out, face) ? KeyKind::magnet : KeyKind::strap});
  const std::string name = key_name(kind);
  out.warnings.push_back(
      {name + "-left-out", fmt::format("{} gets no {}: {}", pair_name(posed, face), name, why)});
}

bool fits(const Solid& solid, const PosedPiece& posed) {
  Box3 box;
  for (Vec3 p : solid.points()) box.extend(posed.pose.bed_from_part.apply(p));
  const Vec3 size = box.size(), usable = posed.usable_mm;
  return box.low.z >= -kFit_mm && size.x <= usable.x + kFit_mm && size.y <= usable.y + kFit_mm &&
         box.high.z <= usable.z + kFit_mm;
}

FlangeRules flange_rules(const Joinery& joinery) {
  return {.screw = insert_size(joinery.insert),
          .has_inserts = joinery.insert != InsertThread::none};
}

LapRules lap_rules(const Joinery& joinery) {
  return {.least_wall_mm = joinery.lap_wall_mm, .clearance_mm = joinery.slide_clearance_mm};
}

/// The shaped part cut again, with laps; nothing when the plan then gives other pieces. Errors:
/// "lap-failed" when laps are what fails.
Result<std::optional<std::vector<CutPiece>>> cut_with(const HandOff& out, const Solid& shaped,
                                                      const Shapes& shapes,
                                                      std::span<const JointFace> faces,
                                                      std::size_t piece_count, const Run& run) {
  Result<std::vector<CutPiece>> cuts = cut_plan(shaped, out.seams.plan, run);
  if (!cuts) return std::move(cuts).error();
  if (cuts->size() != piece_count) return std::optional<std::vector<CutPiece>>();
  if (shapes.laps.empty()) return std::optional(std::move(*cuts));
  Result<std::vector<CutPiece>> lapped =
      lap_pieces(shaped, out.seams.plan, *cuts, faces, shapes.laps, lap_rules(out.joinery), run);
  if (!lapped) return Error{"lap-failed", lapped.error().message};
  return std::optional(std::move(*lapped));
}

/// The first flange or lap that makes one of its pieces too large as it stands.
template <class Shape>
std::optional<std::size_t> too_large(std::span<const Shape> shapes,
                                     std::span<const JointFace> faces,
                                     std::span<const CutPiece> cuts,
                                     std::span<const PosedPiece> posed) {
  for (std::size_t k = 0; k < shapes.size(); ++k) {
    for (const PieceId piece : {faces[shapes[k].joint].above, faces[shapes[k].joint].below}) {
      if (!fits(cuts[to_index(piece)].solid, posed[to_index(piece)])) return k;
    }
  }
  return {};
}

std::vector<std::size_t> asked_for(const HandOff& out, std::span<const PosedPiece> posed,
                                   std::span<const JointFace> faces, KeyKind kind) {
  std::vector<std::size_t> wanted;
  for (std::size_t j = 0; j < faces.size(); ++j)
    if (choice_for(out, posed, faces[j]).key == kind) wanted.push_back(j);
  return wanted;
}

/// Tells which of the wanted joints found no room.
template <class Shape>
void tell_left_out(HandOff& out, std::span<const PosedPiece> posed,
                   std::span<const JointFace> faces, std::span<const std::size_t> wanted,
                   const std::vector<Shape>& found, KeyKind kind, const std::string& why) {
  for (std::size_t j : wanted) {
    if (std::any_of(found.begin(), found.end(), [&](const Shape& s) { return s.joint == j; }))
      continue;
    leave_out(out, posed, faces[j], kind, why);
  }
}

constexpr const char* kSideUnknown = "which side is hidden is not known; say --worn-side";

/// The flanges that the job asks for and that have room; the others are left out and told.
std::vector<Flange> wanted_flanges(HandOff& out, std::span<const PosedPiece> posed,
                                   std::span<const JointFace> faces, const HiddenSkin& hidden,
                                   const Run& run) {
  const auto wanted = asked_for(out, posed, faces, KeyKind::flange);
  std::vector<Flange> flanges =
      plan_flanges(out.seams.plan, posed, faces, wanted, hidden, flange_rules(out.joinery), run);
  for (std::size_t k = flanges.size(); k-- > 0;) {  // a joint that must come apart needs screws
    const JointFace& face = faces[flanges[k].joint];
    if (!flanges[k].holes.empty() || !is_travel(out, face)) continue;
    flanges.erase(flanges.begin() + static_cast<std::ptrdiff_t>(k));
  }
  tell_left_out(out, posed, faces, wanted, flanges, KeyKind::flange,
                hidden.whole == nullptr
                    ? kSideUnknown
                    : "its hidden side is too steep or too short, or no screw is within reach");
  return flanges;
}

/// The same of laps.
std::vector<Lap> wanted_laps(HandOff& out, std::span<const PosedPiece> posed,
                             std::span<const JointFace> faces, const HiddenSkin& hidden,
                             const Run& run) {
  const auto wanted = asked_for(out, posed, faces, KeyKind::lap);
  const LapRules rules = lap_rules(out.joinery);
  std::vector<Lap> laps = plan_laps(out.seams.plan, posed, faces, wanted, hidden, rules, run);
  tell_left_out(out, posed, faces, wanted, laps, KeyKind::lap,
                hidden.whole == nullptr
                    ? kSideUnknown
                    : fmt::format("neither piece, off the bed there, still fits its printer "
                                  "with one, or the wall is under {:g} mm (lap_wall_mm), too "
                                  "steep or too short",
                                  rules.least_wall_mm));
  return laps;
}

EdgeGrooves wanted_grooves(HandOff& out, std::span<const JointFace> faces, const HiddenSkin& hidden,
                           const Run& run) {
  if (out.joinery.edge != SeamEdge::none && hidden.whole == nullptr) {
    out.warnings.push_back(
        {"groove-left-out",
         "No seam gets a groove: which side is seen is not known; say --worn-side, "
         "--wall-side or --around"});
  }
  return plan_edge_grooves(out.seams.plan, faces, hidden, out.joinery.edge, run);
}

void leave_out_marks(HandOff& out, Shapes& shapes, const std::string& why) {
  out.warnings.push_back({"skin-marks-left-out", "The hidden skin gets no marks: " + why});
  shapes.marks.clear();
}

void leave_out_grooves(HandOff& out, Shapes& shapes, const std::string& why) {
  out.warnings.push_back({"groove-left-out", "No seam gets a groove: " + why});
  shapes.grooves.tools.clear();
}

void leave_out_flange(HandOff& out, std::span<const PosedPiece> posed,
                      std::span<const JointFace> faces, Shapes& shapes, std::size_t place,
                      const std::string& why) {
  leave_out(out, posed, faces[shapes.flanges[place].joint], KeyKind::flange, why);
  shapes.flanges.erase(shapes.flanges.begin() + static_cast<std::ptrdiff_t>(place));
}

/// Takes back what the booleans refuse.
void take_back(HandOff& out, std::span<const PosedPiece> posed, std::span<const JointFace> faces,
               Shapes& shapes, const RefusedShapes& refused) {
  for (std::size_t k = refused.flanges.size(); k-- > 0;)
    leave_out_flange(out, posed, faces, shapes, refused.flanges[k].place, refused.flanges[k].why);
  if (!refused.grooves.empty()) leave_out_grooves(out, shapes, refused.grooves);
  if (!refused.marks.empty()) leave_out_marks(out, shapes, refused.marks);
}

/// Takes back the least that was asked for, with the reason: marks, then a flange, then grooves.
void take_back_least(HandOff& out, std::span<const PosedPiece> posed,
                     std::span<const JointFace> faces, Shapes& shapes, const std::string& why,
                     bool is_lap = false) {
  if (!is_lap && !shapes.marks.empty()) {
    leave_out_marks(out, shapes, why);
  } else if (!is_lap && !shapes.flanges.empty()) {
    leave_out_flange(out, posed, faces, shapes, shapes.flanges.size() - 1, why);
  } else if (!shapes.laps.empty()) {
    leave_out(out, posed, faces[shapes.laps.back().joint], KeyKind::lap, why);
    shapes.laps.pop_back();
  } else {
    leave_out_grooves(out, shapes, why);
  }
}

/// Takes back the first that a piece no longer fits its printer with. Whether there was one.
template <class Shape>
bool drop_too_large(HandOff& out, std::span<const PosedPiece> posed,
                    std::span<const JointFace> faces, std::span<const CutPiece> cuts,
                    std::vector<Shape>& shapes, KeyKind kind) {
  const auto k = too_large(std::span<const Shape>(shapes), faces, cuts, posed);
  if (!k) return false;
  leave_out(out, posed, faces[shapes[*k].joint], kind,
            "with it a piece no longer fits its printer as it stands");
  shapes.erase(shapes.begin() + static_cast<std::ptrdiff_t>(*k));
  return true;
}

/// One try: nothing when something had to be taken back.
Result<std::optional<ShapedPieces>> try_shapes(HandOff& out, std::size_t piece_count,
                                               std::span<const PosedPiece> posed,
                                               std::span<const JointFace> faces, Shapes& shapes,
                                               const Run& run) {
  const std::optional<ShapedPieces> nothing;
  const ShapedPart part = shaped_part(out.wired, shapes);
  take_back(out, posed, faces, shapes, part.refused);
  auto made = cut_with(out, part.solid, shapes, faces, piece_count, run);
  if (!made || !*made) {
    take_back_least(out, posed, faces, shapes,
                    made ? "the part would fall into other pieces" : made.error().message,
                    !made && made.error().code == "lap-failed");
    return nothing;
  }
  if (drop_too_large(out, posed, faces, **made, shapes.flanges, KeyKind::flange) ||
      drop_too_large(out, posed, faces, **made, shapes.laps, KeyKind::lap))
    return nothing;
  auto again = find_joint_faces(out.seams.plan, **made);
  if (!again) return std::move(again).error();
  if (!match_faces(faces, *again)) {
    take_back_least(out, posed, faces, shapes, "the pieces would meet elsewhere too",
                    !shapes.laps.empty());
    return nothing;
  }
  return std::optional(ShapedPieces{std::move(**made),
                                    std::move(*again),
                                    {faces.begin(), faces.end()},
                                    shapes.flanges,
                                    shapes.laps});
}

/// Says which flanges have fewer screws than they should, or none.
void tell_screws(HandOff& out, const Flange& flange) {
  const std::string name = joint_name(flange.joint);
  const std::string why =
      flange.shut_count > 0 ? "no key or nut comes at them" : "it is too low for them";
  if (flange.holes.empty()) {
    out.warnings.push_back(
        {"flange-without-screws",
         fmt::format("The flange of {} has no screws, {}: glue it, or clamp it", name, why)});
  } else if (flange.shut_count > 0) {
    out.warnings.push_back(
        {"flange-screws-left-out",
         fmt::format("The flange of {} has {} screws and lacks {}: no key or nut comes at them",
                     name, flange.holes.size(), flange.shut_count)});
  }
}

}  // namespace

Result<ShapedPieces> shape_pieces(HandOff& out, const std::vector<CutPiece>& cuts,
                                  std::span<const PosedPiece> posed, std::vector<JointFace> faces,
                                  const HiddenSkin& hidden, const Bearings& bearings,
                                  const Run& run) {
  Shapes shapes{wanted_flanges(out, posed, faces, hidden, run),
                wanted_laps(out, posed, faces, hidden, run),
                wanted_grooves(out, faces, hidden, run),
                plan_skin_marks(out.seams.plan, posed, faces, hidden, out.joinery, bearings, run)};
  while (!shapes.is_empty()) {
    auto made = try_shapes(out, cuts.size(), posed, faces, shapes, run);
    if (!made) return std::move(made).error();
    if (!*made) continue;
    out.skin_marks = std::move(shapes.marks);
    return std::move(**made);
  }
  return ShapedPieces{cuts, faces, faces, {}, {}};
}

void tell_flanges(HandOff& out, std::span<const Flange> flanges) {
  const FlangeRules rules = flange_rules(out.joinery);
  const double screw_mm = rules.has_inserts ? insert_screw_mm(rules.screw, rules.thickness_mm)
                                            : nut_screw_mm(rules.screw, 2 * rules.thickness_mm);
  for (const Flange& flange : flanges) {
    Joint& joint = out.joints.at(flange.joint);
    const Vec3 normal = find_seam(out.seams.plan, joint.face.seam)->plane.normal;
    joint.kind = KeyKind::flange;
    joint.is_glued = flange.holes.empty();
    tell_screws(out, flange);
    Key screw{KeyKind::flange, {}, normal, rules.screw.screw_mm, rules.thickness_mm, 0.2, {}};
    screw.length_mm = screw_mm;
    screw.holder = flange.screw_side == Side::above ? joint.face.below : joint.face.above;
    for (Vec3 at : flange.holes) {
      screw.at = at;
      joint.keys.push_back(screw);
    }
  }
}

void tell_laps(HandOff& out, std::span<const Lap> laps, std::span<const JointFace> before) {
  const LapRules rules = lap_rules(out.joinery);
  for (const Lap& lap : laps) {
    Joint& joint = out.joints.at(lap.joint);
    joint.kind = KeyKind::lap;
    joint.face = before[lap.joint];
    const Vec3 normal = find_seam(out.seams.plan, joint.face.seam)->plane.normal;
    joint.keys.push_back({KeyKind::lap, lap.at, normal, 0, rules.length_mm, rules.clearance_mm,
                          lap.male, lap.length_mm});
  }
}

}  // namespace seamwright::job_detail
