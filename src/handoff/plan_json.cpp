#include "seamwright/handoff/plan_json.h"

#include <cmath>
#include <nlohmann/json.hpp>

#include "handoff/days_parts.h"
#include "handoff/print_work.h"
#include "handoff/printed_on.h"
#include "seamwright/handoff/corner_pads.h"
#include "seamwright/handoff/loose_parts.h"
#include "seamwright/query/mass_properties.h"

namespace seamwright {
namespace {

using Json = nlohmann::ordered_json;

Json numbers(Vec3 v) {
  return Json::array({v.x, v.y, v.z});
}

Json side_name(Side side) {
  return side == Side::above ? "above" : "below";
}

std::string piece_id(const HandOff& hand_off, PieceId piece) {
  return hand_off.pieces.at(to_index(piece)).planned.cut.id;
}

Json part_json(const PartFacts& part) {
  Json mended = Json::array();
  for (const MendStep& step : part.mended)
    mended.push_back({{"code", step.code}, {"count", step.count}});
  return {{"file", part.file},
          {"sha256", part.sha256},
          {"unit", unit_name(part.unit.unit)},
          {"scale_ratio", part.unit.scale_ratio},
          {"size_mm", numbers(part.size_mm)},
          {"volume_mm3", part.volume_mm3},
          {"wired_volume_mm3", part.wired_volume_mm3},
          {"area_mm2", part.area_mm2},
          {"face_count", part.face_count},
          {"worn_side", part.worn_side},
          {"mended", std::move(mended)}};
}

Json printers_json(const HandOff& hand_off) {
  Json printers = Json::array();
  for (std::size_t i = 0; i < hand_off.printers.size(); ++i) {
    const Printer& printer = hand_off.printers[i];
    const PrinterFit fit = i < hand_off.fits.size() ? hand_off.fits[i] : PrinterFit{};
    printers.push_back({{"name", printer.name},
                        {"room_mm", numbers(printer.room_mm)},
                        {"margin_mm", printer.margin_mm},
                        {"nozzle_mm", printer.nozzle_mm},
                        {"bed", name_of(printer.bed)},
                        {"start_s", hand_off.print.heating_s + printer.start_and_finish_s},
                        {"recorded_count", fit.timed_count},
                        {"time_factor_ratio", printer.time_factor_ratio},
                        {"mass_factor_ratio", printer.mass_factor_ratio},
                        {"time_band_ratio", fit.time_band_ratio},
                        {"mass_band_ratio", fit.mass_band_ratio}});
  }
  return printers;
}

Json seam_json(const Seam& seam) {
  return {{"id", seam_name(seam.id)},
          {"parent", seam.parent ? Json(seam_name(*seam.parent)) : Json()},
          {"side", seam.parent ? side_name(seam.side) : Json()},
          {"normal", numbers(seam.plane.normal)},
          {"offset_mm", seam.plane.offset_mm}};
}

Json hours_or_null(const std::optional<double>& hours) {
  return hours ? Json(*hours) : Json();
}

Json seams_json(const PlannedSeams& planned) {
  require(planned.seam_costs.size() == planned.plan.seams.size(),
          "one cost a seam, in the plan's order");
  Json seams = Json::array();
  for (std::size_t i = 0; i < planned.plan.seams.size(); ++i) {
    const SeamCost& cost = planned.seam_costs[i];
    Json seam = seam_json(planned.plan.seams[i]);
    seam.update({{"shown_mm", cost.shown_mm},
                 {"hidden_mm", cost.hidden_mm},
                 {"maker_h", cost.maker_h},
                 {"detail_mm", cost.detail_mm},
                 {"line_mm", cost.line_mm},
                 {"preferred", cost.is_preferred},
                 {"locked", planned.plan.seams[i].is_locked},
                 {"forward_10mm_h", hours_or_null(cost.forward_h)},
                 {"back_10mm_h", hours_or_null(cost.back_h)}});
    seams.push_back(std::move(seam));
  }
  return seams;
}

Json other_plans_json(const PlannedSeams& planned) {
  Json plans = Json::array();
  for (const OtherPlan& plan : planned.others) {
    Json seams = Json::array();
    for (const Seam& seam : plan.plan.seams) seams.push_back(seam_json(seam));
    plans.push_back({{"aim", plan.aim},
                     {"piece_count", plan.pieces},
                     {"shown_mm", plan.shown_mm},
                     {"hidden_mm", plan.hidden_mm},
                     {"print_s", plan.print_s},
                     {"longest_print_s", plan.longest_print_s},
                     {"maker_h", plan.maker_h},
                     {"seams", std::move(seams)}});
  }
  return plans;
}

Json work_json(const PrintEstimate& print) {
  Json list = Json::array();
  for (const PrintWork& work : print_work(print))
    list.push_back({{"kind", work.kind}, {"s", work.seconds}, {"filament_mm", work.filament_mm}});
  return list;
}

/// The best ways to stand, the chosen one first, with their hours.
Json directions_json(const HandOff& hand_off, const FinishedPiece& piece) {
  Json list = Json::array();
  const auto index = static_cast<std::size_t>(&piece - hand_off.pieces.data());
  if (index >= hand_off.directions.size()) return list;
  for (const Direction& direction : hand_off.directions[index].ranked) {
    const DirectionHours& hours = direction.hours;
    list.push_back({{"pose", foot_name(direction.pose.foot)},
                    {"down", numbers(direction.down)},
                    {"print_s", direction.print_s},
                    {"maker_h", hours.total_h()},
                    {"printing_h", hours.printing_h},
                    {"support_h", hours.support_h},
                    {"scars_h", hours.scars_h},
                    {"steps_h", hours.steps_h},
                    {"weakness_h", hours.weakness_h},
                    {"warping_h", hours.warping_h},
                    {"tipping_h", hours.tipping_h}});
  }
  return list;
}

/// Corner pads in their file's coordinates, the piece's own.
Json pads_json(const HandOff& hand_off, const FinishedPiece& piece) {
  if (piece.pads.empty()) return {};
  const FileScale scale = file_scale(piece, hand_off.material);
  Json list = Json::array();
  for (const CornerPad& pad : piece.pads) {
    const Vec3 at = Vec3{pad.at_mm.x, pad.at_mm.y, 0} * scale.scale_ratio + scale.shift_mm;
    list.push_back({{"at", {at.x, at.y}}, {"diameter_mm", pad.diameter_mm}});
  }
  return {{"file", pads_file(piece)}, {"discs", std::move(list)}};
}

Json piece_json(const HandOff& hand_off, const FinishedPiece& piece) {
  const CutPiece& cut = piece.planned.cut;
  const PrintedOn there = printed_on(hand_off, piece);
  return {{"id", cut.id},
          {"mark", piece.mark},
          {"file", piece.file},
          {"seam", cut.seam ? Json(seam_name(*cut.seam)) : Json()},
          {"side", cut.seam ? side_name(cut.side) : Json()},
          {"volume_mm3", volume_mm3(piece.keyed)},
          {"volume_before_keys_mm3", volume_mm3(cut.solid)},
          {"printer", hand_off.printers.at(there.printer).name},
          {"planned_for", hand_off.printers.at(piece.planned.printer).name},
          {"pose", foot_name(piece.planned.pose.foot)},
          {"part_from_file", part_from_file(piece, hand_off.material)},
          {"size_mm", numbers(piece.planned.pose.size_mm)},
          {"print_s", piece.print.print_s},
          {"filament_mm", piece.print.filament_mm},
          {"mass_g", piece.print.mass_g},
          {"support_g", piece.print.support_g},
          {"model_print_s", there.model_print_s},
          {"model_mass_g", piece.print.model_mass_g},
          {"fast_print_s", piece.fast_print.print_s > 0 ? Json(piece.fast_print.print_s) : Json()},
          {"work", work_json(piece.print)},
          {"directions", directions_json(hand_off, piece)},
          {"pads", pads_json(hand_off, piece)},
          {"done", piece.is_done}};
}

Json pieces_json(const HandOff& hand_off) {
  Json pieces = Json::array();
  for (const FinishedPiece& piece : hand_off.pieces) pieces.push_back(piece_json(hand_off, piece));
  return pieces;
}

Json outline_json(const Region2& region, const Plane& plane) {
  const PlaneFrame frame(plane);
  const auto lifted = [&](const Loop2& loop) {
    Json points = Json::array();
    for (const Vec2& p : loop) points.push_back(numbers(frame.lift(p)));
    return points;
  };
  Json outline = Json::array({lifted(region.outer)});
  for (const Loop2& hole : region.holes) outline.push_back(lifted(hole));
  return outline;
}

/// The pole that a magnet of the above piece shows; null for other keys.
Json pole_above(const std::vector<Key>& keys, const Key& key) {
  if (key.kind != KeyKind::magnet) return Json();
  const auto k = static_cast<std::size_t>(&key - keys.data());
  return shows_north_above(keys, k) ? "north" : "south";
}

/// The thread of a flange's screws; null for other keys.
Json thread_of(const HandOff& hand_off, const Key& key) {
  if (key.kind != KeyKind::flange) return Json();
  const InsertThread thread = hand_off.joinery.insert;
  return std::string(name_of(thread == InsertThread::none ? InsertThread::m3 : thread));
}

Json keys_json(const HandOff& hand_off, const std::vector<Key>& keys) {
  Json list = Json::array();
  for (const Key& key : keys) {
    list.push_back({{"kind", key_name(key.kind)},
                    {"at", numbers(key.at)},
                    {"axis", numbers(key.axis)},
                    {"diameter_mm", key.diameter_mm},
                    {"depth_mm", key.depth_mm},
                    {"clearance_mm", key.clearance_mm},
                    {"male", key.male ? Json(piece_id(hand_off, *key.male)) : Json()},
                    {"length_mm", key.length_mm},
                    {"pole_above", pole_above(keys, key)},
                    {"holder", key.holder ? Json(piece_id(hand_off, *key.holder)) : Json()},
                    {"thread", thread_of(hand_off, key)}});
  }
  return list;
}

/// Null where no strength was worked out.
Json strength_json(const HandOff& hand_off, std::size_t joint) {
  if (joint >= hand_off.strengths.size()) return Json();
  const JointStrength& s = hand_off.strengths[joint];
  return {{"glue_area_mm2", s.glue_area_mm2},
          {"key_shear_area_mm2", s.key_shear_area_mm2},
          {"section_modulus_mm3", s.section_modulus_mm3},
          {"held_mass_g", s.held_mass_g},
          {"lever_mm", s.lever_mm},
          {"stress_mpa", s.stress_mpa},
          {"screw_count", s.screw_count},
          {"screw_pull_n", s.screw_pull_n},
          {"screw_allowed_n", s.screw_allowed_n},
          {"safety_ratio", s.safety_ratio}};
}

Json joints_json(const HandOff& hand_off) {
  Json joints = Json::array();
  for (std::size_t i = 0; i < hand_off.joints.size(); ++i) {
    const Joint& joint = hand_off.joints[i];
    const Seam* seam = find_seam(hand_off.seams.plan, joint.face.seam);
    require(seam != nullptr, "a joint's seam is in the plan");
    joints.push_back({{"id", joint_name(i)},
                      {"seam", seam_name(seam->id)},
                      {"pieces", Json::array({piece_id(hand_off, joint.face.above),
                                              piece_id(hand_off, joint.face.below)})},
                      {"kind", key_name(joint.kind)},
                      {"glued", joint.is_glued},
                      {"area_mm2", joint.face.area_mm2},
                      {"outline", outline_json(joint.face.region, seam->plane)},
                      {"keys", keys_json(hand_off, joint.keys)},
                      {"strength", strength_json(hand_off, i)}});
  }
  return joints;
}

Json pockets_json(const HandOff& hand_off) {
  Json pockets = Json::array();
  for (const Pocket& pocket : hand_off.pockets) {
    pockets.push_back({{"id", pocket.name},
                       {"at", numbers(pocket.at)},
                       {"axis", numbers(pocket.axis)},
                       {"shape", std::string(name_of(pocket.shape))},
                       {"size_mm", numbers(pocket.size_mm)},
                       {"boss", pocket.has_boss}});
  }
  return pockets;
}

/// A straight way bends nowhere: its radius is no number.
Json finite_or_null(double value) {
  return std::isfinite(value) ? Json(value) : Json();
}

Json crossings_json(const HandOff& hand_off, std::size_t channel) {
  Json crossings = Json::array();
  for (const SeamCrossing& crossing : hand_off.crossings) {
    if (crossing.channel != channel) continue;
    crossings.push_back({{"seam", seam_name(crossing.seam)},
                         {"at", numbers(crossing.at)},
                         {"way_mm", crossing.way_mm},
                         {"angle_deg", crossing.angle.degrees()}});
  }
  return crossings;
}

Json seam_runs_json(const HandOff& hand_off, std::size_t channel) {
  Json runs = Json::array();
  for (const SeamRun& run : hand_off.seam_runs) {
    if (run.channel != channel) continue;
    runs.push_back({{"seam", seam_name(run.seam)},
                    {"length_mm", run.length_mm},
                    {"nearest_mm", run.nearest_mm}});
  }
  return runs;
}

Json channels_json(const HandOff& hand_off) {
  Json channels = Json::array();
  for (std::size_t i = 0; i < hand_off.channels.size(); ++i) {
    const Channel& channel = hand_off.channels[i];
    Json path = Json::array(), crosses = Json::array();
    for (const Vec3& p : channel.path) path.push_back(numbers(p));
    for (const SeamId seam : crossed_seams(hand_off, channel)) crosses.push_back(seam_name(seam));
    channels.push_back({{"id", channel.name},
                        {"kind", channel.kind},
                        {"path", std::move(path)},
                        {"length_mm", channel.length_mm},
                        {"diameter_mm", channel.diameter_mm},
                        {"governed_by", channel.governed_by},
                        {"crosses", std::move(crosses)},
                        {"least_wall_mm", channel.least_wall_mm},
                        {"least_bend_mm", finite_or_null(channel.least_bend_mm)},
                        {"bend_turn_deg", channel.bend_turn_deg},
                        {"off_skin_mm", channel.off_skin_mm},
                        {"roofed_mm", channel.roofed_mm},
                        {"crossings", crossings_json(hand_off, i)},
                        {"seam_runs", seam_runs_json(hand_off, i)}});
  }
  return channels;
}

Json lids_json(const HandOff& hand_off) {
  Json lids = Json::array();
  for (std::size_t i = 0; i < hand_off.lids.size(); ++i) {
    const ChannelLid& lid = hand_off.lids[i];
    const LoosePrint print = i < hand_off.lid_prints.size() ? hand_off.lid_prints[i] : LoosePrint{};
    lids.push_back({{"mark", lid.mark},
                    {"channel", hand_off.channels.at(lid.channel).name},
                    {"file", lid_file(lid)},
                    {"length_mm", lid.length_mm},
                    {"size_mm", numbers(lid.solid.box().size())},
                    {"print_s", print.print_s},
                    {"filament_mm", print.filament_mm},
                    {"mass_g", print.mass_g}});
  }
  return lids;
}

Json loose_parts_json(const HandOff& hand_off) {
  Json parts = Json::array();
  for (const LoosePart& part : hand_off.loose_parts) {
    parts.push_back({{"mark", part.mark},
                     {"kind", key_name(part.kind)},
                     {"joint", joint_name(part.joint)},
                     {"file", loose_part_file(part)},
                     {"part_from_file", part_from_loose_file(part, hand_off.material)},
                     {"length_mm", part.length_mm},
                     {"size_mm", numbers(part.size_mm)},
                     {"volume_mm3", volume_mm3(part.solid)},
                     {"glue_area_mm2", part.glue_area_mm2},
                     {"print_s", loose_print(hand_off, part).print_s},
                     {"filament_mm", loose_print(hand_off, part).filament_mm},
                     {"mass_g", loose_print(hand_off, part).mass_g}});
  }
  return parts;
}

Json skin_marks_json(const HandOff& hand_off) {
  Json marks = Json::array();
  for (const SkinMark& mark : hand_off.skin_marks) {
    marks.push_back({{"piece", piece_id(hand_off, mark.piece)},
                     {"joint", joint_name(mark.joint)},
                     {"text", mark.text},
                     {"at", numbers(mark.at)},
                     {"along", numbers(mark.along)},
                     {"out", numbers(mark.out)},
                     {"height_mm", mark.height_mm}});
  }
  return marks;
}

Json rods_json(const HandOff& hand_off) {
  Json rods = Json::array();
  for (const RodCut& rod : rod_cuts(hand_off.joints)) {
    rods.push_back(
        {{"diameter_mm", rod.diameter_mm}, {"length_mm", rod.length_mm}, {"count", rod.count}});
  }
  return rods;
}

Json assembly_json(const HandOff& hand_off) {
  Json assembly = Json::array();
  for (std::size_t i = 0; i < hand_off.assembly.size(); ++i) {
    assembly.push_back({{"step", i + 1}, {"joint", joint_name(hand_off.assembly[i])}});
  }
  return assembly;
}

Json totals_json(const HandOff& hand_off) {
  const PrintTotals totals = print_totals(hand_off);
  return {{"piece_count", hand_off.pieces.size()},
          {"piece_lower_bound", hand_off.seams.piece_lower_bound},
          {"shown_mm", totals.shown_mm},
          {"hidden_mm", totals.hidden_mm},
          {"maker_h", hand_off.seams.maker_h},
          {"print_s", totals.print_s},
          {"filament_mm", totals.filament_mm},
          {"mass_g", totals.mass_g},
          {"time_band_ratio", totals.time_band_ratio},
          {"mass_band_ratio", totals.mass_band_ratio},
          {"price", totals.mass_g / 1000 * hand_off.material.price_per_kg},
          {"printer_price", totals.printer_price}};
}

}  // namespace

std::string plan_json(const HandOff& hand_off) {
  Json assumptions = Json::array(), warnings = Json::array();
  for (const Assumption& a : hand_off.assumptions) {
    assumptions.push_back({{"key", a.key}, {"value", a.value}, {"source", a.source}});
  }
  for (const Warning& w : hand_off.warnings)
    warnings.push_back({{"code", w.code}, {"message", w.message}});
  const Json plan = {{"schema", "seamwright-plan/1"},
                     {"program", hand_off.program_version},
                     {"seed", hand_off.seed},
                     {"complete", hand_off.is_complete},
                     {"part", part_json(hand_off.part)},
                     {"printers", printers_json(hand_off)},
                     {"seams", seams_json(hand_off.seams)},
                     {"pieces", pieces_json(hand_off)},
                     {"joints", joints_json(hand_off)},
                     {"channels", channels_json(hand_off)},
                     {"pockets", pockets_json(hand_off)},
                     {"assembly", assembly_json(hand_off)},
                     {"totals", totals_json(hand_off)},
                     {"days", days_parts::days_part(hand_off)},
                     {"wear", days_parts::wear_part(hand_off)},
                     {"bags", days_parts::bags_part(hand_off)},
                     {"assumptions", std::move(assumptions)},
                     {"warnings", std::move(warnings)},
                     {"retired_marks", hand_off.retired_marks},
                     {"loose_parts", loose_parts_json(hand_off)},
                     {"lids", lids_json(hand_off)},
                     {"skin_marks", skin_marks_json(hand_off)},
                     {"rods", rods_json(hand_off)},
                     {"other_plans", other_plans_json(hand_off.seams)}};
  // Names come from files: bytes that are not UTF-8 are replaced rather than refused.
  return plan.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

}  // namespace seamwright
