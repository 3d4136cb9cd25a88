#pragma once

#include <string>
#include <vector>

#include "seamwright/days/days_choice.h"
#include "seamwright/handoff/hand_off.h"
#include "seamwright/job/given_setting.h"
#include "seamwright/job/seam_choices.h"
#include "seamwright/profile/print_record.h"

namespace seamwright {

/// `[part]`: which part, how large, how worn.
struct PartChoice {
  std::string file;
  std::string unit;
  std::optional<double> length_mm;
  std::string worn_side, wall_side, around, up;
  std::string painted, body;
  std::string mirror;  ///< axis; the words above speak of the file as it is loaded
  int count = 1;       ///< copies, in a build of several parts
  int mirrored = 0;    ///< mirror images beside them: left and right
};

/// Across which axis of the part a plan mirrors itself, about the middle of the part's box.
enum class Symmetry : std::uint8_t { none, x, y, z };

constexpr std::array<std::pair<std::string_view, Symmetry>, 4> names(Symmetry) {
  return {{{"none", Symmetry::none}, {"x", Symmetry::x}, {"y", Symmetry::y}, {"z", Symmetry::z}}};
}

/// `[search]`: how hard to look for seams.
struct SearchChoice {
  Poses poses = Poses::standing;
  Effort effort = Effort::normal;
  int seed = 1;
  int most_pieces = 0;
  double longest_print_h = 0;
  int other_plans = 0;
  Symmetry symmetric = Symmetry::none;
};

/// `[[stand]]`: a piece the maker wants to stand in a certain way.
struct StandChoice {
  std::string piece;  ///< its mark
  Vec3 down{0, 0, -1};
};

/// How joints that come apart are held; by_joints: as `[joints]` says if that comes apart, else
/// magnets.
enum class TravelKey { by_joints, magnet, flange, dowel };

constexpr std::array<std::pair<std::string_view, TravelKey>, 4> names(TravelKey) {
  return {{{"as joints", TravelKey::by_joints},
           {"magnet", TravelKey::magnet},
           {"flange", TravelKey::flange},
           {"dowel", TravelKey::dowel}}};
}

/// `[travel]`: what comes apart again.
struct TravelChoice {
  std::vector<std::string> seams;
  TravelKey key = TravelKey::by_joints;
};

/// Every choice of one run: the job file's content with the command line's laid over it.
struct Job {
  PartChoice part;                ///< the first of `parts`, if there are any
  std::vector<PartChoice> parts;  ///< `[[part]]`: a build of several
  std::vector<Printer> printers{Printer{}};
  Material material;
  PrintSettings print;
  CostWeights cost;
  Joinery joinery;
  SearchChoice search;
  DaysChoice days;
  WearChoice wear;
  FinishChoice finish;
  TravelChoice travel;
  std::vector<MountChoice> mounts;
  std::vector<BagChoice> bags;
  WiringSpec wiring;
  std::vector<LockChoice> locks;
  std::vector<PreferChoice> prefers;
  std::vector<ForbidChoice> forbids;
  std::vector<SkinChoice> shows, hides;
  std::vector<DoneChoice> dones;
  std::optional<SeamPlan> given_plan;  ///< seams taken from a plan.json instead of a search; not in
                                       ///< the job file
  std::vector<StandChoice> stands;
  std::vector<GivenSetting> given;     ///< not in the job file: which of all this is not a default
  std::vector<PrinterRecord> records;  ///< finished prints; not in the job file: the printers'
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
  visit(part.body, FieldDoc{"body", "mesh of who or what wears it, in its place", "yours"});
  visit(part.painted, FieldDoc{"painted", "JSON of shown and hidden faces, by number", "yours"});
  visit(part.mirror, FieldDoc{"mirror", "make its mirror image across this axis: x y z", "yours"});
  visit(part.count, FieldDoc{"count", "copies to make", "yours", 1, 1000});
  visit(part.mirrored, FieldDoc{"mirrored", "mirror images to make as well, across mirror or x",
                                "yours", 0, 1000});
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
  visit(search.symmetric, FieldDoc{"symmetric", "x, y, z: sides are cut alike across it", "yours"});
}

template <class Settings, class Visitor>
requires same_settings<Settings, StandChoice>
void describe(Settings& stand, Visitor&& visit) {
  visit(stand.piece, FieldDoc{"piece", "the mark of a piece that shall stand so, as A1", "yours"});
  visit(stand.down, FieldDoc{"down", "direction of the part that faces the bed", "yours"});
}

template <class Settings, class Visitor>
requires same_settings<Settings, TravelChoice>
void describe(Settings& travel, Visitor&& visit) {
  visit(travel.seams,
        FieldDoc{"seams", "seams whose joints come apart to travel, as [\"S1\"]", "yours"});
  visit(travel.key, FieldDoc{"key",
                             "magnet, flange (screwed), dowel (dry); as joints: what [joints] and "
                             "[[joint]] ask for if it comes apart, else magnet",
                             "yours"});
}

}  // namespace seamwright
