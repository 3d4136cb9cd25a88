#include "mesh/read_3mf.h"

#include <Model/COM/NMR_DLLInterfaces.h>
#include <fmt/format.h>

#include <array>
#include <cmath>
#include <memory>

#include "mesh/soup_builder.h"
#include "mesh/text_faults.h"

namespace seamwright {
namespace {

struct Release {
  void operator()(NMR::PLib3MFBase* handle) const { NMR::lib3mf_release(handle); }
};
/// Every object of the library is a handle that must be given back.
using Handle = std::unique_ptr<NMR::PLib3MFBase, Release>;

/// Millimetres of the units in the order of the library's enumeration (3MF core 1.4, 2.3.1: micron
/// … metre).
constexpr std::array kUnit_mm{0.001, 1.0, 10.0, 25.4, 304.8, 1000.0};

class PackageReader {
 public:
  explicit PackageReader(const std::string& name) : name_(name) {}

  Result<TriangleSoup> read(std::string_view bytes) {
    NMR::PLib3MFModel* model = nullptr;
    if (NMR::lib3mf_createmodel(&model) != 0) return fault("the 3MF library can't start");
    const Handle model_handle(model);
    NMR::PLib3MFModelReader* reader = nullptr;
    if (NMR::lib3mf_model_queryreader(model, "3mf", &reader) != 0)
      return fault("the 3MF library has no reader");
    const Handle reader_handle(reader);
    auto* data = reinterpret_cast<BYTE*>(const_cast<char*>(bytes.data()));
    if (NMR::lib3mf_reader_readfrombuffer(reader, data, bytes.size()) != 0)
      return fault(last_words(reader));
    DWORD unit = 0;
    if (NMR::lib3mf_model_getunit(model, &unit) != 0 || unit >= kUnit_mm.size())
      return fault("its unit is unknown");
    scale_ratio_ = kUnit_mm[unit];
    NMR::PLib3MFModel* merged = nullptr;
    if (NMR::lib3mf_model_mergetomodel(model, &merged) != 0) return fault(last_words(model));
    const Handle merged_handle(merged);
    return read_meshes(merged);
  }

 private:
  Error fault(const std::string& what) const {
    return {
        "file-malformed",
        fmt::format("{} can't be read as 3MF: {}. Export the part again, as binary STL if you can.",
                    name_, what)};
  }
  static std::string last_words(NMR::PLib3MFBase* handle) {
    DWORD code = 0;
    LPCSTR words = nullptr;
    const bool has_words = NMR::lib3mf_getlasterror(handle, &code, &words) == 0 && words != nullptr;
    return fmt::format("{} (code {:#x})", has_words ? words : "damaged", code);
  }

  Result<TriangleSoup> read_meshes(NMR::PLib3MFModel* model) {
    NMR::PLib3MFModelResourceIterator* meshes = nullptr;
    if (NMR::lib3mf_model_getmeshobjects(model, &meshes) != 0) return fault(last_words(model));
    const Handle meshes_handle(meshes);
    BOOL has_next = 0;
    while (NMR::lib3mf_resourceiterator_movenext(meshes, &has_next) == 0 && has_next != 0) {
      NMR::PLib3MFModelResource* mesh = nullptr;
      if (NMR::lib3mf_resourceiterator_getcurrent(meshes, &mesh) != 0)
        return fault(last_words(meshes));
      const Handle mesh_handle(mesh);
      if (Status added = add_mesh(mesh); !added) return added.error();
    }
    if (!builder_.has_faces()) return no_faces(name_);
    return builder_.take();
  }

  Status add_mesh(NMR::PLib3MFModelResource* mesh) {
    DWORD point_count = 0, face_count = 0;
    if (NMR::lib3mf_meshobject_getvertexcount(mesh, &point_count) != 0)
      return fault(last_words(mesh));
    if (NMR::lib3mf_meshobject_gettrianglecount(mesh, &face_count) != 0)
      return fault(last_words(mesh));
    std::vector<NMR::MODELMESHVERTEX> points(point_count);
    std::vector<NMR::MODELMESHTRIANGLE> faces(face_count);
    if (point_count > 0 &&
        NMR::lib3mf_meshobject_getvertices(mesh, points.data(), point_count, nullptr) != 0)
      return fault(last_words(mesh));
    if (face_count > 0 &&
        NMR::lib3mf_meshobject_gettriangleindices(mesh, faces.data(), face_count, nullptr) != 0)
      return fault(last_words(mesh));
    std::vector<VertexId> ids;
    for (const NMR::MODELMESHVERTEX& v : points) {
      const Vec3 p = Vec3{v.m_fPosition[0], v.m_fPosition[1], v.m_fPosition[2]} * scale_ratio_;
      if (!std::isfinite(p.x) || !std::isfinite(p.y) || !std::isfinite(p.z)) {
        return Error{"file-not-finite", fmt::format("{}: point {} is not finite. Repair or delete "
                                                    "the faces there and export the part again.",
                                                    name_, ids.size() + 1)};
      }
      ids.push_back(builder_.add_point(p));
    }
    for (const NMR::MODELMESHTRIANGLE& t : faces) {
      for (DWORD corner : t.m_nIndices) {
        if (corner >= point_count)
          return fault(fmt::format("a triangle names point {}; there are {}", corner, point_count));
      }
      builder_.add_face(
          std::array{ids[t.m_nIndices[0]], ids[t.m_nIndices[1]], ids[t.m_nIndices[2]]});
    }
    return ok();
  }

  const std::string& name_;
  SoupBuilder builder_{1024};
  double scale_ratio_ = 1;
};

}  // namespace

Result<TriangleSoup> read_3mf(std::string_view bytes, const std::string& name) {
  return PackageReader(name).read(bytes);
}

}  // namespace seamwright
