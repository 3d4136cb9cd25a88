#pragma once

#include <array>
#include <optional>
#include <string>
#include <utility>

#include "seamwright/core/describe.h"
#include "seamwright/core/vec.h"

namespace seamwright {

enum class PocketShape { round, square, strip };
constexpr std::array<std::pair<std::string_view, PocketShape>, 3> names(PocketShape) {
  return {{{"round", PocketShape::round},
           {"square", PocketShape::square},
           {"strip", PocketShape::strip}}};
}
enum class PocketFit { press, glue };
constexpr std::array<std::pair<std::string_view, PocketFit>, 2> names(PocketFit) {
  return {{{"press", PocketFit::press}, {"glue", PocketFit::glue}}};
}

/// A seat for a module: `[[pocket]]`. It opens at the skin; behind the module lies room for its
/// cable. Where the wall is too thin to hold it, a boss is added on the other side.
struct PocketSpec {
  std::string name;
  Vec3 at;                        ///< on the skin, or where the ray along `direction` starts
  std::optional<Vec3> direction;  ///< into the part; none: against the normal of the skin nearest
                                  ///< to `at`, of a thin wall's two sides the seen one
  PocketShape shape = PocketShape::round;
  double size_mm = 5;               ///< the module's diameter, side, or a strip's width
  std::optional<double> length_mm;  ///< of a strip; none: three widths
  double depth_mm = 5;              ///< of the module below the skin
  PocketFit fit = PocketFit::press;
  double press_clearance_mm = 0.1, glue_clearance_mm = 0.25;
  std::optional<double> flange_mm;  ///< diameter of a wider seat at the mouth
  double flange_depth_mm = 1;
  double wall_mm = 1.6;
};

template <class Settings, class Visitor>
requires same_settings<Settings, PocketSpec>
void describe(Settings& pocket, Visitor&& visit) {
  constexpr std::string_view kTrade = "common practice, no source";
  visit(pocket.name, FieldDoc{"name", "what you call the pocket", "yours"});
  visit(pocket.at,
        FieldDoc{"at", "point on the skin, or where the ray along direction starts", "yours"});
  visit(pocket.direction,
        FieldDoc{"direction", "into the part; empty: against the skin's normal", "yours"});
  visit(pocket.shape, FieldDoc{"shape", "round, square or strip", "yours"});
  visit(pocket.size_mm,
        FieldDoc{"size_mm", "the module's diameter, side, or a strip's width", "yours", 1, 200});
  visit(pocket.length_mm,
        FieldDoc{"length_mm", "of a strip; empty: three widths", "assumption", 1, 1000});
  visit(pocket.depth_mm, FieldDoc{"depth_mm", "of the module below the skin", "yours", 0.5, 100});
  visit(pocket.fit, FieldDoc{"fit", "press or glue", "yours"});
  visit(pocket.press_clearance_mm,
        FieldDoc{"press_clearance_mm", "per side when pressed in", kTrade, 0, 2});
  visit(pocket.glue_clearance_mm,
        FieldDoc{"glue_clearance_mm", "per side when glued", kTrade, 0, 2});
  visit(
      pocket.flange_mm,
      FieldDoc{"flange_mm", "diameter of a wider seat at the mouth; empty: none", "yours", 1, 220});
  visit(pocket.flange_depth_mm, FieldDoc{"flange_depth_mm", "depth of that seat", kTrade, 0.3, 20});
  visit(pocket.wall_mm, FieldDoc{"wall_mm", "plastic kept round the seat", "assumption", 0.8, 20});
}

}  // namespace seamwright
