// Moves as presses of the keys on the robot, and back.
//
// A press is one fixed step or turn (`Robot::press`): "forward" and "back" go one step, "left" and
// "right" turn once on the spot. A move list can be keyed only if every move is a whole number of
// presses; nothing is rounded. Nothing here knows levels or times.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "drive/robot.h"
#include "moves/move_list.h"
#include "units/result.h"

namespace runtrue {

enum class Press { kForward, kBack, kLeft, kRight };

// "forward" "back" "left" "right"
[[nodiscard]] std::string_view word_of(Press press);

// Longest list of presses that is written out, before it is shortened; more is a list that is not
// meant for keys.
inline constexpr int kMostPresses = 10000;

struct PressList {
  std::vector<Press> as_written;  // move by move
  std::vector<Press> presses;     // the shortest list with the same path: what a person keys in
  int limit = 0;                  // presses the robot can keep
  [[nodiscard]] int count() const { return static_cast<int>(presses.size()); }
  [[nodiscard]] bool fits() const { return count() <= limit; }
};

// The shortest list that takes the robot's origin along the same path through the same headings
// where it stops turning: turns that follow one another become the fewest that end on the same
// heading, the way the first of them went where both ways are equal. Left, right is nothing; with a
// turn of 90 deg left three times is right once, left four times nothing. Steps stay: forward, back
// is driven and not nothing. A robot that is not round sweeps another sector where left three times
// becomes right once.
[[nodiscard]] std::vector<Press> shortest(const std::vector<Press>& presses,
                                          const PressSize& press);

// The fewest turns that make whole rounds; 0 where up to a round of small turns none do.
[[nodiscard]] int turns_in_rounds(Angle turn);

// The list and every move that has no presses, once a line, with line and column. With faults the
// list holds the other moves and is fit for nothing but display.
struct CheckedPresses {
  PressList list;
  std::vector<Error> faults;
};
// Faults: a length or angle that is not a whole number of presses (to 1 part in 10^9, so that
// lengths typed in other units count), a move by time, a bend, a pause, a level, or more than
// kMostPresses presses. `moves` is what `flatten` answers.
[[nodiscard]] CheckedPresses check_presses(const std::vector<FlatMove>& moves, const Robot& robot);

// The same for callers that need a good list or the first fault.
[[nodiscard]] Result<PressList> press_list(const std::vector<FlatMove>& moves, const Robot& robot);

// One line of what it takes to turn a list of presses into another.
struct PressChange {
  enum class What { kKeep, kAdd, kDrop };
  Press press = Press::kForward;
  What what = What::kKeep;
};
// The fewest presses to add and to drop that make `from` into `to`, what stays among them in order
// [Wag74 with whole changes alone]; drops stand before adds. Lists of up to kMostPresses together
// with the robot's limit of 1000; time and memory in the product of their lengths.
[[nodiscard]] std::vector<PressChange> changes_between(const std::vector<Press>& from,
                                                       const std::vector<Press>& to);

// Presses as a person types them: words in any letters, parted by blanks, commas or line breaks,
// `#` starts a comment. Errors, with line and column: another word, over kMostPresses presses, text
// that is not UTF-8 or is beyond the limits of a move list.
[[nodiscard]] Result<std::vector<Press>> parse_presses(std::string_view text,
                                                       std::string_view file_name);

// The presses as moves, one move a press, since the robot stops after each; equal neighbours stand
// in an `N times` block. press_list of it answers the same presses `as_written`.
[[nodiscard]] MoveList moves_of(const std::vector<Press>& presses, const PressSize& press);

}  // namespace runtrue
