#include "robot/line.h"

#include <gtest/gtest.h>

#include <array>
#include <boost/crc.hpp>
#include <random>
#include <string>
#include <vector>

#include "robot/fcs16.h"

namespace runtrue {
namespace robot {
namespace {

using Bytes = std::vector<uint8_t>;

Bytes sent(const Bytes& body) {
  std::array<std::uint8_t, kLineBuffer> buffer{};
  LineWriter writer(buffer.data());
  for (std::size_t i = 0; i < body.size(); ++i) writer.body()[i] = body[i];
  writer.start(static_cast<uint8_t>(body.size()));
  Bytes line;
  for (uint8_t byte = 0; writer.next(byte);) line.push_back(byte);
  EXPECT_FALSE(writer.busy());
  return line;
}

// What a reader hears of a line: each good frame's body, and how many broken ones.
struct HeardLine {
  std::vector<Bytes> frames;
  int broken = 0;
};
HeardLine heard(const Bytes& line, LineReader reader = {}) {
  HeardLine all;
  for (const uint8_t byte : line) {
    const LineHeard what = reader.byte(byte);
    if (what == LineHeard::kFrame) {
      all.frames.emplace_back(reader.body(), reader.body() + reader.size());
    }
    if (what == LineHeard::kBroken) ++all.broken;
  }
  return all;
}

Bytes random_body(std::mt19937& chance) {
  Bytes body(1 + chance() % kMostBody);
  // Half of all bytes are those that need an escape.
  for (uint8_t& byte : body) {
    byte = chance() % 2 == 0 ? (chance() % 2 == 0 ? kLineFlag : kLineEscape)
                             : static_cast<uint8_t>(chance());
  }
  return body;
}

TEST(Fcs16, AgreesWithAnOutsideImplementationAndTheStandardsGoodValue) {
  // boost::crc: the polynomial, start, reflection and complement of [Rfc1662, C.2].
  std::mt19937 chance(1);
  for (int i = 0; i < 200; ++i) {
    Bytes body = random_body(chance);
    boost::crc_optimal<16, 0x1021, 0xFFFF, 0xFFFF, true, true> outside;
    outside.process_bytes(body.data(), body.size());
    const uint16_t fcs = fcs16(body.data(), static_cast<uint16_t>(body.size()));
    ASSERT_EQ(fcs, outside.checksum());
    body.push_back(static_cast<uint8_t>(fcs));
    body.push_back(static_cast<uint8_t>(fcs >> 8));
    uint16_t whole = kFcsStart;
    for (const uint8_t byte : body) whole = fcs16_add(whole, byte);
    ASSERT_EQ(whole, kFcsGood);  // [Rfc1662, C.2]: PPPGOODFCS16
  }
}

TEST(Line, BytesThatMeanSomething_AreSentEscaped) {
  // [Rfc1662, 4.2]: 0x7E is sent as 0x7D 0x5E, 0x7D as 0x7D 0x5D.
  const Bytes line = sent({0x7E, 0x01, 0x7D});
  const Bytes begin(line.begin(), line.begin() + 6);
  EXPECT_EQ(begin, (Bytes{0x7E, 0x7D, 0x5E, 0x01, 0x7D, 0x5D}));
  EXPECT_EQ(line.back(), kLineFlag);
}

TEST(Line, AnyBody_ArrivesAsItWasSent) {
  std::mt19937 chance(2);
  for (int i = 0; i < 500; ++i) {
    const Bytes body = random_body(chance);
    const HeardLine all = heard(sent(body));
    ASSERT_EQ(all.frames, std::vector<Bytes>{body});
    ASSERT_EQ(all.broken, 0);
  }
}

TEST(Line, OneWrongByte_IsNeverTakenForAFrame) {
  // A single wrong byte is a burst of 8 bits, which 16 check bits always find, unless it makes or
  // breaks a flag or an escape; then lengths change and one in 65536 would pass.
  const Bytes line = sent({1, 2, 3, 0x7E, 5, 6, 7, 8});
  int passed = 0;
  for (std::size_t place = 1; place + 1 < line.size(); ++place) {
    for (int flip = 1; flip < 256; ++flip) {
      Bytes wrong = line;
      wrong[place] = static_cast<uint8_t>(wrong[place] ^ flip);
      passed += static_cast<int>(heard(wrong).frames.size());
    }
  }
  EXPECT_EQ(passed, 0);
}

TEST(Line, CutOverlongAndGarbage_CostOnlyThemselves) {
  const Bytes body{9, 8, 7};
  const Bytes good = sent(body);
  const auto then_good = [&](Bytes before) {
    before.insert(before.end(), good.begin(), good.end());
    return heard(before);
  };
  EXPECT_EQ(then_good({1, 2, 3}).frames, std::vector<Bytes>{body});     // before any flag
  EXPECT_EQ(then_good({0x7E, 1, 2}).frames, std::vector<Bytes>{body});  // cut
  EXPECT_EQ(then_good({0x7E, 1, 2}).broken, 1);
  EXPECT_EQ(then_good({0x7E, 1, 0x7D}).broken, 1);  // cut in an escape
  EXPECT_EQ(then_good(Bytes(1000, 0x55)).frames, std::vector<Bytes>{body});
  Bytes endless(1000, 0x55);
  endless[0] = kLineFlag;
  EXPECT_EQ(then_good(endless).frames, std::vector<Bytes>{body});
  EXPECT_EQ(then_good({0x7E, 0x7E, 0x7E}).broken, 0);  // flags in a row
}

}  // namespace
}  // namespace robot
}  // namespace runtrue
