#pragma once

#include <string>
#include <string_view>

#include "seamwright/core/result.h"
#include "seamwright/mesh/triangle_soup.h"

namespace seamwright {

/// Reads the build of a 3MF package by lib3mf: components and transforms applied, in millimetres
/// whatever unit the package declares, corners welded by exact position. Errors: "file-malformed",
/// "file-not-finite", "no-faces".
Result<TriangleSoup> read_3mf(std::string_view bytes, const std::string& name);

}  // namespace seamwright
