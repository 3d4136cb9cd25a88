#pragma once

#include <array>
#include <cstdio>
#include <memory>
#include <stdexcept>
#include <string>

namespace seamwright::testing {

/// What a command prints. Throws std::runtime_error when it can't be run or fails: a missing judge
/// fails its test.
inline std::string output_of(const std::string& command) {
  std::FILE* pipe = ::popen(command.c_str(), "r");
  if (pipe == nullptr) throw std::runtime_error("can't run " + command);
  std::string text;
  std::array<char, 65536> block;
  for (std::size_t got = 0; (got = std::fread(block.data(), 1, block.size(), pipe)) > 0;)
    text.append(block.data(), got);
  if (::pclose(pipe) != 0) throw std::runtime_error("failed: " + command);
  return text;
}

}  // namespace seamwright::testing
