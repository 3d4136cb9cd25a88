#include "joints/straps.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <memory>
#include <unordered_set>

#include "joints/runs.h"
#include "seamwright/core/parallel.h"

namespace seamwright::joints {
namespace {

constexpr double kStep_mm = 2;  // between sections
// Of straps over edges too short for others: where four pieces meet nearly in a point, two of them
// touch over a few millimetres. Such a strap still bears more than that edge could.
constexpr double kShortStep_mm = 0.5, kShortLength_mm = 3;
constexpr std::array kWidths_ratio{1.0, 0.6, 0.4};
constexpr double kLeastWidth_mm = 8;
constexpr double kCell_mm = 2;  // cells of different straps never touch, so straps keep this apart

using Sections = std::vector<StrapSection>;

/// Calls visit(place) along both sides of a section, places no further apart than a cell.
template <class Visit>
void walk(const StrapSection& section, const Visit& visit) {
  for (const auto layer : {&StrapSection::under, &StrapSection::over}) {
    const std::array<Vec3, kStrapColumns>& side = section.*layer;
    visit(side[0]);
    for (std::size_t j = 1; j < kStrapColumns; ++j) {
      const Vec3 way = side[j] - side[j - 1];
      const int steps = 1 + static_cast<int>(norm(way) / kCell_mm);
      for (int k = 1; k <= steps; ++k) visit(side[j - 1] + way * (static_cast<double>(k) / steps));
    }
  }
}

/// How far apart two sections are, column by column: least and most.
std::pair<double, double> apart_mm(const StrapSection& a, const StrapSection& b) {
  double least = std::numeric_limits<double>::infinity(), most = 0;
  for (const auto layer : {&StrapSection::under, &StrapSection::over}) {
    for (std::size_t j = 0; j < kStrapColumns; ++j) {
      const double apart = norm((a.*layer)[j] - (b.*layer)[j]);
      least = std::min(least, apart), most = std::max(most, apart);
    }
  }
  return {least, most};
}

/// The section that share of the way from a to b.
StrapSection between(const StrapSection& a, const StrapSection& b, double share) {
  StrapSection section;
  for (const auto layer : {&StrapSection::under, &StrapSection::over}) {
    for (std::size_t j = 0; j < kStrapColumns; ++j)
      (section.*layer)[j] = (a.*layer)[j] + ((b.*layer)[j] - (a.*layer)[j]) * share;
  }
  return section;
}

/// Where straps are already, as cells of a grid.
class Occupied {
 public:
  bool is_near(const StrapSection& section) const {
    bool near = false;
    walk(section, [&](Vec3 p) {
      for (double i : {-1.0, 0.0, 1.0})
        for (double j : {-1.0, 0.0, 1.0})
          for (double k : {-1.0, 0.0, 1.0})
            near = near || cells_.contains(cell(p + Vec3{i, j, k} * kCell_mm));
    });
    return near;
  }
  void take(std::span<const StrapSection> strap) {
    for (std::size_t i = 0; i < strap.size(); ++i) {
      const StrapSection& next = strap[std::min(i + 1, strap.size() - 1)];
      const int steps = 1 + static_cast<int>(apart_mm(strap[i], next).second / kCell_mm);
      for (int k = 0; k < steps; ++k)
        walk(between(strap[i], next, static_cast<double>(k) / steps),
             [&](Vec3 p) { cells_.insert(cell(p)); });
    }
  }

