// Where the reference data lie: published captures and measurements that are not part of the
// project. Tests that read them say "skipped: no reference data" where they are absent.
#pragma once

#include <cstdlib>
#include <filesystem>
#include <string>

namespace runtrue::testing {

// The folder named by RUNTRUE_REFERENCE_DATA, else shared/refs beside the project; empty where
// there is none.
inline std::string reference_data() {
  const char* named = std::getenv("RUNTRUE_REFERENCE_DATA");
  const std::string folder = named != nullptr ? named : RUNTRUE_SOURCE "/../shared/refs";
  return std::filesystem::is_directory(folder) ? folder : std::string();
}

}  // namespace runtrue::testing
