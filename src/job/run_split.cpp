#include "seamwright/job/run_split.h"

#include <fmt/format.h>

#include <algorithm>

#include "job/choose_directions.h"
#include "job/corner_pads.h"
#include "job/days_stage.h"
#include "job/gauged_joinery.h"
#include "job/idle_names.h"
#include "job/joint_notes.h"
#include "job/load_part.h"
#include "job/loose_prints.h"
#include "job/moved_seams.h"
#include "job/notes.h"
#include "job/seam_question.h"
#include "job/shape_stage.h"
#include "job/shrinkage.h"
#include "job/skin_stage.h"
#include "job/square_wires.h"
#include "job/standing_room.h"
#include "job/symmetry.h"
#include "job/travel_joinery.h"
#include "job/wear_stage.h"
#include "job/wiring_stage.h"
#include "seamwright/cut/joint_faces.h"
#include "seamwright/mesh/load.h"
#include "seamwright/profile/printer_presets.h"
#include "seamwright/query/mass_properties.h"

namespace seamwright {
namespace {

/// Shares of a whole run at 89 k faces, normal effort, measured; only the progress line depends on
/// them.
enum Stage { kLoad, kWire, kSight, kSeams, kDirections, kJoints, kPrint, kDone };
struct StageName {
  const char* name;
  double begin_ratio;
};
constexpr StageName kStages[] = {{"reading the part", 0.00},
                                 {"leading wires", 0.02},
                                 {"looking who sees what", 0.03},
                                 {"searching seams", 0.08},
                                 {"trying how pieces stand", 0.60},
                                 {"putting keys in", 0.72},
                                 {"laying lines", 0.76},
                                 {"done", 1.00}};

class StageTeller {
 public:
  StageTeller(const Run& run, const StageListener& listener) : run_(run), listener_(listener) {}
  /// Announces a stage and gives the Run whose progress counts within it.
  Run begin(Stage stage) const {
    const double from = kStages[stage].begin_ratio, to = kStages[stage + 1].begin_ratio;
    if (listener_) listener_(kStages[stage].name, from);
    Run inner = run_;
    inner.progress = [whole = run_.progress, from, to](double share_ratio) {
      if (whole) whole(from + (to - from) * share_ratio);
    };
    return inner;
  }

