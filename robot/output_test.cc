#include "robot/output.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

namespace runtrue::robot {
namespace {

constexpr OutputRules kRules{255, kUsualTrimShare};

TEST(PutOut, WithoutTrim_BothWheelsGetTheSameShareOfFull) {
  const Duties half = put_out(128, 128, 0, kRules);
  EXPECT_EQ(half.left, 8224);  // 128/255 of 16384 is 8224.25
  EXPECT_EQ(half.right, 8224);
  EXPECT_EQ(put_out(255, 255, 0, kRules).left, kFullDuty);
}

TEST(PutOut, OneCountOfTrim_MovesEachWheelByItsShare) {
  const Duties d = put_out(128, 128, 10, kRules);
  EXPECT_EQ(d.left, 8144);   // 8224·(16384 − 160)/16384 = 8143.69
  EXPECT_EQ(d.right, 8304);  // 8224·(16384 + 160)/16384 = 8304.31
}

TEST(PutOut, NegativeShare_SwapsTheWheels) {
  const Duties d = put_out(128, 128, 10, {255, -kUsualTrimShare});
  EXPECT_EQ(d.left, 8304);
  EXPECT_EQ(d.right, 8144);
}

TEST(PutOut, LevelZero_StaysOffAtAnyTrim) {
  for (int trim = -32768; trim <= 32767; trim += 255) {
    const Duties d = put_out(0, 0, static_cast<int16_t>(trim), kRules);
    EXPECT_EQ(d.left, 0);
    EXPECT_EQ(d.right, 0);
  }
}

TEST(PutOut, AtFullLevel_TrimKeepsItsDifferenceByLoweringBoth) {
  const Duties d = put_out(255, 255, 10, kRules);
  EXPECT_EQ(d.right, kFullDuty);
  EXPECT_EQ(d.left, kFullDuty - 320);
}

TEST(PutOut, LevelBeyondFull_IsCut) {
  EXPECT_EQ(put_out(30000, -30000, 0, kRules).left, kFullDuty);
  EXPECT_EQ(put_out(30000, -30000, 0, kRules).right, -kFullDuty);
}

TEST(PutOut, FullLevelZero_IsSafe) { EXPECT_EQ(put_out(5, 5, 3, {0, 16}).right, kFullDuty); }

RC_GTEST_PROP(PutOut, BackwardMirrorsForward, (int16_t left, int16_t right, int16_t trim)) {
  const Duties a = put_out(left, right, trim, kRules);
  const Duties b = put_out(-left, -right, trim, kRules);
  RC_ASSERT(a.left == -b.left);
  RC_ASSERT(a.right == -b.right);
}

RC_GTEST_PROP(PutOut, AnyInput_StaysWithinFullDutyAndNeverTurnsAWheelTheOtherWay,
              (int32_t left, int32_t right, int16_t trim, uint16_t full, int16_t share)) {
  const Duties d = put_out(left, right, trim, {full, share});
  RC_ASSERT(d.left <= kFullDuty && d.left >= -kFullDuty);
  RC_ASSERT(d.right <= kFullDuty && d.right >= -kFullDuty);
  RC_ASSERT(left <= 0 || d.left >= 0);
  RC_ASSERT(right >= 0 || d.right <= 0);
}

TEST(PutOut, MoreTrim_NeverLowersTheRightWheelAgainstTheLeft) {
  for (const int level : {20, 128, 200, 255}) {
    int before = -1 << 20;
    for (int trim = -100; trim <= 100; ++trim) {
      const Duties d = put_out(level, level, static_cast<int16_t>(trim), kRules);
      EXPECT_GE(d.right - d.left, before) << level << ' ' << trim;
      before = d.right - d.left;
    }
  }
}

}  // namespace
}  // namespace runtrue::robot
