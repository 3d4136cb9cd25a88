#pragma once

#include "seamwright/handoff/hand_off.h"
#include "seamwright/job/job.h"
#include "seamwright/job/marks.h"

namespace seamwright::job_detail {

/// Sets pockets and leads wires and rods by the job; looks who sees the part only when something
/// needs its hidden side. Errors: wire_part's.
Result<WiredPart> lead_wires(const Solid& part, const Job& job, const SightOptions& sight,
                             const Run& run);

/// Sight (or weight) of the faces after a cut, by what each was cut from; new walls are seen by
/// nobody.
std::vector<double> sight_carried(const Solid& before, const std::vector<double>& sight,
                                  const Solid& after);

/// Who sees the part as loaded, roughly, for ridges; empty when nothing needs it.
Result<std::vector<double>> quick_sight(const Solid& part, const Job& job,
                                        const SightOptions& sight, const Run& run);

/// Where channels cross the planned seams, and whether one does so at less than 45°.
Result<std::vector<SeamCrossing>> crossings_of(const HandOff& out);
bool crosses_askew(const SeamCrossing& crossing);

/// Asks the seams to keep clear of these: ways to cross squarely, seats to leave whole.
void keep_clear_of(const std::vector<Channel>& channels, const std::vector<Pocket>& pockets,
                   PlanOptions& asked);

/// Widens the channels where they cross the planned seams, and cuts the part by the same plan anew.
/// Fills `crossings` and `seam_runs`; warns of crossings at less than 45°, of seams that run along
/// channels and of seams through pockets.
/// `weights`, one a face or none, go with `sight` onto the part's new faces.
Status add_funnels(HandOff& out, std::vector<double>& weights, const Run& run);

/// Roofs the bores over 6 mm where they lie while their pieces print, as these stand by now, and
/// cuts the part by the same plan anew; tells of each wire and piece where one stays round.
Status roof_bores(HandOff& out, std::vector<double>& weights, const EarlierMarks& earlier,
                  const Run& run);

}  // namespace seamwright::job_detail
