// `runtrue load`: settings, a list and trials into a robot over its cable.
#include <fmt/format.h>

#include "cli/commands.h"
#include "cli/words.h"
#include "files/answers.h"
#include "link/find_robot.h"
#include "link/robot_load.h"
#include "moves/compile.h"

namespace runtrue {
namespace {

struct Loads {
  PartBytes settings, moves, trials;  // empty: not loaded
  std::vector<NextRun> runs;
  std::size_t move_count = 0;
};

std::string run_words(const NextRun& run) {
  if (run.kind == RunKind::kTurn) {
    return fmt::format("turn {} for {:g} s", run.to_the_left ? "left" : "right", run.time.s());
  }
  if (run.time > Duration()) {
    return fmt::format("straight for {:g} s, the way measured", run.time.s());
  }
  return fmt::format("straight, read at {:.0f} and {:.0f} mm", run.half_line.mm(), run.line.mm());
}

Result<Loads> loads_of(const LoadArguments& arguments, const Robot& robot, const Truing& truing,
                       Inputs& inputs) {
  Loads loads;
  const RobotLoadOptions options{.trim_from_pot = arguments.trim_from_pot,
                                 .repeat_period = Duration()};
  RUNTRUE_TRY(loads.settings, settings_part(robot, truing.settings, options));
  if (!arguments.moves_file.empty()) {
    RUNTRUE_TRY(const auto flat, inputs.moves(arguments.moves_file));
    auto compiled = compile_moves(flat, robot, truing.settings);
    if (!compiled) return tl::unexpected(std::move(compiled).error().in_file(arguments.moves_file));
    auto moves = moves_part(*compiled);
    if (!moves) return tl::unexpected(std::move(moves).error().in_file(arguments.moves_file));
    loads.moves = *std::move(moves);
    loads.move_count = compiled->size();
  }
  if (arguments.trials > 0) {
    loads.runs = plan_trials(robot, truing, arguments.trials);
    RUNTRUE_TRY(loads.trials, trials_part(robot, truing.settings, loads.runs));
  }
  return loads;
}

Result<void> load_all(RobotLink& link, const Loads& loads) {
  const std::pair<robot::Part, const PartBytes*> parts[] = {
      {robot::Part::kSettings, &loads.settings},
      {robot::Part::kMoves, &loads.moves},
      {robot::Part::kTrials, &loads.trials}};
  for (const auto& [part, bytes] : parts) {
    if (bytes->empty()) continue;
    if (auto loaded = link.load(part, *bytes); !loaded) return loaded;
  }
  return link.leave();
}

Json document(const Robot& robot, const Truing& truing, const Loads& loads,
              const std::string& port) {
  Json document{{"robot", robot.name},
                {"port", port},
                {"trim", truing.settings.trim.value},
                {"moves", loads.move_count},
                {"trials", Json::array()}};
  for (const NextRun& run : loads.runs) {
    Json trial{{"kind", run.kind == RunKind::kTurn ? "turn" : "straight"},
               {"level", run.level.value},
               {"trim", run.trim.value}};
    if (run.time > Duration()) trial["seconds"] = run.time.s();
    if (run.kind == RunKind::kTurn) {
      trial["direction"] = run.to_the_left ? "left" : "right";
    } else if (run.time == Duration()) {
      trial["half_line_mm"] = run.half_line.mm();
      trial["line_mm"] = run.line.mm();
    }
    document["trials"].push_back(std::move(trial));
  }
  return document;
}

std::string in_words(const Robot& robot, const Truing& truing, const Loads& loads) {
  std::string text = paragraph(
      fmt::format("{} is loaded: settings with trim {}{}{}. The robot has checked each as a whole.",
                  robot.name, truing.settings.trim.value,
                  loads.moves.empty() ? "" : fmt::format(", a list of {} moves", loads.move_count),
                  loads.runs.empty() ? "" : fmt::format(", {} trials", loads.runs.size())));
  if (!loads.runs.empty()) {
    text += "\n" + paragraph("Each press of the go key runs the next trial:");
    std::vector<std::vector<std::string>> rows{{"trial", "level", "trim", "what"}};
    for (std::size_t i = 0; i < loads.runs.size(); ++i) {
      const NextRun& run = loads.runs[i];
      rows.push_back({std::to_string(i + 1), std::to_string(run.level.value),
                      std::to_string(run.trim.value), run_words(run)});
    }
    text +=
        rows_text(rows) + "\n" +
        paragraph("Afterwards `runtrue log` says which of them really ran, and with which trim.");
  }
  return text + "\n" + paragraph(kBeforeARun);
}

}  // namespace

Result<Answer> run(const LoadArguments& arguments, Inputs& inputs) {
  RUNTRUE_TRY(const Robot robot, inputs.robot(arguments.robot_file));
  RUNTRUE_TRY(const std::vector<Run> runs, inputs.runs(arguments.runs_file, robot));
  RUNTRUE_TRY(const Truing truing, true_robot(robot, runs));
  RUNTRUE_TRY(const Loads loads, loads_of(arguments, robot, truing, inputs));
  RUNTRUE_TRY(const FoundRobot found, find_robot(arguments.port));
  const std::string& name = found.greeting.name;
  RobotLink link(*found.line);
  if (!name.empty() && name != kept_name(robot.name) && !arguments.replace) {
    (void)link.leave();
    return failure(
        ErrorKind::kConflict,
        fmt::format("this robot is loaded as {}, expected {}; --replace loads it all the "
                    "same",
                    name, robot.name),
        {found.port});
  }
  if (auto loaded = load_all(link, loads); !loaded) {
    return tl::unexpected(std::move(loaded).error().in_file(found.port));
  }
  if (arguments.form == Form::kJson) {
    return Answer{document_text(document(robot, truing, loads, found.port))};
  }
  return Answer{in_words(robot, truing, loads)};
}

}  // namespace runtrue
