#pragma once

#include <filesystem>
#include <istream>
#include <string>
#include <string_view>

#include "seamwright/core/result.h"
#include "seamwright/core/run.h"
#include "seamwright/mesh/triangle_soup.h"

namespace seamwright {

/// Reads binary or ASCII STL, corners welded by exact position (-0 = 0). Sizes and counts are
/// checked before anything is allocated. `name` is used in messages. Errors: "file-empty",
/// "file-truncated", "file-malformed" (with the line or byte), "file-not-finite", "no-faces". O(n).
Result<TriangleSoup> read_stl(std::string_view bytes, const std::string& name, const Run& run = {});

/// Reads STL by read_stl; OBJ (groups and materials kept), PLY and OFF by readers of our own in
/// double precision; 3MF by lib3mf and glTF by Assimp, transforms applied, their declared units
/// (glTF: metres) made millimetres. The kind is told by the content first, the ending second.
/// Corners are welded by exact position; polygons are divided so that a closed mesh stays closed.
/// Errors, each naming the file, the place and the remedy: read_stl's and "file-not-found",
/// "file-is-folder", "file-not-regular", "file-no-permission", "file-unreadable",
/// "file-kind-unknown". O(n).
Result<TriangleSoup> load_mesh(const std::filesystem::path& path, const Run& run = {});

/// Whether a file is there and can be opened, without reading it. Errors: load_mesh's of opening.
Status check_file(const std::filesystem::path& path);

}  // namespace seamwright
