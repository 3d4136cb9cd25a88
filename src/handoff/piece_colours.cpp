#include <algorithm>
#include <array>
#include <set>
#include <tuple>
#include <vector>

#include "seamwright/handoff/colour_distance.h"
#include "seamwright/handoff/views.h"

namespace seamwright {
namespace {

/// Found by search among calm colours (L* 40 to 80, chroma 9 to 34), so that the most alike two
/// differ most: by 14.7 for common eyes, 8.1 for eyes without red or green cones, 9.8 without blue.
constexpr std::array<Colour, 18> kSkins{{{160, 120, 168},
                                         {192, 200, 136},
                                         {40, 104, 152},
                                         {240, 160, 168},
                                         {72, 104, 72},
                                         {200, 184, 240},
                                         {160, 112, 72},
                                         {120, 208, 184},
                                         {136, 80, 104},
                                         {168, 200, 208},
                                         {104, 96, 40},
                                         {128, 160, 208},
                                         {176, 152, 96},
                                         {72, 144, 136},
                                         {112, 112, 136},
                                         {144, 160, 136},
                                         {160, 152, 168},
                                         {128, 120, 104}}};

/// Eyes without one kind of cones see smaller distances everywhere: as much more theirs count.
constexpr double kFewerCones = 1.8;

Colour lightened(Colour c) {
  const auto lighter = [](std::uint8_t v) {
    return static_cast<std::uint8_t>(v + (255 - v) * 11 / 20);
  };
  return {lighter(c.red), lighter(c.green), lighter(c.blue)};
}

using Distances = std::array<std::array<double, kSkins.size()>, kSkins.size()>;

/// How differently each two look to whom they look most alike.
Distances distances() {
  Distances table{};
  for (auto& row : table) row.fill(1e9);
  for (const Eyes eyes : kEyes) {
    std::array<LabColour, kSkins.size()> seen;
    for (std::size_t c = 0; c < kSkins.size(); ++c) seen[c] = lab_of(seen_by(eyes, kSkins[c]));
    const double weight = eyes == Eyes::common ? 1 : kFewerCones;
    for (std::size_t a = 0; a < kSkins.size(); ++a) {
      for (std::size_t b = 0; b < kSkins.size(); ++b)
        table[a][b] = std::min(table[a][b], weight * colour_distance(seen[a], seen[b]));
    }
  }
  return table;
}

using Neighbours = std::vector<std::set<std::size_t>>;

Neighbours neighbours(const HandOff& hand_off) {
  Neighbours near(hand_off.pieces.size());
  for (const Joint& joint : hand_off.joints) {
    near.at(to_index(joint.face.above)).insert(to_index(joint.face.below));
    near.at(to_index(joint.face.below)).insert(to_index(joint.face.above));
  }
  return near;
}

class Chooser {
 public:
  explicit Chooser(const HandOff& hand_off) : near_(neighbours(hand_off)) {}

  /// A colour that is used least, and of those the least like the neighbours'; then pieces swap
  /// colours as long as that sets neighbours further apart.
  std::vector<std::size_t> choices() {
    std::array<std::size_t, kSkins.size()> uses{};
    for (std::size_t piece = 0; piece < near_.size(); ++piece) {
      std::size_t best = 0;
      const auto rank = [&](std::size_t c) {
        const double apart = least_distance(piece, c);
        return std::tuple(apart > 0, -static_cast<double>(uses[c]), apart);
      };
      for (std::size_t c = 1; c < kSkins.size(); ++c)
        if (rank(c) > rank(best)) best = c;
      choice_.push_back(best);
      ++uses[best];
    }
    constexpr int kMostRounds = 20;
    for (int round = 0; round < kMostRounds && swap_some(); ++round) continue;
    return choice_;
  }

 private:
  /// To the neighbours that have a colour, if the piece had this one.
  double least_distance(std::size_t piece, std::size_t colour) const {
    double least = 1e9;
    for (const std::size_t other : near_[piece])
      if (other < choice_.size()) least = std::min(least, distances_[colour][choice_[other]]);
    return least;
  }
  double worst_of(std::size_t a, std::size_t b) const {
    return std::min(least_distance(a, choice_[a]), least_distance(b, choice_[b]));
  }
  bool swap_some() {
    bool is_better = false;
    for (std::size_t a = 0; a < choice_.size(); ++a) {
      for (std::size_t b = a + 1; b < choice_.size(); ++b) {
        const double before = worst_of(a, b);
        std::swap(choice_[a], choice_[b]);
        if (worst_of(a, b) > before + 1e-6)
          is_better = true;
        else
          std::swap(choice_[a], choice_[b]);
      }
    }
    return is_better;
  }

  Neighbours near_;
  Distances distances_ = distances();
  std::vector<std::size_t> choice_;
};

}  // namespace

std::vector<PieceColours> piece_colours(const HandOff& hand_off) {
  std::vector<PieceColours> colours;
  for (const std::size_t choice : Chooser(hand_off).choices())
    colours.push_back({kSkins[choice], lightened(kSkins[choice])});
  return colours;
}

}  // namespace seamwright
