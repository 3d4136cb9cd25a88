#pragma once

#include <string>
#include <string_view>

#include "seamwright/core/result.h"
#include "seamwright/mesh/triangle_soup.h"

namespace seamwright {

/// Reads the text form of STL. Keywords in any case, any white space, several solids one after the
/// other; facet normals are read over (they are often wrong, and the corners say it). Errors:
/// "file-malformed", "file-truncated", "file-not-finite", each with its line; "no-faces". O(n).
Result<TriangleSoup> read_stl_text(std::string_view text, const std::string& name);

}  // namespace seamwright
