// Any bytes as typed presses: refused with one clear line, or the same presses once they have been
// moves.
#include "fuzz/claim.h"
#include "moves/press_list.h"

namespace runtrue {
namespace {

void try_text(std::string_view text) {
  const auto presses = parse_presses(text, "presses");
  if (!presses) return claim_clear(presses.error(), "presses");
  static const Robot robot = default_robot("Snipe", Length::from_mm(140));
  const MoveList list = moves_of(*presses, robot.press);
  const auto again = parse_moves(format_moves(list), "list");
  RUNTRUE_CHECK(again.has_value());
  const auto keyed = press_list(flatten(*again).value(), robot);
  RUNTRUE_CHECK(keyed.has_value() && keyed->as_written == *presses);
  RUNTRUE_CHECK(shortest(keyed->presses, robot.press) == keyed->presses);
}

}  // namespace
}  // namespace runtrue

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  runtrue::try_text(runtrue::text_of(data, size));
  return 0;
}
