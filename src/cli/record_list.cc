// `runtrue record list`: what the record holds, a robot's runs, or what was changed.
#include <fmt/format.h>

#include <algorithm>

#include "cli/commands.h"
#include "cli/record_parts.h"
#include "cli/words.h"
#include "files/json_number.h"
#include "files/run_json.h"
#include "record/record.h"

namespace runtrue {
namespace {

std::string how_many(std::size_t count, std::string_view one, std::string_view many) {
  return fmt::format("{} {}", count, count == 1 ? one : many);
}

Json names_document(const std::vector<NamedId>& things) {
  Json names = Json::array();
  for (const NamedId& thing : things) names.push_back({{"id", thing.id}, {"name", thing.name}});
  return names;
}

Result<Answer> list_overview(const Record& record, Form form) {
  RUNTRUE_TRY(const SetOverview set, record.overview());
  if (form == Form::kJson) {
    Json robots = Json::array();
    for (const RobotLine& robot : set.robots) {
      robots.push_back(
          {{"id", robot.id},
           {"name", robot.name},
           {"run_count", robot.run_count},
           {"left_out_count", robot.left_out_count},
           {"last_run_at", robot.last_run_at.empty() ? Json() : Json(robot.last_run_at)},
           {"kept_trim", robot.kept_trim ? Json(*robot.kept_trim) : Json()}});
    }
    return Answer{document_text({{"name", set.name},
                                 {"change", set.last_change},
                                 {"robots", robots},
                                 {"tables", names_document(set.tables)},
                                 {"move_lists", names_document(set.move_lists)}})};
  }
  std::string text = paragraph(fmt::format(
      "{} holds {}, {} and {}.", set.name.empty() ? "The record" : "The record of " + set.name,
      how_many(set.robots.size(), "robot", "robots"),
      how_many(set.tables.size(), "table", "tables"),
      how_many(set.move_lists.size(), "move list", "move lists")));
  if (!set.robots.empty()) {
    std::vector<std::vector<std::string>> rows{
        {"robot", "runs", "left out", "last run", "loaded trim"}};
    for (const RobotLine& robot : set.robots) {
      rows.push_back({robot.name, fmt::format("{}", robot.run_count),
                      fmt::format("{}", robot.left_out_count), robot.last_run_at,
                      robot.kept_trim ? fmt::format("{}", *robot.kept_trim) : ""});
    }
    text += "\n" + rows_text(rows);
  }
  const auto add_names = [&text](std::string_view what, const std::vector<NamedId>& things) {
    if (things.empty()) return;
    std::string names;
    for (const NamedId& thing : things) names += (names.empty() ? "" : ", ") + thing.name;
    text += "\n" + paragraph(fmt::format("{}: {}", what, names));
  };
  add_names("Tables", set.tables);
  add_names("Move lists", set.move_lists);
  return Answer{text};
}

Result<Answer> list_runs(const Record& record, std::string_view robot, Form form) {
  RUNTRUE_TRY(const RecordId id, id_named(record, RecordPart::kRuns, robot));
  RUNTRUE_TRY(const std::vector<KeptRun> runs, record.runs_of(id));
  if (form == Form::kJson) {
    Json entries = Json::array();
    for (const KeptRun& kept : runs) {
      Json entry = {{"id", kept.id}, {"row", kept.run.row}, {"at", kept.at}, {"who", kept.who}};
      entry.update(run_document(kept.run));
      entries.push_back(entry);
    }
    return Answer{document_text({{"robot", robot}, {"runs", entries}})};
  }
  std::vector<std::vector<std::string>> rows{{"", "when", "what", "level", "trim", "read", ""}};
  for (const KeptRun& kept : runs) {
    const Run& run = kept.run;
    std::string reading;
    const auto add = [&reading](const std::string& words) {
      reading += (reading.empty() ? "" : ", ") + words;
    };
    for (const auto& line : {run.half, run.end}) {
      if (line) add(fmt::format("{:g} at {:g} mm", line->sideways.mm(), line->line.mm()));
    }
    if (run.distance) add(fmt::format("{:g} mm far", run.distance->mm()));
    if (run.turned) add(fmt::format("{:.6g} deg round", run.turned->deg()));
    if (run.time) add(fmt::format("in {:g} s", run.time->s()));
    rows.push_back({fmt::format("{}", run.row), kept.at,
                    run.kind == RunKind::kStraight ? "straight" : "turn",
                    fmt::format("{}", run.level.value), fmt::format("{}", run.trim.value), reading,
                    run.left_out ? "left out" : ""});
  }
  std::string text = paragraph(
      fmt::format("{} has {}; + is to the left.", robot, how_many(runs.size(), "run", "runs")));
  if (!runs.empty()) text += "\n" + rows_text(rows);
  return Answer{text};
}

Result<Answer> list_history(const Record& record, Form form) {
  std::vector<Change> changes;
  while (true) {  // in portions, as the record gives them
    RUNTRUE_TRY(const std::vector<Change> more,
                record.changes_since(changes.empty() ? 0 : changes.back().number));
    if (more.empty()) break;
    changes.insert(changes.end(), more.begin(), more.end());
  }
  if (form == Form::kJson) {
    Json entries = Json::array();
    for (const Change& change : changes) {
      entries.push_back({{"change", change.number},
                         {"at", change.at},
                         {"who", change.who},
                         {"what", change.sentence},
                         {"taken_back", change.taken_back}});
    }
    return Answer{document_text({{"changes", entries}})};
  }
  std::vector<std::vector<std::string>> rows{{"", "when", "who", "what", ""}};
  for (const Change& change : changes) {
    rows.push_back({fmt::format("{}", change.number), change.at, change.who, change.sentence,
                    change.taken_back ? "taken back" : ""});
  }
  std::string text = paragraph(how_many(changes.size(), "change", "changes") + " so far.");
  if (!changes.empty()) text += "\n" + rows_text(rows);
  return Answer{text};
}

Result<Answer> list(const Record& record, const RecordListArguments& arguments) {
  switch (arguments.listing) {
    case Listing::kOverview:
      return list_overview(record, arguments.form);
    case Listing::kRuns:
      return list_runs(record, arguments.robot, arguments.form);
    case Listing::kHistory:
      return list_history(record, arguments.form);
  }
  RUNTRUE_CHECK(false);
}

}  // namespace

Result<Answer> run(const RecordListArguments& arguments, Inputs&) {
  RecordOptions options;
  options.must_exist = true;
  RUNTRUE_TRY(const Record record, Record::open(arguments.data_file, options));
  auto answer = list(record, arguments);
  if (!answer) return tl::unexpected(std::move(answer).error().in_file(arguments.data_file));
  return answer;
}

}  // namespace runtrue
