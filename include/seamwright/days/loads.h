#pragma once

#include <optional>
#include <string>
#include <vector>

#include "seamwright/core/result.h"
#include "seamwright/days/days_choice.h"
#include "seamwright/days/nest.h"

namespace seamwright {

/// A piece as the days see it: its footprint as it stands in its written file.
struct DayPiece {
  std::string mark;
  std::vector<Region2> outline;
  double height_mm = 0;
  std::vector<std::optional<double>> print_s;  ///< one a printer; none: not on that one
  double mass_g = 0;
  std::size_t layer_count = 0;
  std::size_t material = 0;
  std::size_t planned_printer = 0;         ///< it fits there where it stands
  std::optional<std::size_t> spool_group;  ///< pieces of one group come from one spool
  bool is_trial = false;
  bool is_small = false;           ///< a strap or a lid: not counted where `few` pieces share a bed
  std::vector<std::string> files;  ///< what it is printed from, as its hand-off folder names them
};

/// A printer's bed and what a load costs there once, not once a piece.
struct LoadPrinter {
  std::string name;
  BedArea bed;
  double height_mm = 0;
  double once_s = 0;  ///< heating, homing, parking: in each piece's time already
  double travel_mm_per_s = 120;
  double hop_s = 0;      ///< more for each hop between pieces: pulling filament back and forth
  double longest_s = 0;  ///< no load prints longer
};

/// Pieces printed together. For each printer that can take the load: where they lie and how long it
/// prints.
struct Load {
  std::vector<std::size_t> pieces;
  std::vector<std::optional<std::vector<NestPlace>>> places;  ///< one a printer; `item` is a
                                                              ///< position in `pieces`
  std::vector<std::optional<double>> print_s;
  double mass_g = 0, height_mm = 0;
  std::size_t material = 0;
  std::optional<std::size_t> spool_group;
  bool is_trial = false;
};

struct LoadOptions {
  PerLoad per_load = PerLoad::few;
  double clearance_mm = 4;
  double few_h = 12;
  std::size_t few_count = 3;  ///< small ones not counted; `few_h` bounds them
};

/// Pieces into loads: each piece in exactly one. Pieces of one material and spool group go
/// together, the tallest first with others like them; trial pieces share a load of their own. A
/// load's time is the sum of its pieces' less what is done once, plus a hop between pieces in each
/// layer. Errors: "piece-off-bed" when a piece lies on no bed. O(pieces · nest).
Result<std::vector<Load>> plan_loads(std::span<const DayPiece> pieces,
                                     std::span<const LoadPrinter> printers,
                                     const LoadOptions& options = {});

}  // namespace seamwright