 private:
  static std::uint64_t cell(Vec3 p) {
    std::uint64_t packed = 0;
    for (double x : {p.x, p.y, p.z})
      packed = packed << 21 |
               (static_cast<std::uint64_t>(std::llround(x / kCell_mm) + (1 << 20)) & 0x1fffff);
    return packed;
  }
  std::unordered_set<std::uint64_t> cells_;
};

double length_mm(std::span<const StrapSection> sections) {
  double length = 0;
  for (std::size_t i = 1; i < sections.size(); ++i)
    length +=
        norm((sections[i].ground[kStrapColumns / 2] - sections[i - 1].ground[kStrapColumns / 2]));
  return length;
}

double under_area_mm2(std::span<const StrapSection> sections) {
  double area = 0;
  for (std::size_t i = 1; i < sections.size(); ++i) {
    for (std::size_t j = 1; j < kStrapColumns; ++j) {
      const Vec3 a = sections[i - 1].under[j - 1], b = sections[i - 1].under[j];
      const Vec3 c = sections[i].under[j], d = sections[i].under[j - 1];
      area += (norm(cross(b - a, c - a)) + norm(cross(c - a, d - a))) / 2;
    }
  }
  return area;
}

/// On its long side that faces the below piece, its chord along the bed's x.
LoosePart stood_up(Solid solid, std::span<const StrapSection> sections, const Plane& plane) {
  const Vec3 normal = plane.normal;
  const Vec3 chord = sections.back().ground[0] - sections.front().ground[0];
  Vec3 x = normalized(chord - normal * dot(chord, normal));
  if (dot(x, x) == 0) x = any_perpendicular(normal);
  LoosePart part{KeyKind::strap, 0, "", std::move(solid)};
  part.bed_from_part.rows = {x, cross(normal, x), normal};
  Box3 box;
  for (Vec3 p : part.solid.points()) box.extend(part.bed_from_part.apply(p));
  part.bed_from_part.shift = -box.low;
  part.size_mm = box.size();
  part.at = sections[sections.size() / 2].ground[kStrapColumns / 2];
  part.at = part.at - plane.normal * plane.distance(part.at);
  part.length_mm = length_mm(sections);
  part.glue_area_mm2 = under_area_mm2(sections);
  return part;
}

/// A run round a whole loop ends where it began: without the sections that come too near its first.
std::span<const StrapSection> opened(std::span<const StrapSection> run, double between_mm) {
  while (run.size() > 2 && apart_mm(run.front(), run.back()).first < between_mm)
    run = run.first(run.size() - 1);
  return run;
}

/// A run of good sections as straps of about equal length, none longer than the rules allow.
std::vector<std::span<const StrapSection>> divided(std::span<const StrapSection> run,
                                                   const StrapRules& rules, double step_mm) {
  const double longest = rules.longest_mm;
  const auto count = static_cast<std::size_t>(std::ceil(length_mm(run) / longest));
  const auto between = static_cast<std::size_t>(std::ceil(rules.between_mm / step_mm));
  std::vector<std::span<const StrapSection>> parts;
  for (std::size_t k = 0; k < count; ++k) {
    const std::size_t first = k * run.size() / count + (k > 0 ? between : 0);
    const std::size_t end = (k + 1) * run.size() / count;
    if (end > first + 1) parts.push_back(run.subspan(first, end - first));
  }
  return parts;
}

/// All stretches of one joint face.
struct FaceSections {
  std::vector<Sections> stretches;
  double hidden_mm = 0, width_mm = 0;
  double step_mm = kStep_mm, least_length_mm = 0;
};

FaceSections sections_of(const JointInputs& inputs, const FaceContext& context,
                         std::span<const std::unique_ptr<RayTree>> trees,
                         const HiddenGround& ground, const StrapRules& rules, double step_mm) {
  FaceSections out;
  out.step_mm = step_mm;
  out.width_mm = rules.width_mm;
  out.least_length_mm = rules.least_length_mm;
  const std::size_t above = to_index(context.face->above), below = to_index(context.face->below);
  for (const auto& edge :
       hidden_stretches(context.face->region, PlaneFrame(context.plane), ground, step_mm)) {
    for (std::size_t i = 1; i < edge.size(); ++i)
      out.hidden_mm += norm(edge[i].at - edge[i - 1].at);
    out.stretches.push_back(strap_sections(edge, context.plane, inputs.pieces[above].cut->solid,
                                           *trees[above], inputs.pieces[below].cut->solid,
                                           *trees[below], ground, rules));
  }
  return out;
}

/// Whether a strap worth gluing would fit somewhere.
bool holds_a_strap(const FaceSections& face) {
  bool holds = false;
  for (const Sections& stretch : face.stretches)
    for_each_run<StrapSection>(
        stretch, [](const StrapSection& section) { return section.is_good; },
        [&](std::span<const StrapSection> run) {
          holds |= length_mm(run) >= face.least_length_mm;
        });
  return holds;
}

/// Of the widest straps that fit somewhere, of short ones where no other does.
FaceSections widest_sections_of(const JointInputs& inputs, const FaceContext& context,
                                std::span<const std::unique_ptr<RayTree>> trees,
                                const HiddenGround& ground, const StrapRules& rules) {
  std::optional<FaceSections> usual;
  for (const double step_mm : {kStep_mm, kShortStep_mm}) {
    StrapRules own = rules;
    if (step_mm < kStep_mm) own.least_length_mm = kShortLength_mm;
    for (const double share : kWidths_ratio) {
      if (step_mm < kStep_mm && share == 1) continue;  // it would stand on a foot too small
      own.width_mm = std::min(rules.width_mm, std::max(kLeastWidth_mm, share * rules.width_mm));
      FaceSections found = sections_of(inputs, context, trees, ground, own, step_mm);
      if (holds_a_strap(found)) return found;
      if (!usual) usual = std::move(found);
    }
  }
  return std::move(*usual);
}

/// Takes the straps out of one face's sections.
class Taker {
 public:
  Taker(const FaceContext& context, std::size_t joint, const StrapRules& rules, Occupied& occupied)
      : context_(context), joint_(joint), rules_(rules), occupied_(occupied) {}

