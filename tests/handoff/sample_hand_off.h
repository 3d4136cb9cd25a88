#pragma once

#include <filesystem>
#include <map>

#include "seamwright/handoff/hand_off.h"
#include "seamwright/query/mass_properties.h"
#include "support/shapes.h"
#include "support/stl.h"

namespace seamwright::testing {

/// The box's faces at x = `at_mm` become the cap of seam S1.
inline Solid with_cap(const Solid& box, double at_mm) {
  std::vector<Origin> origins;
  for (std::size_t f = 0; f < box.face_count(); ++f) {
    const auto corners = box.corners(to_id<FaceId>(f));
    const bool is_cap = corners[0].x == at_mm && corners[1].x == at_mm && corners[2].x == at_mm;
    origins.push_back(is_cap ? Origin{OriginKind::cap, 1}
                             : Origin{OriginKind::skin, static_cast<std::uint32_t>(f)});
  }
  return Solid::adopt({box.points().begin(), box.points().end()},
                      {box.triangles().begin(), box.triangles().end()}, std::move(origins));
}

/// Stands a half of the box with its cap on the bed, its box from (margin, margin, 0).
inline Pose cap_down(const Solid& half, bool is_above, double margin_mm) {
  Transform turn = rotation({0, 1, 0}, Angle::degrees(is_above ? -90 : 90));
  // Exact quarter turns, so that the foot is flat to the last bit.
  for (Vec3& row : turn.rows) row = {std::round(row.x), std::round(row.y), std::round(row.z)};
  Box3 box;
  for (const Vec3& p : half.points()) box.extend(turn.apply(p));
  turn.shift = Vec3{margin_mm, margin_mm, 0} - box.low;
  Pose pose;
  pose.foot = Foot::joint_face;
  pose.foot_seam = SeamId{1};
  pose.bed_from_part = turn;
  pose.size_mm = box.size();
  pose.contact_mm2 = pose.size_mm.x * pose.size_mm.y;
  pose.is_stable = true;
  return pose;
}

inline FinishedPiece half_piece(const Solid& half, bool is_above, const Printer& printer) {
  const std::string mark = is_above ? "A1" : "A2";
  PlannedPiece planned{
      CutPiece{is_above ? "S1+" : "S1-", SeamId{1}, is_above ? Side::above : Side::below, half},
      cap_down(half, is_above, printer.margin_mm), 0};
  FinishedPiece piece{std::move(planned), half, mark, "pieces/" + mark + ".stl", {}, {}};
  piece.print.print_s = is_above ? 30000.5 : 20000.25;
  piece.fast_print.print_s = piece.print.print_s / 3;
  piece.print.filament_mm = 9000.125;
  piece.print.mass_g = is_above ? 70.1 : 50.2;
  piece.print.support_g = is_above ? 0 : 1.5;
  piece.print.layer_count = 250;
  return piece;
}

/// A real print: a small box, on a printer that takes `time_factor_ratio` times the model's time.
inline PrintEstimate sample_print(double time_factor_ratio) {
  Printer printer;
  printer.time_factor_ratio = time_factor_ratio;
  return estimate_print(make_box({30, 20, 12}), {}, printer, {}, {}).value();
}

inline Joint sample_joint() {
  Joint joint;
  joint.face = {SeamId{1}, PieceId{0}, PieceId{1}, {}, 60 * 40};
  const PlaneFrame frame(Plane{{1, 0, 0}, 50});
  for (const Vec3& p : {Vec3{50, 0, 0}, Vec3{50, 60, 0}, Vec3{50, 60, 40}, Vec3{50, 0, 40}}) {
    joint.face.region.outer.push_back(frame.flatten(p));
  }
  joint.kind = KeyKind::dowel;
  joint.keys = {{KeyKind::dowel, {50, 15, 20}, {1, 0, 0}, 4, 10, 0.15, std::nullopt},
                {KeyKind::pin, {50, 45, 15}, {1, 0, 0}, 6, 8, 0.15, PieceId{0}}};
  return joint;
}

inline PartFacts sample_facts() {
  PartFacts part;
  part.file = "lantern, beetle.stl";
  part.sha256 = std::string(64, 'a');
  part.size_mm = {100, 60, 40};
  part.volume_mm3 = part.wired_volume_mm3 = 240000;
  part.area_mm2 = 24800;
  part.face_count = 12;
  part.worn_side = "-z";
  part.mended = {{"weld", 3, "at 0.0006 mm"}};
  return part;
}

/// A box of 100 × 60 × 40 mm, cut in two at x = 50.
inline HandOff sample_hand_off() {
  HandOff hand_off{.program_version = "0.1.0", .wired = make_box({100, 60, 40})};
  hand_off.part = sample_facts();
  hand_off.sight.assign(12, 0.5);
  hand_off.printers = {Printer{}};
  hand_off.seams.plan.seams = {{SeamId{1}, std::nullopt, Side::above, {{1, 0, 0}, 50}, false}};
  hand_off.seams.seam_costs = {{SeamId{1}, 120.25, 80.5, 0.6}};
  hand_off.seams.maker_h = 1.6;
  const Solid above = with_cap(make_box({50, 60, 40}, {50, 0, 0}), 50);
  const Solid below = with_cap(make_box({50, 60, 40}), 50);
  hand_off.pieces.push_back(half_piece(above, true, Printer{}));
  hand_off.pieces.push_back(half_piece(below, false, Printer{}));
  hand_off.joints = {sample_joint()};
  hand_off.channels = {
      {"tail light", "bore", {{10, 30, 20}, {90, 30, 20}}, 80, 6, "given", 12, 30}};
  hand_off.assembly = {0};
  hand_off.assumptions = {
      {"[material] density_g_per_cm3", "1.24", "makers' data sheets, from memory"}};
  hand_off.warnings = {{"worn-side", "worn side given as -z"}};
  return hand_off;
}

/// The sample on two printers: the calendar puts A1 on the first and A2, which was planned for the
/// first as well, on the second, where it takes half the time.
inline HandOff hand_off_on_two_printers() {
  HandOff hand_off = sample_hand_off();
  hand_off.printers.push_back(Printer{});
  hand_off.printers[0].name = "left one";
  hand_off.printers[1].name = "right one";
  hand_off.printers[1].time_factor_ratio = 1.25;
  hand_off.days_input.emplace();
  for (const Printer& printer : hand_off.printers) {
    hand_off.days_input->input.printers.emplace_back();
    hand_off.days_input->input.printers.back().load.name = printer.name;
  }
  hand_off.days.emplace();
  for (std::size_t i = 0; i < 2; ++i) {
    const FinishedPiece& piece = hand_off.pieces[i];
    DayPiece item{.mark = piece.mark};
    item.print_s = {piece.print.print_s, piece.print.print_s / 2};
    hand_off.days_input->input.pieces.push_back(item);
    Load load{.pieces = {i}};
    load.places.resize(2);
    load.print_s = item.print_s;
    hand_off.days->loads.push_back(load);
    hand_off.days->load_names.push_back("load of " + piece.mark);
    hand_off.days->calendar.entries.push_back({.load = i, .printer = i, .end_min = 600});
  }
  hand_off.days->calendar.spool_count = {1, 1};
  return hand_off;
}

/// A new folder that goes when the test does.
class TempFolder {
 public:
  TempFolder() {
    const auto pattern = std::filesystem::temp_directory_path() / "seamwright_handoff_XXXXXX";
    std::string name = pattern.string();
    if (::mkdtemp(name.data()) == nullptr) throw std::runtime_error("no temporary folder");
    path_ = name;
  }
  ~TempFolder() { std::filesystem::remove_all(path_); }
  TempFolder(const TempFolder&) = delete;
  TempFolder& operator=(const TempFolder&) = delete;
  const std::filesystem::path& path() const { return path_; }

 private:
  std::filesystem::path path_;
};

/// Every file below a folder, with its bytes.
inline std::map<std::string, std::string> folder_bytes(const std::filesystem::path& folder) {
  std::map<std::string, std::string> files;
  for (const auto& entry : std::filesystem::recursive_directory_iterator(folder)) {
    if (!entry.is_regular_file()) continue;
    files[entry.path().lexically_relative(folder).string()] = file_bytes(entry.path().string());
  }
  return files;
}

}  // namespace seamwright::testing
