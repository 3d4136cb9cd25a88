#include "seamwright/handoff/loose_parts.h"

#include <fmt/format.h>

#include "seamwright/query/mass_properties.h"

namespace seamwright {

PrintedThing thing_marked(const HandOff& hand_off, const std::string& mark) {
  for (const FinishedPiece& piece : hand_off.pieces) {
    if (piece.mark == mark) return &piece;
  }
  for (const LoosePart& part : hand_off.loose_parts) {
    if (part.mark == mark) return &part;
  }
  for (const ChannelLid& lid : hand_off.lids) {
    if (lid.mark == mark) return &lid;
  }
  throw std::logic_error("broken contract: nothing carries the mark " + mark);
}

std::string loose_part_file(const LoosePart& part) {
  return "straps/" + part.mark + ".stl";
}

Solid loose_part_in_file(const LoosePart& part, const Material& material) {
  require(material.shrink_ratio >= 0 && material.shrink_ratio < 1, "shrink_ratio is in [0, 1)");
  constexpr double kOnBed_mm = 2e-6;  // rounding of the pose
  std::vector<Vec3> points;
  for (const Vec3& p : part.solid.points()) {
    Vec3 bed = part.bed_from_part.apply(p);
    if (std::abs(bed.z) <= kOnBed_mm) bed.z = 0;
    points.push_back(bed / (1 - material.shrink_ratio));
  }
  return Solid::adopt(std::move(points),
                      {part.solid.triangles().begin(), part.solid.triangles().end()},
                      {part.solid.origins().begin(), part.solid.origins().end()});
}

std::array<double, 16> part_from_loose_file(const LoosePart& part, const Material& material) {
  const Transform back = part.bed_from_part.inverse();
  std::array<double, 16> matrix{};
  for (std::size_t row = 0; row < 3; ++row) {
    for (std::size_t column = 0; column < 3; ++column)
      matrix[4 * row + column] = back.rows[row][column] * (1 - material.shrink_ratio);
    matrix[4 * row + 3] = back.shift[row];
  }
  matrix[15] = 1;
  return matrix;
}

std::string lid_file(const ChannelLid& lid) {
  return "lids/" + lid.mark + ".stl";
}

Solid lid_in_file(const ChannelLid& lid, const Material& material) {
  require(material.shrink_ratio >= 0 && material.shrink_ratio < 1, "shrink_ratio is in [0, 1)");
  std::vector<Vec3> points;
  for (const Vec3& p : lid.solid.points()) points.push_back(p / (1 - material.shrink_ratio));
  return Solid::adopt(std::move(points),
                      {lid.solid.triangles().begin(), lid.solid.triangles().end()},
                      {lid.solid.origins().begin(), lid.solid.origins().end()});
}

double loose_part_mass_g(const LoosePart& part, const Material& material) {
  return volume_mm3(part.solid) / 1000 * material.density_g_per_cm3;
}

LoosePrint loose_print(const HandOff& hand_off, const LoosePart& part) {
  const auto index = static_cast<std::size_t>(&part - hand_off.loose_parts.data());
  if (index < hand_off.loose_prints.size()) return hand_off.loose_prints[index];
  return {.mass_g = loose_part_mass_g(part, hand_off.material)};
}

std::string loose_parts_csv(const HandOff& hand_off) {
  std::string csv =
      "what,mark,joint,count,file,diameter_mm,length_mm,size_x_mm,size_y_mm,size_z_mm,mass_g,print_"
      "s\r\n";
  for (const LoosePart& part : hand_off.loose_parts) {
    csv +=
        fmt::format("{},{},{},1,{},,{:.1f},{:.2f},{:.2f},{:.2f},{:.2f},{:.0f}\r\n",
                    key_name(part.kind), part.mark, joint_name(part.joint), loose_part_file(part),
                    part.length_mm, part.size_mm.x, part.size_mm.y, part.size_mm.z,
                    loose_print(hand_off, part).mass_g, loose_print(hand_off, part).print_s);
  }
  for (std::size_t i = 0; i < hand_off.lids.size(); ++i) {
    const ChannelLid& lid = hand_off.lids[i];
    const Vec3 size = lid.solid.box().size();
    const LoosePrint print = i < hand_off.lid_prints.size() ? hand_off.lid_prints[i] : LoosePrint{};
    csv += fmt::format("lid,{},,1,{},,{:.1f},{:.2f},{:.2f},{:.2f},{:.2f},{:.0f}\r\n", lid.mark,
                       lid_file(lid), lid.length_mm, size.x, size.y, size.z, print.mass_g,
                       print.print_s);
  }
  for (const RodCut& rod : rod_cuts(hand_off.joints))
    csv +=
        fmt::format("rod,,,{},,{:.2f},{:.2f},,,,,\r\n", rod.count, rod.diameter_mm, rod.length_mm);
  return csv;
}

}  // namespace seamwright
