#pragma once

#include <vector>

#include "pose/legs.h"
#include "pose/turn.h"
#include "seamwright/mesh/solid.h"
#include "seamwright/pose/standing.h"

namespace seamwright::pose_detail {

inline constexpr double kContactReach_mm = 0.02;

/// What every direction of a solid shares, found once. O(faces).
struct SolidFacts {
  explicit SolidFacts(const Solid& of);
  const Solid* solid;
  std::vector<Vec3> area_normals;    ///< twice the area times the unit normal, per face
  std::vector<double> double_areas;  ///< their lengths
  double area_mm2 = 0, volume_mm3 = 0;
  Vec3 centroid;
};

/// The solid seen with one direction down, before it is turned about the vertical. Coordinates are
/// along `u` and `v`; u × v is up.
struct Footing {
  Vec3 down, u, v;
  double bed_mm = 0;  ///< down · p of the lowest point
  double height_mm = 0;
  std::vector<Vec2> outline;    ///< hull of the shadow
  double contact_mm2 = 0;       ///< projected area within reach of the bed
  double skin_contact_mm2 = 0;  ///< the skin's share of it
  double support_mm2 = 0;       ///< skin and caps that need support
  double propped_mm2 = 0;       ///< their projected area
  Angle tip_angle;
  double slenderness_ratio = 0;
};

/// Works out footings of one solid; keeps its scratch memory.
class FootingMaker {
 public:
  FootingMaker(const SolidFacts& facts, Angle support_from)
      : facts_(facts), support_cosine_(std::cos(support_from.radians())) {}

  /// Shadow and height, enough to judge the fit. O(points).
  Footing look(Vec3 down);
  /// The rest: contact, support, tip, slenderness. With `on_supports` the footprint holds the
  /// columns under the supported faces too (see Legs), as if each reached the bed. O(faces). Must
  /// follow the look() that made `footing`.
  void weigh(Footing& footing, bool on_supports);
  /// Down · p less the bed: how far each point is over the bed, of the last look().
  const std::vector<double>& heights() const { return heights_; }

 private:
  struct FaceSums;
  void add_face(std::size_t f, Footing& footing);
  void add_contact_part(std::size_t f, double projected, Footing& footing, double& share);

  const SolidFacts& facts_;
  double support_cosine_;
  std::vector<double> heights_;
  std::vector<Vec2> flat_;  ///< every point along u and v
  std::vector<Vec2> footprint_, spent_;
  Legs legs_;
  bool on_supports_ = false;
};

}  // namespace seamwright::pose_detail
