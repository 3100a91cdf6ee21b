// Any bytes as RUNS.csv: refused with one clear line, or read, written and read again the same.
#include "files/runs_csv.h"
#include "fuzz/claim.h"

namespace runtrue {
namespace {

void try_text(std::string_view text) {
  const auto runs = read_runs(text, "runs");
  if (!runs) {
    claim_clear(runs.error(), "runs");
  } else {
    const std::string written = write_runs(*runs);
    const auto again = read_runs(written, "runs");
    RUNTRUE_CHECK(again.has_value());
    RUNTRUE_CHECK(again->size() == runs->size());
    RUNTRUE_CHECK(write_runs(*again) == written);
  }
  static const Robot robot = default_robot("Snipe", Length::from_mm(140));
  const auto checked = read_runs(text, "runs", robot);
  if (!checked) return claim_clear(checked.error(), "runs");
  RUNTRUE_CHECK(runs.has_value());
  for (const Run& run : *checked) RUNTRUE_CHECK(check_run(run, robot).has_value());
}

}  // namespace
}  // namespace runtrue

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  runtrue::try_text(runtrue::text_of(data, size));
  return 0;
}
