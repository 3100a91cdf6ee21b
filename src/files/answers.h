// The answers of the program as JSON documents: the same for the command line and the page.
//
// Only form, no computation: what is written was computed by truing, moves and forecast. Numbers
// bear six significant digits and their unit in the key; keys come in a fixed order. The documents
// are the contract of docs/formats/files.md, "Answers": keys may be added, never changed.
#pragma once

#include <optional>
#include <vector>

#include "drive/robot.h"
#include "drive/settings.h"
#include "files/json_number.h"
#include "forecast/forecast.h"
#include "forecast/remedies.h"
#include "moves/compile.h"
#include "truing/truing.h"

namespace runtrue {

// {"mean","low","high"}
[[nodiscard]] Json estimate_document(const Estimate& estimate);
[[nodiscard]] Json probability_document(const Probability& probability);
// {"x_mm","y_mm","heading_deg"}, heading within [-180, 180)
[[nodiscard]] Json pose_document(const Pose& pose);

// `runtrue advise`: robot, best_trim, drift_mm_per_m, in_tolerance_probability, verdict, reason,
// next_run or null, doubtful_runs [rows], doubtful_because [{row, because}], assumed [keys].
[[nodiscard]] Json advice_document(const Robot& robot, const Truing& truing);

// `runtrue settings`: robot, trim, level, then every constant under its key {unit, mean, low, high,
// meaning, assumed}, scatter, trued_levels, assumed [keys].
[[nodiscard]] Json settings_document(const Robot& robot, const Truing& truing);

// `runtrue forecast`: fall_probability, bump_probability, end_pose with covariance,
// first_risky_move {move (from 1), line, text, mishap, probability, x_mm, y_mm} or null, moves
// [{text, line, left_level, right_level, milliseconds, untrued, end_pose, fall_probability,
// bump_probability, clearance_mm}], closing {median_mm, within_95_mm, nominal_heading_deg} or null,
// trim, safest_start {x_mm, y_mm, heading_deg,
// mishap_probability} or null, assumed, samples, seed. `moves` is what the forecast was made from.
[[nodiscard]] Json forecast_document(const Forecast& forecast,
                                     const std::vector<CompiledMove>& moves,
                                     const DriveSettings& settings,
                                     const std::optional<SafeStart>& safest);

// What to do about it: largest_scale {ratio, mishap_probability} or null, needed_level {level,
// mishap_probability} or null, measurements [{what, level, runs, mishap_probability,
// end_spread_mm}], the most helpful first, best_measurement (one of them) or null; of the list as
// it is mishap_probability and end_spread_mm; words [sentences], samples.
[[nodiscard]] Json remedies_document(const Remedies& remedies);

// Puts what a drawing needs into the forecast's document: nominal_path and move_ends
// [[x_mm,y_mm,heading_deg]], sample_paths [[[x_mm,y_mm]]], region_95 [[x_mm,y_mm]].
void add_forecast_paths(Json& document, const Forecast& forecast);

// [{"trim","mean","low","high","in_tolerance_probability"}]: drift in mm/m at each trim
[[nodiscard]] Json curve_document(const Truing& truing);

// [{"row","trim","level","mean","low","high","aim_deg","doubtful"}]: drift in mm/m of each run
[[nodiscard]] Json run_drifts_document(const Truing& truing);

}  // namespace runtrue
