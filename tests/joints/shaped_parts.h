#pragma once

#include <algorithm>
#include <numeric>

#include "joints/random_plan.h"
#include "seamwright/joints/flanges.h"
#include "seamwright/joints/laps.h"
#include "seamwright/joints/matched_faces.h"
#include "seamwright/joints/shaped_part.h"
#include "seamwright/query/sight.h"

namespace seamwright::testing {

/// The part's hidden skin, worn with its -z side to the body.
inline std::vector<double> worn_sight(const Solid& part) {
  return face_sight(part, {.mode = SightMode::worn, .rays_per_face = 32}).value();
}

/// What was shaped before the keys, as far as the booleans and the plan allow it.
struct ShapedParts {
  PosedParts parts;
  std::vector<Lap> laps;
  std::vector<Flange> flanges;
  LapRules lap_rules;
  std::size_t refused = 0;  ///< laps and flanges taken back
};

/// Pieces and joint faces of the part with its flanges, and with laps; nothing where that fails.
inline std::optional<PosedParts> shaped(const Solid& whole, const ShapedParts& with) {
  PosedParts out = with.parts;
  auto cuts = cut_plan(whole, out.plan);
  if (!cuts || cuts->size() != out.pieces.size()) return {};
  auto lapped = lap_pieces(whole, out.plan, *cuts, out.faces, with.laps, with.lap_rules);
  if (!lapped) return {};
  auto faces = find_joint_faces(out.plan, *lapped);
  if (!faces || !match_faces(out.faces, *faces)) return {};
  out.pieces = std::move(*lapped);
  out.faces = std::move(*faces);
  return out;
}

/// Laps or flanges on all joints that have room; what fails is taken back, as the program does: the
/// flanges that the booleans refuse, else the last first.
inline ShapedParts with_shapes(const Solid& part, PosedParts parts, KeyKind kind,
                               const HiddenSkin& hidden, const LapRules& lap_rules = {},
                               const FlangeRules& flange_rules = {}) {
  ShapedParts out{std::move(parts), {}, {}, lap_rules};
  std::vector<std::size_t> wanted(out.parts.faces.size());
  std::iota(wanted.begin(), wanted.end(), 0);
  if (kind == KeyKind::lap)
    out.laps =
        plan_laps(out.parts.plan, out.parts.posed(), out.parts.faces, wanted, hidden, lap_rules);
  if (kind == KeyKind::flange)
    out.flanges = plan_flanges(out.parts.plan, out.parts.posed(), out.parts.faces, wanted, hidden,
                               flange_rules);
  while (!out.laps.empty() || !out.flanges.empty()) {
    Shapes shapes;
    shapes.flanges = out.flanges;
    const ShapedPart whole = shaped_part(part, shapes);
    out.refused += whole.refused.flanges.size();
    for (std::size_t k = whole.refused.flanges.size(); k-- > 0;)
      out.flanges.erase(out.flanges.begin() +
                        static_cast<std::ptrdiff_t>(whole.refused.flanges[k].place));
    if (auto made = shaped(whole.solid, out)) {
      out.parts = std::move(*made);
      return out;
    }
    if (out.laps.empty() && out.flanges.empty()) break;
    out.laps.empty() ? out.flanges.pop_back() : out.laps.pop_back();
    ++out.refused;
  }
  return out;
}

}  // namespace seamwright::testing
