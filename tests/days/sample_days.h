#pragma once

#include "seamwright/days/plan_days.h"

namespace seamwright::testing {

inline DayPiece block_piece(const std::string& mark, Vec2 size, double hours, double mass_g,
                            std::size_t printers) {
  DayPiece piece{.mark = mark};
  piece.outline = {
      Region2{{{5, 5}, {5 + size.x, 5}, {5 + size.x, 5 + size.y}, {5, 5 + size.y}}, {}}};
  piece.height_mm = 100;
  piece.print_s.assign(printers, hours * 3600);
  piece.mass_g = mass_g;
  piece.layer_count = 500;
  return piece;
}

inline DaysPrinter plain_printer(const std::string& name) {
  DaysPrinter printer;
  printer.load.name = name;
  printer.load.bed = rectangle_bed({5, 5}, {175, 175});
  printer.load.height_mm = 178;
  printer.load.once_s = 240;
  return printer;
}

/// Nine pieces, two printers, from a Thursday evening.
inline DaysInput sample_days() {
  DaysInput input;
  input.printers = {plain_printer("left, by the door"), plain_printer("right")};
  input.choice.start = "2026-10-01 18:00";
  const double hours[] = {6.6, 11.5, 8.8, 5.7, 12, 3.4, 9.1, 4.2, 10};
  for (std::size_t i = 0; i < std::size(hours); ++i) {
    const std::string mark =
        std::string(1, static_cast<char>('A' + i / 3)) + std::to_string(i % 3 + 1);
    input.pieces.push_back(block_piece(mark, {80, 60}, hours[i], 12 * hours[i], 2));
  }
  input.pieces[0].is_trial = input.pieces[1].is_trial = true;
  return input;
}

}  // namespace seamwright::testing
