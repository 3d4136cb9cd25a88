#pragma once

#include <filesystem>
#include <string_view>

#include "seamwright/core/result.h"
#include "seamwright/mesh/triangle_soup.h"

namespace seamwright {

/// Reads glTF (text or binary) by Assimp: nodes' transforms applied (a mirroring one turns its
/// faces back), metres, which the format prescribes, made millimetres, corners welded by exact
/// position. Buffers beside the file are found by `path`. Errors: "file-malformed",
/// "file-not-finite", "no-faces".
Result<TriangleSoup> import_gltf(const std::filesystem::path& path, std::string_view bytes,
                                 bool is_binary);

}  // namespace seamwright
