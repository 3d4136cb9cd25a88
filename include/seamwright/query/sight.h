#pragma once

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "seamwright/core/run.h"
#include "seamwright/mesh/solid.h"
#include "seamwright/mesh/triangle_soup.h"

namespace seamwright {

/// What stands beside the part when it is seen.
enum class SightMode { none, wall, worn, around, body };

struct SightOptions {
  SightMode mode = SightMode::none;
  Vec3 worn_side{0, 0, -1};  ///< unit; the wall's or body's side, or the axis for `around`
  /// For `body`: the skin of what wears the part, in the part's frame; it may be open. Faces in it
  /// or against it are seen by nobody.
  std::shared_ptr<const TriangleSoup> body = {};
  /// Unit; viewers stand around: half sky, half a band −10…+30° of elevation.
  std::optional<Vec3> up = {};
  int rays_per_face = 64;  ///< 16 with `is_smoothed` is the quick way
  bool is_smoothed = false;
  std::uint64_t seed = 1;
};

/// Sight of every face, 0…1: the share of the world outside that sees it, the worn side blocked.
/// Deterministic on any thread count. Errors: "cancelled". Cost: 64 rays a face, 89 k faces about 1
/// s on two cores. Source: the project's own measurements (SIGHT).
Result<std::vector<double>> face_sight(const Solid& solid, const SightOptions& options = {},
                                       const Run& run = {});

/// A guess of how the part is worn, to be shown and confirmed, never applied in silence.
struct WornGuess {
  SightMode mode = SightMode::none;  ///< worn, around, or none: unknown
  Vec3 side{0, 0, -1};               ///< unit: the worn side, or the axis
  double score_ratio = 0;            ///< open things 0.33–0.77, bodies at most 0.03
  std::string reason;                ///< in words
};
Result<WornGuess> guess_worn_side(const Solid& solid, const Run& run = {});

}  // namespace seamwright
