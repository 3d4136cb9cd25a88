#include "joints/strap_band.h"

#include <algorithm>
#include <cmath>

namespace seamwright::joints {
namespace {

constexpr double kNearSeam_mm = 0.5;     // the two columns beside the seam
constexpr double kSteepest_ratio = 3.7;  // 75°
constexpr double kOverSkin_mm = 9;       // from where the skin is looked for
constexpr double kOnSkin_mm = 0.05;
constexpr double kReach_mm = 3;  // deeper inside a wall than this is not looked for
constexpr double kLift_mm = 0.05;
constexpr int kMostLifts = 10;
constexpr std::size_t kMiddle = kStrapColumns / 2;

/// How far out a column is: 0 beside the seam, 1 along the strap's long sides.
double outward_ratio(std::size_t column) {
  const std::size_t from_seam = column >= kMiddle ? column - kMiddle : kMiddle - 1 - column;
  return static_cast<double>(from_seam) / static_cast<double>(kMiddle - 1);
}

/// Distance of a column from the seam's plane, negative on the below piece.
double column_mm(std::size_t column, const StrapRules& rules) {
  const double distance =
      kNearSeam_mm + outward_ratio(column) * (rules.width_mm / 2 - kNearSeam_mm);
  return column >= kMiddle ? distance : -distance;
}

/// Where the skin of one piece is looked for, and on what.
struct Footing {
  const Solid& solid;
  const RayTree& tree;
};

/// Sets the ground of one half of a section, column by column away from the seam.
bool set_half(StrapSection& section, Vec3 base, Vec3 normal, bool is_above, const Footing& footing,
              const HiddenGround& ground, const StrapRules& rules) {
  double height = 0, at_mm = 0;
  for (std::size_t i = 0; i < kMiddle; ++i) {
    const std::size_t column = is_above ? kMiddle + i : kMiddle - 1 - i;
    const double to_mm = column_mm(column, rules), step = std::abs(to_mm - at_mm);
    const Vec3 start = base + normal * to_mm + section.out * (height + kOverSkin_mm);
    const auto hit = footing.tree.first_hit(start, -section.out, 0);
    if (!hit || hit->from_behind) return false;
    if (footing.solid.origin(hit->face).kind != OriginKind::skin) return false;
    const double found = height + kOverSkin_mm - hit->distance_mm;
    const double allowed = kSteepest_ratio * step + (i == 0 ? 1.0 : 0.0);  // the base is smoothed
    if (std::abs(found - height) > allowed) return false;
    section.ground[column] = base + normal * to_mm + section.out * found;
    if (!ground.is_hidden(section.ground[column], kOnSkin_mm)) return false;
    height = found;
    at_mm = to_mm;
  }
  return true;
}

/// The way from a section's column to its neighbours, along the seam and across it.
struct Spread {
  Vec3 along, across;
};

Spread spread_at(std::span<const StrapSection> sections, std::size_t i, std::size_t j,
                 const std::array<Vec3, kStrapColumns> StrapSection::*layer) {
  const std::size_t before = i > 0 && sections[i - 1].is_good ? i - 1 : i;
  const std::size_t after = i + 1 < sections.size() && sections[i + 1].is_good ? i + 1 : i;
  const std::size_t left = j > 0 ? j - 1 : j, right = std::min(j + 1, kStrapColumns - 1);
  return {(sections[after].*layer)[j] - (sections[before].*layer)[j],
          (sections[i].*layer)[right] - (sections[i].*layer)[left]};
}

using NormalGrid = std::vector<std::array<Vec3, kStrapColumns>>;

NormalGrid raw_normals(std::span<const StrapSection> sections) {
  NormalGrid normals(sections.size());
  for (std::size_t i = 0; i < sections.size(); ++i) {
    for (std::size_t j = 0; j < kStrapColumns && sections[i].is_good; ++j) {
      const Spread spread = spread_at(sections, i, j, &StrapSection::ground);
      const Vec3 n = normalized(cross(spread.along, spread.across));
      normals[i][j] = dot(n, n) > 0 ? n : sections[i].out;
    }
  }
  return normals;
}

/// How much longer a way along the seam's plane may be than the thickness it spans: 72°.
constexpr double kMostLean_ratio = 3.2;

Vec3 laid_into(Vec3 normal, Vec3 plane_normal) {
  const Vec3 flat = normalized(normal - plane_normal * dot(normal, plane_normal));
  return flat * std::min(kMostLean_ratio, 1 / std::max(1e-3, dot(flat, normal)));
}

/// Means over neighbours; the outermost columns are then laid into planes parallel to the seam,
/// longer where the skin leans, so that the strap is as thick there. The others lean the more the
/// further out they are: where only the last did, it would fold over its neighbour on skin that
/// leans by 40°.
NormalGrid smooth_normals(std::span<const StrapSection> sections, NormalGrid normals,
                          Vec3 plane_normal) {
  constexpr int kRounds = 3;
  for (int round = 0; round < kRounds; ++round) {
    NormalGrid next = normals;
    for (std::size_t i = 0; i < sections.size(); ++i) {
      for (std::size_t j = 0; j < kStrapColumns && sections[i].is_good; ++j) {
        Vec3 sum = normals[i][j] * 2;
        for (std::size_t k : {i - 1, i + 1})
          if (k < sections.size() && sections[k].is_good) sum += normals[k][j];
        for (std::size_t k : {j - 1, j + 1})
          if (k < kStrapColumns) sum += normals[i][k];
        next[i][j] = normalized(sum);
      }
    }
    normals = std::move(next);
  }
  for (auto& row : normals) {
    for (std::size_t j = 0; j < kStrapColumns; ++j)
      row[j] += (laid_into(row[j], plane_normal) - row[j]) * outward_ratio(j);
  }
  return normals;
}

void set_layers(StrapSection& section, const std::array<Vec3, kStrapColumns>& normals,
                const std::array<double, kStrapColumns>& gap_mm, double thickness_mm) {
  for (std::size_t j = 0; j < kStrapColumns; ++j) {
    section.under[j] = section.ground[j] + normals[j] * gap_mm[j];
    section.over[j] = section.ground[j] + normals[j] * (gap_mm[j] + thickness_mm);
  }
}

using GapGrid = std::vector<std::array<double, kStrapColumns>>;

/// Raises the strap where a bump of the skin between its points comes too near. Whether anything
/// was raised.
bool lift_over_bumps(std::span<const StrapSection> sections, const HiddenGround& ground,
                     double least_mm, GapGrid& gap_mm) {
  bool any = false;
  for (std::size_t i = 0; i < sections.size(); ++i) {
    if (!sections[i].is_good) continue;
    const std::size_t next = i + 1 < sections.size() && sections[i + 1].is_good ? i + 1 : i;
    for (std::size_t j = 0; j < kStrapColumns; ++j) {
      const std::size_t right = std::min(j + 1, kStrapColumns - 1);
      const auto too_near = [&](std::size_t i2, std::size_t j2) {
        const Vec3 p = (sections[i].under[j] + sections[i2].under[j2]) / 2;
        return ground.height_mm(p, kReach_mm) < least_mm;
      };
      // Points, edges' middles and the diagonal's middle, along which the quad is folded.
      if (!too_near(i, j) && !too_near(next, j) && !too_near(i, right) && !too_near(next, right))
        continue;
      for (std::size_t a : {i, next})
        for (std::size_t b : {j, right}) gap_mm[a][b] += kLift_mm;
      any = true;
    }
  }
  return any;
}

bool keeps_off(std::span<const StrapSection> sections, std::size_t i, const HiddenGround& ground,
               const StrapRules& rules) {
  for (std::size_t j = 0; j < kStrapColumns; ++j) {
    if (ground.height_mm(sections[i].under[j], kReach_mm) < rules.gap_mm / 3) return false;
    if (ground.height_mm(sections[i].over[j], kReach_mm + rules.thickness_mm) <
        0.8 * rules.thickness_mm)
      return false;
    for (const auto layer : {&StrapSection::under, &StrapSection::over}) {
      const Spread top = spread_at(sections, i, j, layer);
      const Spread base = spread_at(sections, i, j, &StrapSection::ground);
      const Vec3 area = cross(base.along, base.across);
      if (dot(cross(top.along, top.across), area) < 0.3 * dot(area, area)) return false;
    }
  }
  return true;
}

/// Whether an edge of the strap's faces from this section to the next good one, or of the section
/// itself, runs into the part: at a sharp crease the distance alone does not tell the sides apart.
bool runs_into_part(const StrapSection& section, const StrapSection& next,
                    const HiddenGround& ground) {
  for (std::size_t j = 0; j < kStrapColumns; ++j) {
    const std::size_t right = std::min(j + 1, kStrapColumns - 1);
    for (const auto layer : {&StrapSection::under, &StrapSection::over}) {
      const Vec3 at = (section.*layer)[j];
      for (const Vec3 to : {(section.*layer)[right], (next.*layer)[j], (next.*layer)[right]})
        if (ground.is_between(at, to)) return true;
    }
    if (ground.is_between(section.under[j], section.over[j])) return true;
  }
  return false;
}

class SolidBuilder {
 public:
  explicit SolidBuilder(std::span<const StrapSection> sections) : rows_(sections.size()) {
    for (const auto layer : {&StrapSection::under, &StrapSection::over}) {
      for (const StrapSection& section : sections)
        points_.insert(points_.end(), (section.*layer).begin(), (section.*layer).end());
    }
  }

