#pragma once

#include <span>
#include <string>
#include <vector>

#include "seamwright/core/ids.h"
#include "seamwright/wear/section_properties.h"
#include "seamwright/wear/wear_choice.h"

namespace seamwright {

/// A piece as a weight: printed mass, and the middle of its solid. Part frame.
struct WearPiece {
  double mass_g = 0;
  Vec3 middle;
};
/// A joint: two pieces meet in a region of a seam's plane.
struct WearJoint {
  SeamId seam{};
  Plane plane;
  std::size_t above = 0, below = 0;
  Region2 region;
};
/// A place where the thing is held, and the piece it holds.
struct WearMount {
  std::string name;
  Vec3 at;
  std::size_t piece = 0;
};

/// A straight rod through a seam, free of glue's doubts: it bears bending up to what it may.
struct WearRod {
  SeamId seam{};
  double diameter_mm = 0;
};

struct WearInput {
  std::vector<WearPiece> pieces;
  std::vector<WearJoint> joints;
  std::vector<std::size_t> assembly;  ///< joints in the order of gluing
  std::vector<WearMount> mounts;
  std::vector<WearRod> rods;
  Vec3 down{0, 0, -1};  ///< unit
  WearChoice choice;
};

struct MassPoint {
  double mass_g = 0;
  Vec3 middle;
};
/// What a mount bears on the thing: a force, and a couple where forces alone can't hold it.
struct MountForce {
  Vec3 force_n, couple_nmm;
};

/// Where a seam would bear less: moved along its normal, with all the pieces cut anew.
struct MovedSeam {
  double by_mm = 0;  ///< over 0 along the normal
  Vec3 direction;    ///< unit: the way it moves
  double use_ratio = 0;
  double more_h = 0;  ///< the plan's maker hours change by this
};

/// What a seam bears: all of its joint faces as one section.
struct SeamLoad {
  SeamId seam{};
  SectionProperties section;
  double carried_g = 0;    ///< mass on the side that hangs on it
  bool is_shared = false;  ///< other seams help; the figure counts this one alone
  double pull_n = 0, shear_n = 0, bending_nmm = 0, twist_nmm = 0;
  double by_rods_nmm =
      0;                 ///< of the bending, what rods through it bear; the section bears the rest
  double pull_mpa = 0;   ///< greatest pull over the section: N/A with bending
  double shear_mpa = 0;  ///< 1.5 V/A and twist over the polar moment
  double use_ratio = 0;  ///< of what is allowed, by pull and shear together
  double rod_mm = 0;     ///< a spar of this diameter bears the bending alone
  double strap_mm = 0;   ///< length of a 30 mm wide strap on each side that bears it in shear
  double sag_mm = 0;     ///< of what hangs on it, if its section ran on to its middle
  std::optional<MovedSeam> moved;  ///< not by find_seam_loads, which cuts nothing
};

struct WearFindings {
  MassPoint whole;
  std::vector<MassPoint> steps;  ///< after each joint of the assembly: the body it made
  std::vector<MountForce> mount_forces;
  std::vector<SeamLoad> seams;             ///< most used first; none without mounts
  std::optional<double> body_share_ratio;  ///< of the wearer's mass
  std::vector<double> harness_moment_nmm;  ///< about each harness point, at rest
};

/// Weights, mounts and seams by statics of rigid pieces. Mounts share the load as equally stiff
/// springs; one mount alone is a clamp. At a seam everything counts that is held by it only; where
/// other seams help, the side without a mount (or the lighter one) counts whole: never less than
/// what the seam bears of it in bending. Rods bear π d³ / 32 times their allowed stress. All
/// actions are times `handling_ratio`. Requires a unit `down`, indices in range. Sources: statics;
/// Roark table 8.1 (memory). O(seams · joints).
WearFindings find_seam_loads(const WearInput& input);

}  // namespace seamwright
