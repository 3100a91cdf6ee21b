// `runtrue press-list`, `runtrue moves check` and `runtrue moves format`.
#include <fmt/format.h>

#include "cli/commands.h"
#include "cli/words.h"
#include "files/json_number.h"
#include "files/text_file.h"
#include "moves/move_list.h"
#include "moves/press_list.h"

namespace runtrue {

Result<Answer> run(const PressListArguments& arguments, Inputs& inputs) {
  RUNTRUE_TRY(const std::vector<FlatMove> flat, inputs.moves(arguments.moves_file));
  RUNTRUE_TRY(const Robot robot, inputs.robot(arguments.robot_file));
  auto list = press_list(flat, robot);
  if (!list) return tl::unexpected(std::move(list).error().in_file(arguments.moves_file));
  Answer answer;
  answer.exit = list->fits() ? Exit::kDone : Exit::kNo;
  if (arguments.form == Form::kJson) {
    Json presses = Json::array();
    for (const Press press : list->presses) presses.push_back(word_of(press));
    answer.text = document_text({{"presses", presses},
                                 {"count", list->count()},
                                 {"limit", list->limit},
                                 {"fits", list->fits()}});
    return answer;
  }
  answer.text = paragraph(
      list->fits()
          ? fmt::format("Key these {} presses into {}; it keeps {}.", list->count(), robot.name,
                        list->limit)
          : fmt::format(
                "{} can't keep this list: it is {} presses, and the robot keeps {}. Make it "
                "shorter, or drive it in two lists.",
                robot.name, list->count(), list->limit));
  if (list->count() > 0) answer.text += "\n";
  for (int i = 0; i < list->count(); ++i) {
    answer.text +=
        fmt::format("{:4}. {}\n", i + 1, word_of(list->presses[static_cast<std::size_t>(i)]));
  }
  return answer;
}

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

}  // namespace runtrue
