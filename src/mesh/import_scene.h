#pragma once

#include <filesystem>
#include <string>
#include <string_view>

#include "seamwright/core/result.h"
#include "seamwright/mesh/triangle_soup.h"

namespace seamwright {

/// The kinds of file that the general importer reads.
enum class SceneKind { obj, ply, off, three_mf, gltf, glb };

/// The ending of a kind, without the dot.
std::string scene_ending(SceneKind kind);

/// Reads a scene by Assimp: nodes' transforms applied (a mirroring one turns its faces back),
/// corners welded by exact position, polygons divided. `bytes` is the file's content, `path` tells
/// where the files beside it lie. Errors: "file-malformed", "file-truncated", "file-not-finite",
/// "no-faces".
Result<TriangleSoup> import_scene(const std::filesystem::path& path, std::string_view bytes,
                                  SceneKind kind);

}  // namespace seamwright
