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
    out.warnings.push_back(
        {"wire-crosses-askew",
         fmt::format(
             "{} \"{}\" crosses seam {} at {:.0f}°; 45° or more print and glue better, and no "
             "way was found that does so and bends, and keeps off all else, as it should. Move the "
             "seam, the wire's ends or its points",
             out.channels[crossing.channel].kind, out.channels[crossing.channel].name,
             seam_name(crossing.seam), crossing.angle.degrees())});
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
                     "mm or lock a seam beside it",
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

Result<std::vector<SeamCrossing>> crossings_of(const HandOff& out,
                                               std::span<const Channel> channels) {
  const Result<std::vector<JointFace>> faces = find_joint_faces(out.seams.plan, cuts_of_plan(out));
  if (!faces) return faces.error();
  return find_crossings(out.seams.plan, *faces, channels);
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
  return wire_part(part, job.wiring, *seen, run);
}

std::vector<std::vector<Vec3>> lines_to_cross_squarely(const std::vector<Channel>& channels,
                                                       const std::vector<Pocket>& pockets) {
  std::vector<std::vector<Vec3>> lines;
  for (const Channel& channel : channels) lines.push_back(channel.path);
  for (const Pocket& pocket : pockets) {
    const Vec3 middle = pocket.at + pocket.axis * (pocket.size_mm.z / 2);
    for (int k = 14; k < 27; ++k) {  // the 13 directions of a cube's faces, edges and corners
      const Vec3 way{static_cast<double>(k % 3 - 1), static_cast<double>(k / 3 % 3 - 1),
                     static_cast<double>(k / 9 - 1)};
      const Vec3 half = normalized(way) * pocket.reach_mm;
      lines.push_back({middle - half, middle + half});
    }
  }
  return lines;
}

Status add_funnels(HandOff& out, std::vector<double>& weights, const Run& run) {
  if (out.channels.empty() && out.pockets.empty()) return ok();
  Result<std::vector<SeamCrossing>> crossings = crossings_of(out, out.channels);
  if (!crossings) return std::move(crossings).error();
  out.crossings = std::move(*crossings);
  warn_of_crossings(out);
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
