// Any bytes as a capture: refused with one clear line, or read, written in both forms and read
// again the same.
#include <cmath>

#include "files/capture_file.h"
#include "fuzz/claim.h"
#include "remote/reading.h"

namespace runtrue {
namespace {

double whole_us(const Capture& capture) {
  double sum = 0;
  for (const Pulse& pulse : capture.pulses) sum += pulse.duration_us;
  return sum;
}

void try_text(std::string_view text) {
  const auto capture = read_capture_file(text, "capture");
  if (!capture) return claim_clear(capture.error(), "capture");
  const double lasts_us = whole_us(*capture);
  RUNTRUE_CHECK(lasts_us <= kLongestCapture_us + kLastLevel_us);
  for (const Pulse& pulse : capture->pulses) RUNTRUE_CHECK(pulse.duration_us > 0);
  const auto csv = read_capture_file(write_capture_csv(*capture), "capture");
  RUNTRUE_CHECK(csv.has_value());
  RUNTRUE_CHECK(csv->pulses.size() == capture->pulses.size());
  RUNTRUE_CHECK(whole_us(*csv) == lasts_us);
  const auto vcd = read_capture_file(write_capture_vcd(*capture), "capture");
  RUNTRUE_CHECK(vcd.has_value());
  RUNTRUE_CHECK(vcd->pulses.size() <= capture->pulses.size());
  (void)read_capture(*capture);
}

}  // namespace
}  // namespace runtrue

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  runtrue::try_text(runtrue::text_of(data, size));
  return 0;
}
