// `runtrue advise`: how true a robot runs, and the run to make next.
#include <fmt/format.h>

#include "cli/commands.h"
#include "cli/draw.h"
#include "cli/words.h"
#include "files/answers.h"
#include "truing/words.h"

namespace runtrue {
namespace {

std::string in_words(const Robot& robot, const Truing& truing, double tolerance_mm_per_m) {
  std::string text = paragraph(sentence_of(robot, truing)) + "\n";
  const Estimate& drift = truing.drift_mm_per_m;
  text += rows_text(
      {{"best trim so far", fmt::format("{}", truing.best_trim.value)},
       {"drift there, mm in a metre", fmt::format("{} (between {} and {})", side_words(drift.mean),
                                                  side_words(drift.high), side_words(drift.low))},
       {fmt::format("sure to be within {:g}", tolerance_mm_per_m),
        percent_words(truing.in_tolerance_probability)},
       {"verdict", word_of(truing.verdict)}});
  text += "\n" + paragraph(fmt::format("Why: {}.", truing.reason));
  for (const DoubtfulRun& doubtful : truing.doubtful_runs) {
    text += paragraph(
        fmt::format("The run of line {} fits badly: it {}.", doubtful.row, doubtful.because));
  }
  if (truing.next_run) text += "\n" + paragraph(kBeforeARun);
  return text;
}

}  // namespace

Result<Answer> run(const AdviseArguments& arguments, Inputs& inputs) {
  RUNTRUE_TRY(const Robot robot, inputs.robot(arguments.robot_file));
  RUNTRUE_TRY(const std::vector<Run> runs, inputs.runs(arguments.runs_file, robot));
  TruingOptions options;
  options.tolerance_mm_per_m = arguments.tolerance_mm_per_m;
  options.longest_line = Length::from_mm(arguments.longest_line_mm);
  RUNTRUE_TRY(const Truing truing, true_robot(robot, runs, options));
  if (!arguments.picture_file.empty()) {
    const TruingPicture picture{robot, truing, arguments.tolerance_mm_per_m,
                                sentence_of(robot, truing), today()};
    if (auto drawn = draw(picture, arguments.picture_file); !drawn) {
      return tl::unexpected(std::move(drawn).error());
    }
  }
  return Answer{arguments.form == Form::kJson
                    ? document_text(advice_document(robot, truing))
                    : in_words(robot, truing, arguments.tolerance_mm_per_m),
                truing.verdict == Verdict::kInTolerance ? Exit::kDone : Exit::kNo};
}

}  // namespace runtrue
