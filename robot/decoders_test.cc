// Each protocol by the widths of its sheet, pulse by pulse; what a receiver and a clock do to them;
// and what must be refused. Whole signals, with their gaps, are in src/remote and tests/outside.
#include <gtest/gtest.h>

#include <cstdint>
#include <string>
#include <vector>

#include "robot/pulse_reader.h"

namespace runtrue::robot {
namespace {

using Widths = std::vector<int>;

// Marks and spaces in turn; what stands at an even place is a mark.
PulseTrain train_of(const Widths& widths) {
  PulseTrain train = {};
  for (const int us : widths) train.us[train.count++] = static_cast<std::uint16_t>(us);
  return train;
}

struct Told {
  Refusal refusal;
  Frame frame;
};

Told read(const Widths& widths) {
  Told told = {Refusal::kNone, {}};
  told.refusal = read_train(train_of(widths), told.frame);
  return told;
}

// Lowest bit first, by pulse distance, with the end mark.
Widths distance(Widths header, std::uint64_t bits, int count, int mark, int zero) {
  for (int i = 0; i < count; ++i) {
    header.push_back(mark);
    header.push_back(((bits >> i & 1) != 0 ? 2 * zero : zero) - mark);
  }
  header.push_back(mark);
  return header;
}

Widths width_coded(std::uint32_t bits, int count) {
  Widths widths = {2400};
  for (int i = 0; i < count; ++i) {
    widths.push_back(600);
    widths.push_back((bits >> i & 1) != 0 ? 1200 : 600);
  }
  return widths;
}

// Halves as levels, 1 for a mark, joined to widths; a space at either end is not seen.
Widths biphase(Widths before, const std::string& halves, int half) {
  char level = before.size() % 2 == 0 ? '0' : '1';
  bool begun = !before.empty();
  for (const char c : halves) {
    if (!begun && c == '0') continue;
    begun = true;
    if (c != level) {
      before.push_back(0);
      level = c;
    }
    before.back() += half;
  }
  if (level == '0') before.pop_back();
  return before;
}

std::string rc5_halves(const std::string& bits) {
  std::string halves;
  for (const char bit : bits) halves += bit == '1' ? "01" : "10";
  return halves;
}

std::string rc6_halves(const std::string& bits) {
  std::string halves;
  for (std::size_t i = 0; i < bits.size(); ++i) {
    const bool one = bits[i] == '1';
    halves += i == 4 ? (one ? "1100" : "0011") : (one ? "10" : "01");
  }
  return halves;
}

struct Case {
  const char* name;
  Widths widths;
  Refusal refusal;  // kAwaitsTwin for words that need one
  Protocol protocol;
  unsigned address, command, extended;
  bool toggle;
};

// Kaseikyo: customer bits 0010 1010 0100 1100 as sent have the parity 0000 [Den07], bytes 54 32;
// then genre, data and identity of our own, and the check byte over bytes 3 to 5.
constexpr std::uint64_t kKaseikyo = 0x3254ULL | 0x10ULL << 16 | 0x23ULL << 24 | 0x45ULL << 32 |
                                    static_cast<std::uint64_t>(0x10 ^ 0x23 ^ 0x45) << 40;

std::vector<Case> good() {
  return {
      {"nec", distance({9000, 4500}, 0xE619BF40, 32, 562, 1125), Refusal::kNone, Protocol::kNec,
       0x40, 0x19, 0, false},
      {"nec extended", distance({9000, 4500}, 0xB748EA41, 32, 562, 1125), Refusal::kNone,
       Protocol::kNecExtended, 0xEA41, 0x48, 0, false},
      {"nec 32", distance({9000, 4500}, 0x12345678, 32, 562, 1125), Refusal::kNone,
       Protocol::kNec32, 0x5678, 0x1234, 0, false},
      {"samsung", distance({4500, 4500}, 0xFD020707, 32, 560, 1120), Refusal::kNone,
       Protocol::kSamsung32, 7, 2, 0, false},
      {"jvc", distance({8440, 4220}, 0x1703, 16, 527, 1055), Refusal::kNone, Protocol::kJvc, 3,
       0x17, 0, false},
      {"jvc again", distance({}, 0x1703, 16, 527, 1055), Refusal::kAwaitsTwin, Protocol::kJvc, 3,
       0x17, 0, false},
      {"sharp", distance({}, 0x11 | 0xA5 << 5 | 1 << 13, 15, 264, 1050), Refusal::kAwaitsTwin,
       Protocol::kSharp, 0x11, 0xA5, 0, false},
      {"sharp turned", distance({}, 0x11 | 0x5A << 5 | 2 << 13, 15, 264, 1050),
       Refusal::kAwaitsTwin, Protocol::kSharp, 0x11, 0xA5, 0, true},
      {"denon", distance({}, 0x02 | 0x61 << 5, 15, 264, 1050), Refusal::kAwaitsTwin,
       Protocol::kDenon, 2, 0x61, 0, false},
      {"kaseikyo", distance({3456, 1728}, kKaseikyo, 48, 432, 864), Refusal::kNone,
       Protocol::kKaseikyo48, 0x3254, 0x45231, 0, false},
      {"rc5", biphase({}, rc5_halves("11000101110101"), 889), Refusal::kNone, Protocol::kRc5, 5,
       0x35, 0, false},
      {"rc5 toggled", biphase({}, rc5_halves("11111110000000"), 889), Refusal::kNone,
       Protocol::kRc5, 0x1E, 0, 0, true},
      {"rc5x", biphase({}, rc5_halves("10000101110101"), 889), Refusal::kNone, Protocol::kRc5x, 5,
       0x75, 0, false},
      {"15 bits", biphase({}, rc5_halves("110100100100010"), 843), Refusal::kNone,
       Protocol::kBiphase15, 0x24, 0x22, 1, false},
      {"rc6 mode 0", biphase({2666, 889}, rc6_halves("100010000010000001100"), 444), Refusal::kNone,
       Protocol::kRc6Mode0, 4, 0x0C, 0, true},
      {"rc6 6a with 17 bits", biphase({2666, 889}, rc6_halves("1110000000101010111100"), 444),
       Refusal::kBits, Protocol::kNec, 0, 0, 0, false},
      {"rc6 6a 20", biphase({2666, 889}, rc6_halves("1110001010101000010111100"), 444),
       Refusal::kNone, Protocol::kRc6A20, 0x55, 0x0BC, 0, false},
      {"rc6 6a 24, longer customer",
       biphase({2666, 889}, rc6_halves("11101100000000000011110101110"), 444), Refusal::kNone,
       Protocol::kRc6A24, 0x8007, 0xAE, 0, true},
      {"rc6 6a 32, its toggle in the command",
       biphase({2666, 889}, rc6_halves("1110010000000000011111000010000001100"), 444),
       Refusal::kNone, Protocol::kRc6A32, 0x800F, 0x040C, 0, true},
      {"pulse width 12", width_coded(0x15 | 0x11 << 7, 12), Refusal::kNone, Protocol::kPulseWidth12,
       0x11, 0x15, 0, false},
      {"pulse width 15", width_coded(0x2E | 0xA4 << 7, 15), Refusal::kNone, Protocol::kPulseWidth15,
       0xA4, 0x2E, 0, false},
      {"pulse width 20", width_coded(0x2C | 0x10 << 7 | 0x08 << 12, 20), Refusal::kNone,
       Protocol::kPulseWidth20, 0x10, 0x2C, 8, false},
  };
}

void expect_told(const Case& wanted, const Told& told) {
  EXPECT_EQ(static_cast<int>(told.refusal), static_cast<int>(wanted.refusal));
  if (wanted.refusal == Refusal::kBits) return;
  EXPECT_EQ(static_cast<int>(told.frame.protocol), static_cast<int>(wanted.protocol));
  EXPECT_EQ(told.frame.address, wanted.address);
  EXPECT_EQ(told.frame.command, wanted.command);
  EXPECT_EQ(told.frame.extended, wanted.extended);
  EXPECT_EQ(told.frame.toggle, wanted.toggle);
  EXPECT_GT(told.frame.margin_us, 0);
}

TEST(Decoders, EachProtocolByItsSheet_IsRead) {
  for (const Case& wanted : good()) {
    SCOPED_TRACE(wanted.name);
    expect_told(wanted, read(wanted.widths));
  }
}

// 5 % is more than any clock measured is off; -132 to +158 are the receiver's limits at 38 kHz, and
// what they leave of the 5 % of a unit at 36 and 57 kHz [Tsop38].
TEST(Decoders, ClocksAndStretchWithinTheirLimits_ChangeNothing) {
  for (const double clock : {0.95, 1.0, 1.05}) {
    for (const int stretch : {-132, -100, 0, 100, 158}) {
      for (const Case& wanted : good()) {
        SCOPED_TRACE(testing::Message() << wanted.name << ' ' << clock << ' ' << stretch);
        Widths widths = wanted.widths;
        for (std::size_t i = 0; i < widths.size(); ++i) {
          widths[i] = static_cast<int>(widths[i] * clock) + (i % 2 == 0 ? stretch : -stretch);
        }
        expect_told(wanted, read(widths));
      }
    }
  }
}

// A recorder that looks every 50 µs moves each edge by up to that.
TEST(Decoders, Edges50usApart_ChangeNothing) {
  for (int phase = 0; phase < 50; phase += 7) {
    for (const Case& wanted : good()) {
      SCOPED_TRACE(testing::Message() << wanted.name << ' ' << phase);
      Widths widths;
      int time = phase, seen = phase / 50 * 50;
      for (const int us : wanted.widths) {
        time += us;
        widths.push_back(time / 50 * 50 - seen);
        seen = time / 50 * 50;
      }
      expect_told(wanted, read(widths));
    }
  }
}

TEST(Decoders, OnePulseMoreOrLess_IsNeverRead) {
  for (const Case& wanted : good()) {
    SCOPED_TRACE(wanted.name);
    Widths shorter = wanted.widths;
    shorter.resize(shorter.size() - 2);
    EXPECT_NE(static_cast<int>(read(shorter).refusal), static_cast<int>(Refusal::kNone));
    if (wanted.widths.size() + 2 > kMostPulses) continue;
    Widths longer = wanted.widths;  // a 33rd bit [Nec95, p. 5]
    longer.push_back(longer[longer.size() - 2]);
    longer.push_back(wanted.widths.back());
    const Told told = read(longer);
    // A bit more makes another form of 14 bits: that of 15.
    EXPECT_TRUE(told.refusal != Refusal::kNone || told.frame.protocol == Protocol::kBiphase15);
  }
}

TEST(Decoders, EveryWrongBitOfACheckedField_Refuses) {
  const auto refusals = [](const Widths& header, std::uint64_t bits, int count, int mark, int zero,
                           int first, int last) {
    int refused = 0;
    for (int bit = first; bit < last; ++bit) {
      const Told told = read(distance(header, bits ^ 1ULL << bit, count, mark, zero));
      if (told.refusal == Refusal::kCheck) ++refused;
    }
    return refused;
  };
  // A wrong bit of NEC's address pair makes an extended address of it: nothing tells the two apart.
  EXPECT_EQ(refusals({9000, 4500}, 0xE619BF40, 32, 562, 1125, 16, 32), 16);
  EXPECT_EQ(refusals({4500, 4500}, 0xFD020707, 32, 560, 1120, 0, 32), 32);
  EXPECT_EQ(refusals({3456, 1728}, kKaseikyo, 48, 432, 864, 0, 48), 48);
}

TEST(Decoders, RepeatFrame_HasNoAddress) {
  const Told told = read({9000, 2250, 562});
  EXPECT_EQ(told.refusal, Refusal::kNone);
  EXPECT_TRUE(told.frame.repeat);
  EXPECT_EQ(told.frame.address, 0);
  EXPECT_NE(read({9000, 3400, 562}).refusal, Refusal::kNone);
}

TEST(Decoders, TooShortAndTooLongTrains_AreRefused) {
  EXPECT_EQ(read({}).refusal, Refusal::kBits);
  EXPECT_EQ(read({889}).refusal, Refusal::kBits);
  EXPECT_EQ(read({9000}).refusal, Refusal::kBits);
  PulseTrain train = {};
  train.count = kMostPulses + 1;
  Frame frame = {};
  EXPECT_EQ(read_train(train, frame), Refusal::kTooLong);
}

}  // namespace
}  // namespace runtrue::robot
