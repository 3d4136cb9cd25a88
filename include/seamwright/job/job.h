#pragma once

#include <string>
#include <vector>

#include "seamwright/handoff/hand_off.h"
#include "seamwright/profile/print_record.h"

namespace seamwright {

/// `[part]`: which part, how large, how worn.
struct PartChoice {
  std::string file;
  std::string unit;
  std::optional<double> length_mm;
  std::string worn_side, wall_side, around, up;
};

/// `[search]`: how hard to look for seams.
struct SearchChoice {
  Poses poses = Poses::standing;
  Effort effort = Effort::normal;
  int seed = 1;
};

/// `[[lock]]`: a plane the plan must cut by, whole part first, in order.
struct LockChoice {
  Vec3 normal{0, 0, 1};
  double offset_mm = 0;
};

/// `[[stand]]`: a piece the maker wants to stand in a certain way.
struct StandChoice {
  std::string piece;  ///< its mark
  Vec3 down{0, 0, -1};
};

/// Every choice of one run: the job file's content with the command line's laid over it.
struct Job {
  PartChoice part;
  std::vector<Printer> printers{Printer{}};
  Material material;
  PrintSettings print;
  CostWeights cost;
  Joinery joinery;
  SearchChoice search;
  WiringSpec wiring;
  std::vector<LockChoice> locks;
  std::vector<StandChoice> stands;
  std::vector<PrinterRecord>
      records;  ///< finished prints; not in the job file, they are the printers'
};

template <class Settings, class Visitor>
requires same_settings<Settings, PartChoice>
void describe(Settings& part, Visitor&& visit) {
  visit(part.file, FieldDoc{"file", "the part: STL, OBJ, PLY, OFF or 3MF", "yours"});
  visit(part.unit, FieldDoc{"unit", "mm, cm, m or inch; empty: millimetres if plausible", "yours"});
  visit(part.length_mm, FieldDoc{"length_mm", "scale the longest side to this", "yours", 1, 20000});
  visit(part.worn_side,
        FieldDoc{"worn_side", "side that lies on a body: +x -x +y -y +z -z", "yours"});
  visit(part.wall_side, FieldDoc{"wall_side", "side that hangs on a wall, same words", "yours"});
  visit(part.around, FieldDoc{"around", "axis of a ring, cuff or band: x y z", "yours"});
  visit(part.up, FieldDoc{"up", "which way is up when it is seen, same words", "yours"});
}

template <class Settings, class Visitor>
requires same_settings<Settings, SearchChoice>
void describe(Settings& search, Visitor&& visit) {
  visit(search.poses,
        FieldDoc{"poses", "standing, or tilted: any rotation, on supports", "design"});
  visit(search.effort, FieldDoc{"effort", "quick, normal or thorough", "design"});
  visit(search.seed, FieldDoc{"seed", "another seed, another try", "design", 0, 2e9});
}

template <class Settings, class Visitor>
requires same_settings<Settings, LockChoice>
void describe(Settings& lock, Visitor&& visit) {
  visit(lock.normal, FieldDoc{"normal", "direction the plane faces", "yours"});
  visit(lock.offset_mm, FieldDoc{"offset_mm", "distance from the origin along it", "yours"});
}

template <class Settings, class Visitor>
requires same_settings<Settings, StandChoice>
void describe(Settings& stand, Visitor&& visit) {
  visit(stand.piece, FieldDoc{"piece", "the mark of a piece that shall stand so, as A1", "yours"});
  visit(stand.down, FieldDoc{"down", "direction of the part that faces the bed", "yours"});
}

}  // namespace seamwright
