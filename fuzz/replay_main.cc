// Replays a folder of inputs through a fuzz target, each whole and cut off at every byte.
#include <algorithm>
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <vector>

#include "fuzz/claim.h"

namespace {

// Longer inputs are cut in this many places.
constexpr std::size_t kMostCuts = 1000;

void replay(const std::filesystem::path& path) {
  std::ifstream file(path, std::ios::binary);
  const std::vector<char> bytes{std::istreambuf_iterator<char>(file), {}};
  const std::size_t stride = bytes.size() / kMostCuts + 1;
  for (std::size_t size = 0; size < bytes.size(); size += stride) {
    // A copy of just that size, so that a read behind its end is seen.
    const std::vector<std::uint8_t> cut(bytes.begin(), bytes.begin() + static_cast<long>(size));
    (void)LLVMFuzzerTestOneInput(cut.data(), cut.size());
  }
  const std::vector<std::uint8_t> whole(bytes.begin(), bytes.end());
  (void)LLVMFuzzerTestOneInput(whole.data(), whole.size());
}

}  // namespace

int main(int count, char** arguments) {
  if (count != 2) {
    std::fprintf(stderr, "usage: %s FOLDER\n", arguments[0]);
    return 2;
  }
  std::error_code error;
  std::vector<std::filesystem::path> paths;
  for (std::filesystem::directory_iterator entry(arguments[1], error), end; entry != end;
       entry.increment(error)) {
    paths.push_back(entry->path());
  }
  if (error || paths.empty()) {
    std::fprintf(stderr, "%s: nothing to replay, expected a folder of inputs\n", arguments[1]);
    return 2;
  }
  std::sort(paths.begin(), paths.end());
  for (const auto& path : paths) {
    std::printf("%s\n", path.filename().c_str());
    std::fflush(stdout);  // the last name printed is the one that broke it
    replay(path);
  }
  return 0;
}