  std::vector<LoosePart> take(const FaceSections& face) {
    for (const Sections& stretch : face.stretches)
      for_each_run<StrapSection>(
          stretch, [&](const StrapSection& s) { return s.is_good && !occupied_.is_near(s); },
          [&](std::span<const StrapSection> run) { take_run(run, face); });
    return std::move(parts_);
  }

 private:
  void take_run(std::span<const StrapSection> run, const FaceSections& face) {
    for (const auto sections : divided(opened(run, rules_.between_mm), rules_, face.step_mm)) {
      if (length_mm(sections) < face.least_length_mm) continue;
      occupied_.take(sections);
      LoosePart part =
          stood_up(strap_solid(sections, {OriginKind::key, 0}), sections, context_.plane);
      part.joint = joint_;
      const auto letter = static_cast<char>('a' + parts_.size() % 26);
      part.mark = fmt::format("J{}{}", joint_ + 1, letter);
      parts_.push_back(std::move(part));
    }
  }

  const FaceContext& context_;
  std::size_t joint_;
  const StrapRules& rules_;
  Occupied& occupied_;
  std::vector<LoosePart> parts_;
};

std::vector<std::unique_ptr<RayTree>> trees_of(const JointInputs& inputs,
                                               std::span<const std::optional<FaceContext>> contexts,
                                               std::span<const std::size_t> wanted,
                                               const Run& run) {
  std::vector<char> is_needed(inputs.pieces.size(), 0);
  for (std::size_t j : wanted) {
    for (const Side side : {Side::above, Side::below})
      is_needed[to_index(contexts[j]->piece(side))] = 1;
  }
  return map_index(inputs.pieces.size(), run, [&](std::size_t p) {
    return is_needed[p] ? std::make_unique<RayTree>(inputs.pieces[p].cut->solid) : nullptr;
  });
}

}  // namespace

Straps lay_straps(const JointInputs& inputs, std::span<const std::optional<FaceContext>> contexts,
                  std::span<const std::size_t> wanted, const HiddenSkin& skin,
                  const StrapRules& rules, const Run& run) {
  Straps out;
  out.hidden_mm.resize(contexts.size());
  out.covered_mm.resize(contexts.size());
  out.width_mm.resize(contexts.size());
  if (wanted.empty() || skin.whole == nullptr) return out;
  const HiddenGround ground(skin);
  const auto trees = trees_of(inputs, contexts, wanted, run);
  const auto faces = map_index(wanted.size(), run, [&](std::size_t k) {
    return widest_sections_of(inputs, *contexts[wanted[k]], trees, ground, rules);
  });
  std::vector<std::size_t> order(wanted.size());
  for (std::size_t k = 0; k < order.size(); ++k) order[k] = k;
  std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
    return faces[a].hidden_mm < faces[b].hidden_mm;
  });
  Occupied occupied;
  for (std::size_t k : order) {
    const std::size_t j = wanted[k];
    out.hidden_mm[j] = faces[k].hidden_mm;
    out.width_mm[j] = faces[k].width_mm;
    for (LoosePart& part : Taker(*contexts[j], j, rules, occupied).take(faces[k])) {
      out.covered_mm[j] += part.length_mm;
      out.parts.push_back(std::move(part));
    }
  }
  std::stable_sort(out.parts.begin(), out.parts.end(),
                   [](const LoosePart& a, const LoosePart& b) { return a.joint < b.joint; });
  return out;
}

}  // namespace seamwright::joints
