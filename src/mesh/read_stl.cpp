#include <fmt/format.h>

#include <algorithm>
#include <bit>
#include <cmath>
#include <cstring>

#include "mesh/point_table.h"
#include "mesh/stl_text.h"
#include "seamwright/mesh/load.h"

namespace seamwright {
namespace {

static_assert(std::endian::native == std::endian::little, "binary STL is little-endian");

constexpr std::size_t kHeader = 84;
constexpr std::size_t kRecord = 50;
constexpr std::size_t kCornersAt = 12;  // after the facet normal, which is not used: corners say it
constexpr std::size_t kBlock =
    16;  // faces hashed ahead, so that the table's slots are on their way
constexpr std::size_t kMostFaces = 0xffffffffULL / 3;

std::uint32_t counted_faces(std::string_view bytes) {
  std::uint32_t count = 0;
  std::memcpy(&count, bytes.data() + kHeader - sizeof count, sizeof count);
  return count;
}

bool fills_size_equation(std::string_view bytes) {
  return bytes.size() >= kHeader &&
         bytes.size() == kHeader + kRecord * std::size_t{counted_faces(bytes)};
}

bool holds_word(std::string_view text, std::string_view lower_case) {
  const auto found = std::search(
      text.begin(), text.end(), lower_case.begin(), lower_case.end(),
      [](char c, char low) { return (c >= 'A' && c <= 'Z' ? c + ('a' - 'A') : c) == low; });
  return found != text.end();
}

/// Whether the bytes that don't fill the size equation are meant as text: "solid" first, and no
/// byte in the first block that text can't have. What is shorter than a binary header may be the
/// beginning of one, whose letters may be any: text is what speaks of a facet or ends as text does.
bool is_text(std::string_view bytes) {
  const std::size_t start = bytes.find_first_not_of(" \t\r\n");
  if (start == std::string_view::npos) return bytes.size() >= kHeader;
  const std::string_view head = bytes.substr(start, 1024);
  if (head.find('\0') != std::string_view::npos) return false;
  if (bytes.size() < kHeader) return holds_word(head, "facet") || holds_word(head, "endsolid");
  return head.starts_with("solid") || head.starts_with("SOLID") || head.starts_with("Solid");
}

Error wrong_size(std::string_view bytes, const std::string& name) {
  if (bytes.size() < kHeader) {
    return {"file-truncated",
            fmt::format("{} has {} bytes, too few for an STL file: a binary one begins with {} "
                        "before its first triangle, and text takes more for one facet. Copy or "
                        "export it again; if it is no STL file, give it the ending of its kind.",
                        name, bytes.size(), kHeader)};
  }
  const std::size_t count = counted_faces(bytes), whole = (bytes.size() - kHeader) / kRecord;
  const std::size_t wanted = kHeader + kRecord * count;
  if (bytes.size() < wanted) {
    return {
        "file-truncated",
        fmt::format(
            "{} says at byte 80 that it holds {} triangles, which takes {} bytes, but it has {} "
            "bytes, enough for {} triangles. Copy or export it again; if it is no STL file, "
            "give it the ending of its kind.",
            name, count, wanted, bytes.size(), whole)};
  }
  return {"file-malformed", fmt::format("{} says at byte 80 that it holds {} triangles and should "
                                        "end at byte {}, but has {} bytes "
                                        "more. Export it again.",
                                        name, count, wanted, bytes.size() - wanted)};
}

Error not_finite(std::string_view bytes, std::size_t face, const std::string& name) {
  std::array<float, 9> values;
  const std::size_t at = kHeader + kRecord * face + kCornersAt;
  std::memcpy(values.data(), bytes.data() + at, sizeof values);
  std::size_t bad = 0;
  while (bad < 8 && std::isfinite(values[bad])) ++bad;
  return {
      "file-not-finite",
      fmt::format(
          "{}, triangle {} (byte {}): {} of corner {} is {}, not a finite number. Repair or delete "
          "that face and export the part again.",
          name, face + 1, at + 4 * bad, "xyz"[bad % 3], bad / 3 + 1,
          std::isnan(values[bad]) ? "not a number" : "infinite")};
}

/// The corners of the faces from `first` on, with their hashes.
struct CornerBlock {
  std::array<PointTable<float>::Key, 3 * kBlock> keys;
  std::array<std::uint64_t, 3 * kBlock> hashes;

  /// False when a corner is not finite.
  bool fill(std::string_view bytes, std::size_t first, std::size_t count,
            const PointTable<float>& table) {
    bool is_finite = true;
    for (std::size_t f = 0; f < count; ++f) {
      std::array<PointTable<float>::Key, 3> corners;
      std::memcpy(corners.data(), bytes.data() + kHeader + kRecord * (first + f) + kCornersAt, 36);
      for (std::size_t k = 0; k < 3; ++k) {
        const auto key = PointTable<float>::plain(corners[k]);
        is_finite &= std::isfinite(key[0]) && std::isfinite(key[1]) && std::isfinite(key[2]);
        keys[3 * f + k] = key;
        hashes[3 * f + k] = PointTable<float>::hash(key);
        table.prefetch(hashes[3 * f + k]);
      }
    }
    return is_finite;
  }
};

Error first_not_finite(std::string_view bytes, std::size_t face, const std::string& name) {
  for (;; ++face) {
    std::array<float, 9> values;
    std::memcpy(values.data(), bytes.data() + kHeader + kRecord * face + kCornersAt, sizeof values);
    for (float value : values) {
      if (!std::isfinite(value)) return not_finite(bytes, face, name);
    }
  }
}

Result<TriangleSoup> read_stl_binary(std::string_view bytes, const std::string& name) {
  const std::size_t count = counted_faces(bytes);
  if (count == 0) {
    return Error{"no-faces",
                 fmt::format("{} is a binary STL file of 0 triangles. Export the part again as "
                             "a mesh.",
                             name)};
  }
  if (count > kMostFaces) {
    return Error{"file-too-large",
                 fmt::format("{} holds {} triangles; at most {} can be read. Reduce the "
                             "mesh first.",
                             name, count, kMostFaces)};
  }
  PointTable<float> table(count / 2);
  TriangleSoup soup;
  soup.triangles.resize(count);
  CornerBlock block;
  for (std::size_t first = 0; first < count; first += kBlock) {
    const std::size_t size = std::min(kBlock, count - first);
    if (!block.fill(bytes, first, size, table)) return first_not_finite(bytes, first, name);
    for (std::size_t i = 0; i < 3 * size; ++i) {
      soup.triangles[first + i / 3][i % 3] =
          to_id<VertexId>(table.number_of(block.keys[i], block.hashes[i]));
    }
  }
  soup.points.reserve(table.keys().size());
  for (const auto& key : table.keys()) soup.points.push_back({key[0], key[1], key[2]});
  return soup;
}

}  // namespace

Result<TriangleSoup> read_stl(std::string_view bytes, const std::string& name, const Run& run) {
  if (bytes.empty()) {
    return Error{"file-empty",
                 fmt::format("{} is empty (0 bytes). Copy or export it again.", name)};
  }
  if (run.should_stop()) return Error{"cancelled", "stopped while reading " + name};
  if (fills_size_equation(bytes)) return read_stl_binary(bytes, name);
  if (is_text(bytes)) return read_stl_text(bytes, name);
  return wrong_size(bytes, name);
}

}  // namespace seamwright
