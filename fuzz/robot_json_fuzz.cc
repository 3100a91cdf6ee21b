// Any bytes as ROBOT.json: refused with one clear line, or read, checked, written and read again
// the same.
#include "files/robot_json.h"
#include "fuzz/claim.h"

namespace runtrue {
namespace {

void try_text(std::string_view text) {
  const auto robot = read_robot(text, "robot");
  if (!robot) return claim_clear(robot.error(), "robot");
  RUNTRUE_CHECK(check_robot(*robot).has_value());
  const std::string written = write_robot(*robot);
  const auto again = read_robot(written, "robot");
  RUNTRUE_CHECK(again.has_value());
  RUNTRUE_CHECK(write_robot(*again) == written);
}

}  // namespace
}  // namespace runtrue

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  runtrue::try_text(runtrue::text_of(data, size));
  return 0;
}
