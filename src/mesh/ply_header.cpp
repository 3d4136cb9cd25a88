#include "mesh/ply_header.h"

#include <array>

#include "mesh/text_faults.h"

namespace seamwright {
namespace {

std::optional<PlyType> type_named(std::string_view name) {
  constexpr std::array<std::array<std::string_view, 2>, 8> kNames{{{"char", "int8"},
                                                                   {"uchar", "uint8"},
                                                                   {"short", "int16"},
                                                                   {"ushort", "uint16"},
                                                                   {"int", "int32"},
                                                                   {"uint", "uint32"},
                                                                   {"float", "float32"},
                                                                   {"double", "float64"}}};
  for (std::size_t i = 0; i < kNames.size(); ++i) {
    if (name == kNames[i][0] || name == kNames[i][1]) return static_cast<PlyType>(i);
  }
  return std::nullopt;
}

/// Least bytes of one of the element: two of text a value, or the binary size with empty lists.
std::size_t least_size(const PlyElement& element, bool is_text) {
  std::size_t size = 0;
  for (const PlyProperty& p : element.properties)
    size += is_text ? 2 : ply_size(p.count_type.value_or(p.type));
  return std::max<std::size_t>(1, size);
}

class HeaderReader {
 public:
  HeaderReader(std::string_view bytes, const std::string& name)
      : bytes_(bytes), lines_(bytes), name_(name) {}

  Result<PlyHeader> read() {
    lines_.next();  // "ply", which told the kind
    while (lines_.next()) {
      std::string_view rest = lines_.here();
      const std::string_view keyword = take_word(rest);
      if (keyword == "end_header") return finished();
      Status read = ok();
      if (keyword == "format")
        read = read_format(rest);
      else if (keyword == "element")
        read = read_element(rest);
      else if (keyword == "property")
        read = read_property(rest);
      else if (keyword != "comment" && keyword != "obj_info" && !keyword.empty())
        read = fault(keyword, "no word of a PLY header");
      if (!read) return read.error();
    }
    return cut_short(name_, lines_.line(), "the PLY header has no end");
  }

 private:
  Error fault(std::string_view word, const std::string& what) const {
    return malformed_line(name_, lines_.line(),
                          fmt::format("\"{}\" is {}", shown_word(word), what));
  }
  Status read_format(std::string_view rest) {
    const std::string_view format = take_word(rest);
    header_.is_text = format == "ascii";
    header_.is_big_endian = format == "binary_big_endian";
    if (header_.is_text || header_.is_big_endian || format == "binary_little_endian") return ok();
    return fault(format, "no format of PLY");
  }
  Status read_element(std::string_view rest) {
    const std::string_view name = take_word(rest), count = take_word(rest);
    const std::optional<long long> value = integer_in(count);
    if (!value || *value < 0) return fault(count, "no count");
    header_.elements.push_back({std::string(name), static_cast<std::size_t>(*value), {}});
    return ok();
  }
  Status read_property(std::string_view rest) {
    if (header_.elements.empty()) return fault("property", "before any element");
    PlyProperty property;
    std::string_view type = take_word(rest);
    if (type == "list") {
      const std::string_view count = take_word(rest);
      property.count_type = type_named(count);
      if (!property.count_type || *property.count_type >= PlyType::float32)
        return fault(count, "no type of a list's length");
      type = take_word(rest);
    }
    const std::optional<PlyType> known = type_named(type);
    if (!known) return fault(type, "no type of PLY");
    property.type = *known;
    property.name = std::string(take_word(rest));
    header_.elements.back().properties.push_back(std::move(property));
    return ok();
  }
  Result<PlyHeader> finished() {
    header_.body = lines_.offset();
    header_.line = lines_.line();
    const std::size_t room = bytes_.size() - header_.body;
    for (const PlyElement& e : header_.elements) {
      if (e.count <= room / least_size(e, header_.is_text) + 1) continue;
      return cut_short(name_, lines_.line(),
                       fmt::format("{} of element {} don't fit in the {} bytes that follow",
                                   e.count, shown_word(e.name), room));
    }
    return std::move(header_);
  }

  std::string_view bytes_;
  TextLines lines_;
  const std::string& name_;
  PlyHeader header_;
};

}  // namespace

std::size_t ply_size(PlyType type) {
  constexpr std::array<std::size_t, 8> kSizes{1, 1, 2, 2, 4, 4, 4, 8};
  return kSizes[static_cast<std::size_t>(type)];
}

Result<PlyHeader> read_ply_header(std::string_view bytes, const std::string& name) {
  return HeaderReader(bytes, name).read();
}

}  // namespace seamwright
