#pragma once

#include <array>
#include <optional>
#include <utility>
#include <vector>

#include "cut/boolean_mesh.h"

namespace seamwright::cut_detail {

/// Looks for new faces that cross another, in a mesh as it is and with every corner rounded to
/// float: the pairs of faces whose boxes meet are found once for both. Exact: what doubles can't
/// tell for certain is asked of exact predicates. Setup O(n log n), a question O(pairs).
class CrossingSearch {
 public:
  /// Keeps references to both.
  CrossingSearch(const Mesh& mesh, const FaceNotes& notes);

  /// A corner of the first new face that crosses another, or that has no area; shared corners and
  /// edges aside. Old faces without area cross nothing.
  std::optional<Vec3> in_mesh() const;
  std::optional<Vec3> in_floats() const;

 private:
  /// `place(vertex)` says where its corners lie.
  std::optional<Vec3> first_at(const auto& place) const;
  Vec3 rounded(Vertex v) const { return {rounded_[v][0], rounded_[v][1], rounded_[v][2]}; }

  const Mesh& mesh_;
  const FaceNotes& notes_;
  std::vector<Vec3> places_;  ///< one a vertex
  /// Kept as floats: g++ 12 leaves out pairs of conversions to float and back at once.
  std::vector<std::array<float, 3>> rounded_;
  std::vector<Face> fresh_;                     ///< new faces, in order
  std::vector<std::pair<Face, Face>> meeting_;  ///< a new face and another, each pair once
};

}  // namespace seamwright::cut_detail
