#pragma once

#include <array>
#include <optional>
#include <utility>
#include <vector>

#include "cut/boolean_mesh.h"
#include "seamwright/core/run.h"

namespace seamwright::cut_detail {

/// Looks for new faces that cross another, in a mesh as it is and with every corner rounded to
/// float: the pairs of faces whose boxes meet are found once for both. Exact: what doubles can't
/// tell for certain is asked of exact predicates. The same on any thread count. Setup O(n log n), a
/// question O(pairs).
class CrossingSearch {
 public:
  CrossingSearch(const Mesh& mesh, const FaceNotes& notes, const Run& run);

  /// A corner of the first new face that crosses another, or that has no area; shared corners and
  /// edges aside. Old faces without area cross nothing.
  std::optional<Vec3> in_mesh() const;
  std::optional<Vec3> in_floats() const;

 private:
  /// `place(vertex)` says where its corners lie.
  std::optional<Vec3> first_at(const auto& place) const;
  Vec3 rounded(Vertex v) const { return {rounded_[v][0], rounded_[v][1], rounded_[v][2]}; }

  struct Skin {
    std::array<Vertex, 3> corners;
    bool is_new = false;
  };
  using Pair = std::pair<std::uint32_t, std::uint32_t>;  ///< of skins

  Run run_;
  std::vector<Skin> skins_;   ///< one a face near the new ones, in the order of the faces
  std::vector<Vec3> places_;  ///< one a vertex
  /// Kept as floats: g++ 12 leaves out pairs of conversions to float and back at once.
  std::vector<std::array<float, 3>> rounded_;
  /// A new face and another, each pair once, by the first; in runs for the threads.
  std::vector<std::vector<Pair>> meeting_;
};

}  // namespace seamwright::cut_detail
