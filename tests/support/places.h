#pragma once

#include <string>

// Where the tests find their meshes. Only places.cpp knows the folders, so that a clone elsewhere
// need not compile the other tests again.

namespace seamwright::testing {

/// The folder that scripts/parts wrote.
std::string parts_dir();
/// The repository's meshes.
std::string meshes_dir();

}  // namespace seamwright::testing
