#include "cli/record_parts.h"

#include <fmt/format.h>

#include <algorithm>

#include "files/suggestion.h"

namespace runtrue {

std::string_view word_of(RecordPart part) {
  switch (part) {
    case RecordPart::kSet:
      return "set";
    case RecordPart::kRobot:
      return "robot";
    case RecordPart::kRuns:
      return "runs";
    case RecordPart::kTable:
      return "table";
    case RecordPart::kMoves:
      return "moves";
  }
  RUNTRUE_CHECK(false);
}

Result<RecordId> id_named(const Record& record, RecordPart part, std::string_view name) {
  RUNTRUE_TRY(const SetOverview overview, record.overview());
  std::vector<NamedId> things;
  if (part == RecordPart::kTable) {
    things = overview.tables;
  } else if (part == RecordPart::kMoves) {
    things = overview.move_lists;
  } else {
    for (const RobotLine& robot : overview.robots) things.push_back({robot.id, robot.name});
  }
  const auto found =
      std::find_if(things.begin(), things.end(), [&](const NamedId& t) { return t.name == name; });
  if (found != things.end()) return found->id;
  std::vector<std::string_view> names;
  for (const NamedId& thing : things) names.push_back(thing.name);
  const std::string_view what = part == RecordPart::kTable   ? "table"
                                : part == RecordPart::kMoves ? "move list"
                                                             : "robot";
  return failure(ErrorKind::kNotFound, fmt::format("the record holds no {} '{}'{}", what, name,
                                                   did_you_mean(name, names)));
}

}  // namespace runtrue
