#pragma once

#include <cstddef>
#include <cstdint>

namespace seamwright {

/// Index types: one per kind of thing, so that a face is never taken for a vertex.
enum class VertexId : std::uint32_t {};
enum class FaceId : std::uint32_t {};
enum class SeamId : std::uint32_t {};   ///< stable within a plan; printed "S1", "S2", …
enum class PieceId : std::uint32_t {};  ///< position in the vector of pieces of one plan
enum class JointId : std::uint32_t {};  ///< position in the vector of joints of one plan

template <class Id>
requires(sizeof(Id) == sizeof(std::uint32_t)) constexpr std::size_t to_index(Id id) {
  return static_cast<std::size_t>(id);
}
template <class Id>
constexpr Id to_id(std::size_t index) {
  return static_cast<Id>(static_cast<std::uint32_t>(index));
}

}  // namespace seamwright
