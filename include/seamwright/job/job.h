#pragma once

#include <string>
#include <vector>

#include "seamwright/handoff/hand_off.h"
#include "seamwright/job/seam_choices.h"
#include "seamwright/profile/print_record.h"

namespace seamwright {

/// `[part]`: which part, how large, how worn.
struct PartChoice {
  std::string file;
  std::string unit;
  std::optional<double> length_mm;
  std::string worn_side, wall_side, around, up;
  std::string painted;
};

/// `[search]`: how hard to look for seams.
struct SearchChoice {
  Poses poses = Poses::standing;
  Effort effort = Effort::normal;
  int seed = 1;
  int most_pieces = 0;
  double longest_print_h = 0;
  int other_plans = 0;
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
  std::vector<PreferChoice> prefers;
  std::vector<ForbidChoice> forbids;
  std::vector<SkinChoice> shows, hides;
  std::vector<DoneChoice> dones;
  std::optional<SeamPlan> given_plan;  ///< seams taken from a plan.json instead of a search; not in
                                       ///< the job file
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
  visit(part.painted,
        FieldDoc{"painted", "JSON of shown and hidden faces by number in the file", "yours"});
}

template <class Settings, class Visitor>
requires same_settings<Settings, SearchChoice>
void describe(Settings& search, Visitor&& visit) {
  visit(search.poses,
        FieldDoc{"poses", "standing, or tilted: any rotation, on supports", "design"});
  visit(search.effort, FieldDoc{"effort", "quick, normal or thorough", "design"});
  visit(search.seed, FieldDoc{"seed", "another seed, another try", "design", 0, 2e9});
  visit(search.most_pieces,
        FieldDoc{"most_pieces", "no plan with more pieces; 0: any", "yours", 0, 400});
  visit(search.longest_print_h,
        FieldDoc{"longest_print_h", "longest print you can let run; 0: any", "yours", 0, 500});
  visit(search.other_plans,
        FieldDoc{"other_plans", "plans with other aims to compare, each a search more", "yours", 0,
                 4});
}

template <class Settings, class Visitor>
requires same_settings<Settings, StandChoice>
void describe(Settings& stand, Visitor&& visit) {
  visit(stand.piece, FieldDoc{"piece", "the mark of a piece that shall stand so, as A1", "yours"});
  visit(stand.down, FieldDoc{"down", "direction of the part that faces the bed", "yours"});
}

}  // namespace seamwright
