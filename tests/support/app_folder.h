#pragma once

#include <gtest/gtest.h>
#include <unistd.h>

#include <atomic>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <sstream>
#include <string>
#include <vector>

#include "seamwright/app/command_line.h"

namespace seamwright::testing {

/// What a command gave back.
struct Outcome {
  Exit exit;
  std::string out, err;
};

/// Runs a command line as the program does, without a screen.
inline Outcome run_words(const std::vector<std::string>& words,
                         const std::atomic<Cancel>* cancel = nullptr) {
  std::ostringstream out, err;
  const Exit exit = run_command_line(words, Console{out, err, false, cancel});
  return {exit, out.str(), err.str()};
}

/// A folder of its own for each test, gone after it.
class AppFolder : public ::testing::Test {
 protected:
  void SetUp() override {
    const auto* info = ::testing::UnitTest::GetInstance()->current_test_info();
    dir_ = std::filesystem::temp_directory_path() /
           ("seamwright_" + std::string(info->test_suite_name()) + "_" + info->name() +
            std::to_string(::getpid()));
    std::filesystem::create_directories(dir_);
  }
  void TearDown() override { std::filesystem::remove_all(dir_); }

  void write(const std::string& name, const std::string& bytes) const {
    std::ofstream(dir_ / name, std::ios::binary) << bytes;
  }
  std::string path(const std::string& name) const { return (dir_ / name).string(); }
  std::string text_of(const std::string& name) const {
    std::ifstream in(dir_ / name, std::ios::binary);
    return std::string(std::istreambuf_iterator<char>(in), {});
  }
  std::filesystem::path dir_;
};

}  // namespace seamwright::testing
