#include "remote/synthesis.h"

#include <string>

namespace runtrue {
namespace {

using robot::Protocol;

// Puts pulses together, neighbours of one level as one.
class Writer {
 public:
  explicit Writer(Capture& capture) : capture_(capture) {}

  void put(bool mark, double us) {
    time_us_ += us;
    if (!capture_.pulses.empty() && capture_.pulses.back().mark == mark) {
      capture_.pulses.back().duration_us += us;
    } else {
      capture_.pulses.push_back({mark, us});
    }
  }
  void mark(double us) { put(true, us); }
  void space(double us) { put(false, us); }
  void silent_until(double time_us) { space(time_us - time_us_); }
  [[nodiscard]] double now_us() const { return time_us_; }

  // Lowest bit first.
  void distance_bits(std::uint64_t bits, int count, double unit_us, double zero_us) {
    for (int i = 0; i < count; ++i) {
      mark(unit_us);
      space(((bits >> i & 1) != 0 ? 2 : 1) * zero_us - unit_us);
    }
  }
  // One bit of two halves, a 1 beginning with a mark or with a space.
  void biphase_bit(bool one, double half_us, bool one_begins_marked) {
    const bool first = one == one_begins_marked;
    put(first, half_us);
    put(!first, half_us);
  }
  // Highest bit first.
  void biphase_bits(std::uint64_t bits, int count, double half_us, bool one_begins_marked) {
    for (int i = count - 1; i >= 0; --i) {
      biphase_bit((bits >> i & 1) != 0, half_us, one_begins_marked);
    }
  }

