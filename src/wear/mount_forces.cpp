#include "wear/mount_forces.h"

namespace seamwright::wear_detail {
namespace {

using Matrix = std::array<Vec3, 3>;

/// Eigenvalues and eigenvectors of a symmetric matrix by Jacobi's rotations.
struct Eigen {
  Vec3 values;
  Matrix vectors{Vec3{1, 0, 0}, Vec3{0, 1, 0}, Vec3{0, 0, 1}};  ///< one a row
};
Eigen eigen_of(Matrix m) {
  Eigen eigen;
  for (int sweep = 0; sweep < 40; ++sweep) {
    for (const auto& [p, q] : {std::pair<std::size_t, std::size_t>{0, 1}, {0, 2}, {1, 2}}) {
      if (m[p][q] == 0) continue;
      const double theta = (m[q][q] - m[p][p]) / (2 * m[p][q]);
      const double t = (theta >= 0 ? 1 : -1) / (std::abs(theta) + std::sqrt(theta * theta + 1));
      const double c = 1 / std::sqrt(t * t + 1), s = t * c;
      for (std::size_t k = 0; k < 3; ++k) {
        const double a = m[k][p], b = m[k][q];
        m[k][p] = c * a - s * b;
        m[k][q] = s * a + c * b;
      }
      const Vec3 row_p = m[p], row_q = m[q];
      m[p] = row_p * c - row_q * s;
      m[q] = row_p * s + row_q * c;
      const Vec3 v = eigen.vectors[p], w = eigen.vectors[q];
      eigen.vectors[p] = v * c - w * s;
      eigen.vectors[q] = v * s + w * c;
    }
  }
  eigen.values = {m[0].x, m[1].y, m[2].z};
  return eigen;
}

}  // namespace

std::vector<MountForce> mount_forces(std::span<const Vec3> places, Vec3 weight_n, Vec3 at) {
  const double count = static_cast<double>(places.size());
  Vec3 middle;
  for (const Vec3& p : places) middle += p;
  middle = middle / count;
  // J ω is the moment of forces ω × r; J has no inverse when the mounts lie in a line.
  Matrix j{};
  for (const Vec3& p : places) {
    const Vec3 r = p - middle;
    for (std::size_t i = 0; i < 3; ++i) {
      for (std::size_t k = 0; k < 3; ++k) j[i][k] += (i == k ? dot(r, r) : 0.0) - r[i] * r[k];
    }
  }
  const Vec3 needed = -cross(at - middle, weight_n);
  const Eigen eigen = eigen_of(j);
  const double largest = std::max({eigen.values.x, eigen.values.y, eigen.values.z});
  Vec3 omega, rest;
  for (std::size_t i = 0; i < 3; ++i) {
    const Vec3 part = eigen.vectors[i] * dot(needed, eigen.vectors[i]);
    if (eigen.values[i] > 1e-9 * largest)
      omega += part / eigen.values[i];
    else
      rest += part;
  }
  std::vector<MountForce> forces;
  for (const Vec3& p : places)
    forces.push_back({-weight_n / count + cross(omega, p - middle), rest / count});
  return forces;
}

}  // namespace seamwright::wear_detail
