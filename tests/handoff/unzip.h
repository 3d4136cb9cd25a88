#pragma once

#include <zlib.h>

#include <cstdint>
#include <map>
#include <stdexcept>
#include <string>

namespace seamwright::testing {

struct ZipEntry {
  std::uint32_t dos_date = 0;  ///< of the central header: time in the low half, date in the high
  std::uint32_t local_dos_date = 0;
  std::string bytes;
};

namespace unzip_detail {
inline std::uint32_t number(const std::string& data, std::size_t at, int byte_count) {
  std::uint32_t value = 0;
  for (int i = 0; i < byte_count; ++i) {
    value |= static_cast<std::uint32_t>(static_cast<unsigned char>(data.at(at + i))) << (8 * i);
  }
  return value;
}

inline std::string inflated(const std::string& packed, std::size_t size) {
  std::string plain(size, '\0');
  z_stream stream{};
  if (inflateInit2(&stream, -MAX_WBITS) != Z_OK) throw std::runtime_error("zlib");
  stream.next_in = reinterpret_cast<Bytef*>(const_cast<char*>(packed.data()));
  stream.avail_in = static_cast<uInt>(packed.size());
  stream.next_out = reinterpret_cast<Bytef*>(plain.data());
  stream.avail_out = static_cast<uInt>(plain.size());
  const int ended = inflate(&stream, Z_FINISH);
  inflateEnd(&stream);
  if (ended != Z_STREAM_END || stream.avail_out != 0)
    throw std::runtime_error("zip entry is broken");
  return plain;
}
}  // namespace unzip_detail

/// The entries of a zip archive, by the ZIP application note (seen), apart from the program's own
/// code on purpose.
inline std::map<std::string, ZipEntry> unzip(const std::string& zip) {
  using unzip_detail::number;
  const std::size_t end = zip.rfind("PK\x05\x06");
  if (end == std::string::npos) throw std::runtime_error("not a zip");
  std::map<std::string, ZipEntry> entries;
  std::size_t at = number(zip, end + 16, 4);
  for (std::uint32_t i = 0; i < number(zip, end + 10, 2); ++i) {
    if (zip.compare(at, 4, "PK\x01\x02") != 0) throw std::runtime_error("no central header");
    const std::size_t local = number(zip, at + 42, 4), name_size = number(zip, at + 28, 2);
    const std::size_t data = local + 30 + number(zip, local + 26, 2) + number(zip, local + 28, 2);
    const std::string packed = zip.substr(data, number(zip, at + 20, 4));
    ZipEntry entry{number(zip, at + 12, 4), number(zip, local + 10, 4), packed};
    if (number(zip, at + 10, 2) == 8)
      entry.bytes = unzip_detail::inflated(packed, number(zip, at + 24, 4));
    entries[zip.substr(at + 46, name_size)] = entry;
    at += 46 + name_size + number(zip, at + 30, 2) + number(zip, at + 32, 2);
  }
  return entries;
}

}  // namespace seamwright::testing
