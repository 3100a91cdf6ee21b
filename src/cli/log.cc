// `runtrue log`: what a robot says it really ran.
#include <fmt/format.h>

#include "cli/commands.h"
#include "cli/words.h"
#include "files/answers.h"
#include "link/compare_log.h"
#include "link/find_robot.h"

namespace runtrue {
namespace {

const char* word_of(robot::RunKind kind) {
  switch (kind) {
    case robot::RunKind::kTrial:
      return "trial";
    case robot::RunKind::kMoveList:
      return "list";
    case robot::RunKind::kPressList:
      return "presses";
  }
  return "unknown";
}

const char* word_of(robot::Ending ending) {
  switch (ending) {
    case robot::Ending::kFinished:
      return "finished";
    case robot::Ending::kKey:
      return "key";
    case robot::Ending::kRemote:
      return "remote";
    case robot::Ending::kLine:
      return "cable";
    case robot::Ending::kTimeLimit:
      return "time-limit";
    case robot::Ending::kBattery:
      return "battery";
    case robot::Ending::kBadPart:
      return "unreadable";
  }
  return "unknown";
}

using Doubts = std::optional<std::vector<LogDoubt>>;  // nothing where no runs were given

Json document(const FoundRobot& found, const std::vector<robot::LogEntry>& log,
              const Doubts& doubts) {
  Json document{{"robot", found.greeting.name}, {"port", found.port}, {"runs", Json::array()}};
  for (const robot::LogEntry& entry : log) {
    Json run{{"number", entry.number},
             {"kind", word_of(entry.kind)},
             {"ended", word_of(entry.ending)},
             {"trim", entry.trim},
             {"milliseconds", entry.on_ms}};
    if (entry.kind == robot::RunKind::kTrial) {
      run["trial"] = entry.index + 1;
      run["left_level"] = entry.left;
      run["right_level"] = entry.right;
    } else {
      run["moves_begun"] = entry.index;
    }
    if (entry.battery_mv != 0) run["battery_v"] = entry.battery_mv / 1000.0;
    document["runs"].push_back(std::move(run));
  }
  if (!doubts) return document;
  document["doubts"] = Json::array();
  for (const LogDoubt& doubt : *doubts) {
    document["doubts"].push_back({{"row", doubt.row ? Json(*doubt.row) : Json()},
                                  {"number", doubt.number ? Json(*doubt.number) : Json()},
                                  {"because", doubt.sentence}});
  }
  return document;
}

std::string in_words(const Doubts& doubts) {
  if (!doubts) return "";
  if (doubts->empty()) return "\n" + paragraph("The runs that were noted are those it ran.");
  std::string text = "\n";
  for (const LogDoubt& doubt : *doubts) text += paragraph(doubt.sentence + ".");
  return text;
}

std::string in_words(const FoundRobot& found, const std::vector<robot::LogEntry>& log,
                     const Doubts& doubts) {
  const std::string name = found.greeting.name.empty() ? "This robot" : found.greeting.name;
  if (log.empty()) return paragraph(name + " remembers no run.") + in_words(doubts);
  std::string text = paragraph(name + " really ran these, the oldest first:");
  std::vector<std::vector<std::string>> rows{
      {"run", "what", "left", "right", "trim", "motors on", "battery", "ended"}};
  for (const robot::LogEntry& e : log) {
    const bool trial = e.kind == robot::RunKind::kTrial;
    rows.push_back({std::to_string(e.number),
                    fmt::format("{} {}", word_of(e.kind), trial ? e.index + 1 : e.index),
                    trial ? std::to_string(e.left) : "", trial ? std::to_string(e.right) : "",
                    std::to_string(e.trim), fmt::format("{:.3f} s", e.on_ms / 1000.0),
                    e.battery_mv == 0 ? "" : fmt::format("{:.2f} V", e.battery_mv / 1000.0),
                    word_of(e.ending)});
  }
  return text + rows_text(rows) + "\n" +
         paragraph("What stands behind list and presses is how many moves were begun.") +
         in_words(doubts);
}

}  // namespace

Result<Answer> run(const LogArguments& arguments, Inputs& inputs) {
  std::vector<Run> noted;
  if (!arguments.runs_file.empty()) {
    RUNTRUE_TRY(noted, inputs.runs(arguments.runs_file));
  }
  RUNTRUE_TRY(const FoundRobot found, find_robot(arguments.port));
  RobotLink link(*found.line);
  auto log = link.log();
  if (!log) return tl::unexpected(std::move(log).error().in_file(found.port));
  if (auto left = link.leave(); !left) {
    return tl::unexpected(std::move(left).error().in_file(found.port));
  }
  Doubts doubts;
  if (!arguments.runs_file.empty()) doubts = compare_with_log(*log, noted);
  return Answer{arguments.form == Form::kJson ? document_text(document(found, *log, doubts))
                                              : in_words(found, *log, doubts),
                doubts && !doubts->empty() ? Exit::kNo : Exit::kDone};
}

}  // namespace runtrue
