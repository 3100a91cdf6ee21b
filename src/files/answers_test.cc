// The answers' keys are a contract: other scripts read them.
#include "files/answers.h"

#include <gtest/gtest.h>

#include <cmath>
#include <set>
#include <string>
#include <vector>

namespace runtrue {
namespace {

using Drive = Run;  // within a test, `Run` is the test's own member

Robot knot() { return default_robot("Knot", Length::from_mm(140)); }

Drive straight(int trim, double half, double end, int row) {
  Drive run;
  run.level = Level{128};
  run.trim = Trim{trim};
  run.row = row;
  run.half = LineReading{Length::from_mm(700), Length::from_mm(half)};
  run.end = LineReading{Length::from_mm(1400), Length::from_mm(end)};
  return run;
}

std::set<std::string> keys_of(const Json& document) {
  std::set<std::string> keys;
  for (const auto& [key, value] : document.items()) keys.insert(key);
  return keys;
}

void expect_keys(const Json& document, const std::vector<std::string>& contract) {
  const auto there = keys_of(document);
  for (const std::string& key : contract) EXPECT_TRUE(there.contains(key)) << key;
}

TEST(AdviceDocument, HasTheContractsKeys) {
  const Truing truing = *true_robot(knot(), std::vector<Drive>{straight(0, 15, 60, 2)});
  const Json document = advice_document(knot(), truing);
  expect_keys(document, {"best_trim", "drift_mm_per_m", "in_tolerance_probability", "verdict",
                         "reason", "next_run", "doubtful_runs"});
  expect_keys(document["drift_mm_per_m"], {"mean", "low", "high"});
  expect_keys(document["next_run"], {"kind", "level", "trim", "half_line_mm", "line_mm"});
  EXPECT_EQ(document["verdict"], "more-runs");
  EXPECT_EQ(document["next_run"]["kind"], "straight");
}

TEST(AdviceDocument, OfATurnAndOfATimedDistance_NamesSecondsAndDirection) {
  Truing truing = *true_robot(knot(), {});
  truing.next_run = NextRun{.kind = RunKind::kTurn,
                            .level = Level{128},
                            .trim = Trim{2},
                            .half_line = {},
                            .line = {},
                            .time = Duration::from_s(3.5),
                            .to_the_left = false};
  EXPECT_EQ(advice_document(knot(), truing)["next_run"].dump(),
            R"({"kind":"turn","level":128,"trim":2,"seconds":3.5,"direction":"right"})");
  truing.next_run->kind = RunKind::kStraight;
  EXPECT_EQ(advice_document(knot(), truing)["next_run"].dump(),
            R"({"kind":"straight","level":128,"trim":2,"seconds":3.5})");
  truing.next_run.reset();
  EXPECT_TRUE(advice_document(knot(), truing)["next_run"].is_null());
}

TEST(SettingsDocument, HasEveryConstantWithUnitAndInterval) {
  const Truing truing = *true_robot(knot(), std::vector<Drive>{straight(0, 15, 60, 2)});
  const Json document = settings_document(knot(), truing);
  expect_keys(document, {"trim", "level", "scatter", "trued_levels", "assumed"});
  for (int i = 0; i < kConstantCount; ++i) {
    const char* key = text_of(static_cast<Constant>(i)).key;
    ASSERT_TRUE(document.contains(key)) << key;
    expect_keys(document[key], {"unit", "mean", "low", "high", "meaning", "assumed"});
    EXPECT_LE(document[key]["low"], document[key]["high"]) << key;
  }
  EXPECT_EQ(document["trued_levels"].dump(), "[128]");
}

TEST(ForecastDocument, HasTheContractsKeys) {
  const std::vector<CompiledMove> moves{{.text = "drive 300 mm",
                                         .line = 1,
                                         .command = {Level{128}, Level{128}, 1500},
                                         .untrued = ""}};
  Forecast forecast;
  forecast.moves.resize(1);
  forecast.first_risky_move = RiskyMove{0, Mishap::kFalls, 0.25, {}};
  SafeStart safest;
  const Json document = forecast_document(forecast, moves, {}, safest);
  expect_keys(document, {"fall_probability", "bump_probability", "end_pose", "first_risky_move",
                         "moves", "trim", "safest_start"});
  expect_keys(document["fall_probability"], {"mean", "low", "high"});
  expect_keys(document["end_pose"], {"x_mm", "y_mm", "heading_deg", "covariance"});
  EXPECT_EQ(document["end_pose"]["covariance"].size(), 3U);
  expect_keys(document["moves"][0], {"text", "left_level", "right_level", "milliseconds"});
  EXPECT_EQ(document["first_risky_move"]["move"], 1);
  EXPECT_EQ(document["first_risky_move"]["mishap"], "falls");
  EXPECT_TRUE(forecast_document({}, {}, {}, std::nullopt)["safest_start"].is_null());
}

TEST(RoundedNumber, KeepsSixDigitsAndNothingThatIsNoNumber) {
  EXPECT_EQ(rounded_number(1.0 / 3.0).dump(), "0.333333");
  EXPECT_EQ(rounded_number(-1234567.8).dump(), "-1234570");
  EXPECT_EQ(rounded_number(2.0).dump(), "2");
  EXPECT_TRUE(rounded_number(std::nan("")).is_null());
}

}  // namespace
}  // namespace runtrue
