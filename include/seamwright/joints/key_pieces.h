#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "seamwright/core/run.h"
#include "seamwright/cut/joint_faces.h"
#include "seamwright/joints/loose_parts.h"
#include "seamwright/pose/pose.h"
#include "seamwright/profile/joinery.h"

namespace seamwright {

/// One key of a joint. `at` lies on the seam's plane, `axis` (unit) points from the below piece
/// into the above piece. Part frame, mm.
struct Key {
  KeyKind kind = KeyKind::dowel;
  Vec3 at, axis;
  double diameter_mm = 0;          ///< of the rod or pin; holes are wider by twice the clearance;
                                   ///< how thick a tongue is, how wide a strap
  double depth_mm = 0;             ///< of the hole, into each piece
  double clearance_mm = 0;         ///< per side
  std::optional<PieceId> male;     ///< the piece a pin grows from; none for a dowel
  double length_mm = 0;            ///< along the seam, of a strap or tongue; of a screw, its own
  std::vector<Vec3> outline = {};  ///< of a tongue's groove, on the seam's plane, counter-clockwise
                                   ///< against the normal; empty for other kinds
  std::optional<PieceId> holder = {};  ///< of a screw: the piece with the insert or the nut
  double lip_mm = 0;  ///< of a tongue: the least plastic left round the grooves of its joint
};

struct Joint {
  JointFace face;
  KeyKind kind = KeyKind::none;
  bool is_glued = true;
  std::vector<Key> keys;
};

struct JointWarning {
  std::string code;     ///< "joint-without-key", "key-does-not-fit-pose", …
  std::string message;  ///< names the pieces and the remedy
  std::optional<std::size_t> joint =
      {};  ///< position in KeyedPieces::joints, of "joint-without-key"
};

/// Whether a magnet of a joint shows its north pole out of the above piece (the one in the below
/// piece then shows south): magnets of one joint take turns, in their order, so that the half turn
/// of an even row pushes itself off.
bool shows_north_above(std::span<const Key> keys, std::size_t key);

/// A piece's mark, engraved in one of its joint faces. Part frame, mm.
struct EngravedMark {
  PieceId piece{};
  std::size_t joint = 0;  ///< position in KeyedPieces::joints
  std::string text;
  Vec3 at;     ///< its middle, on the seam's plane
  Vec3 along;  ///< unit, the way it reads, seen from outside the piece
  double height_mm = 0;
};

/// The origin of the bevel round a cap that lies on the bed: kind key, this id.
inline constexpr std::uint32_t kReliefOriginId = 0xffffffff;

struct KeyedPieces {
  std::vector<Solid> solids;        ///< one a piece, with pins, holes, relief and marks
  std::vector<Joint> joints;        ///< one a joint face, in its order
  std::vector<EngravedMark> marks;  ///< in the order of the joints, the above piece first
  std::vector<JointWarning> warnings;
  std::vector<Pose>
      poses;  ///< one a piece: as given, but moved on the bed and larger where pins stick out
  std::vector<double>
      added_volume_mm3;  ///< one a piece: what keys, marks and relief add (negative: take)
  std::vector<LoosePart> loose_parts;  ///< straps, in the order of the joints
};

/// Which of the part's skin nobody sees: where straps may lie. Without `whole`, none is known.
struct HiddenSkin {
  const Solid* whole = nullptr;        ///< the part before cutting
  std::span<const double> sight = {};  ///< one a face of `whole`, as face_sight gives it
  double most_sight_ratio = 0.2;       ///< up to here a face counts as hidden; assumption
};

/// A piece as the joint stage needs it.
struct PosedPiece {
  const CutPiece* cut = nullptr;
  Pose pose;
  Vec3 usable_mm;    ///< of its printer: a piece with its keys must still fit it
  std::string mark;  ///< "A1": engraved where a joint face is wide enough
};

/// A key that a printed piece has already. Part frame, mm.
struct KeptKey {
  KeyKind kind = KeyKind::dowel;
  Vec3 at;  ///< on the seam's plane
  double diameter_mm = 0, depth_mm = 0;
  bool grows_from_piece = false;  ///< of a pin: from the printed piece, not from its neighbour
};

/// A piece that is printed already, with all keys it has.
struct KeptPiece {
  PieceId piece{};
  std::vector<KeptKey> keys;
};

/// Puts keys and marks into the pieces, built straight into the caps, without booleans. At least
/// two keys a joint face where it and the solid behind have room, as far apart as it allows, no
/// place of the face further than 60 mm from one. Every wrong turn and every wrong pairing of all
/// joints misfits by 1.5 mm: joints in conflict are laid out anew, with other places, counts, sizes
/// and depths; where keys alone can't, by what their outlines differ. What can't be had is a
/// warning that names the pieces and the remedy. Every hole keeps `wall_to_skin_mm` to the skin,
/// channels and other keys at its full depth, checked by distance (bevels at mouth and rim are not
/// counted). Dowels, pins and magnets of `kept` pieces stay where they are, as deep and as wide,
/// and the neighbour gets what they ask for; one that the neighbour has no room for any more is
/// left out. Rods of 1.75 mm under 6 mm of width, 3 and 4 mm above, 1.5 to 2.5 diameters deep; pins
/// of 6 and 8 mm, on a face off the bed, else dowels and a warning. Tips are chamfered; holes that
/// lie are teardrops; joint faces on the bed get relief at hole mouths and rim. Round is round:
/// pins inscribed, holes circumscribed, sagitta ≤ 0.005 mm. Guarantees: the results are Solids;
/// volumes are the piece's plus added_volume_mm3 to 1e-6; pieces still fit; the same bytes on any
/// thread count. Flanges and laps are shaped before (flanges.h, laps.h): their joints get no other
/// keys. Errors: "cancelled". Cost: building 28 holes on 363 k faces 9 ms, choosing their places
/// about 10 ms a joint face. Sizes, depths and spacing are assumptions.
Result<KeyedPieces> key_pieces(const SeamPlan& plan, std::span<const PosedPiece> pieces,
                               std::span<const JointFace> faces, const Joinery& joinery,
                               const Run& run = {}, const HiddenSkin& hidden = {},
                               std::span<const KeptPiece> kept = {});

}  // namespace seamwright
