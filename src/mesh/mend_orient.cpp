#include <fmt/format.h>

#include <optional>

#include "mesh/bodies.h"
#include "mesh/draft.h"

namespace seamwright {
namespace {

/// Neighbours of faces across edges that exactly two faces share.
struct Neighbours {
  struct Link {
    std::uint32_t face = 0;
    bool agrees = true;  ///< the two run the edge in opposite directions
    std::uint32_t low = 0, high = 0;
  };
  std::vector<std::uint32_t> start;
  std::vector<Link> links;

  Neighbours(const std::vector<EdgeUse>& uses, std::size_t face_count) : start(face_count + 1, 0) {
    const auto each = [&](const auto& visit) {
      for_each_edge(uses, [&](std::span<const EdgeUse> e) {
        if (e.size() != 2 || e[0].face == e[1].face) return;
        const bool agrees = e[0].is_forward != e[1].is_forward;
        visit(e[0].face, Link{e[1].face, agrees, e[0].low, e[0].high});
        visit(e[1].face, Link{e[0].face, agrees, e[0].low, e[0].high});
      });
    };
    each([&](std::uint32_t f, const Link&) { ++start[f + 1]; });
    for (std::size_t f = 0; f < face_count; ++f) start[f + 1] += start[f];
    links.resize(start.back());
    std::vector<std::uint32_t> next(start.begin(), start.end() - 1);
    each([&](std::uint32_t f, const Link& link) { links[next[f]++] = link; });
  }
};

/// Flood of one patch from `seed`: which faces must be turned so that all agree with the seed.
class Patch {
 public:
  Patch(const Neighbours& neighbours, std::vector<std::int8_t>& turn)
      : neighbours_(neighbours), turn_(turn) {}

  /// False when the patch is one-sided; `at` is then the edge.
  bool flood(std::uint32_t seed) {
    faces_ = {seed};
    turn_[seed] = 0;
    for (std::size_t i = 0; i < faces_.size(); ++i) {
      const std::uint32_t f = faces_[i];
      for (std::uint32_t l = neighbours_.start[f]; l < neighbours_.start[f + 1]; ++l) {
        const Neighbours::Link& link = neighbours_.links[l];
        const auto wanted = static_cast<std::int8_t>(link.agrees ? turn_[f] : 1 - turn_[f]);
        if (turn_[link.face] < 0) {
          turn_[link.face] = wanted;
          faces_.push_back(link.face);
        } else if (turn_[link.face] != wanted) {
          fault_ = link;
          return false;
        }
      }
    }
    return true;
  }
  /// Lets the majority of faces stay as they are.
  void follow_majority() {
    std::size_t turned = 0;
    for (std::uint32_t f : faces_) turned += turn_[f] == 1 ? 1 : 0;
    if (2 * turned <= faces_.size()) return;
    for (std::uint32_t f : faces_) turn_[f] = static_cast<std::int8_t>(1 - turn_[f]);
  }
  const Neighbours::Link& fault() const { return fault_; }

 private:
  const Neighbours& neighbours_;
  std::vector<std::int8_t>& turn_;
  std::vector<std::uint32_t> faces_;
  Neighbours::Link fault_;
};

}  // namespace

Status orient(Draft& draft) {
  const Neighbours neighbours(draft.edge_uses(), draft.triangles.size());
  std::vector<std::int8_t> turn(draft.triangles.size(), -1);
  Patch patch(neighbours, turn);
  for (std::uint32_t f = 0; f < turn.size(); ++f) {
    if (turn[f] >= 0) continue;
    if (!patch.flood(f)) {
      const Vec3 at = (draft.points[patch.fault().low] + draft.points[patch.fault().high]) / 2;
      return Error{"cannot-mend", fmt::format("The surface is one-sided (its inside leads to its "
                                              "outside){}. Cut it there in the modelling "
                                              "program and close it anew.",
                                              places_text({at}))};
    }
    patch.follow_majority();
  }
  std::size_t count = 0;
  for (std::size_t f = 0; f < turn.size(); ++f) {
    if (turn[f] != 1) continue;
    std::swap(draft.triangles[f][1], draft.triangles[f][2]);
    ++count;
  }
  if (count > 0)
    draft.steps.push_back({"orient", count, "faces turned to agree with their neighbours"});
  return ok();
}

void turn_outward(Draft& draft) {
  Bodies bodies = find_bodies(draft.points, draft.triangles, draft.edge_uses());
  find_nesting(bodies, draft.points, draft.triangles);
  std::vector<bool> is_turned(bodies.count, false);
  for (std::size_t b = 0; b < bodies.count; ++b) {
    if (bodies.around[b].empty()) is_turned[b] = bodies.volume_mm3[b] < 0;
  }
  // What lies in a body that was inside out as a whole is turned with it: its voids stay voids.
  for (std::size_t b = 0; b < bodies.count; ++b) {
    for (std::uint32_t outer : bodies.around[b]) {
      if (bodies.around[outer].empty()) is_turned[b] = is_turned[outer];
    }
  }
  const auto count = static_cast<std::size_t>(std::count(is_turned.begin(), is_turned.end(), true));
  if (count == 0) return;
  for (std::size_t f = 0; f < draft.triangles.size(); ++f) {
    if (is_turned[bodies.of_face[f]]) std::swap(draft.triangles[f][1], draft.triangles[f][2]);
  }
  draft.steps.push_back({"turn-outward", count, "bodies that were inside out"});
}

std::string places_text(const std::vector<Vec3>& places) {
  std::string text;
  for (const Vec3& p : places) {
    text += fmt::format("{}({:.2f}, {:.2f}, {:.2f})", text.empty() ? " at " : ", ", p.x, p.y, p.z);
  }
  return text;
}

}  // namespace seamwright
