#pragma once

#include <vector>

#include "seams/clip_body.h"
#include "seamwright/core/zone.h"
#include "seamwright/profile/cost.h"
#include "seamwright/seams/plan_seams.h"

namespace seamwright::search {

/// A rough print time: so much for each mm² of a piece's surface (walls, skins) and each mm³ of it
/// (fill). Both 0: not counted.
struct PrintPace {
  double h_per_mm2 = 0, h_per_mm3 = 0;
  double hours(double area_mm2, double volume_mm3) const {
    return h_per_mm2 * area_mm2 + h_per_mm3 * volume_mm3;
  }
};

/// What a search prices seams and pieces by.
struct PriceRules {
  CostWeights cost;
  std::vector<Zone> forbidden;
  std::vector<PreferredSeam> preferred;
  std::vector<SeatZone> seats;
  PrintPace pace;
  double longest_print_h = 0;  ///< 0: any
  double print_hour_h = 0;     ///< on each print hour, for plans that save print time
};

/// What printing a piece costs the maker: failed prints on average (a print of T hours succeeds
/// with (1 − p)·e^{−λT}, expected failures (1 − s)/s), and hours beyond the longest window.
double printing_h(const PriceRules& rules, double print_h);

/// Whether a seam lies on the preferred plane: within 0.5° and 0.5 mm at the origin's foot on it.
bool lies_on(const Plane& seam, const Plane& preferred);
/// The greatest discount of the planes the seam lies on, 0…1.
double discount(const PriceRules& rules, const Plane& seam);

/// Which zones the new cap of `halves` goes through, as a penalty that shrinks as the plane leaves
/// them; 0 when it keeps out. O(zones · edges of the cap).
double trespass_h(const PriceRules& rules, const Plane& plane, const BodyHalves& halves);
/// The most that trespass_h may be for a plane: counts the zones it cuts, material there or not.
double possible_trespass_h(const PriceRules& rules, const Plane& plane);

/// What the seats that a plane cuts cost, of those inside the body: more than a piece with its
/// seams by the maker's prices, and less as the plane leaves them. O(seats inside).
double cut_seats_h(const PriceRules& rules, const Plane& plane, const ClipBody& body);

/// What the channels inside a body cost at a seam: each line crossed at less than 45°, where the
/// bore is cut lengthwise and neither prints nor glues well, and each mm that runs at less than 45°
/// within 5 mm beside the plane, where keys find no room. O(lines inside).
double harmed_channels_h(const Plane& plane, const ClipBody& body);

/// Hours that a seam costs at one place.
struct PlacedHours {
  Vec3 where;
  double hours = 0;
};
/// What the zones, seats and channels of a body cost a seam on the plane, each where it lies: for
/// cuts through a part of the body only. Zones count whether material is there or not.
std::vector<PlacedHours> placed_hours(const PriceRules& rules, const Plane& plane,
                                      const ClipBody& body);

/// The pace at which a part prints, from two sizes of it by the judge: two equations for two
/// unknowns. Without a judge, nothing.
PrintPace measure_pace(const Solid& stand_in, const PieceJudge& judge);

}  // namespace seamwright::search
