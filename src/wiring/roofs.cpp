#include "seamwright/wiring/roofs.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <memory>
#include <optional>

#include "seamwright/query/ray_tree.h"
#include "wiring/combine_tools.h"
#include "wiring/rib.h"
#include "wiring/smooth_skin_way.h"
#include "wiring/sweep_rings.h"

namespace seamwright {
namespace {

using namespace wiring_detail;

constexpr double kLyingSine = std::numbers::sqrt2 / 2;
// Half the angle at the ridge: 42°, not 45°, or the slopes would touch the bore's wall along a line
// instead of crossing it.
const double kRoofTangent = std::tan(Angle::degrees(42).radians());
constexpr double kWaist = std::numbers::sqrt2 / 2;  // the slopes leave the bore at 45°
constexpr double kInside = 0.3;                     // of a radius: how far a slope begins inside
constexpr double kOffSeamMm = 0.5, kStepMm = 2, kLeastRunMm = 3;
constexpr double kLeastRibWallMm = 1.4;

double ridge_ratio() {
  return kWaist * (1 + 1 / kRoofTangent);
}

bool is_bored(const Channel& channel) {
  return channel.kind == "bore" || channel.kind == "rib" || channel.kind == "spar";
}

double asked_wall_mm(const Channel& channel) {
  return channel.kind == "rib" ? kLeastRibWallMm : channel.wire.wall_mm;
}

/// Whether a place lies in a piece's half, that far off its seams.
bool lies_in(const SeamPlan& plan, const CutPiece& piece, Vec3 at, double off_mm) {
  std::optional<SeamId> id = piece.seam;
  Side side = piece.side;
  while (id) {
    const Seam* seam = find_seam(plan, *id);
    const double above_mm = seam->plane.distance(at);
    if ((side == Side::above ? above_mm : -above_mm) < off_mm) return false;
    id = seam->parent;
    side = seam->side;
  }
  return true;
}

bool has_channel(const Solid& solid, std::size_t channel) {
  return std::any_of(solid.origins().begin(), solid.origins().end(), [&](const Origin& origin) {
    return origin.kind == OriginKind::channel && origin.id == channel;
  });
}

/// One bore in one piece, sample by sample.
struct Section {
  Vec3 at, along, roof;  ///< unit: the way, and up across it
  double wall_mm = 0;    ///< the plastic that a roof would leave
  bool is_lying = false, may_roof = false;
};

class BoreRoofer {
 public:
  BoreRoofer(const SeamPlan& plan, const Channel& channel, std::size_t index,
             const TriangleTree& around)
      : plan_(plan),
        channel_(channel),
        index_(index),
        around_(around),
        radius_mm_(channel.diameter_mm / 2),
        tangents_(tangents_of(channel.path)) {}

  /// The bore's samples in a piece; where several solids lie in one half, in the nearest.
  std::vector<Section> sections(const PrintedPiece& piece, const RayTree* nearest_of) const {
    std::vector<Section> all;
    for (std::size_t i = 0; i < channel_.path.size(); ++i) {
      const Vec3 at = channel_.path[i];
      Section section{at, tangents_[i], {}};
      const bool is_here =
          lies_in(plan_, *piece.cut, at, 0) &&
          (nearest_of == nullptr || nearest_of->nearest(at)->distance_mm < 2 * radius_mm_);
      const double rise = dot(section.along, piece.up);
      if (is_here && std::abs(rise) < kLyingSine) {
        section.is_lying = true;
        section.roof = normalized(piece.up - section.along * rise);
        section.wall_mm = wall_left_mm(section);
        section.may_roof = section.wall_mm >= asked_wall_mm(channel_) &&
                           lies_in(plan_, *piece.cut, at, kOffSeamMm) &&
                           lies_in(plan_, *piece.cut, ridge_of(section), kOffSeamMm);
      }
      all.push_back(section);
    }
    return all;
  }

  Solid roof(std::span<const Section> run) const {
    Rings rings;
    for (std::size_t i = 0; i < run.size(); ++i) {
      const bool is_end = i == 0 || i + 1 == run.size();
      if (!is_end && norm(run[i].at - last_) < kStepMm) continue;
      if (i + 1 == run.size() && rings.size() > 1 && norm(run[i].at - last_) < kStepMm / 2)
        rings.pop_back();
      rings.push_back(kite(run[i]));
      last_ = run[i].at;
    }
    const auto middle = [](const Section& s, double up_mm) { return s.at + s.roof * up_mm; };
    const double up_mm = radius_mm_ * 0.6;
    return sweep_rings(rings, middle(run.front(), up_mm), middle(run.back(), up_mm),
                       {OriginKind::channel, static_cast<std::uint32_t>(index_)});
  }

 private:
  Vec3 ridge_of(const Section& s) const { return s.at + s.roof * (radius_mm_ * ridge_ratio()); }

  /// The roof's corners: ridge, and where its slopes begin inside the bore.
  std::vector<Vec3> kite(const Section& s) const {
    const Vec3 side = cross(s.along, s.roof);
    const double out = kWaist + kInside * std::sin(std::atan(kRoofTangent)),
                 up = kWaist - kInside * std::cos(std::atan(kRoofTangent));
    const auto corner = [&](double right, double high) {
      return s.at + side * (right * radius_mm_) + s.roof * (high * radius_mm_);
    };
    return {ridge_of(s), corner(-out, up), corner(0, 0.2), corner(out, up)};
  }

