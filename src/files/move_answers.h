// Press lists and paths as JSON documents: the same for the command line and the page. Form alone;
// keys and numbers as files/answers.h says.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "files/json_number.h"
#include "moves/fit_path.h"
#include "moves/nearest_presses.h"
#include "moves/press_list.h"

namespace runtrue {

// "keep" "add" "drop"
[[nodiscard]] const char* word_of(PressChange::What what);

// {"presses","count","limit","fits"}
[[nodiscard]] Json press_list_document(const std::vector<Press>& presses, int limit);

// The same of the nearest list, with "nearest" {"farthest_off_mm","end_off_mm",
// "end_heading_off_deg","changes" [{"press","change"}]}: from the presses of those moves that can
// be keyed as they are.
[[nodiscard]] Json nearest_presses_document(const NearestPresses& nearest, int limit,
                                            const std::vector<PressChange>& changes);

// `runtrue moves from-path`: "text", "count" of moves, "start" {"x_mm","y_mm","heading_deg"},
// "farthest_off_mm", "farthest_at_mm" [x,y], "corners_mm" [[x,y]].
[[nodiscard]] Json fitted_path_document(const FittedPath& fitted, const std::string& text);

}  // namespace runtrue
