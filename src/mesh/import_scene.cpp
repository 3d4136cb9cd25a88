#include "mesh/import_scene.h"

#include <assimp/config.h>
#include <assimp/scene.h>
#include <fmt/format.h>

#include <assimp/Importer.hpp>
#include <map>

#include "mesh/point_table.h"
#include "mesh/polygon.h"

namespace seamwright {
namespace {

class SceneReader {
 public:
  SceneReader(const aiScene& scene, const std::string& name, bool keeps_groups)
      : scene_(scene), name_(name), keeps_groups_(keeps_groups), table_(1024) {}

  Result<TriangleSoup> read() {
    if (Status walked = walk(*scene_.mRootNode, aiMatrix4x4(), 0); !walked) return walked.error();
    if (soup_.triangles.empty()) {
      return Error{
          "no-faces",
          fmt::format("{} holds no faces (points and lines are not printed). Export the part "
                      "again as a mesh.",
                      name_)};
    }
    return std::move(soup_);
  }

 private:
  static constexpr int kDeepest = 1000;

  Status walk(const aiNode& node, const aiMatrix4x4& above, int depth) {
    if (depth > kDeepest) {
      return Error{
          "file-malformed",
          fmt::format("{} nests its nodes more than {} deep. Export it again.", name_, kDeepest)};
    }
    const aiMatrix4x4 here = above * node.mTransformation;
    for (unsigned i = 0; i < node.mNumMeshes; ++i) {
      if (Status added = add_mesh(*scene_.mMeshes[node.mMeshes[i]], node, here); !added)
        return added;
    }
    for (unsigned i = 0; i < node.mNumChildren; ++i) {
      if (Status walked = walk(*node.mChildren[i], here, depth + 1); !walked) return walked;
    }
    return ok();
  }

  Status add_mesh(const aiMesh& mesh, const aiNode& node, const aiMatrix4x4& matrix) {
    const std::uint32_t group = keeps_groups_ ? group_of(mesh, node) : 0;
    std::vector<VertexId> ids;
    ids.reserve(mesh.mNumVertices);
    for (unsigned i = 0; i < mesh.mNumVertices; ++i) {
      const aiVector3D p = matrix * mesh.mVertices[i];
      if (!std::isfinite(p.x) || !std::isfinite(p.y) || !std::isfinite(p.z))
        return not_finite(mesh, i);
      ids.push_back(number_of(p));
    }
    std::vector<VertexId> polygon;
    for (unsigned f = 0; f < mesh.mNumFaces; ++f) {
      const aiFace& face = mesh.mFaces[f];
      if (face.mNumIndices < 3) continue;
      polygon.clear();
      for (unsigned k = 0; k < face.mNumIndices; ++k) {
        if (face.mIndices[k] >= mesh.mNumVertices) return no_such_corner(mesh, f, face.mIndices[k]);
        polygon.push_back(ids[face.mIndices[k]]);
      }
      if (matrix.Determinant() < 0) std::reverse(polygon.begin(), polygon.end());
      add_polygon(polygon, group);
    }
    return ok();
  }

  VertexId number_of(const aiVector3D& p) {
    const std::uint32_t number = table_.number_of({p.x, p.y, p.z});
    if (number == soup_.points.size()) {
      const auto& key = table_.keys()[number];
      soup_.points.push_back({key[0], key[1], key[2]});
    }
    return to_id<VertexId>(number);
  }

  void add_polygon(const std::vector<VertexId>& polygon, std::uint32_t group) {
    if (polygon.size() == 3) {
      soup_.triangles.push_back({polygon[0], polygon[1], polygon[2]});
    } else {
      const std::vector<Triangle> parts = triangulate_polygon(polygon, soup_.points);
      soup_.triangles.insert(soup_.triangles.end(), parts.begin(), parts.end());
    }
    if (keeps_groups_) soup_.groups.resize(soup_.triangles.size(), group);
  }

  std::uint32_t group_of(const aiMesh& mesh, const aiNode& node) {
    const aiString material = mesh.mMaterialIndex < scene_.mNumMaterials
                                  ? scene_.mMaterials[mesh.mMaterialIndex]->GetName()
                                  : aiString();
    const std::string name = std::string(node.mName.C_Str()) + "/" + material.C_Str();
    const auto [at, is_new] =
        group_numbers_.try_emplace(name, static_cast<std::uint32_t>(soup_.group_names.size()));
    if (is_new) soup_.group_names.push_back(name);
    return at->second;
  }

  Error not_finite(const aiMesh& mesh, unsigned corner) const {
    return {"file-not-finite", fmt::format("{}: point {} of mesh \"{}\" is not a finite number. "
                                           "Repair or delete the faces there and export "
                                           "the part again.",
                                           name_, corner + 1, mesh.mName.C_Str())};
  }
  Error no_such_corner(const aiMesh& mesh, unsigned face, unsigned corner) const {
    return {"file-malformed",
            fmt::format("{}: face {} of mesh \"{}\" names point {}, but there are {}. Export the "
                        "part again.",
                        name_, face + 1, mesh.mName.C_Str(), corner + 1, mesh.mNumVertices)};
  }

  const aiScene& scene_;
  const std::string& name_;
  bool keeps_groups_;
  PointTable<float> table_;
  TriangleSoup soup_;
  std::map<std::string, std::uint32_t> group_numbers_;
};

/// Side files (materials, buffers) are only found by path; a file whose ending tells another kind
/// than its content is read from memory.
const aiScene* read_scene(Assimp::Importer& importer, const std::filesystem::path& path,
                          std::string_view bytes, SceneKind kind) {
  importer.SetPropertyBool(AI_CONFIG_IMPORT_NO_SKELETON_MESHES, true);
  std::string ending = path.extension().string();
  for (char& c : ending) c = static_cast<char>(c >= 'A' && c <= 'Z' ? c + 32 : c);
  if (ending == "." + scene_ending(kind)) return importer.ReadFile(path.string(), 0);
  return importer.ReadFileFromMemory(bytes.data(), bytes.size(), 0, scene_ending(kind).c_str());
}

}  // namespace

std::string scene_ending(SceneKind kind) {
  switch (kind) {
    case SceneKind::obj:
      return "obj";
    case SceneKind::ply:
      return "ply";
    case SceneKind::off:
      return "off";
    case SceneKind::three_mf:
      return "3mf";
    case SceneKind::gltf:
      return "gltf";
    case SceneKind::glb:
      return "glb";
  }
  return "";
}

Result<TriangleSoup> import_scene(const std::filesystem::path& path, std::string_view bytes,
                                  SceneKind kind) {
  Assimp::Importer importer;
  const aiScene* scene = read_scene(importer, path, bytes, kind);
  if (scene == nullptr || scene->mRootNode == nullptr) {
    return Error{
        "file-malformed",
        fmt::format("{} can't be read as {}: {} Export the part again, as binary STL if you can.",
                    path.string(), scene_ending(kind), importer.GetErrorString())};
  }
  return SceneReader(*scene, path.string(), kind == SceneKind::obj).read();
}

}  // namespace seamwright