 private:
  Capture& capture_;
  double time_us_ = 0;
};

struct Widths {
  std::uint32_t address, command, extended;  // the largest
};

Widths largest(const SignalOrder& order) {
  switch (order.protocol) {
    case Protocol::kNec:
    case Protocol::kSamsung32:
    case Protocol::kJvc:
    case Protocol::kRc6Mode0:
      return {0xFF, 0xFF, 0};
    case Protocol::kNecExtended:
      return {0xFFFF, 0xFF, 0};
    case Protocol::kNec32:
      return {0xFFFF, 0xFFFF, 0};
    case Protocol::kSharp:
    case Protocol::kDenon:
      return {0x1F, 0xFF, 0};
    case Protocol::kKaseikyo48:
      return {0xFFFF, 0xFFFFF, 0};
    case Protocol::kRc5:
      return {0x1F, 0x3F, 0};
    case Protocol::kRc5x:
      return {0x1F, 0x7F, 0};
    case Protocol::kRc6A20:
      return order.address > 0xFF ? Widths{0xFFFF, 0xF, 0} : Widths{0xFF, 0xFFF, 0};
    case Protocol::kRc6A24:
      return order.address > 0xFF ? Widths{0xFFFF, 0xFF, 0} : Widths{0xFF, 0xFFFF, 0};
    case Protocol::kRc6A32:
      if (order.address == 0x800F) return {0xFFFF, 0x7FFF, 0};
      return order.address > 0xFF ? Widths{0xFFFF, 0xFFFF, 0} : Widths{0xFF, 0xFFFFFF, 0};
    case Protocol::kPulseWidth12:
      return {0x1F, 0x7F, 0};
    case Protocol::kPulseWidth15:
      return {0xFF, 0x7F, 0};
    case Protocol::kPulseWidth20:
      return {0x1F, 0x7F, 0xFF};
    case Protocol::kBiphase15:
      return {0x3F, 0x3F, 1};
  }
  return {};
}

bool complements(std::uint32_t pair) { return ((pair ^ pair >> 8) & 0xFF) == 0xFF; }

bool is_nec(Protocol protocol) {
  return protocol == Protocol::kNec || protocol == Protocol::kNecExtended ||
         protocol == Protocol::kNec32;
}

Result<void> check_order(const SignalOrder& order) {
  const Widths most = largest(order);
  if (order.address > most.address) return bad_input("the address is too large for the protocol");
  if (order.command > most.command) return bad_input("the command is too large for the protocol");
  if (order.extended > most.extended) {
    return bad_input("the third field is too large for the protocol");
  }
  if (order.frames < 1) return bad_input("no frame is asked for, expected 1 or more");
  if (order.repeat_frames < 0 || (order.repeat_frames > 0 && !is_nec(order.protocol))) {
    return bad_input("this protocol has no repeat frames without address");
  }
  switch (order.protocol) {
    case Protocol::kNecExtended:
      if (complements(order.address)) return bad_input("this address is one of plain NEC");
      break;
    case Protocol::kNec32:
      if (complements(order.address) || complements(order.command)) {
        return bad_input("a complementary pair makes this another form of NEC");
      }
      break;
    case Protocol::kRc5x:
      if (order.command < 64) return bad_input("commands below 64 are RC-5, expected 64 to 127");
      break;
    case Protocol::kRc6A20:
    case Protocol::kRc6A24:
    case Protocol::kRc6A32:
      if (order.address > 0x7F && order.address < 0x8000) {
        return bad_input("expected a customer number of 0 to 0x7F or from 0x8000");
      }
      break;
    default:
      break;
  }
  return {};
}

std::uint32_t with_complement(std::uint32_t byte) { return byte | (~byte & 0xFF) << 8; }

void put_nec_like(Writer& out, const SignalOrder& order, double header_mark_us,
                  double header_space_us) {
  std::uint32_t low = order.address;
  std::uint32_t high = with_complement(order.command & 0xFF);
  if (order.protocol == Protocol::kNec) low = with_complement(order.address);
  if (order.protocol == Protocol::kSamsung32) low = order.address | order.address << 8;
  if (order.protocol == Protocol::kNec32) high = order.command;
  out.mark(header_mark_us);
  out.space(header_space_us);
  const double unit_us = order.protocol == Protocol::kSamsung32 ? 560 : 562.5;
  out.distance_bits(low | std::uint64_t{high} << 16, 32, unit_us, 2 * unit_us);
  out.mark(unit_us);
}

void put_jvc(Writer& out, const SignalOrder& order, bool header) {
  if (header) {
    out.mark(8440);
    out.space(4220);
  }
  out.distance_bits(order.address | order.command << 8, 16, 527, 1055);
  out.mark(527);
}

void put_sharp(Writer& out, const SignalOrder& order, bool inverted) {
  const std::uint32_t expansion = order.protocol == Protocol::kSharp ? 1 : 0;
  std::uint32_t rest = order.command | expansion << 8;
  if (inverted) rest = ~rest & 0x3FF;
  out.distance_bits(order.address | rest << 5, 15, 264, 1050);
  out.mark(264);
}

void put_kaseikyo(Writer& out, const SignalOrder& order) {
  constexpr double kT_us = 432;
  const std::uint32_t customer = order.address ^ order.address >> 8;
  const std::uint64_t parity = (customer ^ customer >> 4) & 0xF;
  const std::uint64_t middle = parity | std::uint64_t{order.command} << 4;
  const std::uint64_t check = (middle ^ middle >> 8 ^ middle >> 16) & 0xFF;
  out.mark(8 * kT_us);
  out.space(4 * kT_us);
  out.distance_bits(order.address | middle << 16 | check << 40, 48, kT_us, 2 * kT_us);
  out.mark(kT_us);
}

void put_rc5(Writer& out, const SignalOrder& order) {
  constexpr double kHalf_us = 32e6 / 36e3;  // 32 cycles of 36 kHz
  const std::uint64_t toggle = order.toggle ? 1 : 0;
  if (order.protocol == Protocol::kBiphase15) {
    out.biphase_bits(std::uint64_t{1} << 14 | std::uint64_t{order.extended} << 13 | toggle << 12 |
                         std::uint64_t{order.address} << 6 | order.command,
                     15, 843, false);
    return;
  }
  const std::uint64_t field = order.protocol == Protocol::kRc5 ? 1 : 0;
  out.biphase_bits(std::uint64_t{1} << 13 | field << 12 | toggle << 11 |
                       std::uint64_t{order.address} << 6 | (order.command & 0x3F),
                   14, kHalf_us, false);
}

void put_rc6(Writer& out, const SignalOrder& order) {
  constexpr double kT_us = 16e6 / 36e3;  // 16 cycles of 36 kHz
  int body_bits = 16;
  if (order.protocol == Protocol::kRc6A20) body_bits = 20;
  if (order.protocol == Protocol::kRc6A24) body_bits = 24;
  if (order.protocol == Protocol::kRc6A32) body_bits = 32;
  const bool mode_0 = order.protocol == Protocol::kRc6Mode0;
  const int data_bits = mode_0 ? 8 : body_bits - (order.address > 0xFF ? 16 : 8);
  const bool toggle_in_command = body_bits == 32 && order.address == 0x800F;
  std::uint64_t body = std::uint64_t{order.address} << data_bits | order.command;
  if (toggle_in_command && order.toggle) body |= 0x8000;
  out.mark(6 * kT_us);
  out.space(2 * kT_us);
  out.biphase_bits(mode_0 ? 0b1000 : 0b1110, 4, kT_us, true);
  out.biphase_bit(order.toggle && !toggle_in_command, 2 * kT_us, true);
  out.biphase_bits(body, body_bits, kT_us, true);
}

void put_pulse_width(Writer& out, const SignalOrder& order) {
  int bits = 12;
  if (order.protocol == Protocol::kPulseWidth15) bits = 15;
  if (order.protocol == Protocol::kPulseWidth20) bits = 20;
  const std::uint32_t word = order.command | order.address << 7 | order.extended << 12;
  out.mark(2400);
  for (int i = 0; i < bits; ++i) {
    out.space(600);
    out.mark((word >> i & 1) != 0 ? 1200 : 600);
  }
}

void put_frame(Writer& out, const SignalOrder& order, int number) {
  switch (order.protocol) {
    case Protocol::kNec:
    case Protocol::kNecExtended:
    case Protocol::kNec32:
      return put_nec_like(out, order, 9000, 4500);
    case Protocol::kSamsung32:
      return put_nec_like(out, order, 4500, 4500);
    case Protocol::kJvc:
      return put_jvc(out, order, number == 0 || order.header_each_time);
    case Protocol::kSharp:
    case Protocol::kDenon:
      return put_sharp(out, order, number % 2 == 1);
    case Protocol::kKaseikyo48:
      return put_kaseikyo(out, order);
    case Protocol::kRc5:
    case Protocol::kRc5x:
    case Protocol::kBiphase15:
      return put_rc5(out, order);
    case Protocol::kRc6Mode0:
    case Protocol::kRc6A20:
    case Protocol::kRc6A24:
    case Protocol::kRc6A32:
      return put_rc6(out, order);
    case Protocol::kPulseWidth12:
    case Protocol::kPulseWidth15:
    case Protocol::kPulseWidth20:
      return put_pulse_width(out, order);
  }
}

constexpr double kSilenceAround_us = 50000;

}  // namespace

double nominal_period_us(Protocol protocol) {
  switch (protocol) {
    case Protocol::kNec:
    case Protocol::kNecExtended:
    case Protocol::kNec32:
    case Protocol::kSamsung32:
      return 108000;
    case Protocol::kJvc:
      return 46420;
    case Protocol::kSharp:
    case Protocol::kDenon:
      return 67500;
    case Protocol::kKaseikyo48:
      return 130000;
    case Protocol::kRc5:
    case Protocol::kRc5x:
      return 64 * 64e6 / 36e3;  // 64 bit times of 64 cycles
    case Protocol::kRc6Mode0:
    case Protocol::kRc6A20:
    case Protocol::kRc6A24:
    case Protocol::kRc6A32:
      return 240 * 16e6 / 36e3;  // 240 t
    case Protocol::kPulseWidth12:
    case Protocol::kPulseWidth15:
    case Protocol::kPulseWidth20:
      return 45000;
    case Protocol::kBiphase15:
      return 49940;
  }
  return 0;
}

Result<Capture> make_signal(const SignalOrder& order) {
  if (Result<void> checked = check_order(order); !checked) return tl::unexpected(checked.error());
  Capture capture;
  Writer out(capture);
  out.space(kSilenceAround_us);
  double next_us = out.now_us();
  const double period_us = nominal_period_us(order.protocol);
  for (int i = 0; i < order.frames; ++i) {
    out.silent_until(next_us);
    next_us += period_us;
    // A JVC word's period runs from the word, not from the header before it.
    if (order.protocol == Protocol::kJvc && (i == 0 || order.header_each_time)) next_us += 12660;
    put_frame(out, order, i);
  }
  for (int i = 0; i < order.repeat_frames; ++i) {
    out.silent_until(next_us);
    next_us += period_us;
    out.mark(9000);
    out.space(2250);
    out.mark(562.5);
  }
  out.space(kSilenceAround_us);
  return capture;
}

Capture distort(const Capture& capture, const Distortion& distortion, std::mt19937_64& random) {
  const auto jitter = [&] {
    const double even = static_cast<double>(random() >> 11) * 0x1p-53;
    return (2 * even - 1) * distortion.jitter_us;
  };
  Capture heard = capture;
  double carried_us = 0;  // what the end of the last mark took from the space after it
  for (Pulse& pulse : heard.pulses) {
    pulse.duration_us *= 1 + distortion.clock_error;
    if (pulse.mark) {
      carried_us = distortion.stretch_us + jitter();
      pulse.duration_us += carried_us;
    } else {
      pulse.duration_us -= carried_us;
      carried_us = 0;
    }
    RUNTRUE_CHECK(pulse.duration_us > 1);
  }
  return heard;
}

}  // namespace runtrue
