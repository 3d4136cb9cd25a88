#include "seamwright/query/sight.h"

#include "query/directions.h"
#include "query/embree_scene.h"
#include "query/face_neighbours.h"
#include "query/worn_body.h"
#include "seamwright/core/parallel.h"
#include "seamwright/core/random.h"

namespace seamwright {
namespace {

/// Rays start this far over the skin: far enough for single precision, too near to miss a wall.
constexpr double kLiftPerSize = 4e-6;
constexpr std::size_t kFacesPerBlock = 256;

/// With `up`, viewers stand around: half the weight is the sky's, spread over all directions, half
/// lies in a band of −10…+30° of elevation.
class ViewerWeight {
 public:
  explicit ViewerWeight(const std::optional<Vec3>& up) : up_(up) {
    low_ = std::sin(Angle::degrees(-10).radians());
    high_ = std::sin(Angle::degrees(30).radians());
    in_band_ = 1 + 2 / (high_ - low_);  // the band is (high − low) / 2 of the sphere
  }
  double of(Vec3 direction) const {
    if (!up_) return 1;
    const double rise = dot(direction, *up_);
    return rise >= low_ && rise <= high_ ? in_band_ : 1;
  }

 private:
  std::optional<Vec3> up_;
  double low_ = 0, high_ = 0, in_band_ = 1;
};

/// All that the rays of any face need.
struct SightScene {
  const Solid& solid;
  const SightOptions& options;
  EmbreeScene part;
  std::optional<WornBody> body;
  std::optional<EmbreeScene> part_and_body;
  double lift_mm;
  ViewerWeight weight;
  std::vector<Sample4> samples, shifts;

