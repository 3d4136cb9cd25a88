#pragma once

#include <map>
#include <string>
#include <vector>

#include "seamwright/joints/key_pieces.h"
#include "seamwright/mesh/mend.h"
#include "seamwright/mesh/units.h"
#include "seamwright/printing/print_estimate.h"
#include "seamwright/profile/cost.h"
#include "seamwright/query/sight.h"
#include "seamwright/seams/plan_seams.h"
#include "seamwright/wiring/wire_part.h"

namespace seamwright {

struct Assumption {
  std::string key, value, source;
};
struct Warning {
  std::string code, message;
};

/// What is known of the part as loaded.
struct PartFacts {
  std::string file;  ///< name without its folder
  std::string sha256;
  UnitChoice unit;
  Vec3 size_mm;
  double volume_mm3 = 0, wired_volume_mm3 = 0, area_mm2 = 0;
  std::size_t face_count = 0;
  std::string worn_side;  ///< as given: "-z", "wall -z", "around z", "" unknown
  std::vector<MendStep> mended;
};

/// One finished piece. Its written file's coordinates are bed coordinates, scaled for shrinkage.
struct FinishedPiece {
  PlannedPiece planned;  ///< solid before keys, pose, printer
  Solid keyed;           ///< with keys and marks, part frame
  std::string mark;      ///< "A1"
  std::string file;      ///< "pieces/A1.stl"
  PrintEstimate print;
  PrintEstimate
      fast_print;  ///< the same on a fast machine: both are shown until a print is recorded
};

/// Everything a run found out: all that the hand-off folder is made of.
struct HandOff {
  std::string program_version;
  std::uint64_t seed = 1;
  bool is_complete = true;
  PartFacts part;
  Solid wired;                ///< the part with its channels
  std::vector<double> sight;  ///< one a face of `wired`
  std::vector<Printer> printers;
  Material material;
  PrintSettings print;
  CostWeights cost;
  Joinery joinery;
  PlannedSeams seams;  ///< its `pieces` are moved into `pieces` below
  std::vector<FinishedPiece> pieces;
  std::vector<Joint> joints;
  std::vector<Channel> channels;
  std::vector<std::size_t> assembly;  ///< joints in the order of gluing: the cut order reversed
  std::vector<std::string> retired_marks;  ///< of earlier plans; never used again
  std::vector<Assumption> assumptions;
  std::vector<Warning> warnings;
};

/// Maps a written file's coordinates to the part's: 16 numbers, row-major (shrinkage included).
std::array<double, 16> part_from_file(const FinishedPiece& piece, const Material& material);

}  // namespace seamwright
