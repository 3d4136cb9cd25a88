#include "seamwright/core/ids.h"

#include <gtest/gtest.h>

#include <type_traits>

namespace seamwright {
namespace {

TEST(Ids, GoThereAndBack) {
  EXPECT_EQ(to_index(to_id<FaceId>(41)), 41u);
}

TEST(Ids, OneKindIsNeverTakenForAnother) {
  EXPECT_FALSE((std::is_convertible_v<FaceId, VertexId>));
  EXPECT_FALSE((std::is_convertible_v<std::size_t, FaceId>));
}

}  // namespace
}  // namespace seamwright