  SightScene(const Solid& of, const SightOptions& with, const Run& run);
  void put_beside(std::span<const Vec3> points, std::span<const Triangle> triangles);
  const EmbreeScene& blockers() const { return part_and_body ? *part_and_body : part; }
  bool is_covered(Vec3 center, Vec3 normal) const;
  bool is_blocked(Vec3 from, Vec3 direction) const;
  double sight_of(std::size_t face) const;
};

double half_size_mm(const Solid& solid) {
  return norm(solid.box().size()) / 2;
}

SightScene::SightScene(const Solid& of, const SightOptions& with, const Run& run)
    : solid(of),
      options(with),
      part(of.box().center(), half_size_mm(of)),
      lift_mm(2 * half_size_mm(of) * kLiftPerSize),
      weight(with.up) {
  part.add(solid.points(), solid.triangles());
  part.commit();
  if (options.mode == SightMode::worn || options.mode == SightMode::around) {
    body = make_worn_body(solid, part, options, run);
    put_beside(body->points, body->triangles);
  }
  if (options.mode == SightMode::body) put_beside(options.body->points, options.body->triangles);
  samples = spread_samples(static_cast<std::size_t>(options.rays_per_face));
  // One even pattern, shifted at random for each face: no two faces share their rays, none has
  // clumps.
  Random random(options.seed);
  shifts.resize(solid.face_count());
  for (Sample4& shift : shifts) {
    for (double& x : shift) x = random.uniform();
  }
}

void SightScene::put_beside(std::span<const Vec3> points, std::span<const Triangle> triangles) {
  part_and_body.emplace(solid.box().center(), half_size_mm(solid));
  part_and_body->add(solid.points(), solid.triangles());
  if (!triangles.empty()) part_and_body->add(points, triangles);
  part_and_body->commit();
}

/// The body lies on the face: the point 1.6 cells along its normal is in it and nothing is between.
bool SightScene::is_covered(Vec3 center, Vec3 normal) const {
  if (!body) return false;
  const double reach_mm = 1.6 * body->grid.cell_mm;
  return body->holds(center + normal * reach_mm) &&
         !part.is_blocked(center + normal * lift_mm, normal, 0, reach_mm - lift_mm);
}

bool SightScene::is_blocked(Vec3 from, Vec3 direction) const {
  if (options.mode == SightMode::wall && dot(direction, options.worn_side) > 0) return true;
  return blockers().is_blocked(from, direction, 0, 1e9);
}

/// Cosine-weighted rays from points spread over the face.
double SightScene::sight_of(std::size_t face) const {
  const auto [a, b, c] = solid.corners(to_id<FaceId>(face));
  const Vec3 normal = normalized(cross(b - a, c - a));
  if (normal == Vec3{} || is_covered((a + b + c) / 3, normal)) return 0;
  const Frame3 frame(normal);
  double seen = 0, all = 0;
  for (const Sample4& sample : samples) {
    const Sample4& shift = shifts[face];
    const Vec3 direction =
        frame.lift(cosine_direction(wrapped(sample[0] + shift[0]), wrapped(sample[1] + shift[1])));
    const double root = std::sqrt(wrapped(sample[2] + shift[2])),
                 side = wrapped(sample[3] + shift[3]);
    const Vec3 from =
        a * (1 - root) + b * (root * (1 - side)) + c * (root * side) + normal * lift_mm;
    const double share = weight.of(direction);
    all += share;
    if (!is_blocked(from, direction)) seen += share;
  }
  return all > 0 ? seen / all : 0;
}

/// One round: each face takes the mean of itself and the neighbours that look the same way and see
/// about as much, so that noise goes and edges stay.
std::vector<double> smoothed(const Solid& solid,
                             const std::vector<std::array<std::uint32_t, 3>>& neighbours,
                             const std::vector<Vec3>& normals, const std::vector<double>& sight,
                             double most_jump, const Run& run) {
  return map_index(
      solid.face_count(), run,
      [&](std::size_t f) {
        double sum = sight[f];
        int count = 1;
        for (std::uint32_t n : neighbours[f]) {
          if (n == ~0U || dot(normals[f], normals[n]) <= 0.9 ||
              std::abs(sight[n] - sight[f]) >= most_jump)
            continue;
          sum += sight[n];
          ++count;
        }
        return sum / count;
      },
      4096);
}

std::vector<double> smooth_sight(const Solid& solid, std::vector<double> sight, const Run& run) {
  const auto neighbours = face_neighbours(solid);
  std::vector<Vec3> normals;
  normals.reserve(solid.face_count());
  for (std::size_t f = 0; f < solid.face_count(); ++f)
    normals.push_back(normalized(solid.area_normal(to_id<FaceId>(f))));
  for (double most_jump : {0.4, 0.25, 0.25})
    sight = smoothed(solid, neighbours, normals, sight, most_jump, run);
  return sight;
}

std::vector<double> trace_faces(const SightScene& scene, const Run& run) {
  const std::size_t faces = scene.solid.face_count(),
                    blocks = (faces + kFacesPerBlock - 1) / kFacesPerBlock;
  std::vector<double> sight(faces, 0);
  std::atomic<std::size_t> done{0};
  for_each_index(blocks, run, [&](std::size_t block) {
    if (run.should_stop()) return;
    const std::size_t end = std::min(faces, (block + 1) * kFacesPerBlock);
    for (std::size_t f = block * kFacesPerBlock; f < end; ++f) sight[f] = scene.sight_of(f);
    run.report(static_cast<double>(++done) / static_cast<double>(blocks));
  });
  return sight;
}

}  // namespace

Result<std::vector<double>> face_sight(const Solid& solid, const SightOptions& options,
                                       const Run& run) {
  require(options.rays_per_face > 0, "at least one ray a face");
  require(options.mode != SightMode::body || options.body, "mode body has a body");
  const SightScene scene(solid, options, run);
  std::vector<double> sight = trace_faces(scene, run);
  if (run.should_stop()) return Error{"cancelled", "the look at who sees which face was stopped"};
  if (options.is_smoothed) sight = smooth_sight(solid, std::move(sight), run);
  return sight;
}

}  // namespace seamwright
