#include "support/places.h"

namespace seamwright::testing {

std::string parts_dir() {
  return SEAMWRIGHT_PARTS_DIR;
}
std::string meshes_dir() {
  return SEAMWRIGHT_MESHES_DIR;
}

}  // namespace seamwright::testing