  Solid build(Origin origin) && {
    for (std::size_t i = 0; i + 1 < rows_; ++i) {
      for (std::size_t j = 0; j + 1 < kStrapColumns; ++j) {
        quad(under(i, j), under(i, j + 1), under(i + 1, j + 1), under(i + 1, j));
        quad(over(i, j), over(i + 1, j), over(i + 1, j + 1), over(i, j + 1));
      }
      const std::size_t last = kStrapColumns - 1;
      quad(under(i, 0), under(i + 1, 0), over(i + 1, 0), over(i, 0));
      quad(under(i + 1, last), under(i, last), over(i, last), over(i + 1, last));
    }
    for (std::size_t j = 0; j + 1 < kStrapColumns; ++j) {
      const std::size_t last = rows_ - 1;
      quad(under(0, j), over(0, j), over(0, j + 1), under(0, j + 1));
      quad(under(last, j + 1), over(last, j + 1), over(last, j), under(last, j));
    }
    std::vector<Origin> origins(triangles_.size(), origin);
    return Solid::adopt(std::move(points_), std::move(triangles_), std::move(origins));
  }

 private:
  VertexId under(std::size_t i, std::size_t j) const {
    return to_id<VertexId>(i * kStrapColumns + j);
  }
  VertexId over(std::size_t i, std::size_t j) const {
    return to_id<VertexId>((rows_ + i) * kStrapColumns + j);
  }
  /// Folded along the diagonal from a to c, on all sides alike.
  void quad(VertexId a, VertexId b, VertexId c, VertexId d) {
    triangles_.push_back({a, b, c});
    triangles_.push_back({a, c, d});
  }
  std::size_t rows_;
  std::vector<Vec3> points_;
  std::vector<Triangle> triangles_;
};

}  // namespace

std::vector<StrapSection> strap_sections(const std::vector<EdgePoint>& stretch, const Plane& plane,
                                         const Solid& above, const RayTree& above_tree,
                                         const Solid& below, const RayTree& below_tree,
                                         const HiddenGround& ground, const StrapRules& rules) {
  const PlaneFrame frame(plane);
  std::vector<StrapSection> sections;
  for (const EdgePoint& edge : stretch) {
    StrapSection section;
    section.out = frame.u * edge.out.x + frame.v * edge.out.y;
    const Vec3 base = frame.lift(edge.at);
    section.is_good =
        set_half(section, base, plane.normal, true, {above, above_tree}, ground, rules) &&
        set_half(section, base, plane.normal, false, {below, below_tree}, ground, rules);
    sections.push_back(section);
  }
  const NormalGrid normals = smooth_normals(sections, raw_normals(sections), plane.normal);
  GapGrid gap_mm(sections.size());
  for (auto& row : gap_mm) row.fill(rules.gap_mm);
  const auto lay = [&] {
    for (std::size_t i = 0; i < sections.size(); ++i)
      set_layers(sections[i], normals[i], gap_mm[i], rules.thickness_mm);
  };
  lay();
  for (int k = 0; k < kMostLifts && lift_over_bumps(sections, ground, rules.gap_mm / 2, gap_mm);
       ++k)
    lay();
  std::vector<char> keeps;
  for (std::size_t i = 0; i < sections.size(); ++i)
    keeps.push_back(sections[i].is_good && keeps_off(sections, i, ground, rules));
  for (std::size_t i = 0; i < sections.size(); ++i) {
    if (!sections[i].is_good || !keeps[i]) continue;
    const std::size_t next = i + 1 < sections.size() && sections[i + 1].is_good ? i + 1 : i;
    if (runs_into_part(sections[i], sections[next], ground)) keeps[i] = keeps[next] = 0;
  }
  for (std::size_t i = 0; i < sections.size(); ++i) sections[i].is_good = keeps[i];
  return sections;
}

Solid strap_solid(std::span<const StrapSection> sections, Origin origin) {
  require(sections.size() >= 2, "a strap has two sections or more");
  return SolidBuilder(sections).build(origin);
}

}  // namespace seamwright::joints
