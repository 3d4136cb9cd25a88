#include "seamwright/handoff/hand_off.h"

#include <fmt/format.h>

#include <map>

namespace seamwright {
namespace {

/// Rounding of the pose leaves the foot a hair off the bed; within this it lies on it.
constexpr double kOnBedMm = 2e-6;

double shrink_scale(const Material& material) {
  return 1 / (1 - material.shrink_ratio);
}

Box3 bed_box(const FinishedPiece& piece) {
  Box3 box;
  for (const Vec3& p : piece.keyed.points()) box.extend(piece.planned.pose.bed_from_part.apply(p));
  return box;
}

Vec3 onto_bed(Vec3 p) {
  return {p.x, p.y, std::abs(p.z) <= kOnBedMm ? 0.0 : p.z};
}

/// Where the segment meets the plane, if its ends lie on different sides.
std::optional<Vec3> crossing(Vec3 a, Vec3 b, const Plane& plane) {
  const double da = plane.distance(a), db = plane.distance(b);
  if ((da >= 0) == (db >= 0)) return std::nullopt;
  return a + (b - a) * (da / (da - db));
}

bool passes_face(const Channel& channel, const Plane& plane, const Region2& region) {
  for (std::size_t i = 0; i + 1 < channel.path.size(); ++i) {
    const auto at = crossing(channel.path[i], channel.path[i + 1], plane);
    if (!at) continue;
    const Vec2 flat = PlaneFrame(plane).flatten(*at);
    if (region_contains(region, flat)) return true;
    if (region_edge_distance_mm(region, flat) <= 0.75 * channel.diameter_mm) return true;
  }
  return false;
}

}  // namespace

FileScale file_scale(const FinishedPiece& piece, const Material& material) {
  require(material.shrink_ratio >= 0 && material.shrink_ratio < 1, "shrink_ratio is in [0, 1)");
  const double scale = shrink_scale(material);
  const Vec3 corner = bed_box(piece).low;
  return {scale, Vec3{corner.x, corner.y, 0} * (1 - scale)};
}

Solid solid_in_file(const FinishedPiece& piece, const Material& material) {
  const FileScale scale = file_scale(piece, material);
  const Solid& keyed = piece.keyed;
  std::vector<Vec3> points;
  points.reserve(keyed.points().size());
  for (const Vec3& p : keyed.points()) {
    const Vec3 bed = onto_bed(piece.planned.pose.bed_from_part.apply(p));
    points.push_back(bed * scale.scale_ratio + scale.shift_mm);
  }
  return Solid::adopt(std::move(points), {keyed.triangles().begin(), keyed.triangles().end()},
                      {keyed.origins().begin(), keyed.origins().end()});
}

std::array<double, 16> part_from_file(const FinishedPiece& piece, const Material& material) {
  const FileScale scale = file_scale(piece, material);
  const Transform part_from_bed = piece.planned.pose.bed_from_part.inverse();
  const Vec3 shift = part_from_bed.apply(-scale.shift_mm / scale.scale_ratio);
  std::array<double, 16> matrix{};
  for (std::size_t row = 0; row < 3; ++row) {
    for (std::size_t column = 0; column < 3; ++column) {
      matrix[4 * row + column] = part_from_bed.rows[row][column] / scale.scale_ratio;
    }
    matrix[4 * row + 3] = shift[row];
  }
  matrix[15] = 1;
  return matrix;
}

std::string seam_name(SeamId seam) {
  return "S" + std::to_string(to_index(seam));
}
std::string moved_words(const MovedSeam& moved) {
  const Vec3 way = moved.direction;
  const double tenths = std::round(10 * moved.more_h);
  return fmt::format(
      "move it {:.0f} mm towards ({:.2f}, {:.2f}, {:.2f}): then {:.0f} % of what is allowed, {}",
      std::abs(moved.by_mm), way.x, way.y, way.z, 100 * moved.use_ratio,
      tenths == 0 ? "for the same maker hours" : fmt::format("maker hours {:+.1f}", tenths / 10));
}

std::string seam_list(const std::vector<SeamId>& seams) {
  std::string list;
  for (const SeamId seam : seams) list += (list.empty() ? "" : ", ") + seam_name(seam);
  return list;
}
std::string joint_name(std::size_t joint) {
  return "J" + std::to_string(joint + 1);
}

std::string foot_name(Foot foot) {
  switch (foot) {
    case Foot::joint_face:
      return "joint-face";
    case Foot::flat_side:
      return "flat-side";
    case Foot::supports:
      return "supports";
    case Foot::tilted:
      return "tilted";
  }
  throw std::logic_error("broken contract: no such Foot");
}

std::string key_name(KeyKind kind) {
  switch (kind) {
    case KeyKind::dowel:
      return "dowel";
    case KeyKind::pin:
      return "pin";
    case KeyKind::tongue:
      return "tongue";
    case KeyKind::lap:
      return "lap";
    case KeyKind::strap:
      return "strap";
    case KeyKind::flange:
      return "flange";
    case KeyKind::magnet:
      return "magnet";
    case KeyKind::none:
      return "none";
  }
  throw std::logic_error("broken contract: no such KeyKind");
}

std::vector<SeamId> crossed_seams(const HandOff& hand_off, const Channel& channel) {
  std::vector<SeamId> crossed;
  for (const Seam& seam : hand_off.seams.plan.seams) {
    const bool passes =
        std::any_of(hand_off.joints.begin(), hand_off.joints.end(), [&](const Joint& joint) {
          return joint.face.seam == seam.id && passes_face(channel, seam.plane, joint.face.region);
        });
    if (passes) crossed.push_back(seam.id);
  }
  return crossed;
}

PrinterFit fit_of(const HandOff& hand_off, std::size_t printer) {
  return printer < hand_off.fits.size() ? hand_off.fits[printer] : PrinterFit{};
}

PrintTotals print_totals(const HandOff& hand_off) {
  PrintTotals totals;
  totals.is_recorded = !hand_off.pieces.empty();
  std::map<std::size_t, double> by_printer;
  for (const FinishedPiece& piece : hand_off.pieces) {
    if (piece.is_done) continue;
    totals.print_s += piece.print.print_s;
    totals.fast_print_s += piece.fast_print.print_s;
    totals.filament_mm += piece.print.filament_mm;
    totals.mass_g += piece.print.mass_g;
    totals.support_g += piece.print.support_g;
    by_printer[piece.planned.printer] += piece.print.print_s;
    const PrinterFit fit = fit_of(hand_off, piece.planned.printer);
    totals.is_recorded = totals.is_recorded && fit.is_recorded();
    totals.time_band_ratio = std::max(totals.time_band_ratio, fit.time_band_ratio);
    totals.mass_band_ratio = std::max(totals.mass_band_ratio, fit.mass_band_ratio);
  }
  for (const auto* prints : {&hand_off.loose_prints, &hand_off.lid_prints}) {
    for (const LoosePrint& loose : *prints) {
      totals.print_s += loose.print_s;
      totals.fast_print_s += loose.fast_print_s;
      totals.filament_mm += loose.filament_mm;
      totals.mass_g += loose.mass_g;
      totals.loose_print_s += loose.print_s;
      totals.loose_mass_g += loose.mass_g;
      by_printer[loose.printer] += loose.print_s;
    }
  }
  for (const auto& [printer, seconds] : by_printer) {
    totals.busiest_print_s = std::max(totals.busiest_print_s, seconds);
    if (printer < hand_off.printers.size())
      totals.printer_price += hand_off.printers[printer].price_per_h * seconds / 3600;
  }
  for (const SeamCost& seam : hand_off.seams.seam_costs) {
    totals.shown_mm += seam.shown_mm;
    totals.hidden_mm += seam.hidden_mm;
    totals.seam_maker_h += seam.maker_h;
  }
  return totals;
}

}  // namespace seamwright
