#include "seamwright/wiring/seam_runs.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace seamwright {
namespace {

/// The faces of one seam, and how far a point is from them.
class SeamFaces {
 public:
  SeamFaces(const Seam& seam, std::span<const JointFace> faces)
      : plane_(seam.plane), frame_(seam.plane) {
    for (const JointFace& face : faces) {
      if (face.seam == seam.id) regions_.push_back(&face.region);
    }
  }

  /// Infinite where it is surely more than `most_mm`.
  double distance_mm(Vec3 p, double most_mm) const {
    double nearest_mm = std::numeric_limits<double>::infinity();
    const double off_mm = std::abs(plane_.distance(p));
    if (off_mm > most_mm) return nearest_mm;
    const Vec2 flat = frame_.flatten(p);
    for (const Region2* region : regions_) {
      const double beside_mm =
          region_contains(*region, flat) ? 0.0 : region_edge_distance_mm(*region, flat);
      nearest_mm = std::min(nearest_mm, std::hypot(off_mm, beside_mm));
    }
    return nearest_mm;
  }

  bool is_met_squarely(Vec3 along) const {
    return std::abs(dot(along, plane_.normal)) >= std::sqrt(0.5);
  }

 private:
  Plane plane_;
  PlaneFrame frame_;
  std::vector<const Region2*> regions_;
};

SeamRun run_of(const Channel& channel, const SeamFaces& faces, double beside_mm) {
  SeamRun run{.nearest_mm = std::numeric_limits<double>::infinity()};
  for (std::size_t i = 0; i + 1 < channel.path.size(); ++i) {
    const Vec3 a = channel.path[i], way = channel.path[i + 1] - a;
    const double length_mm = norm(way);
    if (length_mm <= 0 || faces.is_met_squarely(way / length_mm)) continue;
    const int steps = static_cast<int>(std::ceil(length_mm));
    for (int k = 0; k < steps; ++k) {
      const double off_mm = faces.distance_mm(a + way * ((k + 0.5) / steps), beside_mm);
      if (off_mm > beside_mm) continue;
      run.length_mm += length_mm / steps;
      run.nearest_mm = std::min(run.nearest_mm, off_mm);
    }
  }
  return run;
}

}  // namespace

std::vector<SeamRun> find_seam_runs(const SeamPlan& plan, std::span<const JointFace> faces,
                                    std::span<const Channel> channels,
                                    const SeamRunOptions& options) {
  std::vector<SeamRun> runs;
  for (std::size_t i = 0; i < channels.size(); ++i) {
    for (const Seam& seam : plan.seams) {
      SeamRun run = run_of(channels[i], SeamFaces(seam, faces), options.beside_mm);
      if (run.length_mm < options.longest_mm) continue;
      run.channel = i;
      run.seam = seam.id;
      runs.push_back(run);
    }
  }
  return runs;
}

}  // namespace seamwright
