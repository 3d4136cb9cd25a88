#include "seamwright/core/memory.h"

#include <gtest/gtest.h>
#ifdef __GLIBC__
#include <malloc.h>

#include <cstring>
#include <memory>

namespace seamwright {
namespace {

// A sanitizer brings an allocator of its own, which has no such switch.
#if !defined(__SANITIZE_ADDRESS__)
TEST(Memory, FreedMemoryIsKeptForTheNextUse) {
  keep_freed_memory();
  constexpr std::size_t kBytes = 16 << 20;
  const std::size_t mapped = mallinfo2().hblkhd;
  {
    const auto block = std::make_unique<char[]>(kBytes);
    EXPECT_EQ(mallinfo2().hblkhd, mapped);  // not mapped on its own
    EXPECT_NE(block, nullptr);
  }
  EXPECT_GE(mallinfo2().fordblks, kBytes);  // free, and still here
}
#else
TEST(Memory, AnotherAllocatorIsLeftAsItIs) {
  keep_freed_memory();
  EXPECT_NE(std::make_unique<char[]>(1 << 20), nullptr);
}
#endif

}  // namespace
}  // namespace seamwright
#endif
