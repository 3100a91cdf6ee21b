// Several hand remotes in one room: who could drive whom, who drowns whom, and who drives when.
//
// Light is shared. Two held remotes hit each other's frames with chance (L_A + L_B)/T_B, L being
// how long a frame lasts and T the time from frame to frame. Losses come in blocks: with periods
// that differ by d, (L_A + L_B)/d frames in a row are lost, one block each T_A T_B/d. A block that
// outlasts the hold time-out stops the robot, so such a pair takes turns. All derived; equal power
// is assumed, a much nearer remote wins.
#pragma once

#include <string>
#include <vector>

#include "remote/time_out.h"
#include "robot/frame.h"
#include "units/result.h"

namespace runtrue {

// The exact search goes this far.
inline constexpr std::size_t kMostRemotes = 30;

struct RoomRemote {
  std::string name;
  robot::Protocol protocol = robot::Protocol::kNec;
  std::uint16_t address = 0;
  double period_s = 0.108;
  double frame_s = 0.068;        // a whole one
  double held_frame_s = 0.0118;  // one while the key is held: shorter where repeats have no address
  bool repeats_without_address = true;
};

enum class DangerKind {
  kSameCode,              // each drives the other's robot
  kRepeatWithoutAddress,  // one's repeats could keep the other's robot driving
  kDrowned,               // held together they stop each other's robot
};

struct Danger {
  DangerKind kind = DangerKind::kSameCode;
  std::size_t a = 0, b = 0;  // places in the list, a < b
  double hit = 0;            // kDrowned: share of a's frames that b hits
  double block_s = 0;        // kDrowned: how long a hears nothing; 0 stands for without end
  std::string sentence;      // for a person
};

struct RoomPlan {
  std::vector<std::size_t> chosen;  // remotes to give out, one a robot, in the order of the list
  std::vector<int> turn;            // of each chosen one, from 1
  int turns = 0;                    // the fewest there can be
  int at_once = 0;                  // the most of the chosen that can be held together
  std::vector<Danger> dangers;      // of all pairs of chosen remotes
};

// Gives `robots` remotes out so that as few pairs as can be share a code, and parts them into the
// fewest turns; both exact. `time_out_s` is the robots' shortest. Errors: no remote or more than
// kMostRemotes, fewer remotes than robots, a name twice, a period or length that is not above 0.
[[nodiscard]] Result<RoomPlan> plan_room(const std::vector<RoomRemote>& remotes, std::size_t robots,
                                         double time_out_s);

// The fewest colours of a graph of at most 32 vertices, bit j of edges[i] being an edge; a colour
// from 0 for each.
[[nodiscard]] std::vector<int> fewest_colours(const std::vector<std::uint32_t>& edges);

}  // namespace runtrue
