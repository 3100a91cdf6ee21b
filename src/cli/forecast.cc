// `runtrue forecast`: where a list of moves takes a robot on a table.
#include "forecast/forecast.h"

#include <fmt/format.h>

#include <algorithm>
#include <thread>

#include "cli/commands.h"
#include "cli/draw.h"
#include "cli/words.h"
#include "files/answers.h"
#include "forecast/remedies.h"
#include "forecast/words.h"
#include "moves/compile.h"

namespace runtrue {
namespace {

// As many as there are, bounded: the answer doesn't hang on it.
int thread_count() {
  return std::clamp(static_cast<int>(std::thread::hardware_concurrency()), 1, 8);
}

// Of the tries in one move: "-" where none went wrong; never all.
std::string share_words(double share) {
  if (share <= 0.0) return "-";
  if (share < 0.001) return "<0.1 %";
  if (share > 0.999) return ">99.9 %";
  return fmt::format("{:.1f} %", 100.0 * share);
}

std::string moves_table(const std::vector<CompiledMove>& moves, const Forecast& forecast) {
  std::vector<std::vector<std::string>> rows{
      {"move", "left", "right", "ms", "falls", "bumps", "to the edge, mm", ""}};
  for (std::size_t i = 0; i < moves.size(); ++i) {
    const MoveOutlook& outlook = forecast.moves[i];
    rows.push_back({fmt::format("{}. {}", i + 1, moves[i].text),
                    fmt::format("{}", moves[i].command.left.value),
                    fmt::format("{}", moves[i].command.right.value),
                    fmt::format("{}", moves[i].command.milliseconds),
                    share_words(outlook.fall_probability), share_words(outlook.bump_probability),
                    fmt::format("{:.0f}", outlook.clearance.mm()), moves[i].untrued});
  }
  return rows_text(rows);
}

std::string in_words(const std::vector<CompiledMove>& moves, const Forecast& forecast,
                     const DriveSettings& settings, const Remedies& remedies,
                     const std::string& sentence) {
  std::string text = paragraph(sentence);
  if (!moves.empty()) text += "\n" + moves_table(moves, forecast);
  std::vector<std::vector<std::string>> rows{
      {"falls", chance_words(forecast.fall, forecast.samples)},
      {"bumps", chance_words(forecast.bump, forecast.samples)},
      {"ends at", pose_words(forecast.nominal_end)},
      {"trim", fmt::format("{}", settings.trim.value)}};
  if (forecast.closing) rows.push_back({"closes", closing_words(*forecast.closing)});
  text += "\n" + rows_text(rows);
  std::string help;
  for (const std::string& words : remedy_words(remedies)) help += (help.empty() ? "" : " ") + words;
  if (!help.empty()) text += "\n" + paragraph(help);
  if (const std::string assumed = assumed_words(settings); !assumed.empty()) text += "\n" + assumed;
  return text + "\n" + paragraph(kHandAtTheEdge);
}

}  // namespace

Result<Answer> run(const ForecastArguments& arguments, Inputs& inputs) {
  if (!arguments.picture_file.empty()) {
    // Before the work: a name that can't be drawn to is told at once.
    if (auto kind = picture_kind_of(arguments.picture_file); !kind) {
      return tl::unexpected(std::move(kind).error());
    }
  }
  RUNTRUE_TRY(const Robot robot, inputs.robot(arguments.robot_file));
  RUNTRUE_TRY(const std::vector<Run> runs, inputs.runs(arguments.runs_file, robot));
  RUNTRUE_TRY(const std::vector<FlatMove> flat, inputs.moves(arguments.moves_file));
  RUNTRUE_TRY(const Table table, inputs.table(arguments.table_file));
  RUNTRUE_TRY(const Truing truing, true_robot(robot, runs));
  auto moves = compile_moves(flat, robot, truing.settings);
  if (!moves) return tl::unexpected(std::move(moves).error().in_file(arguments.moves_file));

  ForecastOptions options;
  options.samples = arguments.samples;
  options.seed = arguments.seed;
  options.threads = thread_count();
  if (arguments.picture_file.empty()) options.kept_paths = 0;
  RUNTRUE_TRY(const Forecast forecast,
              forecast_moves(robot, truing.settings, *moves, table, arguments.start, options));
  options.kept_paths = 0;
  RUNTRUE_TRY(const SafeStart safest, safest_start(robot, truing.settings, *moves, table, options));
  RUNTRUE_TRY(const Remedies remedies,
              find_remedies(robot, truing.settings, flat, table, arguments.start, options,
                            {.allowed = kAllowedRisk}));
  const std::string sentence = sentence_of(robot, *moves, forecast, safest);

  if (!arguments.picture_file.empty()) {
    const ForecastPicture picture{
        robot, truing.settings.trim, *moves, table, arguments.start, forecast, sentence, today()};
    if (auto drawn = draw(picture, arguments.picture_file); !drawn) {
      return tl::unexpected(std::move(drawn).error());
    }
  }
  std::string text;
  if (arguments.form == Form::kJson) {
    Json document = forecast_document(forecast, *moves, truing.settings, safest);
    document["remedies"] = remedies_document(remedies);
    text = document_text(document);
  } else {
    text = in_words(*moves, forecast, truing.settings, remedies, sentence);
  }
  return Answer{std::move(text),
                forecast.fall.mean + forecast.bump.mean > kAllowedRisk ? Exit::kNo : Exit::kDone};
}

}  // namespace runtrue
