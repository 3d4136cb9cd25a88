#pragma once

#include <span>
#include <string>
#include <vector>

#include "seamwright/core/region.h"
#include "seamwright/joints/inserts.h"
#include "seamwright/joints/key_pieces.h"

namespace seamwright {

/// What a joint is judged by. An estimate, not a proof.
struct StrengthRules {
  double glue_mpa = 5;    ///< allowable of the glue line, pulled; the maker's sheet overrides
  double layer_mpa = 26;  ///< PLA across its layers: what the keys bear in shear is less than this
  double insert_mpa = 5;  ///< plastic sheared round a heat-set insert; assumption
  double head_mpa = 13;   ///< plastic under a screw's head: half of layer_mpa; assumption
  InsertSize screw = insert_size(InsertThread::none);
  bool has_inserts = false;  ///< else nuts, which bear as heads do
  double density_g_per_cm3 = 1.24;
  double handling_ratio = 5;  ///< times the weight, when the thing is picked up or knocked
};

/// What one screw of a flange may be pulled by: the plastic under its head, and that round its
/// insert, whichever gives way first.
double screw_allowed_n(const StrengthRules& rules);

/// Area, centroid and section moduli of a flat figure.
struct SectionModulus {
  double area_mm2 = 0;
  Vec2 centroid;
  Vec2 weak_axis{1, 0};   ///< unit: bending about it meets the least resistance
  double weak_mm3 = 0;    ///< least second moment over the farthest fibre from its axis
  double strong_mm3 = 0;  ///< about the axis across it
};

/// The section modulus of loops (holes clockwise) taken together as one stiff figure, about its two
/// principal axes. By Green's theorem. O(points). Source: Machinery's Handbook, section tables
/// (checked against).
SectionModulus section_modulus(std::span<const Loop2> loops);

/// What a joint bears and what is asked of it.
struct JointStrength {
  double glue_area_mm2 = 0;  ///< joint face, half of each strap's footprint, tongues' sides, laps;
                             ///< none of a joint that comes apart
  double key_shear_area_mm2 = 0;   ///< across dowels, pins, tongues and screws' threads
  double section_modulus_mm3 = 0;  ///< of the joint face with the straps over it, weak axis
  double held_mass_g = 0;          ///< of the lighter side of its seam, printed solid
  double lever_mm = 0;             ///< from the seam's joint faces to that side's centre of mass
  double stress_mpa = 0;           ///< at the seam's worst fibre under that weight times handling
  std::size_t screw_count = 0;     ///< of this joint
  double screw_pull_n = 0;         ///< on the seam's worst screw, where no glue holds it
  double screw_allowed_n = 0;
  double safety_ratio = 0;  ///< glue_mpa over stress_mpa, or what a screw may over what it bears; 0
                            ///< where neither holds
};

/// One a joint. The joints of one seam bear together: the lighter half under the seam, held out
/// level, its weight times the handling factor bending them about their common weak axis, straps
/// counted where they cross the plane, and pulling them. Glue and screws do not bear together: a
/// seam with a glued joint is held by its glue alone; one that comes apart by the screws of its
/// flanges, as a plate that tips over its edge: in the worst of 72 directions the farthest screw
/// bears M d / sum d², d from that edge, and F / n. Magnets and dry keys hold nothing here. Pieces'
/// solids before keys, in the order of the plan's pieces; O(faces). Sources: beam formula sigma =
/// M/Z + F/A; bolt group tipping about its edge, Machinery's Handbook (memory); allowables in
/// StrengthRules.
std::vector<JointStrength> joint_strengths(const SeamPlan& plan,
                                           std::span<const CutPiece* const> pieces,
                                           std::span<const Joint> joints,
                                           std::span<const LoosePart> loose_parts,
                                           const StrengthRules& rules);

}  // namespace seamwright
