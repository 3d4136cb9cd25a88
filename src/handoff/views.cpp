#include "seamwright/handoff/views.h"

#include <algorithm>

#include "handoff/bag_view.h"
#include "handoff/edge_halves.h"
#include "handoff/wiring_views.h"
#include "seamwright/handoff/corner_pads.h"
#include "seamwright/query/mass_properties.h"

namespace seamwright {
namespace {

constexpr Colour kInk{43, 37, 48}, kBedLine{205, 199, 186}, kBedEdge{140, 132, 118};
constexpr double kApartRatio = 0.38;  ///< of a piece's distance from the middle
constexpr double kBedGridMm = 20;

std::optional<Vec3> named_direction(const std::string& name) {
  if (name.size() < 2 || name.starts_with("against")) return std::nullopt;
  const char sign = name[name.size() - 2], axis = name.back();
  if ((sign != '+' && sign != '-') || axis < 'x' || axis > 'z') return std::nullopt;
  Vec3 direction;
  direction[static_cast<std::size_t>(axis - 'x')] = sign == '+' ? 1 : -1;
  return direction;
}

/// The turn that takes one unit vector to another.
Transform turn_onto(Vec3 from, Vec3 to) {
  const double cosine = std::clamp(dot(from, to), -1.0, 1.0);
  if (cosine > 1 - 1e-12) return {};
  const Vec3 axis = cosine < -1 + 1e-12 ? any_perpendicular(from) : normalized(cross(from, to));
  return rotation(axis, Angle::radians(std::acos(cosine)));
}

std::vector<Vec3> corners_of(const Box3& box) {
  std::vector<Vec3> corners;
  for (int i = 0; i < 8; ++i) {
    corners.push_back({(i & 1) ? box.high.x : box.low.x, (i & 2) ? box.high.y : box.low.y,
                       (i & 4) ? box.high.z : box.low.z});
  }
  return corners;
}

ShownPicture shown(const PictureScene& scene, const std::vector<Vec3>& framed, Vec3 viewer,
                   PictureSize size, const Run& run) {
  Picture picture = render_picture(scene, frame_points(framed, viewer, size), size, run);
  return {png_bytes(picture), size, std::move(picture.labels)};
}

void add_edges(PictureScene& scene, const std::vector<SurfaceEdge>& edges,
               const Transform& placement) {
  for (const SurfaceEdge& edge : edges) {
    scene.lines.push_back({placement.apply(edge.from), placement.apply(edge.to), kInk,
                           edge.is_skin ? LineWeight::medium : LineWeight::hair});
  }
}

/// All pieces, each moved by a share of its move apart.
ShownPicture whole_view(const HandOff& hand_off, const std::vector<std::vector<SurfaceEdge>>& edges,
                        bool is_apart, PictureSize size, const Run& run) {
  const Transform upright = upright_from_part(hand_off.part);
  const std::vector<PieceColours> colours = piece_colours(hand_off);
  const std::vector<Vec3> moves = moves_apart(hand_off);
  PictureScene scene;
  std::vector<Vec3> framed;
  Box3 box;
  for (std::size_t i = 0; i < hand_off.pieces.size(); ++i) {
    Transform placement = upright;
    if (is_apart) placement.shift = upright.rotate(moves[i]);
    const Solid& solid = hand_off.pieces[i].keyed;
    scene.solids.push_back({&solid, placement, colours[i].skin, colours[i].cap});
    add_edges(scene, edges[i], placement);
    for (const Vec3& p : solid.points()) {
      framed.push_back(placement.apply(p));
      box.extend(framed.back());
    }
  }
  // Pieces that hang in the air cast no shadow worth drawing.
  if (!is_apart) scene.ground = PictureGround{box.low.z - 1e-3 * box.size().z};
  return shown(scene, framed, viewer_direction(hand_off.part), size, run);
}

void add_bed(PictureScene& scene, const Printer& printer) {
  const Vec3 room = printer.room_mm;
  const auto line = [&](Vec3 a, Vec3 b, Colour colour, LineWeight weight) {
    scene.lines.push_back({a, b, colour, weight});
  };
  for (double x = 0; x < room.x; x += kBedGridMm)
    line({x, 0, 0}, {x, room.y, 0}, kBedLine, LineWeight::hair);
  for (double y = 0; y < room.y; y += kBedGridMm)
    line({0, y, 0}, {room.x, y, 0}, kBedLine, LineWeight::hair);
  const std::array<Vec3, 4> corner{
      {{0, 0, 0}, {room.x, 0, 0}, {room.x, room.y, 0}, {0, room.y, 0}}};
  for (std::size_t i = 0; i < 4; ++i)
    line(corner[i], corner[(i + 1) % 4], kBedEdge, LineWeight::thin);
}

ShownPicture bed_view(const HandOff& hand_off, std::size_t i, const std::vector<SurfaceEdge>& edges,
                      const PieceColours& colours, PictureSize size, const Run& run) {
  const FinishedPiece& piece = hand_off.pieces[i];
  const Printer& printer = hand_off.printers.at(piece.planned.printer);
  const Transform& placement = piece.planned.pose.bed_from_part;
  PictureScene scene;
  scene.solids.push_back({&piece.keyed, placement, colours.skin, colours.cap});
  add_edges(scene, edges, placement);
  add_bed(scene, printer);
  std::optional<Solid> pads;
  if (!piece.pads.empty()) {
    pads = pads_solid(piece.pads, hand_off.print.first_layer_mm);
    scene.solids.push_back({&*pads, {}, colours.cap, colours.cap});
  }
  scene.ground = PictureGround{0};
  Box3 box;
  for (const Vec3& p : piece.keyed.points()) box.extend(placement.apply(p));
  std::vector<Vec3> framed = corners_of(box);
  framed.insert(framed.end(), {{0, 0, 0},
                               {printer.room_mm.x, 0, 0},
                               {0, printer.room_mm.y, 0},
                               {printer.room_mm.x, printer.room_mm.y, 0}});
  ShownPicture picture = shown(scene, framed, {0.45, -1, 0.55}, size, run);
  picture.labels.resize(1);  // the pads' file has no mark of its own
  return picture;
}

}  // namespace

std::vector<Vec3> moves_apart(const HandOff& hand_off) {
  std::vector<Vec3> centers;
  Vec3 sum;
  double volume = 0;
  for (const FinishedPiece& piece : hand_off.pieces) {
    const MassProperties mass = mass_properties(piece.planned.cut.solid);
    centers.push_back(mass.centroid);
    sum += mass.centroid * mass.volume_mm3;
    volume += mass.volume_mm3;
  }
  std::vector<Vec3> moves;
  for (const Vec3& center : centers) moves.push_back((center - sum / volume) * kApartRatio);
  return moves;
}

Transform upright_from_part(const PartFacts& part) {
  return turn_onto(named_direction(part.up).value_or(Vec3{0, 0, 1}), {0, 0, 1});
}

Vec3 viewer_direction(const PartFacts& part) {
  const auto worn = named_direction(part.worn_side);
  const Vec3 show = worn ? upright_from_part(part).rotate(-*worn) : Vec3{0, -1, 0};
  if (std::abs(show.z) > 0.5) return {0.4, -0.8, 0.85 * show.z};
  const Vec3 side = cross({0, 0, 1}, show);
  return show + side * 0.45 + Vec3{0, 0, 0.3};
}

std::vector<SurfaceEdge> surface_edges(const Solid& solid) {
  const std::vector<EdgeHalf> halves = halves_of(solid);
  std::vector<SurfaceEdge> edges;
  for (std::size_t i = 0; i + 1 < halves.size(); ++i) {
    if (halves[i].ends != halves[i + 1].ends) continue;
    const OriginKind one = solid.origins()[halves[i].face].kind,
                     other = solid.origins()[halves[i + 1].face].kind;
    if (one == other) continue;
    edges.push_back({solid.points()[halves[i].ends >> 32],
                     solid.points()[halves[i].ends & 0xffffffffu],
                     one == OriginKind::skin || other == OriginKind::skin});
  }
  return edges;
}

Result<HandOffPictures> draw_pictures(const HandOff& hand_off, const PictureSizes& sizes,
                                      const Run& run) {
  const Error stopped{"cancelled", "stopped while drawing the pictures"};
  std::vector<std::vector<SurfaceEdge>> edges;
  for (const FinishedPiece& piece : hand_off.pieces) edges.push_back(surface_edges(piece.keyed));
  HandOffPictures pictures;
  const Run quiet{run.thread_count, run.cancel, {}};
  if (run.should_stop()) return stopped;
  pictures.assembled = whole_view(hand_off, edges, false, sizes.whole, quiet);
  if (run.should_stop()) return stopped;
  pictures.apart = whole_view(hand_off, edges, true, sizes.whole, quiet);
  if (has_wiring(hand_off)) {
    Result<WiringPictures> wiring = draw_wiring(hand_off, sizes.whole, quiet);
    if (!wiring) return std::move(wiring).error();
    pictures.wiring = std::move(*wiring);
  }
  pictures.bags = bag_views(hand_off, {720, 520}, quiet);
  const std::vector<PieceColours> colours = piece_colours(hand_off);
  for (std::size_t i = 0; i < hand_off.pieces.size(); ++i) {
    if (run.should_stop()) return stopped;
    pictures.pieces.push_back(bed_view(hand_off, i, edges[i], colours[i], sizes.piece, quiet));
    run.report(static_cast<double>(i + 1) / static_cast<double>(hand_off.pieces.size()));
  }
  return pictures;
}

}  // namespace seamwright
