// `runtrue settings`: the numbers a robot is loaded with, and the header for its chip.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>

#include "cli/commands.h"
#include "cli/words.h"
#include "files/answers.h"
#include "files/settings_header.h"
#include "files/text_file.h"
#include "truing/words.h"

namespace runtrue {
namespace {

// Four significant digits, without an exponent: a lead reads them, programs take --json.
std::string number_words(double value) {
  const double size = std::abs(value);
  return fmt::format("{:.{}f}", value,
                     size >= 1000.0  ? 0
                     : size >= 100.0 ? 1
                     : size >= 1.0   ? 3
                                     : 5);
}

std::string in_words(const Robot& robot, const Truing& truing, const std::string& header_file) {
  const DriveSettings& settings = truing.settings;
  std::string text =
      paragraph(fmt::format("Load {} with trim {}; it holds at level {} forward. {}", robot.name,
                            settings.trim.value, robot.level_usual.value,
                            truing.verdict == Verdict::kInTolerance
                                ? "It runs true there."
                                : "It is not yet known to run true there: see `runtrue advise`."));
  std::vector<std::vector<std::string>> rows{{"setting", "mean", "low", "high", "unit"}};
  for (int i = 0; i < kConstantCount; ++i) {
    const auto constant = static_cast<Constant>(i);
    const ConstantText& names = text_of(constant);
    const Estimate& estimate = truing.constants[static_cast<std::size_t>(i)];
    const bool assumed = std::count(settings.assumed.begin(), settings.assumed.end(), constant) > 0;
    rows.push_back({names.key, number_words(estimate.mean), number_words(estimate.low),
                    number_words(estimate.high),
                    fmt::format("{}{}", names.unit, assumed ? "  (assumed)" : "")});
  }
  text += "\n" + rows_text(rows);
  if (!settings.assumed.empty()) {
    text += "\n" + paragraph(
                       "(assumed): no run tells of it yet, so it comes from the description or "
                       "from what such robots are like, with room for error.");
  }
  if (!header_file.empty())
    text += "\n" + paragraph(fmt::format("The header for its chip is in {}.", header_file));
  return text + "\n" + paragraph(kWhileLoading);
}

}  // namespace

Result<Answer> run(const SettingsArguments& arguments, Inputs& inputs) {
  RUNTRUE_TRY(const Robot robot, inputs.robot(arguments.robot_file));
  RUNTRUE_TRY(const std::vector<Run> runs, inputs.runs(arguments.runs_file, robot));
  RUNTRUE_TRY(const Truing truing, true_robot(robot, runs));
  const auto used =
      std::count_if(runs.begin(), runs.end(), [](const Run& r) { return !r.left_out; });
  const std::string header =
      settings_header(robot, truing, {.run_count = static_cast<int>(used), .date = today()});
  if (!arguments.header_file.empty() && arguments.header_file != "-") {
    if (auto written = write_file(arguments.header_file, header); !written) {
      return tl::unexpected(std::move(written).error());
    }
  }
  if (arguments.form == Form::kJson) {
    Json document = settings_document(robot, truing);
    document["header"] = header;
    return Answer{document_text(document)};
  }
  if (arguments.header_file == "-") return Answer{header};
  return Answer{in_words(robot, truing, arguments.header_file)};
}

}  // namespace runtrue
