#include "seamwright/handoff/package_3mf.h"

#include <Model/COM/NMR_DLLInterfaces.h>
#include <fmt/format.h>

#include <cstring>
#include <memory>

#include "handoff/manifold_by_index.h"
#include "handoff/plain_zip.h"

namespace seamwright {
namespace {

/// lib3mf's handles are untyped pointers that must be released.
struct Release {
  void operator()(NMR::PLib3MFBase* handle) const { NMR::lib3mf_release(handle); }
};
using Handle = std::unique_ptr<NMR::PLib3MFBase, Release>;

struct Lib3mfFailure {
  LIB3MFRESULT code;
};
void check(LIB3MFRESULT code) {
  if (code != 0) throw Lib3mfFailure{code};
}
template <class Make>
Handle made(const Make& make) {
  NMR::PLib3MFBase* handle = nullptr;
  check(make(&handle));
  return Handle(handle);
}

/// lib3mf gives random ids to what has none; counted ones keep the bytes the same.
std::string counted_uuid(std::size_t count) {
  return fmt::format("00000000-0000-4000-8000-{:012x}", count);
}

void set_geometry(NMR::PLib3MFBase* object, const Solid& solid) {
  const ManifoldMesh mesh = manifold_by_index(solid);
  std::vector<NMR::MODELMESHVERTEX> points;
  points.reserve(mesh.points.size());
  for (const Vec3& p : mesh.points) {
    points.push_back({{static_cast<float>(p.x), static_cast<float>(p.y), static_cast<float>(p.z)}});
  }
  std::vector<NMR::MODELMESHTRIANGLE> triangles;
  triangles.reserve(mesh.triangles.size());
  for (const Triangle& t : mesh.triangles) {
    const auto index = [](VertexId v) { return static_cast<DWORD>(to_index(v)); };
    triangles.push_back({{index(t[0]), index(t[1]), index(t[2])}});
  }
  check(NMR::lib3mf_meshobject_setgeometry(object, points.data(), static_cast<DWORD>(points.size()),
                                           triangles.data(), static_cast<DWORD>(triangles.size())));
}

void add_solid(NMR::PLib3MFBase* model, const NamedSolid& named, std::size_t& count) {
  const Handle object =
      made([&](auto** out) { return NMR::lib3mf_model_addmeshobject(model, out); });
  check(NMR::lib3mf_object_setnameutf8(object.get(), named.name.c_str()));
  check(NMR::lib3mf_object_setuuidutf8(object.get(), counted_uuid(++count).c_str()));
  set_geometry(object.get(), *named.solid);
  const Handle item = made([&](auto** out) {
    return NMR::lib3mf_model_addbuilditem(model, object.get(), nullptr, out);
  });
  check(NMR::lib3mf_builditem_setuuidutf8(item.get(), counted_uuid(++count).c_str()));
}

/// What lib3mf writes to: it goes back to fill in the sizes of the archive's entries.
struct Bytes {
  std::string data;
  std::size_t position = 0;
};
std::uint32_t write_bytes(unsigned char* from, std::uint32_t count, void* to) {
  Bytes& bytes = *static_cast<Bytes*>(to);
  if (bytes.data.size() < bytes.position + count) bytes.data.resize(bytes.position + count);
  std::memcpy(bytes.data.data() + bytes.position, from, count);
  bytes.position += count;
  return 0;
}
std::uint32_t seek_bytes(std::uint64_t position, void* to) {
  static_cast<Bytes*>(to)->position = static_cast<std::size_t>(position);
  return 0;
}

std::string model_bytes(NMR::PLib3MFBase* model) {
  const Handle writer =
      made([&](auto** out) { return NMR::lib3mf_model_querywriter(model, "3mf", out); });
  Bytes bytes;
  check(NMR::lib3mf_writer_writetocallback(writer.get(), reinterpret_cast<void*>(&write_bytes),
                                           reinterpret_cast<void*>(&seek_bytes), &bytes));
  return std::move(bytes.data);
}

}  // namespace

Result<std::string> package_3mf(std::span<const NamedSolid> solids,
                                const std::string& program) try {
  const Handle model = made([](auto** out) { return NMR::lib3mf_createmodel(out); });
  check(NMR::lib3mf_model_setunit(model.get(), NMR::MODELUNIT_MILLIMETER));
  check(NMR::lib3mf_model_addmetadatautf8(model.get(), "Application", program.c_str()));
  std::size_t uuid_count = 0;
  check(NMR::lib3mf_model_setbuilduuidutf8(model.get(), counted_uuid(++uuid_count).c_str()));
  for (const NamedSolid& named : solids) add_solid(model.get(), named, uuid_count);
  return plain_zip(model_bytes(model.get()));
} catch (const Lib3mfFailure& failure) {
  return Error{"package-failed",
               fmt::format("lib3mf could not write the 3MF package (code {:#x})", failure.code)};
}

}  // namespace seamwright
