#pragma once

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <limits>
#include <numbers>

namespace seamwright {

/// Small fixed vectors, in millimetres unless the name says otherwise. Own and plain rather than a
/// library's, so that headers stay light and the order of every sum is the one written here (the
/// same bits on every build and thread count).
struct Vec2 {
  double x = 0, y = 0;
  friend constexpr Vec2 operator+(Vec2 a, Vec2 b) { return {a.x + b.x, a.y + b.y}; }
  friend constexpr Vec2 operator-(Vec2 a, Vec2 b) { return {a.x - b.x, a.y - b.y}; }
  friend constexpr Vec2 operator-(Vec2 a) { return {-a.x, -a.y}; }
  friend constexpr Vec2 operator*(Vec2 a, double s) { return {a.x * s, a.y * s}; }
  friend constexpr Vec2 operator*(double s, Vec2 a) { return a * s; }
  friend constexpr Vec2 operator/(Vec2 a, double s) { return {a.x / s, a.y / s}; }
  friend constexpr bool operator==(Vec2, Vec2) = default;
};

struct Vec3 {
  double x = 0, y = 0, z = 0;
  constexpr double operator[](std::size_t axis) const { return axis == 0 ? x : axis == 1 ? y : z; }
  constexpr double& operator[](std::size_t axis) { return axis == 0 ? x : axis == 1 ? y : z; }
  friend constexpr Vec3 operator+(Vec3 a, Vec3 b) { return {a.x + b.x, a.y + b.y, a.z + b.z}; }
  friend constexpr Vec3 operator-(Vec3 a, Vec3 b) { return {a.x - b.x, a.y - b.y, a.z - b.z}; }
  friend constexpr Vec3 operator-(Vec3 a) { return {-a.x, -a.y, -a.z}; }
  friend constexpr Vec3 operator*(Vec3 a, double s) { return {a.x * s, a.y * s, a.z * s}; }
  friend constexpr Vec3 operator*(double s, Vec3 a) { return a * s; }
  friend constexpr Vec3 operator/(Vec3 a, double s) { return {a.x / s, a.y / s, a.z / s}; }
  constexpr Vec3& operator+=(Vec3 b) { return *this = *this + b; }
  friend constexpr bool operator==(const Vec3&, const Vec3&) = default;
};

constexpr double dot(Vec2 a, Vec2 b) {
  return a.x * b.x + a.y * b.y;
}
constexpr double cross(Vec2 a, Vec2 b) {
  return a.x * b.y - a.y * b.x;
}
inline double norm(Vec2 a) {
  return std::sqrt(dot(a, a));
}
constexpr double dot(Vec3 a, Vec3 b) {
  return a.x * b.x + a.y * b.y + a.z * b.z;
}
constexpr Vec3 cross(Vec3 a, Vec3 b) {
  return {a.y * b.z - a.z * b.y, a.z * b.x - a.x * b.z, a.x * b.y - a.y * b.x};
}
inline double norm(Vec3 a) {
  return std::sqrt(dot(a, a));
}

/// The unit vector along `a`; the zero vector stays zero.
inline Vec3 normalized(Vec3 a) {
  const double length = norm(a);
  return length > 0 ? a / length : Vec3{};
}
inline Vec2 normalized(Vec2 a) {
  const double length = norm(a);
  return length > 0 ? a / length : Vec2{};
}

/// A unit vector perpendicular to the unit vector `n`, chosen the same way every time.
inline Vec3 any_perpendicular(Vec3 n) {
  const double ax = std::abs(n.x), ay = std::abs(n.y), az = std::abs(n.z);
  const Vec3 helper = ax <= ay && ax <= az ? Vec3{1, 0, 0}
                      : ay <= az           ? Vec3{0, 1, 0}
                                           : Vec3{0, 0, 1};
  return normalized(cross(n, helper));
}

/// An axis-parallel box; empty until it is extended.
struct Box3 {
  static constexpr double kFar = std::numeric_limits<double>::infinity();
  Vec3 low{kFar, kFar, kFar}, high{-kFar, -kFar, -kFar};
  bool is_empty() const { return low.x > high.x; }
  Vec3 size() const { return is_empty() ? Vec3{} : high - low; }
  Vec3 center() const { return (low + high) / 2; }
  void extend(Vec3 p) {
    low = {std::min(low.x, p.x), std::min(low.y, p.y), std::min(low.z, p.z)};
    high = {std::max(high.x, p.x), std::max(high.y, p.y), std::max(high.z, p.z)};
  }
};

/// The oriented plane { x : normal · x = offset_mm }, normal of unit length. "Above" is the side
/// the normal points to.
struct Plane {
  Vec3 normal{0, 0, 1};
  double offset_mm = 0;
  double distance(Vec3 p) const { return dot(normal, p) - offset_mm; }
  Plane flipped() const { return {-normal, -offset_mm}; }
  friend bool operator==(const Plane&, const Plane&) = default;
};

/// Right-handed in-plane axes of a plane: u × v = normal; the same for the same normal, always.
struct PlaneFrame {
  Vec3 origin, u, v, normal;
  explicit PlaneFrame(const Plane& plane)
      : origin(plane.normal * plane.offset_mm),
        u(any_perpendicular(plane.normal)),
        v(cross(plane.normal, u)),
        normal(plane.normal) {}
  Vec2 flatten(Vec3 p) const { return {dot(p - origin, u), dot(p - origin, v)}; }
  Vec3 lift(Vec2 q) const { return origin + u * q.x + v * q.y; }
};

/// A rigid motion x ↦ R x + t; `rows` are R's rows. det R = +1 always (mirroring is done on
/// solids).
struct Transform {
  std::array<Vec3, 3> rows{Vec3{1, 0, 0}, Vec3{0, 1, 0}, Vec3{0, 0, 1}};
  Vec3 shift;
  Vec3 rotate(Vec3 p) const { return {dot(rows[0], p), dot(rows[1], p), dot(rows[2], p)}; }
  Vec3 apply(Vec3 p) const { return rotate(p) + shift; }
  Vec3 rotate_back(Vec3 q) const { return rows[0] * q.x + rows[1] * q.y + rows[2] * q.z; }
  Transform inverse() const {
    Transform back{{Vec3{rows[0].x, rows[1].x, rows[2].x}, Vec3{rows[0].y, rows[1].y, rows[2].y},
                    Vec3{rows[0].z, rows[1].z, rows[2].z}},
                   {}};
    back.shift = -back.rotate(shift);
    return back;
  }
  friend Transform operator*(const Transform& a, const Transform& b) {  // first b, then a
    Transform c;
    for (std::size_t i = 0; i < 3; ++i) {
      c.rows[i] = {dot(a.rows[i], {b.rows[0].x, b.rows[1].x, b.rows[2].x}),
                   dot(a.rows[i], {b.rows[0].y, b.rows[1].y, b.rows[2].y}),
                   dot(a.rows[i], {b.rows[0].z, b.rows[1].z, b.rows[2].z})};
    }
    c.shift = a.apply(b.shift);
    return c;
  }
};

/// An angle, so that degrees are never taken for radians.
class Angle {
 public:
  constexpr Angle() = default;
  static constexpr Angle radians(double value) { return Angle(value); }
  static constexpr Angle degrees(double value) { return Angle(value * std::numbers::pi / 180); }
  constexpr double radians() const { return radians_; }
  constexpr double degrees() const { return radians_ * 180 / std::numbers::pi; }
  friend constexpr auto operator<=>(const Angle&, const Angle&) = default;

 private:
  explicit constexpr Angle(double value) : radians_(value) {}
  double radians_ = 0;
};

/// The rotation by `angle` about the unit vector `axis`, counter-clockwise seen against the axis
/// (Rodrigues' formula).
inline Transform rotation(Vec3 axis, Angle angle) {
  const double c = std::cos(angle.radians()), s = std::sin(angle.radians()), t = 1 - c;
  const Vec3 a = axis;
  return {{Vec3{t * a.x * a.x + c, t * a.x * a.y - s * a.z, t * a.x * a.z + s * a.y},
           Vec3{t * a.x * a.y + s * a.z, t * a.y * a.y + c, t * a.y * a.z - s * a.x},
           Vec3{t * a.x * a.z - s * a.y, t * a.y * a.z + s * a.x, t * a.z * a.z + c}},
          {}};
}

}  // namespace seamwright
