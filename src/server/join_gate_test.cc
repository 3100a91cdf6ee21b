#include "server/join_gate.h"

#include <gtest/gtest.h>

#include <set>

#include "server/secrets.h"

namespace runtrue {
namespace {

using std::chrono::seconds;

const JoinGate::Time kStart{};

TEST(Secrets, JoinCodes_AreShortWithoutLookAlikesAndDiffer) {
  std::set<std::string> seen;
  for (int i = 0; i < 200; ++i) {
    const std::string code = new_join_code();
    ASSERT_EQ(code.size(), kJoinCodeLength);
    EXPECT_EQ(code.find_first_of("0O1IL5S2Z8B"), std::string::npos) << code;
    seen.insert(code);
  }
  // 200 draws of 244 million: two alike by chance in under 1 of 10,000 test runs.
  EXPECT_EQ(seen.size(), 200U);
}

TEST(Secrets, Tokens_Are32HexadecimalDigitsAndDiffer) {
  const std::string token = new_token();
  EXPECT_EQ(token.size(), 32U);
  EXPECT_EQ(token.find_first_not_of("0123456789abcdef"), std::string::npos);
  EXPECT_NE(token, new_token());
}

TEST(Secrets, Comparison_SeesEveryDifference) {
  EXPECT_TRUE(same_secret("", ""));
  EXPECT_TRUE(same_secret("abc", "abc"));
  EXPECT_FALSE(same_secret("abc", "abd"));
  EXPECT_FALSE(same_secret("abc", "ab"));
  EXPECT_FALSE(same_secret("\xff", "\x7f"));
}

TEST(JoinGate, RightCode_JoinsAndItsTokenIsKnown) {
  JoinGate gate("QWERTY");
  EXPECT_FALSE(gate.has_joined(""));
  const auto answer = gate.try_code("QWERTY", "10.0.0.1", kStart);
  ASSERT_TRUE(answer.joined);
  EXPECT_TRUE(gate.has_joined(answer.token));
  EXPECT_FALSE(gate.has_joined(answer.token + "0"));
  EXPECT_NE(gate.try_code("QWERTY", "10.0.0.1", kStart).token, answer.token);
}

TEST(JoinGate, CodeAsAPersonTypesIt_Joins) {
  JoinGate gate("QWERTY");
  EXPECT_TRUE(gate.try_code("qwe rty", "10.0.0.1", kStart).joined);
  EXPECT_TRUE(gate.try_code(" QWE-RTY ", "10.0.0.1", kStart).joined);
}

TEST(JoinGate, FiveWrongTries_CloseItForThatAddressForAMinute) {
  JoinGate gate("QWERTY");
  for (int i = 0; i < JoinGate::kWrongTriesAllowed; ++i) {
    const auto answer = gate.try_code("AAAAAA", "10.0.0.1", kStart + seconds(i));
    EXPECT_FALSE(answer.joined);
    EXPECT_EQ(answer.wait, seconds(0));
  }
  const auto shut = gate.try_code("QWERTY", "10.0.0.1", kStart + seconds(10));
  EXPECT_FALSE(shut.joined);
  EXPECT_EQ(shut.wait, seconds(50));
  EXPECT_TRUE(gate.try_code("QWERTY", "10.0.0.2", kStart + seconds(10)).joined);
  EXPECT_FALSE(gate.try_code("QWERTY", "10.0.0.1", kStart + seconds(59)).joined);
  EXPECT_TRUE(gate.try_code("QWERTY", "10.0.0.1", kStart + seconds(61)).joined);
}

TEST(JoinGate, ManyAddresses_DontGrowItWithoutEnd) {
  JoinGate gate("QWERTY");
  for (std::size_t i = 0; i < JoinGate::kMostWatchedAddresses; ++i) {
    (void)gate.try_code("AAAAAA", std::to_string(i), kStart);
  }
  EXPECT_GT(gate.try_code("QWERTY", "one more", kStart).wait, seconds(0));
  EXPECT_TRUE(gate.try_code("QWERTY", "one more", kStart + seconds(60)).joined);
}

TEST(JoinGate, MoreDevicesThanItKeeps_ForgetsTheOldest) {
  JoinGate gate("QWERTY");
  const std::string first = gate.try_code("QWERTY", "a", kStart).token;
  std::string last;
  for (std::size_t i = 0; i < JoinGate::kMostDevices; ++i) {
    last = gate.try_code("QWERTY", "a", kStart).token;
  }
  EXPECT_FALSE(gate.has_joined(first));
  EXPECT_TRUE(gate.has_joined(last));
}

}  // namespace
}  // namespace runtrue
