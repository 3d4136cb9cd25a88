#include "seamwright/mesh/save.h"

#include <algorithm>
#include <cstring>

#include "mesh/point_table.h"

namespace seamwright {
namespace {

constexpr std::size_t kHeader = 80;
constexpr std::size_t kRecord = 50;
constexpr char kTitle[] = "binary STL, millimetres, written by seamwright";

using Corner = PointTable<float>::Key;
using Numbers = std::array<std::uint32_t, 3>;

/// Points rounded to float, with one number for each distinct result.
struct Rounded {
  std::vector<Corner> corners;           ///< by number
  std::vector<std::uint32_t> number_of;  ///< by vertex
  std::vector<bool> is_shared;           ///< by number: several vertices became this corner
};

Rounded round_points(std::span<const Vec3> points) {
  PointTable<float> table(points.size());
  Rounded out;
  out.number_of.reserve(points.size());
  for (const Vec3& p : points) {
    const std::uint32_t number = table.number_of(
        {static_cast<float>(p.x), static_cast<float>(p.y), static_cast<float>(p.z)});
    if (number < out.is_shared.size())
      out.is_shared[number] = true;
    else
      out.is_shared.push_back(false);
    out.number_of.push_back(number);
  }
  out.corners = table.keys();
  return out;
}

/// A face that touches a shared corner, under a name that it has in common with its opposite.
struct Suspect {
  Numbers sorted;
  bool is_even = false;  ///< whether sorting the corners was an even permutation
  std::size_t position = 0;
};

Suspect make_suspect(const Numbers& corners, std::size_t position) {
  Suspect s{corners, true, position};
  const auto order = [&](std::size_t a, std::size_t b) {
    if (s.sorted[a] <= s.sorted[b]) return;
    std::swap(s.sorted[a], s.sorted[b]);
    s.is_even = !s.is_even;
  };
  order(0, 1);
  order(1, 2);
  order(0, 1);
  return s;
}

/// Marks pairs of faces that rounding laid onto each other back to back.
void mark_cancelled_pairs(std::vector<Suspect>& suspects, std::vector<bool>& is_dropped) {
  std::sort(suspects.begin(), suspects.end(), [](const Suspect& a, const Suspect& b) {
    return a.sorted != b.sorted ? a.sorted < b.sorted : a.position < b.position;
  });
  std::vector<std::size_t> even, odd;
  for (std::size_t i = 0; i < suspects.size();) {
    even.clear();
    odd.clear();
    const Numbers& name = suspects[i].sorted;
    std::size_t j = i;
    for (; j < suspects.size() && suspects[j].sorted == name; ++j) {
      (suspects[j].is_even ? even : odd).push_back(suspects[j].position);
    }
    for (std::size_t k = 0; k < std::min(even.size(), odd.size()); ++k) {
      is_dropped[even[k]] = is_dropped[odd[k]] = true;
    }
    i = j;
  }
}

/// The faces to write. Why the rest keeps its balance: rounding maps vertices, so the directed
/// edges of all faces still balance as a sum. A face with two corners made one contributes p→q and
/// q→p, which balance by themselves, and two faces back to back contribute every edge both ways:
/// leaving those out takes nothing from the sum. A face that became flat with three distinct
/// corners must stay.
std::vector<Numbers> written_faces(const Solid& solid, const Rounded& rounded) {
  std::vector<Numbers> faces;
  faces.reserve(solid.face_count());
  std::vector<Suspect> suspects;
  for (const Triangle& t : solid.triangles()) {
    const Numbers n{rounded.number_of[to_index(t[0])], rounded.number_of[to_index(t[1])],
                    rounded.number_of[to_index(t[2])]};
    if (n[0] == n[1] || n[1] == n[2] || n[2] == n[0]) continue;
    if (rounded.is_shared[n[0]] || rounded.is_shared[n[1]] || rounded.is_shared[n[2]]) {
      suspects.push_back(make_suspect(n, faces.size()));
    }
    faces.push_back(n);
  }
  if (suspects.empty()) return faces;
  std::vector<bool> is_dropped(faces.size(), false);
  mark_cancelled_pairs(suspects, is_dropped);
  std::size_t kept = 0;
  for (std::size_t i = 0; i < faces.size(); ++i) {
    if (!is_dropped[i]) faces[kept++] = faces[i];
  }
  faces.resize(kept);
  return faces;
}

void put_record(char* at, const Corner& a, const Corner& b, const Corner& c) {
  const auto as_vec = [](const Corner& k) { return Vec3{k[0], k[1], k[2]}; };
  const Vec3 n = normalized(cross(as_vec(b) - as_vec(a), as_vec(c) - as_vec(a)));
  const Corner normal = PointTable<float>::plain(
      {static_cast<float>(n.x), static_cast<float>(n.y), static_cast<float>(n.z)});
  std::memcpy(at, normal.data(), 12);
  std::memcpy(at + 12, a.data(), 12);
  std::memcpy(at + 24, b.data(), 12);
  std::memcpy(at + 36, c.data(), 12);
}

}  // namespace

std::string stl_bytes(const Solid& solid) {
  const Rounded rounded = round_points(solid.points());
  const std::vector<Numbers> faces = written_faces(solid, rounded);
  std::string bytes(kHeader + 4 + kRecord * faces.size(), '\0');
  std::memcpy(bytes.data(), kTitle, sizeof kTitle - 1);
  const auto count = static_cast<std::uint32_t>(faces.size());
  std::memcpy(bytes.data() + kHeader, &count, sizeof count);
  for (std::size_t i = 0; i < faces.size(); ++i) {
    put_record(bytes.data() + kHeader + 4 + kRecord * i, rounded.corners[faces[i][0]],
               rounded.corners[faces[i][1]], rounded.corners[faces[i][2]]);
  }
  return bytes;
}

void write_stl(std::ostream& out, const Solid& solid) {
  const std::string bytes = stl_bytes(solid);
  out.write(bytes.data(), static_cast<std::streamsize>(bytes.size()));
}

}  // namespace seamwright