  double wall_left_mm(const Section& s) const {
    const Vec3 side = cross(s.along, s.roof), ridge = ridge_of(s);
    double least_mm = std::numeric_limits<double>::infinity();
    for (const double share : {-0.5, 0.0, 0.5}) {
      const Vec3 waist =
          s.at + (side * (share < 0 ? -kWaist : kWaist) + s.roof * kWaist) * radius_mm_;
      const Vec3 p = ridge + (waist - ridge) * std::abs(share);
      least_mm = std::min(least_mm, around_.nearest(p).distance_mm);
    }
    return least_mm;
  }

  const SeamPlan& plan_;
  const Channel& channel_;
  std::size_t index_;
  const TriangleTree& around_;
  double radius_mm_;
  std::vector<Vec3> tangents_;
  mutable Vec3 last_;
};

double run_mm(std::span<const Section> run) {
  double sum_mm = 0;
  for (std::size_t i = 0; i + 1 < run.size(); ++i) sum_mm += norm(run[i + 1].at - run[i].at);
  return sum_mm;
}

/// Stretches of sections that all are as wanted.
template <class Wanted>
std::vector<std::span<const Section>> runs_of(const std::vector<Section>& sections,
                                              const Wanted& is_wanted) {
  std::vector<std::span<const Section>> runs;
  for (std::size_t i = 0; i < sections.size(); ++i) {
    if (!is_wanted(sections[i])) continue;
    std::size_t end = i + 1;
    while (end < sections.size() && is_wanted(sections[end])) ++end;
    runs.emplace_back(sections.data() + i, end - i);
    i = end;
  }
  return runs;
}

/// All that a channel's roof keeps its wall to: the skin, ridges, pockets and other channels.
TriangleTree around_channel(const Solid& wired, std::size_t channel) {
  return TriangleTree(corners_where(wired, [&](FaceId f) {
    const Origin origin = wired.origin(f);
    return origin.kind != OriginKind::channel || origin.id != channel;
  }));
}

struct Roof {
  std::size_t bore = 0;  ///< position in RoofedPart::bores
  double length_mm = 0;
  Tool tool;
};

class PartRoofer {
 public:
  PartRoofer(const Solid& wired, const SeamPlan& plan, std::span<const PrintedPiece> pieces)
      : plan_(plan), pieces_(pieces), out_{wired, {}} {}

  void roof_channel(const Channel& channel, std::size_t index) {
    const TriangleTree around = around_channel(out_.solid, index);
    const BoreRoofer roofer(plan_, channel, index, around);
    for (std::size_t p = 0; p < pieces_.size(); ++p) {
      if (!has_channel(pieces_[p].cut->solid, index)) continue;
      const bool is_alone = std::none_of(pieces_.begin(), pieces_.end(), [&](const auto& other) {
        return other.cut != pieces_[p].cut && other.cut->seam == pieces_[p].cut->seam &&
               other.cut->side == pieces_[p].cut->side;
      });
      const std::optional<RayTree> tree =
          is_alone ? std::nullopt : std::make_optional<RayTree>(pieces_[p].cut->solid);
      add_piece(roofer, channel, index, p, roofer.sections(pieces_[p], tree ? &*tree : nullptr));
    }
  }

  RoofedPart take() {
    std::vector<Tool> tools;
    for (const Roof& roof : roofs_) tools.push_back(roof.tool);
    Result<Solid> all = combine_tools(out_.solid, {}, tools);
    if (all) {
      for (const Roof& roof : roofs_) out_.bores[roof.bore].roofed_mm += roof.length_mm;
      out_.solid = std::move(*all);
      return std::move(out_);
    }
    for (const Roof& roof : roofs_) {
      Result<Solid> one = combine_tools(out_.solid, {}, {&roof.tool, 1});
      if (one) {
        out_.bores[roof.bore].roofed_mm += roof.length_mm;
        out_.solid = std::move(*one);
      } else {
        out_.bores[roof.bore].is_refused = true;
      }
    }
    return std::move(out_);
  }

 private:
  void add_piece(const BoreRoofer& roofer, const Channel& channel, std::size_t index,
                 std::size_t piece, const std::vector<Section>& sections) {
    LyingBore bore{.channel = index,
                   .piece = piece,
                   .bridge_mm = channel.diameter_mm * kWaist,
                   .wall_mm = std::numeric_limits<double>::infinity()};
    for (const auto run : runs_of(sections, [](const Section& s) { return s.is_lying; }))
      bore.lying_mm += run_mm(run);
    if (bore.lying_mm == 0) return;
    for (const auto run : runs_of(sections, [](const Section& s) { return s.may_roof; })) {
      const double length_mm = run_mm(run);
      if (length_mm < kLeastRunMm) continue;
      for (const Section& s : run) bore.wall_mm = std::min(bore.wall_mm, s.wall_mm);
      roofs_.push_back(
          {out_.bores.size(),
           length_mm,
           {fmt::format("the roof of {} \"{}\"", channel.kind, channel.name), roofer.roof(run)}});
    }
    out_.bores.push_back(bore);
  }

  const SeamPlan& plan_;
  std::span<const PrintedPiece> pieces_;
  std::vector<Roof> roofs_;
  RoofedPart out_;
};

}  // namespace

RoofedPart add_roofs(const Solid& wired, const SeamPlan& plan, std::span<const PrintedPiece> pieces,
                     std::span<const Channel> channels, const RoofOptions& options) {
  PartRoofer roofer(wired, plan, pieces);
  for (std::size_t i = 0; i < channels.size(); ++i) {
    if (is_bored(channels[i]) && channels[i].diameter_mm > options.round_mm)
      roofer.roof_channel(channels[i], i);
  }
  return roofer.take();
}

}  // namespace seamwright