 private:
  const Run& run_;
  const StageListener& listener_;
};

/// What straps may lie on: nothing while it is not known how the part is worn.
HiddenSkin hidden_skin(const HandOff& out, const SightOptions& sight) {
  if (sight.mode == SightMode::none) return {};
  return {&out.wired, out.sight};
}

/// A hand-off with everything that is known before the first stage.
HandOff begin_hand_off(const Job& job, job_detail::LoadedPart&& part, WiredPart&& wired) {
  HandOff out{.program_version = SEAMWRIGHT_VERSION,
              .part = std::move(part.facts),
              .wired = std::move(wired.solid)};
  out.seed = static_cast<std::uint64_t>(job.search.seed);
  out.part.wired_volume_mm3 = volume_mm3(out.wired);
  for (const Printer& printer : job.printers) {
    const PrinterRecord* record = find_record(job.records, printer.name);
    out.fits.push_back(record != nullptr ? fit_record(*record) : PrinterFit{});
    out.printers.push_back(with_fit(printer, out.fits.back()));
  }
  out.material = job.material;
  out.print = job.print;
  out.cost = job.cost;
  out.joinery = job_detail::with_travel_keys(job_detail::gauged_joinery(job).joinery, job.travel);
  out.finish = job.finish;
  out.channels = std::move(wired.channels);
  out.pockets = std::move(wired.pockets);
  for (std::string& message : wired.warnings) out.warnings.push_back({"wire", std::move(message)});
  return out;
}

std::vector<CutPiece> cuts_of(std::span<const PlannedPiece> pieces) {
  std::vector<CutPiece> cuts;
  for (const PlannedPiece& piece : pieces) cuts.push_back(piece.cut);
  return cuts;
}

/// Poses are judged in the usable room; what is written stands inside the whole room's margins.
void stand_inside_margins(PlannedPiece& piece, const std::vector<Printer>& printers,
                          const Material& material) {
  const Vec2 corner = job_detail::standing_room(piece, printers[piece.printer], material).corner_mm;
  piece.pose.bed_from_part.shift += Vec3{corner.x, corner.y, 0};
}

/// The clear box the piece was posed in; with its keys it must still fit it.
Vec3 room_of(const PlannedPiece& piece, const HandOff& out) {
  return job_detail::standing_room(piece, out.printers[piece.printer], out.material).size_mm;
}

/// `cuts` are the planned pieces', as they are or shaped.
std::vector<PosedPiece> posed_pieces(const HandOff& out, std::span<const PlannedPiece> planned,
                                     std::span<const CutPiece> cuts,
                                     std::span<const std::string> marks) {
  std::vector<PosedPiece> posed;
  for (std::size_t i = 0; i < cuts.size(); ++i)
    posed.push_back({&cuts[i], planned[i].pose, room_of(planned[i], out), marks[i]});
  return posed;
}

/// What was shaped onto a piece may reach out of the box it was posed in: its low corner goes back
/// to where the pose had it.
void stand_again(PlannedPiece& piece, const Solid& shaped) {
  const auto box_of = [&](const Solid& solid) {
    Box3 box;
    for (const Vec3 p : solid.points()) box.extend(piece.pose.bed_from_part.apply(p));
    return box;
  };
  const Box3 before = box_of(piece.cut.solid), after = box_of(shaped);
  if (before.low == after.low && before.high == after.high) return;
  piece.pose.bed_from_part.shift += Vec3{before.low.x - after.low.x, before.low.y - after.low.y, 0};
  piece.pose.size_mm = after.size();
}

/// Takes over what the joint stage made; fills `pieces` and `joints`.
void take_keyed(HandOff& out, KeyedPieces&& keyed, std::span<const std::string> marks) {
  for (std::size_t i = 0; i < marks.size(); ++i) {
    out.seams.pieces[i].pose = keyed.poses[i];  // a pin that sticks out moves its piece
    out.pieces.push_back({.planned = std::move(out.seams.pieces[i]),
                          .keyed = std::move(keyed.solids[i]),
                          .mark = marks[i],
                          .file = "pieces/" + marks[i] + ".stl"});
  }
  out.seams.pieces.clear();
  for (FinishedPiece& piece : out.pieces)
    stand_inside_margins(piece.planned, out.printers, out.material);
  job_detail::place_pads(out);
  out.joints = std::move(keyed.joints);
  out.loose_parts = std::move(keyed.loose_parts);
  for (JointWarning& warning : keyed.warnings)
    out.warnings.push_back({std::move(warning.code), std::move(warning.message)});
}

/// The front is opposite to the body or the wall. Up is as given, else +z as in the pictures,
/// unless that is the front.
Bearings bearings(const SightOptions& sight, const PartFacts& part) {
  Bearings known;
  if (sight.mode == SightMode::worn || sight.mode == SightMode::wall)
    known.front = -sight.worn_side;
  const Vec3 up = sight.up.value_or(Vec3{0, 0, 1});
  if (!part.up.empty() || !known.front || std::abs(dot(up, *known.front)) < 0.9) known.up = up;
  return known;
}

/// Flanges, keys and marks into the planned pieces; fills `pieces`, `joints`, `assembly`.
Status join_pieces(HandOff& out, const Job& job, const EarlierMarks& earlier,
                   const SightOptions& sight, const Run& run) {
  const std::vector<CutPiece> cuts = cuts_of(out.seams.pieces);
  Result<std::vector<JointFace>> faces = find_joint_faces(out.seams.plan, cuts);
  if (!faces) return faces.error();
  const std::vector<std::string> marks = assign_marks(cuts, earlier);
  const HiddenSkin hidden = hidden_skin(out, sight);
  auto shaped =
      job_detail::shape_pieces(out, cuts, posed_pieces(out, out.seams.pieces, cuts, marks),
                               std::move(*faces), hidden, bearings(sight, out.part), run);
  if (!shaped) return std::move(shaped).error();
  for (std::size_t i = 0; i < shaped->cuts.size(); ++i)
    stand_again(out.seams.pieces[i], shaped->cuts[i].solid);
  const std::vector<KeptPiece> kept = job_detail::kept_pieces(job.dones, earlier, marks);
  Result<KeyedPieces> keyed =
      key_pieces(out.seams.plan, posed_pieces(out, out.seams.pieces, shaped->cuts, marks),
                 shaped->faces, out.joinery, run, hidden, kept);
  if (!keyed) return std::move(keyed).error();
  take_keyed(out, std::move(*keyed), marks);
  job_detail::tell_flanges(out, shaped->flanges);
  job_detail::tell_laps(out, shaped->laps, shaped->before);
  job_detail::part_travel_joints(out);
  out.retired_marks = job_detail::retired_marks(earlier, marks);
  job_detail::tell_changed_done(out, job.dones, earlier);
  job_detail::tell_idle_names(out, job);
  job_detail::judge_strength(out);
  std::vector<SeamId> seams;
  for (const Joint& joint : out.joints) seams.push_back(joint.face.seam);
  out.assembly = job_detail::assembly_order(out.seams.plan, seams);
  return ok();
}

/// The joints of a plan, or of one seam, that have room neither for keys nor for straps. Joints
/// that are shaped before the keys, or asked to have none, are not looked at.
std::vector<LooseJoint> loose_joints(const HandOff& out, const SightOptions& sight,
                                     const SeamPlan& plan, std::span<const PlannedPiece> pieces,
                                     std::optional<SeamId> of) {
  const KeyKind key = out.joinery.key;
  if (key == KeyKind::none || key == KeyKind::flange || key == KeyKind::lap) return {};
  const std::vector<CutPiece> cuts = cuts_of(pieces);
  Result<std::vector<JointFace>> faces = find_joint_faces(plan, cuts);
  if (!faces) return {};  // the joint stage says so in its own words
  if (of) std::erase_if(*faces, [&](const JointFace& face) { return face.seam != *of; });
  const std::vector<std::string> marks = assign_marks(cuts, {});
  const Result<KeyedPieces> keyed =
      key_pieces(plan, posed_pieces(out, pieces, cuts, marks), *faces, out.joinery,
                 Run{.thread_count = 1}, hidden_skin(out, sight));
  if (!keyed) return {};
  std::vector<LooseJoint> loose;
  for (const JointWarning& warning : keyed->warnings) {
    if (warning.code != "joint-without-key") continue;
    const JointFace& face = (*faces)[*warning.joint];
    const PlaneFrame frame(find_seam(plan, face.seam)->plane);
    Box3 box;
    for (const Vec2 p : face.region.outer) box.extend(frame.lift(p));
    loose.push_back({face.seam, (box.low + box.high) / 2});
  }
  return loose;
}

Status estimate_prints(HandOff& out, const Job& job, const Run& run) {
  const bool is_all_recorded = std::all_of(out.fits.begin(), out.fits.end(),
                                           [](const PrinterFit& fit) { return fit.is_recorded(); });
  for (std::size_t i = 0; i < out.pieces.size(); ++i) {
    FinishedPiece& piece = out.pieces[i];
    const Printer& printer = out.printers[piece.planned.printer];
    const Transform& bed = piece.planned.pose.bed_from_part;
    const Result<LaidPiece> laid = lay_lines(piece.keyed, bed, job.print, run, piece.pads);
    if (!laid) return Error(laid.error()).within("piece " + piece.mark);
    Result<PrintEstimate> slow = time_lines(*laid, printer, job.material, job.print, run);
    if (!slow) return std::move(slow).error().within("piece " + piece.mark);
    piece.print = std::move(*slow);
    if (!is_all_recorded) {  // both times are shown until prints are recorded
      Result<PrintEstimate> fast =
          time_lines(*laid, with_motion(printer, Motion::fast), job.material, job.print, run);
      if (!fast) return std::move(fast).error().within("piece " + piece.mark);
      piece.fast_print = std::move(*fast);
    }
    run.report(static_cast<double>(i + 1) / static_cast<double>(out.pieces.size()));
  }
  return job_detail::estimate_loose_parts(out, {run.thread_count, run.cancel, {}});
}

/// The files that a part names can be opened.
Status check_files(const PartChoice& part) {
  if (Status there = check_file(part.file); !there) return there;
  for (const auto& [file, key] :
       {std::pair<const std::string&, const char*>{part.body, "body"}, {part.painted, "painted"}}) {
    if (file.empty()) continue;
    if (Status there = check_file(file); !there)
      return Error(there.error()).within(fmt::format("[part] {}", key));
  }
  return ok();
}

}  // namespace

Status check_job(const Job& job, const EarlierMarks& earlier) {
  for (const DoneChoice& done : job.dones) {
    if (find_piece(earlier, done.piece) == nullptr)
      return Error{"job-bad-value",
                   fmt::format("[[done]] piece = \"{}\": the output folder holds no hand-off with "
                               "such a piece; split into the folder it was printed from",
                               done.piece)};
  }
  for (std::size_t i = 0; i < job.printers.size(); ++i) {
    for (std::size_t k = 0; k < i; ++k) {
      if (job.printers[i].name == job.printers[k].name)
        return Error{"job-bad-value",
                     fmt::format("two printers are called \"{}\"; calendar and records tell them "
                                 "by name: give each its own",
                                 job.printers[i].name)};
    }
  }
  if (Status symmetric = job_detail::check_symmetry(job); !symmetric) return symmetric;
  for (const Printer& printer : job.printers) {
    const Status profile = check_profile(printer, job.material, job.print);
    if (!profile) return Error(profile.error()).within("printer " + printer.name);
  }
  if (Status words = job_detail::check_words(job.part); !words) return words;
  const Result<SightOptions> sight = job_detail::sight_options(job.part, job.search);
  if (!sight) return sight.error();
  return check_files(job.part);
}

Result<HandOff> run_split(const Job& job, const EarlierMarks& earlier, const Run& run,
                          const StageListener& on_stage) {
  const StageTeller stages(run, on_stage);
  const Status fine = check_job(job, earlier);
  if (!fine) return fine.error();
  Result<SightOptions> sight = job_detail::sight_options(job.part, job.search);
  if (!sight) return sight.error();
  Result<job_detail::LoadedPart> part = job_detail::load_part(job.part, stages.begin(kLoad));
  if (!part) return std::move(part).error();
  const Status worn = job_detail::stand_body_beside(*sight, job.part, *part, run);
  if (!worn) return worn.error();
  if (!job.given_plan) {
    const Status few = check_piece_count(part->solid, job.printers);
    if (!few) return few.error();
  }
  Result<WiredPart> wired = job_detail::lead_wires(part->solid, job, *sight, stages.begin(kWire));
  if (!wired) return std::move(wired).error().within("while leading wires");
  const Solid unwired = std::move(part->solid);
  const job_detail::FaceGroups groups = std::move(part->groups);
  HandOff out = begin_hand_off(job, std::move(*part), std::move(*wired));

  const Run looking = stages.begin(kSight);
  Result<std::vector<double>> seen = face_sight(out.wired, *sight, looking);
  if (!seen) return std::move(seen).error().within("while looking who sees what");
  out.sight = std::move(*seen);
  const Status marked = job_detail::mark_skin(out.sight, out.wired, groups, job);
  if (!marked) return marked.error();
  Result<std::vector<double>> weights = job_detail::skin_weights(out.wired, job, looking);
  if (!weights) return Error(weights.error()).within("while looking for details");
  PlanOptions asked = job_detail::plan_options(job, out, earlier);
  PieceJudge judge = job_detail::piece_judge(job, out.printers);
  judge.loose_joints = [&](const SeamPlan& plan, std::span<const PlannedPiece> pieces,
                           std::optional<SeamId> of) {
    return loose_joints(out, *sight, plan, pieces, of);
  };
  Result<PlannedSeams> seams =
      plan_seams(out.wired, {out.sight, *weights}, asked, judge, stages.begin(kSeams));
  if (!seams) return std::move(seams).error().within("while searching seams");
  out.seams = std::move(*seams);
  out.is_complete = out.seams.is_complete;
  job_detail::tell_symmetry(out, job.search.symmetric);

  const Status squared =
      job_detail::lead_squarely(out, {unwired, job, *sight, judge}, *weights, asked, run);
  if (!squared) return Error(squared.error()).within("while leading wires squarely");
  const Status funnelled = job_detail::add_funnels(out, *weights, run);
  if (!funnelled) return Error(funnelled.error()).within("while widening channels at the seams");
  const Status stood = job_detail::choose_directions(out, job, earlier, stages.begin(kDirections));
  if (!stood) return Error(stood.error()).within("while trying how pieces stand");
  const Status roofed = job_detail::roof_bores(out, *weights, earlier, run);
  if (!roofed) return Error(roofed.error()).within("while roofing bores that lie");
  const Status joined = join_pieces(out, job, earlier, *sight, stages.begin(kJoints));
  if (!joined) return Error(joined.error()).within("while putting keys in");
  const Status printed = estimate_prints(out, job, stages.begin(kPrint));
  if (!printed) return Error(printed.error()).within("while laying lines");
  const Vec3 up = sight->up.value_or(Vec3{0, 0, 1});
  job_detail::judge_wear(out, job, up);
  const Status moved = job_detail::move_overloaded_seams(out, job, *weights, asked, judge, up, run);
  if (!moved) return Error(moved.error()).within("while moving seams that bear too much");
  job_detail::warn_of_wear(out);
  for (const Status& status :
       {job_detail::plan_travel(out, job, run), job_detail::plan_the_days(out, job, run)}) {
    if (!status) return status.error();
  }
  return job_detail::add_notes(std::move(out), job, *sight);
}

}  // namespace seamwright
