#include "seams/room_touch.h"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

namespace seamwright::search {
namespace {

constexpr double kFar = std::numeric_limits<double>::infinity();
/// On which of the seams above the piece a point lies, a bit each; of more seams than bits the
/// lowest are taken for fixed, and steps that move them are refused where that is wrong.
using OnSeams = std::uint64_t;
constexpr std::size_t kMostSeams = 64;

std::vector<OnSeams> seams_at(const PieceShape& piece, std::span<const Hinge> hinges,
                              std::span<const std::size_t> above) {
  constexpr double kOn_mm = 1e-6;
  std::vector<OnSeams> on(piece.points.size(), 0);
  const std::size_t count = std::min(above.size(), kMostSeams);
  for (std::size_t a = 0; a < count; ++a) {
    const Plane& plane = hinges[above[a]].plane;
    for (std::size_t i = 0; i < on.size(); ++i) {
      if (std::abs(dot(plane.normal, piece.points[i]) - plane.offset_mm) < kOn_mm)
        on[i] |= OnSeams{1} << a;
    }
  }
  return on;
}

/// The outermost points that way and a little beside it, of those on the same seams each: what one
/// seam takes back lays bare what lies on another or on none.
std::vector<std::size_t> outermost(const PieceShape& piece, const std::vector<OnSeams>& on,
                                   Vec3 out) {
  constexpr double kNear_mm = 12;
  double top = -kFar;
  for (const Vec3 p : piece.points) top = std::max(top, dot(out, p));
  std::vector<std::size_t> near;
  std::vector<OnSeams> kinds;
  for (std::size_t i = 0; i < on.size(); ++i) {
    if (dot(out, piece.points[i]) < top - kNear_mm) continue;
    near.push_back(i);
    if (std::find(kinds.begin(), kinds.end(), on[i]) == kinds.end()) kinds.push_back(on[i]);
  }
  std::vector<std::size_t> chosen;
  const auto choose = [&](Vec3 way) {
    for (const OnSeams kind : kinds) {
      double most = -kFar;
      std::size_t best = 0;
      for (const std::size_t i : near) {
        if (on[i] == kind && dot(way, piece.points[i]) > most)
          most = dot(way, piece.points[i]), best = i;
      }
      if (std::find(chosen.begin(), chosen.end(), best) == chosen.end()) chosen.push_back(best);
    }
  };
  choose(out);
  const Vec3 u = any_perpendicular(out), v = cross(out, u);
  constexpr int kWaysBeside = 8;
  constexpr std::array<double, 2> kTilts{0.01, 0.05};  // radians
  for (const double tilt : kTilts) {
    for (int k = 0; k < kWaysBeside; ++k) {
      const double angle = 2 * std::numbers::pi * k / kWaysBeside;
      choose(out + (u * std::cos(angle) + v * std::sin(angle)) * tilt);
    }
  }
  return chosen;
}

/// Normals of the skin about each point that lies on a seam.
std::vector<std::vector<Vec3>> normals_on_seams(const PieceShape& piece,
                                                const std::vector<OnSeams>& on) {
  std::vector<std::vector<Vec3>> normals(on.size());
  for (std::size_t f = 0; f < piece.faces.size(); ++f) {
    if (norm(piece.area_normals[f]) == 0) continue;
    for (const std::uint32_t corner : piece.faces[f]) {
      if (on[corner] != 0) normals[corner].push_back(normalized(piece.area_normals[f]));
    }
  }
  return normals;
}

/// The least way that goes 1 along the i-th of the directions, and none along the others.
std::vector<Vec3> least_ways(const std::vector<Vec3>& directions) {
  constexpr double kParallel = 0.05;
  Eigen::MatrixXd rows(static_cast<Eigen::Index>(directions.size()), 3);
  for (std::size_t i = 0; i < directions.size(); ++i)
    rows.row(static_cast<Eigen::Index>(i)) << directions[i].x, directions[i].y, directions[i].z;
  Eigen::CompleteOrthogonalDecomposition<Eigen::MatrixXd> solver;
  solver.setThreshold(kParallel);
  solver.compute(rows);
  const Eigen::MatrixXd inverse = solver.pseudoInverse();
  std::vector<Vec3> ways;
  for (Eigen::Index i = 0; i < rows.rows(); ++i)
    ways.push_back({inverse(0, i), inverse(1, i), inverse(2, i)});
  return ways;
}

/// Where a point goes with the seams it lies on: along the edge of the mesh it lies on, else along
/// the skin, and along the others of those seams.
std::vector<Vec3> ways_of(const std::vector<Vec3>& seam_normals, const std::vector<Vec3>& skin) {
  constexpr double kFlat = 1e-4, kGrazing = 0.2;
  std::vector<Vec3> held = seam_normals;
  if (held.size() < 3 && !skin.empty()) {
    const auto other = std::min_element(skin.begin(), skin.end(), [&](Vec3 a, Vec3 b) {
      return dot(a, skin[0]) < dot(b, skin[0]);
    });
    const Vec3 along = cross(skin[0], *other), edge = normalized(along);
    const double advance = dot(edge, held[0]);
    if (held.size() == 1 && norm(along) > kFlat && std::abs(advance) > kGrazing)
      return {edge / advance};
    Vec3 mean;
    for (const Vec3 normal : skin) mean += normal;
    if (norm(mean) > 0) held.push_back(normalized(mean));
  }
  std::vector<Vec3> ways = least_ways(held);
  ways.resize(seam_normals.size());
  return ways;
}

TouchPoint touch_point(Vec3 at, OnSeams on, const std::vector<Vec3>& skin,
                       std::span<const Hinge> hinges, std::span<const std::size_t> above) {
  TouchPoint touch{at, {}, {}};
  std::vector<Vec3> seam_normals;
  for (std::size_t a = 0; a < std::min(above.size(), kMostSeams); ++a) {
    if ((on >> a & 1) == 0 || seam_normals.size() == 3) continue;
    touch.hinges.push_back(above[a]);
    seam_normals.push_back(hinges[above[a]].plane.normal);
  }
  if (!seam_normals.empty()) touch.ways = ways_of(seam_normals, skin);
  return touch;
}

/// Three points of the hull facet that way, far apart; none when it has no three.
std::vector<std::size_t> facet_corners(const PieceShape& piece, Vec3 out) {
  constexpr double kOnFacet_mm = 1e-6, kLeastApart_mm = 0.1;
  double top = -kFar;
  for (const Vec3 p : piece.points) top = std::max(top, dot(out, p));
  std::vector<std::size_t> on;
  for (std::size_t i = 0; i < piece.points.size(); ++i) {
    if (dot(out, piece.points[i]) > top - kOnFacet_mm) on.push_back(i);
  }
  if (on.size() < 3) return {};
  const auto farthest = [&](const auto& distance) {
    return *std::max_element(on.begin(), on.end(), [&](std::size_t a, std::size_t b) {
      return distance(piece.points[a]) < distance(piece.points[b]);
    });
  };
  const Vec3 any = piece.points[on[0]];
  const std::size_t a = farthest([&](Vec3 p) { return norm(p - any); });
  const Vec3 first = piece.points[a];
  const std::size_t b = farthest([&](Vec3 p) { return norm(p - first); });
  const Vec3 along = normalized(piece.points[b] - first);
  const auto beside = [&](Vec3 p) { return norm(cross(p - first, along)); };
  const std::size_t c = farthest(beside);
  if (beside(piece.points[c]) < kLeastApart_mm) return {};
  return {a, b, c};
}

}  // namespace

std::optional<PieceInRoom> place_in_room(const PieceShape& piece, const EarlierPose& pose,
                                         const FitRules& rules, std::span<const Hinge> hinges,
                                         std::span<const std::size_t> above) {
  const Vec3 up = -pose.down, flat = pose.along - up * dot(pose.along, up);
  if (norm(pose.down) == 0 || norm(flat) < 0.5) return std::nullopt;
  PieceInRoom lies;
  lies.axes = {normalized(flat), cross(up, normalized(flat)), up};
  Vec3 size;
  for (std::size_t k = 0; k < 3; ++k) {
    double low = kFar, high = -kFar;
    for (const Vec3 p : piece.points) {
      low = std::min(low, dot(lies.axes[k], p));
      high = std::max(high, dot(lies.axes[k], p));
    }
    lies.middle += lies.axes[k] * ((low + high) / 2);
    size[k] = high - low;
  }
  constexpr double kLeastRadius_mm = 5;
  lies.radius_mm = std::max(kLeastRadius_mm, norm(size) / 2);
  const auto spare_mm = [&](Vec3 room) {
    return std::min({room.x - size.x, room.y - size.y, room.z - size.z});
  };
  lies.room = *std::max_element(rules.rooms_mm.begin(), rules.rooms_mm.end(),
                                [&](Vec3 a, Vec3 b) { return spare_mm(a) < spare_mm(b); });
  // Where supports are priced, a foot is kept.
  lies.turns_freely = rules.poses == Poses::tilted && !rules.measures_support;
  if (!lies.turns_freely && pose.foot == Foot::joint_face) {
    for (const std::size_t h : above) {
      if (std::abs(dot(hinges[h].plane.normal, pose.down)) > 1 - 1e-12) lies.stands_on = h;
    }
  }
  const std::vector<OnSeams> on = seams_at(piece, hinges, above);
  const std::vector<std::vector<Vec3>> skin = normals_on_seams(piece, on);
  const auto touch_at = [&](std::size_t i) {
    return touch_point(piece.points[i], on[i], skin[i], hinges, above);
  };
  for (std::size_t k = 0; k < 3; ++k) {
    for (const std::size_t side : {0, 1}) {
      for (const std::size_t i : outermost(piece, on, side == 0 ? -lies.axes[k] : lies.axes[k]))
        lies.touches[k][side].push_back(touch_at(i));
    }
  }
  if (!lies.turns_freely && pose.foot == Foot::supports) {
    for (const std::size_t i : facet_corners(piece, pose.down))
      lies.rests_on.push_back(touch_at(i));
  }
  return lies;
}

}  // namespace seamwright::search
