#pragma once

#include <string>
#include <string_view>

#include "seamwright/core/result.h"
#include "seamwright/mesh/triangle_soup.h"

namespace seamwright {

/// Own readers for the plain kinds, in double precision and with the line in every message: a
/// general importer was tried first, and damaged files made it hang (a PLY header cut short) or end
/// the program (a failed check inside it). Corners are welded by exact position, polygons divided.
/// Errors: "file-malformed", "file-truncated", "file-not-finite", "no-faces". O(n).

/// OBJ: v, f (1-based and negative; v, v/vt, v//vn, v/vt/vn), g, o, usemtl, `\` continuation; the
/// rest is passed over. Groups are "group/material", empty when the file names neither.
Result<TriangleSoup> read_obj(std::string_view text, const std::string& name);

/// OFF as text, with or without colours, normals and texture places.
Result<TriangleSoup> read_off(std::string_view text, const std::string& name);

/// PLY: text and binary of both byte orders; elements vertex (x, y, z) and face (vertex_indices or
/// vertex_index), the rest passed over.
Result<TriangleSoup> read_ply(std::string_view bytes, const std::string& name);

}  // namespace seamwright
