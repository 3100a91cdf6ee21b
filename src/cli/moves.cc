// `runtrue moves check`, `runtrue moves format` and `runtrue moves from-path`.
#include <fmt/format.h>

#include "cli/commands.h"
#include "cli/draw.h"
#include "cli/words.h"
#include "files/json_number.h"
#include "files/move_answers.h"
#include "files/text_file.h"
#include "forecast/words.h"
#include "moves/fit_path.h"
#include "moves/move_list.h"

namespace runtrue {

Result<Answer> run(const MovesCheckArguments& arguments, Inputs& inputs) {
  RUNTRUE_TRY(const std::string text, inputs.moves_text(arguments.moves_file));
  const CheckedMoves checked = check_moves(text, arguments.moves_file);
  std::vector<FlatMove> flat;
  if (checked.faults.empty()) {
    RUNTRUE_TRY(flat, flatten(checked.list));
  }
  Answer answer;
  answer.exit = checked.faults.empty() ? Exit::kDone : Exit::kNo;
  if (arguments.form == Form::kJson) {
    Json faults = Json::array(), moves = Json::array();
    for (const Error& fault : checked.faults) {
      faults.push_back(
          {{"line", fault.place.line}, {"column", fault.place.column}, {"message", fault.message}});
    }
    for (const FlatMove& move : flat) moves.push_back({{"line", move.line}, {"text", move.text()}});
    answer.text = document_text({{"faults", faults}, {"moves", moves}});
    return answer;
  }
  for (const Error& fault : checked.faults) {
    answer.text += fault.one_line() + "\n" + inputs.source_of(fault);
  }
  answer.text += checked.faults.empty()
                     ? fmt::format("The list is well written: {} moves.\n", flat.size())
                     : fmt::format("{} {} to mend.\n", checked.faults.size(),
                                   checked.faults.size() == 1 ? "fault" : "faults");
  return answer;
}

Result<Answer> run(const MovesFormatArguments& arguments, Inputs& inputs) {
  RUNTRUE_TRY(const std::string text, inputs.moves_text(arguments.moves_file));
  RUNTRUE_TRY(const MoveList list, parse_moves(text, arguments.moves_file));
  const std::string formatted = format_moves(list);
  const bool changed = formatted != text;
  if (arguments.write && changed) {
    if (auto written = write_file(arguments.moves_file, formatted); !written) {
      return tl::unexpected(std::move(written).error());
    }
  }
  if (arguments.form == Form::kJson) {
    return Answer{document_text({{"text", formatted}, {"changed", changed}})};
  }
  if (!arguments.write) return Answer{formatted};
  return Answer{arguments.moves_file +
                (changed ? " was put in form.\n" : " was in form already.\n")};
}

Result<Answer> run(const MovesFromPathArguments& arguments, Inputs& inputs) {
  if (!arguments.picture_file.empty()) {
    if (auto kind = picture_kind_of(arguments.picture_file); !kind) {
      return tl::unexpected(std::move(kind).error());
    }
  }
  RUNTRUE_TRY(std::vector<Point> path, inputs.path(arguments.path_file, arguments.id));
  if (arguments.long_side) path = sized_to(path, *arguments.long_side);
  auto fitted = fit_path(path, arguments.most_moves);
  if (!fitted) return tl::unexpected(std::move(fitted).error().in_file(arguments.path_file));
  const std::size_t count = fitted->moves.body.size();
  const std::string sentence =
      fmt::format("{} {} {} at most {:.1f} mm off the path.", count, count == 1 ? "move" : "moves",
                  count == 1 ? "is" : "are", fitted->farthest_off.mm());
  const std::string text = fmt::format("# start at {}\n# {}\n{}", pose_words(fitted->start),
                                       sentence, format_moves(fitted->moves));
  if (!arguments.picture_file.empty()) {
    const PathPicture picture{path, *fitted, sentence, today()};
    if (auto drawn = draw(picture, arguments.picture_file); !drawn) {
      return tl::unexpected(std::move(drawn).error());
    }
  }
  if (arguments.form == Form::kJson) {
    return Answer{document_text(fitted_path_document(*fitted, text))};
  }
  return Answer{text};
}

}  // namespace runtrue
