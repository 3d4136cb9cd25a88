#include "seamwright/joints/shaped_part.h"

#include <algorithm>

#include "seamwright/cut/boolean.h"

namespace seamwright {
namespace {

void add_tools(std::vector<Tool>& tools, std::span<const Solid> solids, const char* name) {
  for (const Solid& solid : solids) tools.push_back({name, solid});
}

/// Strokes are apart from each other: one tool for all.
std::vector<Tool> mark_tools(std::span<const SkinMark> marks) {
  std::vector<Solid> strokes;
  for (const SkinMark& mark : marks)
    strokes.insert(strokes.end(), mark.tools.begin(), mark.tools.end());
  if (strokes.empty()) return {};
  return {{"", gathered(strokes)}};
}

std::vector<Tool> groove_tools(const EdgeGrooves& grooves) {
  std::vector<Tool> tools;
  add_tools(tools, grooves.tools, "");
  return tools;
}

std::vector<Tool> ridge_tools(const Flange& flange) {
  std::vector<Tool> tools;
  add_tools(tools, flange.ridges, "a flange");
  return tools;
}

std::vector<Tool> drill_tools(const Flange& flange) {
  std::vector<Tool> tools;
  add_tools(tools, flange.drills, "a flange's screw");
  return tools;
}

void append(std::vector<Tool>& all, const std::vector<Tool>& some) {
  all.insert(all.end(), some.begin(), some.end());
}

Result<Solid> all_at_once(const Solid& part, const Shapes& shapes) {
  std::vector<Tool> added, taken = groove_tools(shapes.grooves);
  append(taken, mark_tools(shapes.marks));
  for (const Flange& flange : shapes.flanges) {
    append(added, ridge_tools(flange));
    append(taken, drill_tools(flange));
  }
  return combine(part, added, taken);
}

/// One boolean after the other.
class Shaper {
 public:
  Shaper(const Solid& part, const Shapes& shapes)
      : part_(part), shapes_(shapes), solid_(part), whys_(shapes.flanges.size()) {}

  ShapedPart shaped() {
    while (!flanges_stand()) solid_ = part_;
    RefusedShapes refused;
    refused.grooves = step({}, groove_tools(shapes_.grooves));
    refused.marks = step({}, mark_tools(shapes_.marks));
    for (std::size_t k = 0; k < whys_.size(); ++k)
      if (!whys_[k].empty()) refused.flanges.push_back({k, whys_[k]});
    return {std::move(solid_), std::move(refused)};
  }

 private:
  /// Whether all flanges that stand could be drilled; all ridges come first, for one may reach into
  /// a hole of another's. A flange that can't be drilled is refused.
  bool flanges_stand() {
    for (std::size_t k = 0; k < whys_.size(); ++k)
      if (whys_[k].empty()) whys_[k] = step(ridge_tools(shapes_.flanges[k]), {});
    for (std::size_t k = 0; k < whys_.size(); ++k) {
      if (!whys_[k].empty()) continue;
      whys_[k] = step({}, drill_tools(shapes_.flanges[k]));
      if (!whys_[k].empty()) return false;
    }
    return true;
  }

  /// Why the booleans refuse; empty when the solid has changed.
  std::string step(const std::vector<Tool>& added, const std::vector<Tool>& taken) {
    Result<Solid> next = combine(solid_, added, taken);
    if (!next) return next.error().message;
    solid_ = std::move(*next);
    return "";
  }

  const Solid& part_;
  const Shapes& shapes_;
  Solid solid_;
  std::vector<std::string> whys_;  ///< a flange's refusal
};

}  // namespace

ShapedPart shaped_part(const Solid& part, const Shapes& shapes) {
  Result<Solid> whole = all_at_once(part, shapes);
  if (whole) return {std::move(*whole), {}};
  return Shaper(part, shapes).shaped();
}

}  // namespace seamwright
