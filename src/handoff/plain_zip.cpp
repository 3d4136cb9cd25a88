#include "handoff/plain_zip.h"

#include <algorithm>
#include <cstdint>
#include <vector>

#include "seamwright/core/result.h"

namespace seamwright {
namespace {

constexpr std::uint32_t kLocal = 0x04034b50, kCentral = 0x02014b50, kEnd = 0x06054b50;
constexpr std::uint32_t kWide = 0xffffffff;  ///< "see the 64-bit extra field"
constexpr std::uint32_t kFirstOf1980 = 0x00210000;

struct Entry {
  std::string name, packed;
  std::uint32_t method = 0, crc = 0;
  std::uint64_t size = 0, packed_size = 0, local_at = 0;
};

std::uint64_t number_at(const std::string& data, std::uint64_t at, int byte_count) {
  std::uint64_t value = 0;
  for (int i = 0; i < byte_count; ++i) {
    value |= static_cast<std::uint64_t>(
                 static_cast<unsigned char>(data.at(at + static_cast<std::uint64_t>(i))))
             << (8 * i);
  }
  return value;
}

/// The 64-bit extra field holds, in this order, those of the three values that are too wide.
void read_wide(const std::string& zip, std::uint64_t extra, std::uint64_t extra_size,
               Entry& entry) {
  for (std::uint64_t at = extra; at + 4 <= extra + extra_size;
       at += 4 + number_at(zip, at + 2, 2)) {
    if (number_at(zip, at, 2) != 1) continue;
    std::uint64_t value_at = at + 4;
    for (std::uint64_t* value : {&entry.size, &entry.packed_size, &entry.local_at}) {
      if (*value != kWide) continue;
      *value = number_at(zip, value_at, 8);
      value_at += 8;
    }
  }
}

/// Reads one central header and its data; moves `at` behind it.
Entry read_entry(const std::string& zip, std::uint64_t& at) {
  const std::uint64_t name_size = number_at(zip, at + 28, 2),
                      extra_size = number_at(zip, at + 30, 2);
  Entry entry{zip.substr(at + 46, name_size),
              {},
              static_cast<std::uint32_t>(number_at(zip, at + 10, 2)),
              static_cast<std::uint32_t>(number_at(zip, at + 16, 4)),
              number_at(zip, at + 24, 4),
              number_at(zip, at + 20, 4),
              number_at(zip, at + 42, 4)};
  read_wide(zip, at + 46 + name_size, extra_size, entry);
  require(number_at(zip, entry.local_at, 4) == kLocal, "a zip entry begins with its header");
  const std::uint64_t data = entry.local_at + 30 + number_at(zip, entry.local_at + 26, 2) +
                             number_at(zip, entry.local_at + 28, 2);
  entry.packed = zip.substr(data, entry.packed_size);
  require(entry.packed.size() == entry.packed_size && entry.size < kWide,
          "a zip entry is whole and under 4 GB");
  at += 46 + name_size + extra_size + number_at(zip, at + 32, 2);
  return entry;
}

void add(std::string& out, std::uint64_t value, int byte_count) {
  for (int i = 0; i < byte_count; ++i) {
    // A field wider than the number is filled up with zeros; a shift that wide is undefined.
    out += static_cast<char>(i < 8 ? value >> (8 * i) & 0xff : 0);
  }
}

/// What local and central headers have in common, from "version needed" to the length of the name.
void add_common(std::string& out, const Entry& entry) {
  add(out, 20, 2);
  add(out, 0, 2);
  add(out, entry.method, 2);
  add(out, kFirstOf1980, 4);
  add(out, entry.crc, 4);
  add(out, entry.packed.size(), 4);
  add(out, entry.size, 4);
  add(out, entry.name.size(), 2);
}

void add_local(std::string& out, const Entry& entry) {
  add(out, kLocal, 4);
  add_common(out, entry);
  add(out, 0, 2);
  out += entry.name + entry.packed;
}

void add_central(std::string& out, const Entry& entry, std::size_t local_at) {
  add(out, kCentral, 4);
  add(out, 20, 2);
  add_common(out, entry);
  add(out, 0, 2 + 2 + 2 + 2 + 4);  // no extra field, comment, other disk or attributes
  add(out, local_at, 4);
  out += entry.name;
}

std::vector<Entry> read_entries(const std::string& zip) {
  const std::size_t end = zip.rfind(std::string("PK\x05\x06", 4));
  require(end != std::string::npos, "a zip ends with its end record");
  const std::uint64_t count = number_at(zip, end + 10, 2);
  std::uint64_t at = number_at(zip, end + 16, 4);
  if (at == kWide) at = number_at(zip, number_at(zip, end - 20 + 8, 8) + 48, 8);
  std::vector<Entry> entries;
  for (std::uint64_t i = 0; i < count; ++i) {
    require(number_at(zip, at, 4) == kCentral, "a zip's central headers follow each other");
    entries.push_back(read_entry(zip, at));
  }
  return entries;
}

}  // namespace

std::string plain_zip(const std::string& zip) {
  std::vector<Entry> entries = read_entries(zip);
  std::sort(entries.begin(), entries.end(),
            [](const Entry& a, const Entry& b) { return a.name < b.name; });
  std::string out, central;
  for (const Entry& entry : entries) {
    add_central(central, entry, out.size());
    add_local(out, entry);
  }
  const std::size_t central_at = out.size();
  require(central_at < kWide, "the archive is under 4 GB");
  out += central;
  add(out, kEnd, 4);
  add(out, 0, 4);
  add(out, entries.size(), 2);
  add(out, entries.size(), 2);
  add(out, central.size(), 4);
  add(out, central_at, 4);
  add(out, 0, 2);
  return out;
}

}  // namespace seamwright
