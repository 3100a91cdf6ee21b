// `runtrue press-list` and `runtrue moves from-presses`.
#include <fmt/format.h>

#include <cmath>

#include "cli/commands.h"
#include "cli/words.h"
#include "files/move_answers.h"
#include "moves/nearest_presses.h"
#include "moves/press_list.h"

namespace runtrue {
namespace {

std::string numbered(const std::vector<Press>& presses) {
  std::string text;
  for (std::size_t i = 0; i < presses.size(); ++i) {
    text += fmt::format("{:4}. {}\n", i + 1, word_of(presses[i]));
  }
  return text.empty() ? text : "\n" + text;
}

// "3 to the left", "0" of an angle in degrees.
std::string heading_words(Angle off) {
  const double deg = off.deg();
  if (std::abs(deg) < 0.05) return "0 deg";
  return fmt::format("{:.1f} deg to the {}", std::abs(deg), deg > 0.0 ? "left" : "right");
}

std::string nearest_words(const NearestPresses& nearest, const Robot& robot,
                          const std::vector<PressChange>& changes) {
  if (nearest.farthest_off == Length()) {
    return fmt::format("These {} presses are the list itself; {} keeps {}.", nearest.presses.size(),
                       robot.name, robot.move_list_limit);
  }
  std::size_t added = 0, dropped = 0;
  for (const PressChange& change : changes) {
    added += change.what == PressChange::What::kAdd ? 1 : 0;
    dropped += change.what == PressChange::What::kDrop ? 1 : 0;
  }
  std::string text = fmt::format(
      "These {} presses come nearest of all that {} keeps ({}): never more than {:.1f} mm from the "
      "way of the list. They end {:.1f} mm from where it ends; the heading there is off by {}.",
      nearest.presses.size(), robot.name, robot.move_list_limit, nearest.farthest_off.mm(),
      nearest.end_off.mm(), heading_words(nearest.end_heading_off));
  if (added > 0 || dropped > 0) {
    text += fmt::format(
        " Of the moves that can be keyed as they are, {} of the presses are left out and {} added.",
        dropped, added);
  }
  return text;
}

// The list of the changes, "+" before what is added and "-" before what is left out.
std::string changes_text(const std::vector<PressChange>& changes) {
  std::string text;
  int number = 0;
  for (const PressChange& change : changes) {
    const bool drop = change.what == PressChange::What::kDrop;
    const std::string count = drop ? "    " : fmt::format("{:3}.", ++number);
    const char* mark = drop ? "- " : change.what == PressChange::What::kAdd ? "+ " : "  ";
    text +=
        fmt::format("{} {}{}{}\n", count, mark, word_of(change.press), drop ? "  (left out)" : "");
  }
  return text.empty() ? text : "\n" + text;
}

Result<Answer> nearest_list(const PressListArguments& arguments, const std::vector<FlatMove>& flat,
                            const Robot& robot) {
  auto nearest = nearest_presses(flat, robot);
  if (!nearest) return tl::unexpected(std::move(nearest).error().in_file(arguments.moves_file));
  const std::vector<PressChange> changes =
      changes_between(check_presses(flat, robot).list.presses, nearest->presses);
  if (arguments.form == Form::kJson) {
    return Answer{
        document_text(nearest_presses_document(*nearest, robot.move_list_limit, changes))};
  }
  return Answer{paragraph(nearest_words(*nearest, robot, changes)) + changes_text(changes)};
}

}  // namespace

Result<Answer> run(const PressListArguments& arguments, Inputs& inputs) {
  RUNTRUE_TRY(const std::vector<FlatMove> flat, inputs.moves(arguments.moves_file));
  RUNTRUE_TRY(const Robot robot, inputs.robot(arguments.robot_file));
  if (arguments.nearest) return nearest_list(arguments, flat, robot);
  auto list = press_list(flat, robot);
  if (!list) return tl::unexpected(std::move(list).error().in_file(arguments.moves_file));
  Answer answer;
  answer.exit = list->fits() ? Exit::kDone : Exit::kNo;
  if (arguments.form == Form::kJson) {
    answer.text = document_text(press_list_document(list->presses, list->limit));
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
  answer.text += numbered(list->presses);
  return answer;
}

Result<Answer> run(const MovesFromPressesArguments& arguments, Inputs& inputs) {
  RUNTRUE_TRY(const std::vector<Press> presses, inputs.presses(arguments.presses_file));
  RUNTRUE_TRY(const Robot robot, inputs.robot(arguments.robot_file));
  const std::string text = format_moves(moves_of(presses, robot.press));
  const bool fits = static_cast<int>(presses.size()) <= robot.move_list_limit;
  Answer answer{text, fits ? Exit::kDone : Exit::kNo};
  if (arguments.form == Form::kJson) {
    Json document = press_list_document(presses, robot.move_list_limit);
    document["text"] = text;
    answer.text = document_text(document);
  } else if (!fits) {
    answer.text = fmt::format("# {} presses, and {} keeps {}\n", presses.size(), robot.name,
                              robot.move_list_limit) +
                  text;
  }
  return answer;
}

}  // namespace runtrue
