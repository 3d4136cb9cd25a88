#include "seamwright/core/memory.h"

#include <cstdlib>  // says which library this is

#ifdef __GLIBC__
#include <malloc.h>
#endif

namespace seamwright {

void keep_freed_memory() {
#ifdef __GLIBC__
  constexpr int kLargestThreshold = 32 << 20;  // what glibc takes
  mallopt(M_MMAP_THRESHOLD, kLargestThreshold);
  mallopt(M_TRIM_THRESHOLD, 1 << 30);
#endif
}

}  // namespace seamwright
