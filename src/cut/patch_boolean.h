#pragma once

#include "cut/boolean_mesh.h"

namespace seamwright::cut_detail {

enum class Operation { unite, subtract };

using EdgeMarks = Mesh::Property_map<Mesh::Edge_index, bool>;

/// Why two corefined meshes could not be combined by patches: the library refuses what comes out
/// (an edge of more than two faces), or it is not clear which patches lie inside the other mesh.
enum class PatchFault { refused, unclear };

struct PatchResult {
  std::optional<Mesh> mesh;
  PatchFault fault = PatchFault::refused;  ///< when there is no mesh
};

/// Unites a corefined mesh, which may be open, with a closed one, or takes that from it. The marked
/// edges, the same in both, are where they meet; they part each mesh into patches, and the order of
/// the faces round those edges says which patches lie inside the other. Requires: the open mesh's
/// border lies outside the closed one. The faces kept of `tool` count as new. O(n).
PatchResult combine_patches(Operation operation, Mesh& body, EdgeMarks body_marks, Mesh& tool,
                            EdgeMarks tool_marks);

}  // namespace seamwright::cut_detail
