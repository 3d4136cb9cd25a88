#include "seamwright/mesh/load.h"

#include <fmt/format.h>

#include <array>
#include <cstring>
#include <optional>

#include "mesh/file_bytes.h"
#include "mesh/import_scene.h"
#include "mesh/read_3mf.h"
#include "mesh/text_meshes.h"

namespace seamwright {
namespace {

constexpr std::size_t kHeadLength = 4096;
constexpr char kKinds[] = "STL, OBJ, PLY, OFF, 3MF and glTF";

enum class FileKind { stl, obj, ply, off, three_mf, gltf, glb };

std::string_view first_line(std::string_view text) {
  const std::size_t start = text.find_first_not_of(" \t\r\n");
  if (start == std::string_view::npos) return {};
  text.remove_prefix(start);
  text = text.substr(0, text.find_first_of("\r\n"));
  const std::size_t end = text.find_last_not_of(" \t");
  return text.substr(0, end + 1);
}

/// "OFF", "COFF", "NOFF BINARY", "STOFF": the word OFF with letters for what else a point carries.
bool is_off_header(std::string_view line) {
  const std::string_view word = line.substr(0, line.find_first_of(" \t"));
  return word.ends_with("OFF") &&
         word.substr(0, word.size() - 3).find_first_not_of("STCN4n") == std::string_view::npos;
}

bool fills_stl_size(std::string_view bytes) {
  if (bytes.size() < 84) return false;
  std::uint32_t count = 0;
  std::memcpy(&count, bytes.data() + 80, sizeof count);
  return bytes.size() == 84 + 50 * std::size_t{count};
}

std::optional<FileKind> kind_by_content(std::string_view bytes) {
  const std::string_view head = bytes.substr(0, kHeadLength);
  if (fills_stl_size(bytes)) return FileKind::stl;
  if (head.starts_with("PK\x03\x04")) return FileKind::three_mf;
  if (head.starts_with("glTF")) return FileKind::glb;
  if (head.starts_with("ply\n") || head.starts_with("ply\r")) return FileKind::ply;
  const std::string_view line = first_line(head);
  if (is_off_header(line)) return FileKind::off;
  if (line.starts_with("{") && bytes.find("\"asset\"") != std::string_view::npos)
    return FileKind::gltf;
  const bool is_solid =
      line.starts_with("solid") || line.starts_with("SOLID") || line.starts_with("Solid");
  if (is_solid && head.find("\nv ") == std::string_view::npos) return FileKind::stl;
  return std::nullopt;
}

std::optional<FileKind> kind_by_ending(const std::filesystem::path& path) {
  constexpr std::array kEndings{".stl", ".obj", ".ply", ".off", ".3mf", ".gltf", ".glb"};
  std::string ending = path.extension().string();
  for (char& c : ending) c = static_cast<char>(c >= 'A' && c <= 'Z' ? c + 32 : c);
  for (std::size_t i = 0; i < kEndings.size(); ++i) {
    if (ending == kEndings[i]) return static_cast<FileKind>(i);
  }
  return std::nullopt;
}

/// An OBJ file has no mark at its start: lines that begin with the letters of points and faces tell
/// it.
bool looks_like_obj(std::string_view bytes) {
  const auto has_line = [&](std::string_view start) {
    return bytes.starts_with(start.substr(1)) || bytes.find(start) != std::string_view::npos;
  };
  return bytes.substr(0, kHeadLength).find('\0') == std::string_view::npos && has_line("\nv ") &&
         has_line("\nf ");
}

Result<TriangleSoup> read_as(FileKind kind, const std::filesystem::path& path,
                             std::string_view bytes, const Run& run) {
  const std::string name = path.string();
  switch (kind) {
    case FileKind::stl:
      return read_stl(bytes, name, run);
    case FileKind::obj:
      return read_obj(bytes, name);
    case FileKind::ply:
      return read_ply(bytes, name);
    case FileKind::off:
      return read_off(bytes, name);
    case FileKind::three_mf:
      return read_3mf(bytes, name);
    case FileKind::gltf:
      return import_gltf(path, bytes, false);
    case FileKind::glb:
      return import_gltf(path, bytes, true);
  }
  return Error{"file-kind-unknown", name};
}

}  // namespace

Result<TriangleSoup> load_mesh(const std::filesystem::path& path, const Run& run) {
  const Result<FileBytes> file = read_file(path);
  if (!file) return file.error();
  if (run.should_stop()) return Error{"cancelled", "stopped while reading " + path.string()};
  std::optional<FileKind> kind = kind_by_content(file->view());
  if (!kind) kind = kind_by_ending(path);
  if (!kind && looks_like_obj(file->view())) kind = FileKind::obj;
  if (!kind) {
    return Error{"file-kind-unknown", fmt::format("{} is no mesh by its content nor by its ending; "
                                                  "{} can be read. Export the part as one "
                                                  "of them.",
                                                  path.string(), kKinds)};
  }
  return read_as(*kind, path, file->view(), run);
}

}  // namespace seamwright
