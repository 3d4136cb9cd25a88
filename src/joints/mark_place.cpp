#include "joints/mark_place.h"

#include <algorithm>
#include <numbers>

#include "joints/glyphs.h"
#include "joints/key_features.h"

namespace seamwright::joints {
namespace {

constexpr double kSampleStep_mm = 1;
constexpr double kGapToKey_mm = 0.8;  // from a hole's mouth to the letters' box
constexpr std::size_t kMostSpots = 60;

/// The text's box turned into the face.
struct TextBox {
  Vec2 at, along;
  double half_width_mm, half_height_mm;

  Vec2 across() const { return {-along.y, along.x}; }
  Vec2 point(double x, double y) const { return at + along * x + across() * y; }
  double distance_mm(Vec2 p) const {
    const Vec2 from = p - at;
    const Vec2 over{std::max(0.0, std::abs(dot(from, along)) - half_width_mm),
                    std::max(0.0, std::abs(dot(from, across())) - half_height_mm)};
    return norm(over);
  }
};

class MarkSearch {
 public:
  MarkSearch(const FaceContext& context, Side side, std::span<const Key> keys,
             const Joinery& joinery)
      : context_(context), side_(context.side(side)), near_(context.near(side)), joinery_(joinery) {
    for (const Key& key : keys) {
      double radius = hole_radius_mm(key.diameter_mm, side_, joinery) * std::numbers::sqrt2;
      if (key.kind == KeyKind::magnet) radius += kPoleDimpleReach_mm;
      taken_.push_back({side_.frame.flatten(key.at), radius + joinery.relief_mm + kGapToKey_mm});
    }
  }

  std::optional<MarkPlace> find(std::string_view text, double height_mm) const {
    std::vector<KeySpot> spots = context_.spots;
    std::stable_sort(spots.begin(), spots.end(),
                     [](const KeySpot& a, const KeySpot& b) { return a.room_mm > b.room_mm; });
    if (spots.size() > kMostSpots) spots.resize(kMostSpots);
    const double over_mm = kGlyphOver / kGlyphHeight * height_mm;
    for (const KeySpot& spot : spots) {
      if (spot.room_mm < height_mm / 2 + joinery_.wall_to_skin_mm)
        break;                        // the least a line of letters needs
      for (int i = 0; i < 12; ++i) {  // upright in the face's frame first
        const Angle turn = Angle::degrees(15 * (i % 2 == 0 ? i / 2 : 11 - i / 2));
        const TextBox box{side_.frame.from_plane(spot.at),
                          {std::cos(turn.radians()), std::sin(turn.radians())},
                          text_aspect_ratio(text) * height_mm / 2 + over_mm,
                          height_mm / 2 + over_mm};
        if (fits(box)) return MarkPlace{box.at, turn, height_mm};
      }
    }
    return {};
  }

 private:
  bool fits(const TextBox& box) const {
    for (const auto& [at, radius] : taken_) {
      if (box.distance_mm(at) < radius) return false;
    }
    const int columns =
        std::max(1, static_cast<int>(std::ceil(2 * box.half_width_mm / kSampleStep_mm)));
    const int rows =
        std::max(1, static_cast<int>(std::ceil(2 * box.half_height_mm / kSampleStep_mm)));
    for (int i : {0, columns, columns / 2}) {  // the ends first: they fail first
      for (int k = 0; k <= rows; ++k)
        if (!keeps_wall(box, i, columns, k, rows)) return false;
    }
    for (int i = 1; i < columns; ++i) {
      for (int k = 0; k <= rows; ++k)
        if (!keeps_wall(box, i, columns, k, rows)) return false;
    }
    return true;
  }

  bool keeps_wall(const TextBox& box, int i, int columns, int k, int rows) const {
    const Vec2 p = box.point(box.half_width_mm * (2.0 * i / columns - 1),
                             box.half_height_mm * (2.0 * k / rows - 1));
    const Vec2 in_plane = side_.frame.from_plane(p);  // its own inverse
    if (!region_contains(context_.face->region, in_plane)) return false;
    if (region_edge_distance_mm(context_.face->region, in_plane) < joinery_.wall_to_skin_mm)
      return false;
    const double wall = joinery_.wall_to_skin_mm;
    return near_.keeps(side_.frame.lift(p, -joinery_.mark_depth_mm), wall);
  }

  const FaceContext& context_;
  const FaceSide& side_;
  const Surroundings& near_;
  const Joinery& joinery_;
  std::vector<std::pair<Vec2, double>> taken_;
};

}  // namespace

std::optional<MarkPlace> find_mark_place(const FaceContext& context, Side side,
                                         std::span<const Key> keys, std::string_view text,
                                         const Joinery& joinery) {
  if (!text_outlines(text, 1)) return {};
  const MarkSearch search(context, side, keys, joinery);
  const double wanted = std::max(kLeastMark_mm, joinery.mark_height_mm);
  if (auto place = search.find(text, wanted)) return place;
  return wanted > kLeastMark_mm ? search.find(text, kLeastMark_mm) : std::nullopt;
}

std::vector<CapFeature> mark_features(const MarkPlace& place, std::string_view text,
                                      double depth_mm, Origin origin) {
  std::vector<CapFeature> features;
  const double c = std::cos(place.turn.radians()), s = std::sin(place.turn.radians());
  const auto outlines = text_outlines(text, place.height_mm);
  require(outlines.has_value(), "a mark that has a place has glyphs");
  for (Loop2 loop : *outlines) {
    for (Vec2& p : loop) p = place.at + Vec2{c * p.x - s * p.y, s * p.x + c * p.y};
    features.push_back({{{loop, 0}, {loop, -depth_mm}}, origin});
  }
  return features;
}

}  // namespace seamwright::joints
