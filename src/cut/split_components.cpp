#include <algorithm>
#include <numeric>

#include "seamwright/cut/plane_cut.h"

namespace seamwright {
namespace {

constexpr std::uint32_t kNone = 0xffffffffU;

/// Sets of faces, the least face its set's name.
class FaceSets {
 public:
  explicit FaceSets(std::size_t count) : parents_(count) {
    std::iota(parents_.begin(), parents_.end(), 0U);
  }
  std::uint32_t find(std::uint32_t f) {
    while (parents_[f] != f) f = parents_[f] = parents_[parents_[f]];
    return f;
  }
  void unite(std::uint32_t f, std::uint32_t g) {
    f = find(f), g = find(g);
    parents_[std::max(f, g)] = std::min(f, g);
  }

 private:
  std::vector<std::uint32_t> parents_;
};

/// One use of an undirected edge by a face.
struct EdgeUse {
  std::uint32_t high;  ///< the edge's vertex of greater index
  std::uint32_t face;
  bool is_forward;  ///< the face runs from the lower vertex to the higher
};

/// Unites faces that meet at edges. Where more than two meet, each wedge of material is a
/// pair of its own, so that bodies which merely touch come apart.
class ShellFinder {
 public:
  explicit ShellFinder(const Solid& solid) : solid_(solid), sets_(solid.face_count()) {}

  /// The shell of each face, numbered by their first faces.
  std::vector<std::uint32_t> run(std::size_t& shell_count) {
    bucket_edges();
    for (std::size_t v = 0; v + 1 < starts_.size(); ++v) unite_at(static_cast<std::uint32_t>(v));
    std::vector<std::uint32_t> shells(solid_.face_count());
    std::uint32_t count = 0;
    for (std::uint32_t f = 0; f < shells.size(); ++f) {
      const std::uint32_t first = sets_.find(f);
      shells[f] = first == f ? count++ : shells[first];
    }
    shell_count = count;
    return shells;
  }

 private:
  template <class Visit>
  void for_each_edge(const Visit& visit) const {
    for (std::uint32_t f = 0; f < solid_.face_count(); ++f) {
      const Triangle& t = solid_.triangles()[f];
      for (std::size_t i = 0; i < 3; ++i) {
        visit(f, static_cast<std::uint32_t>(t[i]), static_cast<std::uint32_t>(t[(i + 1) % 3]));
      }
    }
  }

  void bucket_edges() {
    starts_.assign(solid_.points().size() + 1, 0);
    for_each_edge([&](auto, std::uint32_t a, std::uint32_t b) { ++starts_[std::min(a, b)]; });
    std::uint32_t total = 0;
    for (std::uint32_t& start : starts_) total += std::exchange(start, total);
    std::vector<std::uint32_t> next(starts_.begin(), starts_.end() - 1);
    uses_.resize(total);
    for_each_edge([&](std::uint32_t f, std::uint32_t a, std::uint32_t b) {
      uses_[next[std::min(a, b)]++] = {std::max(a, b), f, a < b};
    });
  }

  void unite_at(std::uint32_t low) {
    const auto begin = uses_.begin() + starts_[low], end = uses_.begin() + starts_[low + 1];
    std::sort(begin, end, [](const EdgeUse& l, const EdgeUse& r) {
      return l.high != r.high ? l.high < r.high : l.face < r.face;
    });
    for (auto i = begin; i != end;) {
      const auto first = i;
      while (i != end && i->high == first->high) ++i;
      if (i - first == 2) {
        sets_.unite(first[0].face, first[1].face);
      } else {
        unite_wedges(low, {first, i});
      }
    }
  }

