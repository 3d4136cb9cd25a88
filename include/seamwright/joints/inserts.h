#pragma once

#include <optional>

#include "seamwright/profile/joinery.h"

namespace seamwright {

/// A screw of one thread and the heat-set insert that takes it.
struct InsertSize {
  double bore_mm = 0;          ///< of the hole it is melted into
  double length_mm = 0;        ///< of the usual insert; the hole is 1.5 mm deeper
  double screw_mm = 0;         ///< clearance hole of the screw
  double head_mm = 0;          ///< diameter of the screw's head
  double nut_mm = 0;           ///< height of its nut
  double stress_area_mm2 = 0;  ///< of the screw's thread
  double wall_mm = 2;          ///< of plastic round the bore

  double depth_mm() const { return length_mm + 1.5; }
};

/// The sizes of one thread; for none those of M3, whose screws go through to nuts. Sources: bores
/// M2 3.2, M2.5 3.6, M3 4.0, M4 5.6 mm, 1.5 mm deeper than the insert, 2 mm of wall: common
/// practice, from memory; the maker's sheet overrides. Lengths 4.0, 5.0, 5.7, 8.1 mm: the same.
/// Clearance holes 2.4, 2.9, 3.4, 4.5 mm: ISO 273 medium series; heads 3.8, 4.5, 5.5, 7.0 mm: ISO
/// 4762; nuts 1.6, 2.0, 2.4, 3.2 mm: ISO 4032; stress areas 2.07, 3.39, 5.03, 8.78 mm²: ISO 898-1;
/// all from memory.
InsertSize insert_size(InsertThread thread);

/// The longest usual screw (ISO 4762's lengths, from memory) that, through `grip_mm` of plastic,
/// ends half a millimetre over the floor of the insert's bore.
double insert_screw_mm(const InsertSize& size, double grip_mm);
/// The shortest usual screw that, through `grip_mm` of plastic, stands a millimetre out of its nut.
double nut_screw_mm(const InsertSize& size, double grip_mm);

}  // namespace seamwright
