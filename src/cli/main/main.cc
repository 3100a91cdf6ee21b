#include <string>
#include <vector>

#include "cli/program.h"
#include "server/assets.h"

int main(int count, char** words) {
  const std::vector<std::string> given(words + (count > 0 ? 1 : 0), words + count);
  return runtrue::run_program(given, runtrue::page_assets());
}
