// Any bytes as a move list: refused with clear faults, or read, written and read again the same,
// unrolled, compiled and keyed.
#include <cmath>

#include "fuzz/claim.h"
#include "moves/compile.h"
#include "moves/press_list.h"

namespace runtrue {
namespace {

DriveSettings settings() {
  DriveSettings made;
  const auto set = [&](Constant c, double value) {
    made.mean[static_cast<std::size_t>(c)] = value;
  };
  set(Constant::kMismatchForward, 0.03);
  set(Constant::kLogSpeedGain, std::log(3.0));
  set(Constant::kDeadBand, 30.5);
  set(Constant::kLostTimeStraight, 0.06);
  set(Constant::kLogTurnGainLeft, std::log(0.05));
  set(Constant::kLogTurnGainRight, std::log(0.045));
  set(Constant::kLostTimeTurn, 0.05);
  return made;
}

void claim_compiled(const std::vector<FlatMove>& moves, const Robot& robot) {
  const auto compiled = compile_moves(moves, robot, settings());
  if (!compiled) return claim_clear(compiled.error(), "");
  RUNTRUE_CHECK(compiled->size() <= moves.size());
  for (const CompiledMove& move : *compiled) {
    const auto [left, right, ms] = move.command;
    RUNTRUE_CHECK(std::abs(left.value) <= robot.level_full.value);
    RUNTRUE_CHECK(std::abs(right.value) <= robot.level_full.value);
    RUNTRUE_CHECK(ms >= 1 && ms <= kLongestTime.ms());
    RUNTRUE_CHECK(move.line >= 1);
  }
}

void claim_keyed(const std::vector<FlatMove>& moves, const Robot& robot) {
  const CheckedPresses checked = check_presses(moves, robot);
  for (const Error& fault : checked.faults) claim_clear(fault, "");
  RUNTRUE_CHECK(checked.list.as_written.size() <= kMostPresses);
  RUNTRUE_CHECK(checked.list.presses.size() <= checked.list.as_written.size());
}

void try_text(std::string_view text) {
  const CheckedMoves checked = check_moves(text, "list");
  RUNTRUE_CHECK(checked.faults.size() <= kMostFaults);
  for (const Error& fault : checked.faults) {
    claim_clear(fault, "list");
    (void)source_and_caret(text, fault.place);
  }
  (void)format_moves(checked.list);
  if (!checked.faults.empty()) return;
  const std::string written = format_moves(checked.list);
  const auto again = parse_moves(written, "list");
  RUNTRUE_CHECK(again.has_value());
  RUNTRUE_CHECK(same_but_for_places(*again, checked.list));
  RUNTRUE_CHECK(format_moves(*again) == written);
  const auto moves = flatten(checked.list);
  RUNTRUE_CHECK(moves.has_value() && moves->size() <= kMostMoves);
  static const Robot robot = default_robot("Snipe", Length::from_mm(140));
  claim_compiled(*moves, robot);
  claim_keyed(*moves, robot);
}

}  // namespace
}  // namespace runtrue

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  runtrue::try_text(runtrue::text_of(data, size));
  return 0;
}
