#include "seamwright/joints/laps.h"

#include <algorithm>
#include <cmath>

#include "joints/cell.h"
#include "joints/hidden_ground.h"
#include "joints/key_room.h"
#include "joints/runs.h"
#include "joints/sweep.h"
#include "seamwright/core/parallel.h"

namespace seamwright {
namespace {

using namespace joints;

constexpr double kStep_mm = 2;
// A twisted band and the room for it, which ends elsewhere, would use up the clearance.
constexpr double kMostTwist_mm = 0.4;
constexpr double kBend_mm = 0.05;        // sections are left out where the band bends less
constexpr std::size_t kMostThinned = 6;  // of one gap, in sections
constexpr double kLook_mm = 6;           // over the skin, from where it is looked for
constexpr double kOverSkin_mm = 1;       // bands reach over the hidden skin
constexpr double kBefore_mm = 0.5;       // bands begin before the seam
constexpr double kTipRoom_mm =
    0.3;  // between the lap's end, where bands end, and the step it meets
constexpr double kLeastCosine = 0.3;     // steps lean from the section's height by less
constexpr double kSteepest_ratio = 3;    // 72°
constexpr double kLeastLip_ratio = 0.3;  // of the wall
constexpr double kOffSeams_mm = 1;       // from the planes of other seams

/// The wall over one point of the seam, as heights over it along `out`, at the seam, at half the
/// lap's length and at its end.
struct Section {
  Vec3 base, out, along;
  std::array<double, 3> hidden_mm{}, wall_mm{};
  bool is_good = false;

  double middle_mm(std::size_t k) const { return hidden_mm[k] - wall_mm[k] / 2; }
  /// How the step rises from the seam on, per mm: with the wall, never down. So the male piece,
  /// drawn off along the seam's normal, lifts off the step or slides on it; a step that went down
  /// would hold it like a barb.
  double rise_ratio(double length_mm) const {
    return std::max(0.0, (middle_mm(2) - middle_mm(0)) / length_mm);
  }
  /// The step's height at a distance from the seam: the wall's middle as near as it may be.
  double step_mm(double along_mm, double length_mm) const {
    return (middle_mm(0) + middle_mm(2)) / 2 + rise_ratio(length_mm) * (along_mm - length_mm / 2);
  }
};

class Planner {
 public:
  Planner(Vec3 into, const Cell& female, const HiddenGround& ground, const LapRules& rules)
      : into_(into), female_(female), ground_(ground), rules_(rules) {}

  std::vector<Section> sections(const std::vector<EdgePoint>& stretch,
                                const PlaneFrame& frame) const {
    std::vector<Section> out;
    for (const EdgePoint& edge : stretch) {
      Section section{frame.lift(edge.at), frame.u * edge.out.x + frame.v * edge.out.y, {}};
      section.is_good = measure(section);
      out.push_back(section);
    }
    for (std::size_t i = 0; i < out.size(); ++i) {
      const Vec3 way = out[std::min(i + 1, out.size() - 1)].base - out[i > 0 ? i - 1 : 0].base;
      out[i].along = normalized(way);
    }
    mark_folds(out);
    return out;
  }

  /// Corners of the band at one section: where it begins and ends along the lap, by the middle of
  /// the wall and over the hidden skin; `aside_mm` wider both ways.
  std::array<Vec3, 4> corners(const Section& s, double aside_mm = 0) const {
    const double end_mm = rules_.length_mm + kTipRoom_mm;
    const double skin_slope = (s.hidden_mm[2] - s.hidden_mm[0]) / rules_.length_mm;
    const double bulge = std::max(0.0, s.hidden_mm[1] - (s.hidden_mm[0] + s.hidden_mm[2]) / 2);
    const auto at = [&](double along_mm, double height_mm) {
      return s.base + into_ * along_mm + s.out * height_mm;
    };
    const auto step = [&](double mm) { return s.step_mm(mm, rules_.length_mm) - aside_mm; };
    const auto over = [&](double mm) {
      return s.hidden_mm[0] + skin_slope * mm + 2 * bulge + kOverSkin_mm + aside_mm;
    };
    return {at(-kBefore_mm, step(-kBefore_mm)), at(end_mm, step(end_mm)), at(end_mm, over(end_mm)),
            at(-kBefore_mm, over(-kBefore_mm))};
  }

