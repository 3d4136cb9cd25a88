#pragma once

#include <algorithm>
#include <array>
#include <bit>
#include <cstdint>
#include <cstring>
#include <vector>

namespace seamwright {

/// Numbers distinct positions in the order they first appear: equal coordinates (-0 = 0) share a
/// number. Open addressing with linear probing; the table holds numbers only, so that it stays
/// small (4 bytes a slot) and a lookup touches one slot and one position. `Scalar` is float or
/// double.
template <class Scalar>
class PointTable {
 public:
  using Key = std::array<Scalar, 3>;

  explicit PointTable(std::size_t expected) { resize_slots(std::bit_ceil(2 * expected + 16)); }

  /// The key with -0 made 0, so that equal positions have equal bytes.
  static Key plain(Key key) { return {key[0] + Scalar(0), key[1] + Scalar(0), key[2] + Scalar(0)}; }

  /// Hash of a plain key: each coordinate's bits times an odd constant, folded.
  static std::uint64_t hash(const Key& key) {
    std::uint64_t h = bits(key[0]) * 0x9e3779b97f4a7c15ULL;
    h = (std::rotl(h, 23) ^ bits(key[1])) * 0xbf58476d1ce4e5b9ULL;
    h = (std::rotl(h, 23) ^ bits(key[2])) * 0x94d049bb133111ebULL;
    return h ^ (h >> 29);
  }
  void prefetch(std::uint64_t h) const { __builtin_prefetch(&slots_[h & mask_]); }

  std::uint32_t number_of(const Key& raw) {
    const Key key = plain(raw);
    return number_of(key, hash(key));
  }
  /// `h` must be hash(key), the key plain.
  std::uint32_t number_of(const Key& key, std::uint64_t h) {
    for (std::size_t slot = h & mask_;; slot = (slot + 1) & mask_) {
      const std::uint32_t at = slots_[slot];
      if (at == kFree) return add(key, slot);
      if (keys_[at] == key) return at;
    }
  }
  const std::vector<Key>& keys() const { return keys_; }

 private:
  static constexpr std::uint32_t kFree = ~std::uint32_t{0};

  static std::uint64_t bits(Scalar value) {
    if constexpr (sizeof(Scalar) == 4)
      return std::bit_cast<std::uint32_t>(value);
    else
      return std::bit_cast<std::uint64_t>(value);
  }
  std::uint32_t add(const Key& key, std::size_t slot) {
    const auto number = static_cast<std::uint32_t>(keys_.size());
    keys_.push_back(key);
    slots_[slot] = number;
    if (4 * keys_.size() > 3 * slots_.size()) resize_slots(2 * slots_.size());
    return number;
  }
  void resize_slots(std::size_t count) {
    slots_.assign(count, kFree);
    mask_ = count - 1;
    for (std::uint32_t i = 0; i < keys_.size(); ++i) {
      std::size_t slot = hash(keys_[i]) & mask_;
      while (slots_[slot] != kFree) slot = (slot + 1) & mask_;
      slots_[slot] = i;
    }
  }

  std::vector<Key> keys_;
  std::vector<std::uint32_t> slots_;
  std::size_t mask_ = 0;
};

}  // namespace seamwright
