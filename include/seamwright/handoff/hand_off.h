#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "seamwright/handoff/days_json.h"
#include "seamwright/handoff/loose_print.h"
#include "seamwright/joints/joint_strength.h"
#include "seamwright/joints/key_pieces.h"
#include "seamwright/joints/skin_marks.h"
#include "seamwright/mesh/mend.h"
#include "seamwright/mesh/units.h"
#include "seamwright/pose/directions.h"
#include "seamwright/printing/print_estimate.h"
#include "seamwright/profile/cost.h"
#include "seamwright/profile/print_record.h"
#include "seamwright/query/sight.h"
#include "seamwright/seams/plan_seams.h"
#include "seamwright/wear/finishing.h"
#include "seamwright/wear/pack_bag.h"
#include "seamwright/wear/seam_loads.h"
#include "seamwright/wiring/funnels.h"
#include "seamwright/wiring/lids.h"
#include "seamwright/wiring/seam_runs.h"
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
  std::string up;         ///< as given: "+z", "" unknown; pictures then take +z as up
  std::vector<MendStep> mended;
};

/// One finished piece. Its written file's coordinates are bed coordinates, scaled for shrinkage.
struct FinishedPiece {
  PlannedPiece planned;           ///< solid before keys, pose, printer
  Solid keyed;                    ///< with keys and marks, part frame
  std::string mark;               ///< "A1"
  std::string file;               ///< "pieces/A1.stl"
  std::vector<CornerPad> pads{};  ///< under corners that lift; their file is pads_file
  bool is_done = false;  ///< printed already, says the maker: not counted in what is to be printed
  PrintEstimate print{};
  PrintEstimate fast_print{};  ///< on a fast machine; both are shown until prints are recorded
};

/// How a piece was found to stand: the best three ways, the chosen one first. Empty: the search's
/// own pose was kept.
struct PieceDirections {
  std::vector<Direction> ranked;
  bool is_fixed = false;  ///< by the maker, in the job file
};

/// Everything a run found out: all that the hand-off folder is made of.
struct HandOff {
  std::string program_version;
  std::uint64_t seed = 1;
  bool is_complete = true;
  PartFacts part{};
  Solid wired;                      ///< the part with its channels
  std::vector<double> sight{};      ///< one a face of `wired`
  std::vector<Printer> printers{};  ///< with the factors of their records
  std::vector<PrinterFit> fits{};   ///< one a printer; empty: nothing is on record
  Material material{};
  PrintSettings print{};
  CostWeights cost{};
  Joinery joinery{};
  PlannedSeams seams{};  ///< its `pieces` are moved into `pieces` below
  std::vector<FinishedPiece> pieces{};
  std::vector<PieceDirections> directions{};  ///< one a piece, or empty
  std::vector<Joint> joints{};
  std::vector<LoosePart> loose_parts{};    ///< straps, in the order of the joints
  std::vector<LoosePrint> loose_prints{};  ///< one a loose part, or empty
  std::vector<SkinMark> skin_marks{};      ///< engraved beside the seams
  std::vector<JointStrength> strengths{};  ///< one a joint
  std::vector<Channel> channels{};
  std::vector<Pocket> pockets{};
  std::vector<ChannelLid> lids{};         ///< of the troughs, as printed
  std::vector<LoosePrint> lid_prints{};   ///< one a lid, or empty
  std::vector<SeamCrossing> crossings{};  ///< of the channels with the seams
  std::vector<SeamRun> seam_runs{};       ///< seams that run along channels
  std::vector<std::size_t> assembly{};    ///< joints in the order of gluing: the cut order reversed
  std::optional<NamedDays> days_input{};  ///< yet to print, by marks: pieces, loose parts, lids
  std::optional<DayPlan> days{};          ///< loads and calendar; none when no plan keeps the hours
  FinishChoice finish{};
  WearChoice wear_choice{};
  std::optional<WearFindings> wear{};
  std::optional<PackedBags> bags{};          ///< none without bags in the job
  std::vector<std::string> retired_marks{};  ///< of earlier plans; never used again
  std::vector<Assumption> assumptions{};
  std::vector<Warning> warnings{};
};

/// A written file's coordinates: bed · scale_ratio + shift_mm. The corner of the piece's box on the
/// bed stays, so that what is scaled up for shrinkage still begins at the margins.
struct FileScale {
  double scale_ratio = 1;
  Vec3 shift_mm;
};
FileScale file_scale(const FinishedPiece& piece, const Material& material);

/// The piece as its file holds it: in print pose, scaled for shrinkage, its foot at z = 0. O(n).
Solid solid_in_file(const FinishedPiece& piece, const Material& material);

/// A written file's coordinates to the part's: 16 numbers, row-major, with shrinkage. O(n).
std::array<double, 16> part_from_file(const FinishedPiece& piece, const Material& material);

/// "S3", and "J1" for the first joint: how the files name seams and joints.
std::string seam_name(SeamId seam);
std::string joint_name(std::size_t joint);
std::string moved_words(const MovedSeam& moved);  ///< "move it 20 mm towards (0, 0, 1): …"
std::string seam_list(const std::vector<SeamId>& seams);  ///< "S1, S3"
std::string foot_name(Foot foot);    ///< "joint-face", "flat-side", "supports" or "tilted"
std::string key_name(KeyKind kind);  ///< as in the job file: "dowel", …, "none"

/// The seams whose joint faces a channel's centre line passes (or passes by at 0.75 diameters at
/// most: the bore's own hole), each once, in the order of the plan.
std::vector<SeamId> crossed_seams(const HandOff& hand_off, const Channel& channel);

PrinterFit fit_of(const HandOff& hand_off, std::size_t printer);

/// Sums over pieces, loose parts and lids; times and masses without pieces printed already.
struct PrintTotals {
  double print_s = 0, fast_print_s = 0, filament_mm = 0, mass_g = 0, support_g = 0;
  double loose_print_s = 0, loose_mass_g = 0;  ///< of these, the loose parts'
  double shown_mm = 0, hidden_mm = 0, seam_maker_h = 0, printer_price = 0;  ///< by price_per_h
  bool is_recorded = false;                         ///< every printer used has a print on record
  double time_band_ratio = 0, mass_band_ratio = 0;  ///< the widest of the printers used
  double busiest_print_s = 0;  ///< of the printer with the most to do: the least all takes
};
PrintTotals print_totals(const HandOff& hand_off);

}  // namespace seamwright
