// What a practice robot did and how true it became, as text.
#pragma once

#include <optional>
#include <string>

#include "files/json_number.h"
#include "link/practice.h"

namespace runtrue {

// The way from above, up to the line where it was read: along the tape to the right, the robot's
// left upward. Whole lines of text.
[[nodiscard]] std::string plan_of(const DrivenPath& path, const std::optional<Run>& read = {});

// "1012 mm ahead, 34 mm to the left, heading 4 deg"
[[nodiscard]] std::string stand_words(const Pose& pose);

// "The tape shows 12 mm to the left at 600 mm and 31 mm to the left at 1200 mm"
[[nodiscard]] std::string reading_words(const Run& run);
// What is typed to note that: "note 12 31"
[[nodiscard]] std::string noting_words(const Run& run);

[[nodiscard]] std::string score_words(const PracticeScore& score, int noted_runs);
[[nodiscard]] Json score_document(const std::string& robot, const PracticeScore& score);

}  // namespace runtrue
