#include "server/request_body.h"

#include <algorithm>
#include <cmath>
#include <string_view>

namespace runtrue {
namespace {

// The name a message begins with: "press.step_mm is 0, ...", "'kind' is missing, ...".
std::string name_in(std::string_view message) {
  if (!message.empty() && message.front() == '\'') message.remove_prefix(1);
  const auto ends_name = [](char c) {
    return !((c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || c == '_' || c == '.' || c == '[' ||
             c == ']');
  };
  return {message.begin(), std::find_if(message.begin(), message.end(), ends_name)};
}

// The path of the deepest part of `value` whose key or value stands at the place.
std::string path_at(const PlacedJson& value, const Place& place, const std::string& path) {
  for (const PlacedMember& member : value.members) {
    std::string inner = path.empty() ? member.key : path + "." + member.key;
    std::string deeper = path_at(member.value, place, inner);
    if (!deeper.empty()) return deeper;
    if (member.line == place.line && member.column == place.column) return inner;
  }
  for (std::size_t i = 0; i < value.items.size(); ++i) {
    std::string deeper = path_at(value.items[i], place, path + "[" + std::to_string(i) + "]");
    if (!deeper.empty()) return deeper;
  }
  return value.line == place.line && value.column == place.column ? path : std::string();
}

// Takes the member out of the body; nothing where it is not there.
Result<std::optional<std::int64_t>> take_whole_number(PlacedJson& body, std::string_view key) {
  const auto found = std::find_if(body.members.begin(), body.members.end(),
                                  [&](const PlacedMember& m) { return m.key == key; });
  if (found == body.members.end()) return std::nullopt;
  const PlacedJson value = std::move(found->value);
  body.members.erase(found);
  constexpr double kBeyond = 9007199254740992.0;  // 2^53: above it doubles skip whole numbers
  const bool whole = value.kind == PlacedJson::Kind::kNumber && value.number >= 0 &&
                     value.number < kBeyond && std::floor(value.number) == value.number;
  if (!whole) {
    return bad_input(std::string(key) + " is no whole number from 0", value.place());
  }
  return static_cast<std::int64_t>(value.number);
}

}  // namespace

Result<PlacedJson> body_object(const std::string& body) {
  if (body.empty()) {
    PlacedJson empty;
    empty.kind = PlacedJson::Kind::kObject;
    return empty;
  }
  RUNTRUE_TRY(PlacedJson value, parse_json(body));
  if (value.kind != PlacedJson::Kind::kObject) {
    return bad_input("the body must be one JSON object, {...}", value.place());
  }
  return value;
}

Result<std::optional<ChangeNumber>> take_based_on(PlacedJson& body, RecordId id) {
  RUNTRUE_TRY(const auto in_body, take_whole_number(body, "id"));
  if (in_body && *in_body != id) {
    return bad_input("id is " + std::to_string(*in_body) + ", expected " + std::to_string(id) +
                     " as in the address");
  }
  return take_whole_number(body, "based_on");
}

Error with_field(Error error, const PlacedJson& body) {
  const std::string name = name_in(error.message);
  const std::string at = path_at(body, error.place, "");
  const bool quoted = error.message.rfind('\'', 0) == 0;
  const bool is_name = quoted || body.find(name.substr(0, name.find_first_of(".["))) != nullptr ||
                       name.find('_') != std::string::npos;
  if (!is_name || at.ends_with(name)) {
    error.place.file = at;  // the message is about what stands there
  } else if (quoted && !at.empty()) {
    error.place.file = at + "." + name;  // about what is missing within it
  } else {
    error.place.file = name;
  }
  return error;
}

}  // namespace runtrue