 private:
  bool measure(Section& s) const {
    for (std::size_t k = 0; k < 3; ++k) {
      const double depth = rules_.length_mm * static_cast<double>(k) / 2;
      const double from = k == 0 ? 0 : s.hidden_mm[k - 1];
      const Vec3 start = s.base + into_ * depth + s.out * (from + kLook_mm);
      const auto hit = ground_.first_hidden_mm(start, -s.out);
      if (!hit) return false;
      s.hidden_mm[k] = from + kLook_mm - *hit;
      if (std::abs(s.hidden_mm[k] - from) >
          kSteepest_ratio * rules_.length_mm / 2 + (k == 0 ? 1 : 0))
        return false;
      s.wall_mm[k] = ground_.wall_mm(start - s.out * *hit, s.out);
      if (s.wall_mm[k] < rules_.least_wall_mm - 0.05) return false;
    }
    return has_lips(s) && stays_in_cell(s);
  }

  /// What the room takes beside the band, but for what the seam's bends ask.
  double roomy_mm(const Section& s) const {
    const double slope = s.rise_ratio(rules_.length_mm);
    return rules_.clearance_mm * std::sqrt(1 + slope * slope);
  }

  bool stays_in_cell(const Section& s) const {
    const auto room = corners(s, roomy_mm(s));
    return std::all_of(room.begin(), room.end(),
                       [&](Vec3 p) { return female_.holds(p, kOffSeams_mm); });
  }

  /// Whether the step leaves enough of the wall on both its sides, at the seam, half way and at the
  /// lap's end.
  bool has_lips(const Section& s) const {
    for (std::size_t k = 0; k < 3; ++k) {
      const double inner = s.hidden_mm[k] - s.step_mm(rules_.length_mm * static_cast<double>(k) / 2,
                                                      rules_.length_mm);
      if (std::min(inner, s.wall_mm[k] - inner) < kLeastLip_ratio * s.wall_mm[k]) return false;
    }
    return true;
  }

  /// Neighbouring sections whose corners do not go the seam's way, of band and room alike.
  void mark_folds(std::vector<Section>& sections) const {
    std::vector<char> folds(sections.size(), 0);
    for (std::size_t i = 0; i + 1 < sections.size(); ++i) {
      if (!sections[i].is_good || !sections[i + 1].is_good) continue;
      const auto a = corners(sections[i], roomy_mm(sections[i])),
                 b = corners(sections[i + 1], roomy_mm(sections[i + 1]));
      const Vec3 way = sections[i + 1].base - sections[i].base;
      for (const auto& [root, tip] : {std::pair{0, 1}, std::pair{3, 2}}) {
        const Vec3 twist = (b[tip] - b[root]) - (a[tip] - a[root]);
        if (norm(twist) > kMostTwist_mm) folds[i] = folds[i + 1] = 1;
      }
      for (std::size_t c = 0; c < 4; ++c) {
        if (dot(b[c] - a[c], way) < 0.3 * dot(way, way)) folds[i] = folds[i + 1] = 1;
      }
    }
    for (std::size_t i = 0; i < sections.size(); ++i) sections[i].is_good &= !folds[i];
  }

