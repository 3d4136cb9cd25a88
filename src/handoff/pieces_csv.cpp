#include "seamwright/handoff/pieces_csv.h"

#include <fmt/format.h>

#include "handoff/printed_on.h"
#include "seamwright/query/mass_properties.h"

namespace seamwright {
namespace {

using Row = std::vector<std::string>;

std::string quoted(std::string text) {
  if (!text.empty() && std::string("=+-@").find(text[0]) != std::string::npos) text = "'" + text;
  if (text.find_first_of(",\"\r\n") == std::string::npos) return text;
  std::string out = "\"";
  for (const char c : text) out += c == '"' ? std::string("\"\"") : std::string(1, c);
  return out + "\"";
}

void add_line(std::string& csv, const Row& row) {
  for (std::size_t i = 0; i < row.size(); ++i) csv += (i > 0 ? "," : "") + row[i];
  csv += "\r\n";
}

Row heading() {
  return {"mark",        "id",        "file",      "printer",    "foot",    "foot_seam",
          "size_x_mm",   "size_y_mm", "size_z_mm", "volume_mm3", "print_s", "fast_print_s",
          "filament_mm", "mass_g",    "support_g", "layers"};
}

Row piece_row(const HandOff& hand_off, const FinishedPiece& piece) {
  const Pose& pose = piece.planned.pose;
  const PrintedOn there = printed_on(hand_off, piece);
  const auto number = [](double value) { return fmt::format("{:.3f}", value); };
  return {quoted(piece.mark),
          quoted(piece.planned.cut.id),
          quoted(piece.file),
          quoted(hand_off.printers.at(there.printer).name),
          foot_name(pose.foot),
          pose.foot_seam ? seam_name(*pose.foot_seam) : "",
          number(pose.size_mm.x),
          number(pose.size_mm.y),
          number(pose.size_mm.z),
          number(volume_mm3(piece.keyed)),
          number(there.print_s),
          piece.fast_print.print_s > 0 ? number(piece.fast_print.print_s) : "",
          number(piece.print.filament_mm),
          number(piece.print.mass_g),
          number(piece.print.support_g),
          std::to_string(piece.print.layer_count)};
}

}  // namespace

std::string pieces_csv(const HandOff& hand_off) {
  std::string csv;
  add_line(csv, heading());
  for (const FinishedPiece& piece : hand_off.pieces) add_line(csv, piece_row(hand_off, piece));
  return csv;
}

}  // namespace seamwright
