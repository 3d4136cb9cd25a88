#include <fmt/format.h>

#include <cstring>

#include "handoff/report_sections.h"
#include "handoff/report_text.h"
#include "seamwright/core/parallel.h"
#include "seamwright/query/simplify.h"

namespace seamwright::report {
namespace {

/// A piece as the page's script reads it: whole numbers of `step_mm` from the box's low corner.
struct PackedPiece {
  std::string points, corners;  ///< base64 of little-endian uint16 x, y, z; of uint32 a, b, c
  std::size_t skin_count = 0;   ///< the first faces are skin,
  std::size_t cap_count = 0;    ///< then come joint faces and keys, then marks and what is wired
  Vec3 low;
  double step_mm = 0;
};

template <class Number>
void append(std::string& bytes, Number value) {
  char raw[sizeof value];
  std::memcpy(raw, &value, sizeof value);
  bytes.append(raw, sizeof value);
}

/// Faces in the page's order: skin, what lies in a seam, the rest.
int sort_of(OriginKind kind) {
  if (kind == OriginKind::skin) return 0;
  return kind == OriginKind::cap || kind == OriginKind::key ? 1 : 2;
}

PackedPiece packed(const Solid& solid) {
  constexpr double kSteps = 65535;
  const Vec3 size = solid.box().size();
  PackedPiece piece;
  piece.low = solid.box().low;
  piece.step_mm = std::max({size.x, size.y, size.z, 1e-6}) / kSteps;
  std::string points, corners;
  for (const Vec3& p : solid.points()) {
    for (std::size_t k = 0; k < 3; ++k)
      append(points,
             static_cast<std::uint16_t>(std::lround((p[k] - piece.low[k]) / piece.step_mm)));
  }
  for (int sort = 0; sort < 3; ++sort) {
    for (std::size_t f = 0; f < solid.face_count(); ++f) {
      if (sort_of(solid.origins()[f].kind) != sort) continue;
      for (const VertexId v : solid.triangles()[f])
        append(corners, static_cast<std::uint32_t>(to_index(v)));
      piece.skin_count += sort == 0;
      piece.cap_count += sort == 1;
    }
  }
  piece.points = text::base64(points);
  piece.corners = text::base64(corners);
  return piece;
}

std::string numbers(Vec3 v) {
  return fmt::format("[{:.4f},{:.4f},{:.4f}]", v.x, v.y, v.z);
}

std::string piece_data(const HandOff& hand_off, std::size_t i, const PackedPiece& piece,
                       const PieceColours& colours, Vec3 move) {
  return fmt::format(
      "{{\"mark\":\"{}\",\"skin\":\"{}\",\"cap\":\"{}\",\"move\":{},\"low\":{},\"step\":{:.9g},"
      "\"skins\":{},\"caps\":{},\"points\":\"{}\",\"corners\":\"{}\"}}",
      text::escaped(hand_off.pieces[i].mark), text::hex(colours.skin), text::hex(colours.cap),
      numbers(move), numbers(piece.low), piece.step_mm, piece.skin_count, piece.cap_count,
      piece.points, piece.corners);
}

/// Each piece keeps its share of the faces, but enough to be recognised.
std::size_t share_of(const HandOff& hand_off, std::size_t i, std::size_t face_count) {
  double all = 0;
  for (const FinishedPiece& piece : hand_off.pieces)
    all += static_cast<double>(piece.keyed.face_count());
  const double share = static_cast<double>(hand_off.pieces[i].keyed.face_count()) / all;
  return std::max<std::size_t>(1500,
                               static_cast<std::size_t>(share * static_cast<double>(face_count)));
}

std::string turn_data(const HandOff& hand_off, std::size_t face_count, const Run& run) {
  const std::vector<PieceColours> colours = piece_colours(hand_off);
  const std::vector<Vec3> moves = moves_apart(hand_off);
  const auto pieces =
      map_index(hand_off.pieces.size(), Run{run.thread_count, run.cancel, {}}, [&](std::size_t i) {
        return packed(simplify(hand_off.pieces[i].keyed, share_of(hand_off, i, face_count)));
      });
  const Transform upright = upright_from_part(hand_off.part);
  std::string data = fmt::format(
      "{{\"upright\":[{},{},{}],\"viewer\":{},\"pieces\":[", numbers(upright.rows[0]),
      numbers(upright.rows[1]), numbers(upright.rows[2]), numbers(viewer_direction(hand_off.part)));
  for (std::size_t i = 0; i < pieces.size(); ++i)
    data += (i > 0 ? "," : "") + piece_data(hand_off, i, pieces[i], colours[i], moves[i]);
  return data + "]}";
}

}  // namespace

std::string turnable_section(const HandOff& hand_off, const HandOffPictures& pictures,
                             std::size_t face_count, const Run& run) {
  return "<section id=\"turn\"><h2>Turn it, pull it apart</h2>\n<div id=\"stage\" hidden><canvas "
         "tabindex=\"0\" role=\"img\" "
         "aria-label=\"The pieces in space. Arrow keys turn, plus and minus come nearer, A and Z "
         "pull apart and together.\"></canvas>"
         "<div id=\"names\" aria-hidden=\"true\"></div><div class=\"bar\"><label>Pull apart <input "
         "id=\"apart\" type=\"range\" min=\"0\" "
         "max=\"100\" value=\"60\"></label><label><input id=\"marks\" type=\"checkbox\" checked> "
         "Marks</label><button id=\"home\" "
         "type=\"button\">From the show side</button><span class=\"hint\">Drag to turn, wheel or "
         "pinch to come nearer; arrow keys, + −, A Z "
         "work too. Simplified for the page; the files are exact.</span></div></div>\n<div "
         "id=\"still\">" +
         figure(pictures.apart, hand_off, "The pieces moved apart",
                "The pieces moved apart from the middle. Joint faces are paler.") +
         "</div>\n<script type=\"application/json\" id=\"pieces-data\">" +
         turn_data(hand_off, face_count, run) + "</script></section>\n";
}

}  // namespace seamwright::report
