#include <algorithm>
#include <array>
#include <cstring>

#include "mesh/ply_header.h"
#include "mesh/soup_builder.h"
#include "mesh/text_faults.h"
#include "mesh/text_meshes.h"

namespace seamwright {
namespace {

template <class T>
double value_of(const std::array<char, 8>& bytes) {
  T value;
  std::memcpy(&value, bytes.data(), sizeof value);
  return static_cast<double>(value);
}

/// The body of a PLY file as numbers, text and binary alike.
class PlyValues {
 public:
  PlyValues(std::string_view bytes, const PlyHeader& header)
      : bytes_(bytes),
        is_text_(header.is_text),
        is_swapped_(header.is_big_endian),
        at_(header.body),
        line_(header.line + 1) {}

  /// The next number; nothing at the end of the file or where there is none.
  std::optional<double> next(PlyType type) { return is_text_ ? next_word() : next_binary(type); }
  /// Where the last number stands.
  std::string place() const {
    return is_text_ ? fmt::format("line {}", line_) : fmt::format("byte {}", before_);
  }
  bool is_at_end() const { return at_ >= bytes_.size(); }

 private:
  std::optional<double> next_word() {
    while (at_ < bytes_.size() && static_cast<unsigned char>(bytes_[at_]) <= ' ')
      line_ += bytes_[at_++] == '\n' ? 1 : 0;
    const std::size_t start = at_;
    while (at_ < bytes_.size() && static_cast<unsigned char>(bytes_[at_]) > ' ') ++at_;
    return number_in(bytes_.substr(start, at_ - start));
  }
  std::optional<double> next_binary(PlyType type) {
    const std::size_t size = ply_size(type);
    before_ = at_;
    if (bytes_.size() - at_ < size) {
      at_ = bytes_.size();
      return std::nullopt;
    }
    std::array<char, 8> value{};
    std::memcpy(value.data(), bytes_.data() + at_, size);
    at_ += size;
    if (is_swapped_) std::reverse(value.begin(), value.begin() + static_cast<std::ptrdiff_t>(size));
    switch (type) {
      case PlyType::int8:
        return value_of<std::int8_t>(value);
      case PlyType::uint8:
        return value_of<std::uint8_t>(value);
      case PlyType::int16:
        return value_of<std::int16_t>(value);
      case PlyType::uint16:
        return value_of<std::uint16_t>(value);
      case PlyType::int32:
        return value_of<std::int32_t>(value);
      case PlyType::uint32:
        return value_of<std::uint32_t>(value);
      case PlyType::float32:
        return value_of<float>(value);
      case PlyType::float64:
        return value_of<double>(value);
    }
    return std::nullopt;
  }

  std::string_view bytes_;
  bool is_text_, is_swapped_;
  std::size_t at_, before_ = 0, line_;
};

class PlyReader {
 public:
  PlyReader(std::string_view bytes, const PlyHeader& header, const std::string& name)
      : header_(header), name_(name), values_(bytes, header), builder_(bytes.size() / 40 + 16) {}

  Result<TriangleSoup> read() {
    for (const PlyElement& element : header_.elements) {
      const Status read = element.name == "vertex" ? read_points(element)
                          : element.name == "face" ? read_faces(element)
                                                   : pass_over(element);
      if (!read) return read.error();
    }
    if (!builder_.has_faces()) return no_faces(name_);
    return builder_.take();
  }

 private:
  Error fault(const std::string& what) const {
    return {"file-malformed",
            fmt::format("{}, {}: {}. Export the part again, as binary STL if you can.", name_,
                        values_.place(), what)};
  }
  Error no_value(const PlyElement& element, std::size_t i) const {
    if (!values_.is_at_end()) return fault(fmt::format("no number in {} {}", element.name, i + 1));
    return {"file-truncated", fmt::format("{} stops in {} {} of {}. Copy or export it again.",
                                          name_, element.name, i + 1, element.count)};
  }

  /// One row: single values into `row_`, by property; the list of property `list` into `list_`.
  Status read_row(const PlyElement& element, std::size_t i, std::optional<std::size_t> list) {
    row_.assign(element.properties.size(), 0);
    list_.clear();
    for (std::size_t p = 0; p < element.properties.size(); ++p) {
      const PlyProperty& property = element.properties[p];
      const std::optional<double> first = values_.next(property.count_type.value_or(property.type));
      if (!first) return no_value(element, i);
      row_[p] = *first;
      if (!property.count_type) continue;
      if (!(*first >= 0 && *first < 4294967296.0))
        return fault(fmt::format("{} is no length of a list", *first));
      for (auto left = static_cast<std::size_t>(*first); left > 0; --left) {
        const std::optional<double> value = values_.next(property.type);
        if (!value) return no_value(element, i);
        if (p == list) list_.push_back(*value);
      }
    }
    return ok();
  }

  Status read_points(const PlyElement& element) {
    const std::array at{element.find("x"), element.find("y"), element.find("z")};
    if (!at[0] || !at[1] || !at[2]) return fault("the points have no x, y and z");
    points_.reserve(element.count);
    for (std::size_t i = 0; i < element.count; ++i) {
      if (Status row = read_row(element, i, std::nullopt); !row) return row;
      const Vec3 p{row_[*at[0]], row_[*at[1]], row_[*at[2]]};
      if (!std::isfinite(p.x) || !std::isfinite(p.y) || !std::isfinite(p.z)) {
        return Error{"file-not-finite",
                     fmt::format("{}, {}: point {} is not finite. Repair or delete the faces there "
                                 "and export the part again.",
                                 name_, values_.place(), i + 1)};
      }
      points_.push_back(builder_.add_point(p));
    }
    return ok();
  }

  Status read_faces(const PlyElement& element) {
    std::optional<std::size_t> corners = element.find("vertex_indices");
    if (!corners) corners = element.find("vertex_index");
    if (!corners || !element.properties[*corners].count_type)
      return fault("the faces have no list vertex_indices");
    for (std::size_t i = 0; i < element.count; ++i) {
      if (Status row = read_row(element, i, corners); !row) return row;
      polygon_.clear();
      for (double corner : list_) {
        if (!(corner >= 0 && corner < static_cast<double>(points_.size())) ||
            corner != std::floor(corner)) {
          return fault(
              fmt::format("face {} names point {}; there are {}", i + 1, corner, points_.size()));
        }
        polygon_.push_back(points_[static_cast<std::size_t>(corner)]);
      }
      if (polygon_.size() >= 3) builder_.add_face(polygon_);
    }
    return ok();
  }

  Status pass_over(const PlyElement& element) {
    for (std::size_t i = 0; i < element.count; ++i) {
      if (Status row = read_row(element, i, std::nullopt); !row) return row;
    }
    return ok();
  }

  const PlyHeader& header_;
  const std::string& name_;
  PlyValues values_;
  SoupBuilder builder_;
  std::vector<VertexId> points_, polygon_;
  std::vector<double> row_, list_;
};

}  // namespace

Result<TriangleSoup> read_ply(std::string_view bytes, const std::string& name) {
  const Result<PlyHeader> header = read_ply_header(bytes, name);
  if (!header) return header.error();
  return PlyReader(bytes, *header, name).read();
}

}  // namespace seamwright
