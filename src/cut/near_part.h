#pragma once

#include <span>
#include <vector>

#include "cut/boolean_mesh.h"
#include "seamwright/cut/boolean.h"

namespace seamwright::cut_detail {

/// The faces of a body that tools may meet or hold inside them, and two rings of whole faces round
/// those; one value a face. O(faces).
std::vector<bool> faces_near(const Solid& body, std::span<const Tool> added,
                             std::span<const Tool> taken);

/// The wanted faces as a mesh, open where others adjoin; nothing when CGAL can't hold it.
std::optional<Mesh> part_of(const Solid& body, const std::vector<bool>& is_wanted);

/// The body with its wanted faces replaced by a mesh, joined along the same border. Errors:
/// Solid::make's, where the mesh's border is no longer what it was.
Result<Solid> put_back(const Solid& body, const std::vector<bool>& is_wanted, Mesh& mesh);

}  // namespace seamwright::cut_detail
