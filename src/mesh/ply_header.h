#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "seamwright/core/result.h"

namespace seamwright {

enum class PlyType : std::uint8_t { int8, uint8, int16, uint16, int32, uint32, float32, float64 };

/// Bytes of a binary value.
std::size_t ply_size(PlyType type);

struct PlyProperty {
  std::string name;
  PlyType type = PlyType::float32;
  std::optional<PlyType> count_type;  ///< a list, its length of this type
};
struct PlyElement {
  std::string name;
  std::size_t count = 0;
  std::vector<PlyProperty> properties;
  std::optional<std::size_t> find(std::string_view wanted) const {
    for (std::size_t i = 0; i < properties.size(); ++i) {
      if (properties[i].name == wanted) return i;
    }
    return std::nullopt;
  }
};
struct PlyHeader {
  bool is_text = true, is_big_endian = false;
  std::vector<PlyElement> elements;
  std::size_t body = 0;  ///< where the data begins
  std::size_t line = 0;  ///< lines before it
};

/// Reads the header; counts that the file's size can't hold are refused. Errors: "file-malformed"
/// with the line, "file-truncated".
Result<PlyHeader> read_ply_header(std::string_view bytes, const std::string& name);

}  // namespace seamwright
