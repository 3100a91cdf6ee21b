#include "files/remote_json.h"

#include <fmt/format.h>

#include <algorithm>
#include <cstdint>
#include <set>
#include <utility>
#include <vector>

#include "files/json_number.h"
#include "files/placed_json.h"
#include "remote/reading.h"
#include "units/spelling.h"

namespace runtrue {
namespace {

using Need = ObjectReader::Need;

constexpr Coding kCodings[] = {Coding::kUnknown, Coding::kPulseDistance, Coding::kPulseWidth,
                               Coding::kBiphase};

Json train_document(const Train& train) {
  Json list = Json::array();
  for (const double us : train) list.push_back(exact_number(us));
  return list;
}

Result<Train> train_from(const PlacedJson& list) {
  Train train;
  for (const PlacedJson& item : list.items) {
    if (item.kind != PlacedJson::Kind::kNumber || item.number <= 0 || item.number > 1e6) {
      return bad_input("a pulse is no number above 0, expected its microseconds", item.place());
    }
    train.push_back(item.number);
  }
  if (train.size() % 2 == 0 || train.size() < 3) {
    return bad_input("a train begins and ends with a mark, expected 3, 5, 7 ... pulses",
                     list.place());
  }
  return train;
}

Result<robot::Frame> code_from(ObjectReader& object, const PlacedJson& value) {
  robot::Frame frame = {};
  const auto name = object.text("protocol", Need::kRequired);
  const auto address = object.whole_number("address", Need::kRequired);
  const auto command = object.whole_number("command", Need::kRequired);
  const auto extended = object.whole_number("extended").value_or(0);
  if (!name || !address || !command) return frame;  // told by finish
  const auto protocol = protocol_named(*name);
  if (!protocol) {
    return bad_input(
        fmt::format("protocol is '{}', expected one of `runtrue remote read`", quotable(*name)),
        value.find("protocol")->place());
  }
  if (*address < 0 || *address > 0xFFFF || *command < 0 || *command > 0xFFFFFF || extended < 0 ||
      extended > 0xFF) {
    return bad_input(
        "the code is out of range, expected an address to 65535, a command to 16777215",
        value.place());
  }
  frame.protocol = *protocol;
  frame.address = static_cast<std::uint16_t>(*address);
  frame.command = static_cast<std::uint32_t>(*command);
  frame.extended = static_cast<std::uint8_t>(extended);
  return frame;
}

int count_from(ObjectReader& object, std::string_view key) {
  constexpr std::int64_t kMost = 1'000'000;
  return static_cast<int>(std::clamp<std::int64_t>(object.whole_number(key).value_or(0), 0, kMost));
}

Result<LearnedKey> key_from(const PlacedJson& value) {
  ObjectReader object(value, "a key");
  LearnedKey key;
  key.name = object.text("name", Need::kRequired).value_or("");
  key.trains = count_from(object, "trains");
  key.odd_trains = count_from(object, "odd_trains");
  key.bits = object.text("bits").value_or("");
  if (const PlacedJson* forms = object.list("forms_us")) {
    for (const PlacedJson& form : forms->items) {
      if (auto train = object.take(train_from(form))) key.forms.push_back(*std::move(train));
    }
    if (forms->items.empty()) {
      object.fail(
          {ErrorKind::kBadInput, "the key has no form, expected one or two", forms->place()});
    }
  } else if (auto code = object.take(code_from(object, value))) {
    key.code = *code;
  }
  if (auto good = object.finish(); !good) return tl::unexpected(good.error());
  return key;
}

Result<Structure> structure_from(const PlacedJson& value) {
  ObjectReader object(value, "a structure");
  Structure structure;
  const std::string coding = object.text("coding", Need::kRequired).value_or("");
  for (const Coding one : kCodings) {
    if (word_of(one) == coding) structure.coding = one;
  }
  structure.header_mark_us = object.number("header_mark_us");
  structure.header_space_us = object.number("header_space_us");
  structure.unit_us = object.number("unit_us").value_or(0);
  structure.bits = count_from(object, "bits");
  if (auto good = object.finish(); !good) return tl::unexpected(good.error());
  return structure;
}

Json structure_document(const Structure& structure) {
  Json document{{"coding", word_of(structure.coding)}};
  if (structure.header_mark_us)
    document["header_mark_us"] = exact_number(*structure.header_mark_us);
  if (structure.header_space_us) {
    document["header_space_us"] = exact_number(*structure.header_space_us);
  }
  document["unit_us"] = exact_number(structure.unit_us);
  document["bits"] = structure.bits;
  return document;
}

Result<LearnedRemote> remote_from(const PlacedJson& root) {
  ObjectReader object(root, "a learned remote");
  LearnedRemote remote;
  remote.name = object.text("name", Need::kRequired).value_or("");
  remote.period_us = object.number("period_us").value_or(0);
  remote.margin_us = object.number("margin_us");
  if (const PlacedJson* value = object.object("structure")) {
    if (auto structure = object.take(structure_from(*value))) remote.structure = *structure;
  }
  if (const PlacedJson* value = object.list("repeat_us")) {
    remote.repeat = object.take(train_from(*value));
  }
  std::set<std::string> names;
  if (const PlacedJson* keys = object.list("keys", Need::kRequired)) {
    for (const PlacedJson& item : keys->items) {
      auto key = object.take(key_from(item));
      if (!key) continue;
      if (key->name.empty() || !names.insert(key->name).second) {
        object.fail(
            {ErrorKind::kBadInput,
             fmt::format("key '{}' has no name of its own, expected one", quotable(key->name)),
             item.place()});
      }
      remote.keys.push_back(*std::move(key));
    }
  }
  if (auto good = object.finish(); !good) return tl::unexpected(good.error());
  return remote;
}

}  // namespace

std::string write_remote(const LearnedRemote& remote) {
  Json keys = Json::array();
  for (const LearnedKey& key : remote.keys) {
    Json document{{"name", key.name}, {"trains", key.trains}, {"odd_trains", key.odd_trains}};
    if (key.code) {
      document["protocol"] = protocol_name(key.code->protocol);
      document["address"] = key.code->address;
      document["command"] = key.code->command;
      if (has_extended(key.code->protocol)) document["extended"] = key.code->extended;
    } else {
      if (!key.bits.empty()) document["bits"] = key.bits;
      document["forms_us"] = Json::array();
      for (const Train& form : key.forms) document["forms_us"].push_back(train_document(form));
    }
    keys.push_back(document);
  }
  Json document{{"name", remote.name}, {"period_us", exact_number(remote.period_us)}};
  if (remote.margin_us) document["margin_us"] = exact_number(*remote.margin_us);
  document["structure"] = structure_document(remote.structure);
  if (remote.repeat) document["repeat_us"] = train_document(*remote.repeat);
  document["keys"] = keys;
  return document_text(document);
}

Result<LearnedRemote> read_remote(std::string_view text, std::string_view file_name) {
  auto root = parse_json(text);
  if (!root) return tl::unexpected(std::move(root).error().in_file(file_name));
  auto remote = remote_from(*root);
  if (!remote) return tl::unexpected(std::move(remote).error().in_file(file_name));
  return remote;
}

}  // namespace runtrue
