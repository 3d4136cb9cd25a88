#pragma once

#include <algorithm>
#include <array>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "seamwright/core/describe.h"

namespace seamwright {

enum class KeyKind { dowel, pin, tongue, lap, strap, flange, magnet, none };

constexpr std::array<std::pair<std::string_view, KeyKind>, 8> names(KeyKind) {
  return {{{"dowel", KeyKind::dowel},
           {"pin", KeyKind::pin},
           {"tongue", KeyKind::tongue},
           {"lap", KeyKind::lap},
           {"strap", KeyKind::strap},
           {"flange", KeyKind::flange},
           {"magnet", KeyKind::magnet},
           {"none", KeyKind::none}}};
}

/// `[[joint]]`: what the maker wants for one joint, or for all joints of a seam.
struct JointChoice {
  std::string seam;                 ///< "S3"; empty: wherever the pieces meet
  std::vector<std::string> pieces;  ///< the marks of both, as ["A1", "B2"]; empty: all of the seam
  KeyKind key = KeyKind::dowel;
};

template <class Settings, class Visitor>
requires same_settings<Settings, JointChoice>
void describe(Settings& choice, Visitor&& visit) {
  visit(choice.seam,
        FieldDoc{"seam", "the seam, as \"S3\"; empty: wherever the pieces meet", "yours"});
  visit(choice.pieces,
        FieldDoc{"pieces", "marks of both pieces; empty: every joint of the seam", "yours"});
  visit(choice.key,
        FieldDoc{"key", "dowel, pin, tongue, lap, strap, none; flange or magnet: comes apart again",
                 "yours"});
}

/// Whether a choice is meant for the joint that two pieces have on a seam.
inline bool is_meant(const JointChoice& choice, std::string_view seam, std::string_view one,
                     std::string_view other) {
  const auto names = [&](std::string_view mark) {
    return std::find(choice.pieces.begin(), choice.pieces.end(), mark) != choice.pieces.end();
  };
  if (choice.seam.empty() && choice.pieces.empty()) return false;
  return (choice.seam.empty() || choice.seam == seam) &&
         (choice.pieces.empty() || (names(one) && names(other)));
}

}  // namespace seamwright
