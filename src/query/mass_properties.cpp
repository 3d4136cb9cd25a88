#include "seamwright/query/mass_properties.h"

namespace seamwright {
namespace {

/// A sum that carries its rounding error along. Neumaier, ZAMM 54 (1974) (memory).
class CompensatedSum {
 public:
  void add(double term) {
    const double next = sum_ + term;
    lost_ += std::abs(sum_) >= std::abs(term) ? (sum_ - next) + term : (term - next) + sum_;
    sum_ = next;
  }
  double value() const { return sum_ + lost_; }

 private:
  double sum_ = 0, lost_ = 0;
};

/// Sums over the tetrahedra from the box centre to every face.
struct TetrahedronSums {
  CompensatedSum six_volumes, twice_areas;
  std::array<CompensatedSum, 3> first;   // 24 ∫ x dV
  std::array<CompensatedSum, 6> second;  // 120 ∫ x xᵀ dV

  void add(Vec3 a, Vec3 b, Vec3 c) {
    const double six_volume = dot(a, cross(b, c));
    const Vec3 s = a + b + c;
    six_volumes.add(six_volume);
    twice_areas.add(norm(cross(b - a, c - a)));
    constexpr std::size_t kRow[6] = {0, 1, 2, 0, 1, 2}, kColumn[6] = {0, 1, 2, 1, 2, 0};
    for (std::size_t i = 0; i < 3; ++i) first[i].add(six_volume * s[i]);
    for (std::size_t k = 0; k < 6; ++k) {
      const std::size_t i = kRow[k], j = kColumn[k];
      second[k].add(six_volume * (s[i] * s[j] + a[i] * a[j] + b[i] * b[j] + c[i] * c[j]));
    }
  }
};

MassProperties about_centroid(const TetrahedronSums& sums, Vec3 center) {
  MassProperties mass;
  mass.volume_mm3 = sums.six_volumes.value() / 6;
  mass.area_mm2 = sums.twice_areas.value() / 2;
  Vec3 shift;
  for (std::size_t i = 0; i < 3; ++i) shift[i] = sums.first[i].value() / 24 / mass.volume_mm3;
  mass.centroid = center + shift;
  const double products[6] = {shift.x * shift.x, shift.y * shift.y, shift.z * shift.z,
                              shift.x * shift.y, shift.y * shift.z, shift.z * shift.x};
  for (std::size_t k = 0; k < 6; ++k) {
    mass.moments_mm5[k] = sums.second[k].value() / 120 - mass.volume_mm3 * products[k];
  }
  return mass;
}

}  // namespace

MassProperties mass_properties(const Solid& solid) {
  const Vec3 center = solid.box().center();
  TetrahedronSums sums;
  for (const Triangle& t : solid.triangles()) {
    sums.add(solid.point(t[0]) - center, solid.point(t[1]) - center, solid.point(t[2]) - center);
  }
  return about_centroid(sums, center);
}

double volume_mm3(const Solid& solid) {
  const Vec3 center = solid.box().center();
  CompensatedSum six_volumes;
  for (const Triangle& t : solid.triangles()) {
    const Vec3 a = solid.point(t[0]) - center;
    six_volumes.add(dot(a, cross(solid.point(t[1]) - center, solid.point(t[2]) - center)));
  }
  return six_volumes.value() / 6;
}

}  // namespace seamwright
