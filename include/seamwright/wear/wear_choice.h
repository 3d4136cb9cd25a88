#pragma once

#include <optional>
#include <string>
#include <vector>

#include "seamwright/core/describe.h"
#include "seamwright/core/vec.h"

namespace seamwright {

/// `[wear]`: what the worn or hung thing must bear.
struct WearChoice {
  double handling_ratio = 3;
  double bond_mpa = 3;
  double bond_shear_mpa = 3;
  double layer_mpa = 26;
  double safety_ratio = 2;
  double modulus_mpa = 2500;
  double rod_mpa = 400;
  std::optional<double> wearer_kg;
  std::vector<Vec3> harness;
};

/// `[[mount]]`: a place where the thing is held. Part frame, mm.
struct MountChoice {
  std::string name = "mount";
  Vec3 at;
};

template <class Settings, class Visitor>
requires same_settings<Settings, WearChoice>
void describe(Settings& wear, Visitor&& visit) {
  constexpr std::string_view kAssumed = "assumption";
  visit(
      wear.handling_ratio,
      FieldDoc{"handling_ratio", "weight times this, for stumbling and grabbing", kAssumed, 1, 20});
  visit(
      wear.bond_mpa,
      FieldDoc{"bond_mpa", "pull a glued joint bears",
               "assumption; no published figure fits every glue: the adhesive explains 92 % of the "
               "variance (Oez and Oeztuerk, Weld. World 69 (2025), abstract). Put your maker's "
               "sheet here",
               0.01, 200});
  visit(wear.bond_shear_mpa,
        FieldDoc{"bond_shear_mpa", "shear a glued joint bears",
                 "assumption; cyanoacrylate over epoxy 3.9 to 1 on ASA (Yap et al. 2020, abstract)",
                 0.01, 200});
  visit(wear.layer_mpa, FieldDoc{"layer_mpa", "pull the plastic bears across its layers",
                                 "PLA 26: a printer maker's data sheet by ASTM D638", 0.1, 500});
  visit(wear.safety_ratio,
        FieldDoc{"safety_ratio", "allowable = strength over this", kAssumed, 1, 20});
  visit(wear.modulus_mpa,
        FieldDoc{"modulus_mpa", "stiffness of the plastic, for the sag", kAssumed, 1, 300000});
  visit(wear.rod_mpa, FieldDoc{"rod_mpa", "bending strength of the rod of a spar (glass fibre)",
                               kAssumed, 1, 5000});
  visit(wear.wearer_kg, FieldDoc{"wearer_kg", "mass of who wears it", "yours", 5, 300});
  visit(wear.harness,
        FieldDoc{"harness", "point on the wearer that bears it, as [[0, 0, 0]]", "yours"});
}

template <class Settings, class Visitor>
requires same_settings<Settings, MountChoice>
void describe(Settings& mount, Visitor&& visit) {
  visit(mount.name, FieldDoc{"name", "what you call it", "yours"});
  visit(mount.at, FieldDoc{"at", "point on the part where it is held", "yours"});
}

}  // namespace seamwright