  Vec3 into_;
  const Cell& female_;
  const HiddenGround& ground_;
  const LapRules& rules_;
};

/// The least share of a step along a vertex's way that a face round it moves square to itself. Only
/// faces whose vertices are all of one group, 0 or more, count.
template <class Group, class Way>
std::vector<double> least_cosines(const Solid& solid, const Group& group, const Way& way) {
  std::vector<double> least(solid.points().size(), 1);
  for (std::size_t f = 0; f < solid.face_count(); ++f) {
    const Triangle& t = solid.triangles()[f];
    const int of = group(to_index(t[0]));
    if (of < 0 || group(to_index(t[1])) != of || group(to_index(t[2])) != of) continue;
    const Vec3 normal = normalized(solid.area_normal(to_id<FaceId>(f)));
    for (const VertexId v : t)
      least[to_index(v)] = std::min(least[to_index(v)], dot(normal, way(to_index(v))));
  }
  for (double& cosine : least) cosine = std::max(cosine, kLeastCosine);
  return least;
}

/// A band with room round it: its corners go so far along their sections and, at both ends, along
/// the band that each face of its step and of its ends is the clearance farther, square to itself.
Solid room_round(const Solid& band, std::span<const Section> run, bool is_reversed,
                 double clearance_mm) {
  const std::span<const Vec3> at = band.points();
  const std::size_t last = 4 * (run.size() - 1);
  const auto is_step = [&](std::size_t v) { return (v % 4 < 2) != is_reversed; };
  const auto aside = [&](std::size_t v) { return is_step(v) ? -run[v / 4].out : run[v / 4].out; };
  const auto step = least_cosines(
      band, [&](std::size_t v) { return is_step(v) ? 0 : -1; }, aside);
  const auto is_end = [&](std::size_t v) { return v < 4 || v >= last; };
  const auto ahead = [&](std::size_t v) {
    return is_end(v) ? normalized(at[v] - at[v < 4 ? v + 4 : v - 4]) : Vec3{};
  };
  const auto end = least_cosines(
      band, [&](std::size_t v) { return is_end(v) ? static_cast<int>(v / 4) : -1; }, ahead);
  std::vector<Vec3> points;
  for (std::size_t v = 0; v < at.size(); ++v)
    points.push_back(at[v] + (aside(v) / step[v] + ahead(v) / end[v]) * clearance_mm);
  return Solid::adopt(std::move(points), {band.triangles().begin(), band.triangles().end()},
                      {band.origins().begin(), band.origins().end()});
}

bool is_between(const std::array<Vec3, 4>& p, const std::array<Vec3, 4>& a,
                const std::array<Vec3, 4>& b) {
  for (std::size_t c = 0; c < 4; ++c) {
    const Vec3 along = b[c] - a[c], from = p[c] - a[c];
    const double t = dot(along, along) > 0 ? dot(from, along) / dot(along, along) : 0;
    if (norm(from - along * t) > kBend_mm) return false;
  }
  return true;
}

/// The run without sections that lie between their neighbours: booleans cost by the face.
std::vector<Section> thinned(std::span<const Section> run, const Planner& planner) {
  std::vector<std::array<Vec3, 4>> corners;
  for (const Section& section : run) corners.push_back(planner.corners(section));
  std::vector<Section> kept{run.front()};
  for (std::size_t last = 0, i = 2; i < run.size(); ++i) {
    bool is_straight = i - last <= kMostThinned;
    for (std::size_t k = last + 1; k < i && is_straight; ++k)
      is_straight = is_between(corners[k], corners[last], corners[i]);
    if (is_straight) continue;
    last = i - 1;
    kept.push_back(run[last]);
  }
  kept.push_back(run.back());
  return kept;
}

void add_run(Lap& lap, std::span<const Section> full, const Planner& planner, bool is_reversed,
             const LapRules& rules) {
  const std::vector<Section> run = thinned(full, planner);
  double length = 0;
  for (std::size_t i = 1; i < run.size(); ++i) length += norm(run[i].base - run[i - 1].base);
  if (length < rules.least_stretch_mm) return;
  const Origin origin{OriginKind::key, static_cast<std::uint32_t>(lap.joint)};
  std::vector<std::array<Vec3, 4>> stations;
  for (const Section& section : run) {
    stations.push_back(planner.corners(section));
    if (is_reversed) std::reverse(stations.back().begin(), stations.back().end());
  }
  lap.bands.push_back(swept_solid(stations, origin));
  lap.rooms.push_back(room_round(lap.bands.back(), run, is_reversed, rules.clearance_mm));
  if (lap.length_mm == 0) lap.at = run[run.size() / 2].base;
  lap.length_mm += length;
}

/// Whether the male piece still fits its printer as it stands. Rooms reach a little over the skin,
/// so this errs on the safe side.
bool fits_with(const PosedPiece& piece, const Lap& lap) {
  constexpr double kFit_mm = 2e-6;  // the poses' own
  Box3 box;
  const auto extend = [&](const Solid& solid) {
    for (const Vec3 p : solid.points()) box.extend(piece.pose.bed_from_part.apply(p));
  };
  extend(piece.cut->solid);
  for (const Solid& room : lap.rooms) extend(room);
  const Vec3 size = box.size();
  return box.low.z >= -kFit_mm && size.x <= piece.usable_mm.x + kFit_mm &&
         size.y <= piece.usable_mm.y + kFit_mm && box.high.z <= piece.usable_mm.z + kFit_mm;
}

/// The lap of one joint with one of its pieces as the male.
Lap lap_of(std::size_t joint, const JointFace& face, const Plane& plane, Side male,
           const Cell& female, const HiddenGround& ground, const LapRules& rules) {
  const bool is_above = male == Side::above;
  const Planner planner(is_above ? -plane.normal : plane.normal, female, ground, rules);
  Lap lap{joint, is_above ? face.above : face.below, {}, {}, {}, 0};
  const PlaneFrame frame(plane);
  for (const auto& stretch : hidden_stretches(face.region, frame, ground, kStep_mm)) {
    const std::vector<Section> sections = planner.sections(stretch, frame);
    for_each_run<Section>(
        sections, [](const Section& section) { return section.is_good; },
        [&](std::span<const Section> run) { add_run(lap, run, planner, is_above, rules); });
  }
  return lap;
}

/// The longer of the laps that either piece can bear: where the wall leans, the steps of one rise
/// and those of the other would go down.
std::optional<Lap> plan_lap(std::size_t joint, const JointFace& face, const SeamPlan& plan,
                            std::span<const PosedPiece> pieces, const HiddenGround& ground,
                            const LapRules& rules) {
  const Plane& plane = find_seam(plan, face.seam)->plane;
  std::optional<Lap> longest;
  for (const Side side : {Side::above, Side::below}) {
    const bool is_above = side == Side::above;
    const PosedPiece& male = pieces[to_index(is_above ? face.above : face.below)];
    if (face_side(plane, side, male.pose).is_on_bed) continue;
    const Cell female(plan, *pieces[to_index(is_above ? face.below : face.above)].cut, face.seam);
    Lap lap = lap_of(joint, face, plane, side, female, ground, rules);
    const bool is_longer = !longest || lap.length_mm > longest->length_mm;
    if (!lap.bands.empty() && is_longer && fits_with(male, lap)) longest = std::move(lap);
  }
  return longest;
}

}  // namespace

std::vector<Lap> plan_laps(const SeamPlan& plan, std::span<const PosedPiece> pieces,
                           std::span<const JointFace> faces, std::span<const std::size_t> wanted,
                           const HiddenSkin& hidden, const LapRules& rules, const Run& run) {
  if (wanted.empty() || hidden.whole == nullptr) return {};
  const HiddenGround ground(hidden);
  auto found = map_index(wanted.size(), run, [&](std::size_t k) {
    const JointFace& face = faces[wanted[k]];
    return plan_lap(wanted[k], face, plan, pieces, ground, rules);
  });
  std::vector<Lap> laps;
  for (std::optional<Lap>& lap : found)
    if (lap) laps.push_back(std::move(*lap));
  return laps;
}

}  // namespace seamwright
