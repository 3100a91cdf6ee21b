#include "files/room_json.h"

#include <fmt/format.h>

#include <cstdint>
#include <string>
#include <utility>

#include "files/placed_json.h"
#include "remote/reading.h"
#include "units/spelling.h"

namespace runtrue {
namespace {

using Need = ObjectReader::Need;

constexpr double kRepeat_s = 0.01181;  // 9000, 2250 and 560 us

Result<RoomRemote> room_remote_from(const PlacedJson& value) {
  ObjectReader object(value, "a remote");
  RoomRemote remote;
  remote.name = object.text("name", Need::kRequired).value_or("");
  const std::string protocol = object.text("protocol", Need::kRequired).value_or("nec");
  const auto address = object.whole_number("address", Need::kRequired).value_or(0);
  const auto period_ms = object.number("period_ms");
  const bool whole_frames = object.boolean("whole_frames").value_or(false);
  const auto known = protocol_named(protocol);
  if (!known) {
    object.fail(
        {ErrorKind::kBadInput,
         fmt::format("protocol is '{}', expected one of `runtrue remote read`", quotable(protocol)),
         value.find("protocol")->place()});
  }
  if (address < 0 || address > 0xFFFF) {
    object.fail({ErrorKind::kBadInput, "address is out of range, expected 0 to 65535",
                 value.find("address")->place()});
  }
  if (period_ms && !(*period_ms >= 10 && *period_ms <= 1000)) {
    object.fail({ErrorKind::kBadInput, "period_ms is out of range, expected 10 to 1000",
                 value.find("period_ms")->place()});
  }
  if (auto good = object.finish(); !good) return tl::unexpected(good.error());
  remote.protocol = *known;
  remote.address = static_cast<std::uint16_t>(address);
  const HoldCase c = hold_case_of(*known);
  remote.period_s = period_ms ? *period_ms / 1000 : c.period_s;
  remote.frame_s = c.frame_s;
  remote.repeats_without_address = *known <= robot::Protocol::kNec32 && !whole_frames;
  remote.held_frame_s = remote.repeats_without_address ? kRepeat_s : c.frame_s;
  return remote;
}

Result<Room> room_from(const PlacedJson& root) {
  ObjectReader object(root, "a room");
  Room room;
  const auto robots = object.whole_number("robots", Need::kRequired).value_or(1);
  if (robots < 1 || robots > static_cast<std::int64_t>(kMostRemotes)) {
    object.fail({ErrorKind::kBadInput,
                 fmt::format("robots is {}, expected 1 to {}", robots, kMostRemotes),
                 root.find("robots")->place()});
  }
  room.robots = static_cast<std::size_t>(robots > 0 ? robots : 1);
  const double time_out_ms = object.number("time_out_ms").value_or(250);
  if (!(time_out_ms >= 10 && time_out_ms <= 5000)) {
    object.fail({ErrorKind::kBadInput, "time_out_ms is out of range, expected 10 to 5000",
                 root.find("time_out_ms")->place()});
  }
  room.time_out_s = time_out_ms / 1000;
  if (const PlacedJson* list = object.list("remotes", Need::kRequired)) {
    for (const PlacedJson& item : list->items) {
      if (auto remote = object.take(room_remote_from(item)))
        room.remotes.push_back(*std::move(remote));
    }
  }
  if (auto good = object.finish(); !good) return tl::unexpected(good.error());
  return room;
}

std::string_view word_of(DangerKind kind) {
  switch (kind) {
    case DangerKind::kSameCode:
      return "same-code";
    case DangerKind::kRepeatWithoutAddress:
      return "repeat-without-address";
    case DangerKind::kDrowned:
      return "drowned";
  }
  return "";
}

}  // namespace

Result<Room> read_room(std::string_view text, std::string_view file_name) {
  auto root = parse_json(text);
  if (!root) return tl::unexpected(std::move(root).error().in_file(file_name));
  auto room = room_from(*root);
  if (!room) return tl::unexpected(std::move(room).error().in_file(file_name));
  return room;
}

Json room_plan_document(const Room& room, const RoomPlan& plan) {
  Json remotes = Json::array(), dangers = Json::array();
  for (std::size_t i = 0; i < plan.chosen.size(); ++i) {
    remotes.push_back({{"name", room.remotes[plan.chosen[i]].name}, {"turn", plan.turn[i]}});
  }
  for (const Danger& danger : plan.dangers) {
    Json document{{"kind", word_of(danger.kind)},
                  {"a", room.remotes[danger.a].name},
                  {"b", room.remotes[danger.b].name},
                  {"sentence", danger.sentence}};
    if (danger.kind == DangerKind::kDrowned) {
      document["hit"] = rounded_number(danger.hit);
      document["block_s"] = danger.block_s > 0 ? rounded_number(danger.block_s) : Json(nullptr);
    }
    dangers.push_back(document);
  }
  return {
      {"turns", plan.turns}, {"at_once", plan.at_once}, {"remotes", remotes}, {"dangers", dangers}};
}

}  // namespace runtrue
