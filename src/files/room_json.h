// ROOM.json: the remotes of a room and how many robots there are (docs/formats/files.md).
#pragma once

#include <string_view>
#include <vector>

#include "files/json_number.h"
#include "remote/room_plan.h"
#include "units/result.h"

namespace runtrue {

struct Room {
  std::vector<RoomRemote> remotes;
  std::size_t robots = 0;
  double time_out_s = 0.25;  // the shortest that a robot waits
};

// {"robots", "time_out_ms" (250), "remotes" [{"name", "protocol", "address", "period_ms" (the
// protocol's), "whole_frames" (false: NEC remotes repeat without address)}]}. Errors (bad input,
// with line and column): not JSON, a key missing or unknown, a protocol not known here, a value
// outside its range.
[[nodiscard]] Result<Room> read_room(std::string_view text, std::string_view file_name);

// `runtrue remote room`: turns, at_once, remotes [{name, turn}], dangers [{kind (same-code,
// repeat-without-address, drowned), a, b, sentence; hit, block_s or null where drowned}].
[[nodiscard]] Json room_plan_document(const Room& room, const RoomPlan& plan);

}  // namespace runtrue
