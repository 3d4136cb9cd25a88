#include "mesh/import_scene.h"

#include <assimp/scene.h>
#include <fmt/format.h>

#include <algorithm>
#include <assimp/Importer.hpp>
#include <cmath>

#include "mesh/soup_builder.h"
#include "mesh/text_faults.h"

namespace seamwright {
namespace {

constexpr double kMetre_mm = 1000;

class SceneReader {
 public:
  SceneReader(const aiScene& scene, const std::string& name) : scene_(scene), name_(name) {}

  Result<TriangleSoup> read() {
    if (Status walked = walk(*scene_.mRootNode, aiMatrix4x4(), 0); !walked) return walked.error();
    if (!builder_.has_faces()) return no_faces(name_);
    return builder_.take();
  }

 private:
  static constexpr int kDeepest = 1000;

  Status walk(const aiNode& node, const aiMatrix4x4& above, int depth) {
    if (depth > kDeepest)
      return fault(fmt::format("its nodes are nested more than {} deep", kDeepest));
    const aiMatrix4x4 here = above * node.mTransformation;
    for (unsigned i = 0; i < node.mNumMeshes; ++i) {
      if (Status added = add_mesh(*scene_.mMeshes[node.mMeshes[i]], here); !added) return added;
    }
    for (unsigned i = 0; i < node.mNumChildren; ++i) {
      if (Status walked = walk(*node.mChildren[i], here, depth + 1); !walked) return walked;
    }
    return ok();
  }

  Status add_mesh(const aiMesh& mesh, const aiMatrix4x4& matrix) {
    std::vector<VertexId> ids;
    ids.reserve(mesh.mNumVertices);
    for (unsigned i = 0; i < mesh.mNumVertices; ++i) {
      const aiVector3D p = matrix * mesh.mVertices[i];
      if (!std::isfinite(p.x) || !std::isfinite(p.y) || !std::isfinite(p.z)) {
        return Error{"file-not-finite",
                     fmt::format("{}: point {} of mesh \"{}\" is not finite. Repair or delete the "
                                 "faces there and export the "
                                 "part again.",
                                 name_, i + 1, mesh.mName.C_Str())};
      }
      ids.push_back(builder_.add_point(Vec3{p.x, p.y, p.z} * kMetre_mm));
    }
    std::vector<VertexId> polygon;
    for (unsigned f = 0; f < mesh.mNumFaces; ++f) {
      const aiFace& face = mesh.mFaces[f];
      if (face.mNumIndices < 3) continue;
      polygon.clear();
      for (unsigned k = 0; k < face.mNumIndices; ++k) {
        if (face.mIndices[k] >= mesh.mNumVertices)
          return fault(fmt::format("a face names point {}; there are {}", face.mIndices[k],
                                   mesh.mNumVertices));
        polygon.push_back(ids[face.mIndices[k]]);
      }
      if (matrix.Determinant() < 0) std::reverse(polygon.begin(), polygon.end());
      builder_.add_face(polygon);
    }
    return ok();
  }

  Error fault(const std::string& what) const {
    return {"file-malformed",
            fmt::format("{}: {}. Export the part again, as binary STL if you can.", name_, what)};
  }

  const aiScene& scene_;
  const std::string& name_;
  SoupBuilder builder_{1024};
};

/// Buffers beside the file are only found by path; a file with another ending is read from memory.
const aiScene* read_scene(Assimp::Importer& importer, const std::filesystem::path& path,
                          std::string_view bytes, const std::string& ending) {
  std::string own = path.extension().string();
  for (char& c : own) c = static_cast<char>(c >= 'A' && c <= 'Z' ? c + 32 : c);
  if (own == "." + ending) return importer.ReadFile(path.string(), 0);
  return importer.ReadFileFromMemory(bytes.data(), bytes.size(), 0, ending.c_str());
}

}  // namespace

Result<TriangleSoup> import_gltf(const std::filesystem::path& path, std::string_view bytes,
                                 bool is_binary) {
  Assimp::Importer importer;
  const aiScene* scene = read_scene(importer, path, bytes, is_binary ? "glb" : "gltf");
  const std::string name = path.string();
  if (scene == nullptr || scene->mRootNode == nullptr) {
    return Error{
        "file-malformed",
        fmt::format("{} can't be read as glTF: {} Export the part again, as binary STL if you can.",
                    name, importer.GetErrorString())};
  }
  return SceneReader(*scene, name).read();
}

}  // namespace seamwright
