#include "units/quantity.h"

#include <gtest/gtest.h>

#include "units/typed.h"

namespace runtrue {
namespace {

// Conversions are one multiplication each: a few units in the last place.
constexpr double kRounding = 1e-12;

TEST(Quantity, EntersAndLeavesOnlyWithItsUnit) {
  EXPECT_NEAR(Length::from_in(10).mm(), 254.0, kRounding);
  EXPECT_NEAR(Length::from_cm(3).m(), 0.03, kRounding);
  EXPECT_NEAR(Angle::from_deg(180).rad(), 3.14159265358979323846, kRounding);
  EXPECT_NEAR(Duration::from_us(250000).ms(), 250.0, kRounding);
  static_assert(!std::is_convertible_v<double, Length>);
  static_assert(!std::is_convertible_v<Length, double>);
}

TEST(Quantity, KindsDoNotMix) {
  static_assert(!std::is_convertible_v<Length, Angle>);
  static_assert(!std::is_invocable_v<std::plus<>, Length, Angle>);
  static_assert(!std::is_invocable_v<std::plus<>, Duration, Length>);
  static_assert(std::is_invocable_v<std::plus<>, Length, Length>);
  static_assert(!std::is_convertible_v<Level, Trim>);
}

TEST(Quantity, SpeedTimesTimeIsLengthAndCurvatureTimesLengthIsAngle) {
  const Length way = Speed::from_mm_per_s(200) * Duration::from_s(1.5);
  EXPECT_DOUBLE_EQ(way.mm(), 300.0);
  const Angle bend = Curvature::from_per_mm(0.001) * way;
  EXPECT_DOUBLE_EQ(bend.rad(), 0.3);
}

TEST(Angle, WrapsIntoMinusHalfTurnToHalfTurn) {
  EXPECT_NEAR(Angle::from_deg(190).wrapped().deg(), -170.0, 1e-9);
  EXPECT_NEAR(Angle::from_deg(-190).wrapped().deg(), 170.0, 1e-9);
  EXPECT_NEAR(Angle::from_deg(180).wrapped().deg(), -180.0, 1e-9);
  EXPECT_NEAR(Angle::from_deg(725).wrapped().deg(), 5.0, 1e-9);
}

struct TypedCase {
  const char* text;
  double mm;
};

TEST(TypedLength, TakesPointOrCommaAndFourUnits) {
  for (const auto& [text, mm] : {TypedCase{"300", 300},
                                 {"30 cm", 300},
                                 {"30cm", 300},
                                 {"1,5 m", 1500},
                                 {"-2.5mm", -2.5},
                                 {"+12 in", 304.8},
                                 {"  7 mm\r", 7}}) {
    const auto length = typed_length(text);
    ASSERT_TRUE(length) << text;
    EXPECT_NEAR(length->mm(), mm, 1e-9) << text;
  }
}

TEST(TypedLength, RefusesWhatNobodyWritesOnABench) {
  for (const char* text :
       {"", " ", "abc", "1.2.3", "1e3", "nan", "inf", "3 ft", "3 mm mm", "--3", "+-3", "3 4"}) {
    EXPECT_FALSE(typed_length(text)) << text;
  }
  EXPECT_EQ(typed_length("3 ft").error().message,
            "'ft' is not a unit of length; expected mm, cm, m or in");
}

TEST(TypedDuration, TakesSecondsAndMilliseconds) {
  EXPECT_NEAR(typed_duration("250 ms")->s(), 0.25, kRounding);
  EXPECT_NEAR(typed_duration("1,5")->s(), 1.5, kRounding);
  EXPECT_FALSE(typed_duration("5 min"));
}

TEST(Error, SaysFileLineAndColumnInOneLine) {
  const Error error{ErrorKind::kBadInput, "'x' is not\na number", {"runs.csv", 4, 7}};
  EXPECT_EQ(error.one_line(), "runs.csv:4:7: 'x' is not a number");
  EXPECT_EQ((Error{ErrorKind::kNotFound, "no such file", {"a.csv", 0, 0}}.one_line()),
            "a.csv: no such file");
}

}  // namespace
}  // namespace runtrue