  /// Around the edge, counter-clockwise seen against it, a backward face opens material and the
  /// next forward face closes it: matched like brackets, from the angle where most are closed.
  void unite_wedges(std::uint32_t low, std::span<EdgeUse> uses) {
    const std::vector<double> angles = angles_around(low, uses);
    std::vector<std::size_t> order(uses.size());
    std::iota(order.begin(), order.end(), std::size_t{0});
    std::sort(order.begin(), order.end(), [&](std::size_t l, std::size_t r) {
      if (angles[l] != angles[r]) return angles[l] < angles[r];
      if (uses[l].is_forward != uses[r].is_forward) return uses[l].is_forward;  // close, then open
      return l < r;
    });
    int depth = 0, least = 0;
    std::size_t start = 0;
    for (std::size_t i = 0; i < order.size(); ++i) {
      depth += uses[order[i]].is_forward ? -1 : 1;
      if (depth < least) least = depth, start = i + 1;
    }
    std::rotate(order.begin(), order.begin() + static_cast<std::ptrdiff_t>(start), order.end());
    std::vector<std::uint32_t> open;
    for (std::size_t i : order) {
      if (!uses[i].is_forward) {
        open.push_back(uses[i].face);
      } else {
        require(!open.empty(), "every directed edge of a solid has its opposite");
        sets_.unite(open.back(), uses[i].face);
        open.pop_back();
      }
    }
  }

  std::vector<double> angles_around(std::uint32_t low, std::span<const EdgeUse> uses) const {
    const Vec3 from = solid_.points()[low];
    const Vec3 along = normalized(solid_.points()[uses.front().high] - from);
    const Vec3 x = any_perpendicular(along == Vec3{} ? Vec3{0, 0, 1} : along), y = cross(along, x);
    std::vector<double> angles;
    for (const EdgeUse& use : uses) {
      Vec3 apex;
      for (VertexId v : solid_.triangles()[use.face]) {
        const auto index = static_cast<std::uint32_t>(v);
        if (index != low && index != use.high) apex = solid_.points()[index];
      }
      angles.push_back(std::atan2(dot(apex - from, y), dot(apex - from, x)));
    }
    return angles;
  }

