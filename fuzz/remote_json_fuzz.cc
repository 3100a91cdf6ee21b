// Any bytes as a learned remote: refused with one clear line, or read, written and read again the
// same.
#include "files/remote_json.h"
#include "fuzz/claim.h"

namespace runtrue {
namespace {

void try_text(std::string_view text) {
  const auto remote = read_remote(text, "remote");
  if (!remote) return claim_clear(remote.error(), "remote");
  const std::string written = write_remote(*remote);
  const auto again = read_remote(written, "remote");
  RUNTRUE_CHECK(again.has_value());
  RUNTRUE_CHECK(write_remote(*again) == written);
}

}  // namespace
}  // namespace runtrue

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  runtrue::try_text(runtrue::text_of(data, size));
  return 0;
}
