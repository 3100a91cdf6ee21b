// Any bytes as TABLE.json: refused with one clear line, or read, checked, written and read again
// the same.
#include "files/table_json.h"
#include "fuzz/claim.h"

namespace runtrue {
namespace {

void try_text(std::string_view text) {
  const auto table = read_table(text, "table");
  if (!table) return claim_clear(table.error(), "table");
  RUNTRUE_CHECK(check_table(*table).has_value());
  const std::string written = write_table(*table);
  const auto again = read_table(written, "table");
  RUNTRUE_CHECK(again.has_value());
  RUNTRUE_CHECK(write_table(*again) == written);
}

}  // namespace
}  // namespace runtrue

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  runtrue::try_text(runtrue::text_of(data, size));
  return 0;
}