  const Solid& solid_;
  FaceSets sets_;
  std::vector<std::uint32_t> starts_;
  std::vector<EdgeUse> uses_;
};

struct Shell {
  double volume_mm3 = 0;  ///< negative: a void
  Box3 box;
  std::vector<std::uint32_t> faces;
};

std::vector<Shell> measure_shells(const Solid& solid, const std::vector<std::uint32_t>& shell_of,
                                  std::size_t count) {
  std::vector<Shell> shells(count);
  const Vec3 about = solid.box().center();
  for (std::uint32_t f = 0; f < shell_of.size(); ++f) {
    Shell& shell = shells[shell_of[f]];
    const auto [a, b, c] = solid.corners(FaceId{f});
    shell.volume_mm3 += dot(a - about, cross(b - about, c - about)) / 6;
    for (Vec3 p : {a, b, c}) shell.box.extend(p);
    shell.faces.push_back(f);
  }
  return shells;
}

/// How often a shell winds around a point, 0.5 about on its surface.
/// Source: van Oosterom and Strackee, IEEE Trans. Biomed. Eng. 30 (1983) (memory).
double winding_number(const Solid& solid, const Shell& shell, Vec3 p) {
  double angle = 0;
  for (std::uint32_t f : shell.faces) {
    const auto [a, b, c] = solid.corners(FaceId{f});
    const Vec3 pa = a - p, pb = b - p, pc = c - p;
    const double la = norm(pa), lb = norm(pb), lc = norm(pc);
    angle += std::atan2(dot(pa, cross(pb, pc)),
                        la * lb * lc + dot(pa, pb) * lc + dot(pb, pc) * la + dot(pc, pa) * lb);
  }
  return angle / (2 * std::numbers::pi);
}

bool box_contains(const Box3& box, Vec3 p) {
  return p.x >= box.low.x && p.x <= box.high.x && p.y >= box.low.y && p.y <= box.high.y &&
         p.z >= box.low.z && p.z <= box.high.z;
}

/// Whether the void lies in the shell. A void may touch the shell around it, where the winding
/// number says neither: the first of its faces whose centre is clear decides.
bool is_inside(const Solid& solid, const Shell& outer, const Shell& inner) {
  const Box3 &o = outer.box, &i = inner.box;
  if (!box_contains(o, i.low) || !box_contains(o, i.high)) return false;
  double winding = 0;
  for (std::size_t k = 0; k < std::min<std::size_t>(8, inner.faces.size()); ++k) {
    const auto [a, b, c] = solid.corners(
        FaceId{inner.faces[k * inner.faces.size() / std::min<std::size_t>(8, inner.faces.size())]});
    winding = winding_number(solid, outer, (a + b + c) / 3);
    if (std::abs(winding - 0.5) > 0.25) break;
  }
  return winding > 0.5;
}

/// The body of each shell: a void goes to the least body around it; a void that no body holds
/// stays with the largest, so that nothing is lost.
std::vector<std::uint32_t> nest_voids(const Solid& solid, const std::vector<Shell>& shells) {
  std::vector<std::uint32_t> bodies, body_of(shells.size(), kNone);
  for (std::uint32_t s = 0; s < shells.size(); ++s) {
    if (shells[s].volume_mm3 > 0) body_of[s] = s, bodies.push_back(s);
  }
  std::stable_sort(bodies.begin(), bodies.end(), [&](std::uint32_t l, std::uint32_t r) {
    return shells[l].volume_mm3 < shells[r].volume_mm3;
  });
  for (std::uint32_t s = 0; s < shells.size(); ++s) {
    if (body_of[s] != kNone) continue;
    const auto around = std::find_if(bodies.begin(), bodies.end(), [&](std::uint32_t b) {
      return is_inside(solid, shells[b], shells[s]);
    });
    body_of[s] = around != bodies.end() ? *around : bodies.back();
  }
  return body_of;
}

/// The faces as a solid of their own, points and faces in their old order.
Solid extract(const Solid& solid, std::vector<std::uint32_t> faces,
              std::vector<std::uint32_t>& renamed) {
  std::sort(faces.begin(), faces.end());
  std::vector<std::uint32_t> used;
  for (std::uint32_t f : faces) {
    for (VertexId v : solid.triangles()[f]) {
      if (std::exchange(renamed[to_index(v)], 0U) == kNone)
        used.push_back(static_cast<std::uint32_t>(v));
    }
  }
  std::sort(used.begin(), used.end());
  std::vector<Vec3> points;
  for (std::uint32_t v : used) {
    renamed[v] = static_cast<std::uint32_t>(points.size());
    points.push_back(solid.points()[v]);
  }
  std::vector<Triangle> triangles;
  std::vector<Origin> origins;
  for (std::uint32_t f : faces) {
    Triangle t = solid.triangles()[f];
    for (VertexId& v : t) v = VertexId{renamed[to_index(v)]};
    triangles.push_back(t);
    origins.push_back(solid.origins()[f]);
  }
  for (std::uint32_t v : used) renamed[v] = kNone;
  return Solid::adopt(std::move(points), std::move(triangles), std::move(origins));
}

}  // namespace

std::vector<Solid> split_components(const Solid& solid) {
  std::size_t count = 0;
  const std::vector<std::uint32_t> shell_of = ShellFinder(solid).run(count);
  if (count == 1) return {solid};
  std::vector<Shell> shells = measure_shells(solid, shell_of, count);
  const std::vector<std::uint32_t> body_of = nest_voids(solid, shells);
  std::vector<std::vector<std::uint32_t>> faces(count);
  for (std::uint32_t s = 0; s < count; ++s) {
    std::vector<std::uint32_t>& home = faces[body_of[s]];
    home.insert(home.end(), shells[s].faces.begin(), shells[s].faces.end());
  }
  std::vector<Solid> parts;
  std::vector<std::uint32_t> renamed(solid.points().size(), kNone);
  for (const auto& set : faces) {
    if (!set.empty()) parts.push_back(extract(solid, set, renamed));
  }
  std::stable_sort(parts.begin(), parts.end(), [](const Solid& l, const Solid& r) {
    const auto least = [](const Solid& s) {
      return *std::min_element(s.points().begin(), s.points().end(), [](Vec3 a, Vec3 b) {
        return std::array{a.x, a.y, a.z} < std::array{b.x, b.y, b.z};
      });
    };
    const Vec3 a = least(l), b = least(r);
    return std::array{a.x, a.y, a.z} < std::array{b.x, b.y, b.z};
  });
  return parts;
}

}  // namespace seamwright
