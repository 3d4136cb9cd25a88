#include "job/wiring_stage.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>

#include "seamwright/query/mass_properties.h"
#include "seamwright/wiring/roofs.h"

namespace seamwright::job_detail {
namespace {

/// Ridges and bosses stand on the hidden side; only they need to know it.
bool may_need_sight(const WiringSpec& spec, const SightOptions& sight) {
  return sight.mode != SightMode::none &&
         std::any_of(spec.wires.begin(), spec.wires.end(),
                     [](const WireSpec& wire) { return wire.kind != WireKind::bore; });
}

void warn_of_crossings(HandOff& out) {
  for (const SeamCrossing& crossing : out.crossings) {
    if (!crosses_askew(crossing)) continue;
    const Channel& channel = out.channels[crossing.channel];
    const char* why = channel.kind == "spar"
                          ? "a rod is straight and no seam was found that meets it so. Move the "
                            "seam or the spar's ends"
                          : "no way was found that does so and bends, and keeps off all else, as "
                            "it should. Move the seam, the wire's ends or its points";
    out.warnings.push_back(
        {"wire-crosses-askew",
         fmt::format("{} \"{}\" crosses seam {} at {:.0f}°; 45° or more print and glue better, and "
                     "{}",
                     channel.kind, channel.name, seam_name(crossing.seam), crossing.angle.degrees(),
                     why)});
  }
}

void warn_of_runs(HandOff& out) {
  for (const SeamRun& run : out.seam_runs) {
    const Channel& channel = out.channels[run.channel];
    out.warnings.push_back(
        {"seam-runs-along",
         fmt::format("{} runs {:.0f} mm beside {} \"{}\", {:.1f} mm from its middle at the "
                     "nearest: no key has room there. Lock a seam 10 mm farther off ([[lock]]), "
                     "or lead the wire elsewhere (via)",
                     seam_name(run.seam), run.length_mm, channel.kind, channel.name,
                     run.nearest_mm)});
  }
}

void warn_of_cut_pockets(HandOff& out) {
  for (std::size_t i = 0; i < out.pockets.size(); ++i) {
    std::size_t pieces = 0;
    for (const PlannedPiece& piece : out.seams.pieces) {
      const auto origins = piece.cut.solid.origins();
      pieces += std::any_of(origins.begin(), origins.end(), [i](const Origin& origin) {
        return origin.kind == OriginKind::pocket && origin.id == i;
      });
    }
    if (pieces < 2) continue;
    out.warnings.push_back(
        {"seam-through-pocket",
         fmt::format("a seam goes through pocket \"{}\"; move the pocket by {:.0f} "
                     "mm, lock a seam beside it ([[lock]]), or forbid seams there ([[forbid]])",
                     out.pockets[i].name, out.pockets[i].reach_mm)});
  }
}

std::vector<CutPiece> cuts_of_plan(const HandOff& out) {
  std::vector<CutPiece> cuts;
  for (const PlannedPiece& piece : out.seams.pieces) cuts.push_back(piece.cut);
  return cuts;
}

/// Puts the same pieces' new solids in; false, and nothing changed, when they are not the same.
bool take_cuts(std::vector<PlannedPiece>& pieces, std::vector<CutPiece>&& cuts) {
  std::map<std::string, CutPiece> by_id;
  for (CutPiece& cut : cuts) by_id.try_emplace(cut.id, std::move(cut));
  const bool is_same = by_id.size() == pieces.size() &&
                       std::all_of(pieces.begin(), pieces.end(), [&](const PlannedPiece& piece) {
                         return by_id.contains(piece.cut.id);
                       });
  if (!is_same) return false;
  for (PlannedPiece& piece : pieces) piece.cut = std::move(by_id.at(piece.cut.id));
  return true;
}

/// The part's new solid cut by the same plan; false, and nothing changed, when its pieces would be
/// others.
Result<bool> recut(HandOff& out, Solid&& wired, std::vector<double>& weights, const Run& run) {
  Result<std::vector<CutPiece>> anew = cut_plan(wired, out.seams.plan, run);
  if (!anew) return std::move(anew).error();
  if (!take_cuts(out.seams.pieces, std::move(*anew))) return false;
  out.sight = sight_carried(out.wired, out.sight, wired);
  if (!weights.empty()) weights = sight_carried(out.wired, weights, wired);
  out.wired = std::move(wired);
  out.part.wired_volume_mm3 = volume_mm3(out.wired);
  return true;
}

/// Which lying bores are roofed, and which stay round over more than their mouths.
void tell_bores(HandOff& out, const std::vector<LyingBore>& bores,
                const std::vector<std::string>& marks) {
  for (const LyingBore& bore : bores) {
    Channel& channel = out.channels[bore.channel];
    channel.roofed_mm += bore.roofed_mm;
    if (bore.roofed_mm > 0) channel.least_wall_mm = std::min(channel.least_wall_mm, bore.wall_mm);
    const double round_mm = bore.lying_mm - bore.roofed_mm;
    if (round_mm <= 2 * channel.diameter_mm) continue;
    out.warnings.push_back(
        {"bore-stays-round",
         fmt::format(
             "{} \"{}\" lies in {} while it prints and stays round over {:.0f} of {:.0f} "
             "mm there: {:.1f} mm bridge, {}. Print that piece otherwise ([[stand]]), or "
             "put support into its bore",
             channel.kind, channel.name, marks[bore.piece], round_mm, bore.lying_mm, bore.bridge_mm,
             bore.is_refused ? "the part refuses a roof" : "its wall has no room for a roof")});
  }
}

/// Where the job file asks for the pocket, wire, trough or spar of a name, as place_of().
std::string asked_at(const Job& job, const std::string& name) {
  const auto find = [&](const auto& specs, const char* section) -> std::string {
    for (std::size_t i = 0; i < specs.size(); ++i) {
      if (specs[i].name == name) return place_of(job.given, fmt::format("{}.{}.name", section, i));
    }
    return "";
  };
  return find(job.wiring.pockets, "pocket") + find(job.wiring.wires, "wire") +
         find(job.wiring.troughs, "trough") + find(job.wiring.spars, "spar");
}

}  // namespace

std::vector<double> sight_carried(const Solid& before, const std::vector<double>& sight,
                                  const Solid& after) {
  std::map<std::pair<OriginKind, std::uint32_t>, double> by_origin;
  for (std::size_t f = 0; f < before.face_count(); ++f) {
    const Origin origin = before.origins()[f];
    by_origin.try_emplace({origin.kind, origin.id}, sight[f]);
  }
  std::vector<double> carried;
  for (const Origin& origin : after.origins()) {
    const auto found = by_origin.find({origin.kind, origin.id});
    carried.push_back(found == by_origin.end() ? 0.0 : found->second);
  }
  return carried;
}

bool crosses_askew(const SeamCrossing& crossing) {
  return crossing.angle < Angle::degrees(45);
}

Result<std::vector<SeamCrossing>> crossings_of(const HandOff& out) {
  const Result<std::vector<JointFace>> faces = find_joint_faces(out.seams.plan, cuts_of_plan(out));
  if (!faces) return faces.error();
  return find_crossings(out.seams.plan, *faces, out.channels);
}

Result<std::vector<double>> quick_sight(const Solid& part, const Job& job,
                                        const SightOptions& sight, const Run& run) {
  if (!may_need_sight(job.wiring, sight)) return std::vector<double>();
  SightOptions quick = sight;
  quick.rays_per_face = 16;
  quick.is_smoothed = true;
  return face_sight(part, quick, run);
}

Result<WiredPart> lead_wires(const Solid& part, const Job& job, const SightOptions& sight,
                             const Run& run) {
  const Result<std::vector<double>> seen = quick_sight(part, job, sight, run);
  if (!seen) return seen.error();
  Result<WiredPart> wired = wire_part(part, job.wiring, *seen, run);
  if (wired) return wired;
  Error error = std::move(wired).error();
  error.message = asked_at(job, error.about) + error.message;
  return error;
}

void keep_clear_of(const std::vector<Channel>& channels, const std::vector<Pocket>& pockets,
                   PlanOptions& asked) {
  constexpr double kBesideSeat_mm = 1;  // off the hole by more than an edge that crumbles
  asked.channel_paths.clear();
  asked.seats.clear();
  for (const Channel& channel : channels) asked.channel_paths.push_back(channel.path);
  for (const Pocket& pocket : pockets) {
    const double side_mm = pocket.side_mm + kBesideSeat_mm;
    const Vec3 across = cross(pocket.along, pocket.axis);
    asked.seats.push_back({.name = pocket.name,
                           .middle = pocket.at + pocket.axis * (pocket.size_mm.z / 2),
                           .half_edges = {pocket.axis * (pocket.size_mm.z / 2 + side_mm),
                                          across * (pocket.size_mm.x / 2 + side_mm),
                                          pocket.along * (pocket.size_mm.y / 2 + side_mm)},
                           .is_round = pocket.shape == PocketShape::round});
  }
}

Status add_funnels(HandOff& out, std::vector<double>& weights, const Run& run) {
  if (out.channels.empty() && out.pockets.empty()) return ok();
  const Result<std::vector<JointFace>> faces = find_joint_faces(out.seams.plan, cuts_of_plan(out));
  if (!faces) return faces.error();
  out.crossings = find_crossings(out.seams.plan, *faces, out.channels);
  out.seam_runs = find_seam_runs(out.seams.plan, *faces, out.channels);
  warn_of_crossings(out);
  warn_of_runs(out);
  warn_of_cut_pockets(out);
  if (out.crossings.empty()) return ok();
  Result<Solid> funnelled = cut_funnels(out.wired, out.seams.plan, out.crossings, out.channels);
  if (!funnelled) return std::move(funnelled).error();
  const Result<bool> is_same = recut(out, std::move(*funnelled), weights, run);
  if (!is_same) return is_same.error();
  if (!*is_same)
    out.warnings.push_back({"no-funnels", "funnels would have changed the pieces; none were cut"});
  return ok();
}

Status roof_bores(HandOff& out, std::vector<double>& weights, const EarlierMarks& earlier,
                  const Run& run) {
  if (out.channels.empty()) return ok();
  std::vector<PrintedPiece> pieces;
  for (const PlannedPiece& piece : out.seams.pieces)
    pieces.push_back({&piece.cut, piece.pose.bed_from_part.rotate_back({0, 0, 1})});
  RoofedPart roofed = add_roofs(out.wired, out.seams.plan, pieces, out.channels);
  if (roofed.bores.empty()) return ok();
  const bool has_roofs = std::any_of(roofed.bores.begin(), roofed.bores.end(),
                                     [](const LyingBore& bore) { return bore.roofed_mm > 0; });
  if (has_roofs) {
    const Result<bool> is_same = recut(out, std::move(roofed.solid), weights, run);
    if (!is_same) return is_same.error();
    if (!*is_same) {
      for (LyingBore& bore : roofed.bores) bore.roofed_mm = 0;
    }
  }
  tell_bores(out, roofed.bores, assign_marks(cuts_of_plan(out), earlier));
  return ok();
}

}  // namespace seamwright::job_detail
