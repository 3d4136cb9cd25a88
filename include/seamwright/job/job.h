#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "seamwright/handoff/hand_off.h"
#include "seamwright/profile/joinery.h"

namespace seamwright {

/// Every choice of one run: the job file's content with the command line's laid over it.
struct Job {
  struct Part {
    std::string file;
    std::string unit;                 ///< mm, cm, m, inch, or empty: by plausible size
    std::optional<double> length_mm;  ///< scale the longest side to this
    std::string worn_side;            ///< ±x|±y|±z, or empty
    std::string wall_side;
    std::string around;  ///< x|y|z, or empty
    std::string up;
  } part;
  std::vector<Printer> printers;  ///< empty: one default printer
  Material material;
  PrintSettings print;
  CostWeights cost;
  Joinery joinery;
  std::vector<WireSpec> wires;
  std::vector<Plane> locked;  ///< [[lock]] normal, offset_mm
  Poses poses = Poses::standing;
  Effort effort = Effort::normal;
  std::uint64_t seed = 1;
};

/// The main job on one part: load, mend, wire, plan, cut, pose, key, estimate. Pure but for reading
/// the part's file. Errors: those of the rooms, with the stage named.
Result<HandOff> run_split(const Job& job, const Run& run = {});

}  // namespace seamwright
