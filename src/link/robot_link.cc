#include "link/robot_link.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cstring>
#include <utility>

#include "robot/fcs16.h"
#include "robot/line.h"

namespace runtrue {
namespace {

using Clock = std::chrono::steady_clock;
using std::chrono::milliseconds;
using Bytes = std::vector<std::uint8_t>;

template <class T>
void append(Bytes& bytes, T value) {
  const auto* first = reinterpret_cast<const std::uint8_t*>(&value);
  bytes.insert(bytes.end(), first, first + sizeof value);
}

// The struct that an answer's payload is; nothing where its size differs.
template <class T>
std::optional<T> as(const Bytes& payload) {
  if (payload.size() != sizeof(T)) return std::nullopt;
  T value;
  std::memcpy(&value, payload.data(), sizeof value);
  return value;
}

Bytes framed(std::uint8_t tag, robot::Ask ask, std::span<const std::uint8_t> payload) {
  RUNTRUE_CHECK(payload.size() + robot::kQuestionHead <= robot::kMostBody);
  std::array<std::uint8_t, robot::kLineBuffer> buffer{};
  robot::LineWriter writer(buffer.data());
  writer.body()[0] = tag;
  writer.body()[1] = static_cast<std::uint8_t>(ask);
  std::copy(payload.begin(), payload.end(), writer.body() + robot::kQuestionHead);
  writer.start(static_cast<std::uint8_t>(payload.size() + robot::kQuestionHead));
  Bytes line;
  for (std::uint8_t byte = 0; writer.next(byte);) line.push_back(byte);
  return line;
}

tl::unexpected<Error> trouble(std::string message) {
  return failure(ErrorKind::kEnvironment, std::move(message));
}

tl::unexpected<Error> not_understood() {
  return trouble("the robot's answer has an unexpected size, expected firmware of this version");
}

// What the robot says against a part, for a person.
tl::unexpected<Error> refused(robot::Part part, robot::Status status) {
  using robot::Status;
  const char* what = word_of(part);
  switch (status) {
    case Status::kTooLong:
      return bad_input(fmt::format("the {} are more than the robot has room for", what));
    case Status::kOutOfRange:
      return bad_input(fmt::format("the robot refuses the {}: a value is out of its range", what));
    case Status::kWrongVersion:
      return trouble(
          fmt::format("the robot's firmware takes {} of another version, expected firmware of this "
                      "program's version",
                      what));
    case Status::kWrongCheck:
      return trouble(fmt::format(
          "the {} did not arrive whole, and the robot keeps those it had; try another cable",
          what));
    default:
      return trouble(
          fmt::format("the robot did not take the {} (status {}), and keeps those it had", what,
                      static_cast<int>(status)));
  }
}

}  // namespace

const char* word_of(robot::Part part) {
  switch (part) {
    case robot::Part::kSettings:
      return "settings";
    case robot::Part::kMoves:
      return "moves";
    case robot::Part::kTrials:
      return "trials";
    case robot::Part::kKeys:
      return "keys";
  }
  return "parts";
}

Result<std::optional<RobotLink::Answer>> RobotLink::await(robot::Ask ask, std::uint8_t tag,
                                                          milliseconds patience) {
  const auto until = Clock::now() + patience;
  robot::LineReader reader;
  for (;;) {
    const auto left = std::chrono::duration_cast<milliseconds>(until - Clock::now());
    if (left.count() <= 0) return std::optional<Answer>();
    RUNTRUE_TRY(const Bytes bytes, line_.receive(left));
    heard_anything_ = heard_anything_ || !bytes.empty();
    for (const std::uint8_t byte : bytes) {
      if (reader.byte(byte) != robot::LineHeard::kFrame) continue;
      const std::uint8_t* body = reader.body();
      const bool ours = reader.size() >= robot::kAnswerHead && body[0] == tag &&
                        body[1] == (static_cast<std::uint8_t>(ask) | robot::kAnswerBit);
      if (!ours) continue;  // an older question's answer, come late
      return Answer{static_cast<robot::Status>(body[2]),
                    Bytes(body + robot::kAnswerHead, body + reader.size())};
    }
  }
}

Result<RobotLink::Answer> RobotLink::ask(robot::Ask ask, std::span<const std::uint8_t> payload) {
  ++tag_;
  const Bytes question = framed(tag_, ask, payload);
  for (int i = 0; i < options_.tries; ++i) {
    if (auto sent = line_.send(question); !sent) return tl::unexpected(std::move(sent).error());
    RUNTRUE_TRY(auto answer, await(ask, tag_, options_.patience * std::min(i / 3 + 1, 4)));
    if (answer) return *std::move(answer);
  }
  return trouble(
      heard_anything_
          ? "what comes over this port is no robot's answer, expected a robot with this firmware"
          : "nothing answers on this port; is the robot switched on, and is this its port? A cable "
            "that only charges carries no words: try another");
}

Result<RobotGreeting> RobotLink::greet() {
  const std::uint8_t version = robot::kProtocolVersion;
  RUNTRUE_TRY(const Answer answer, ask(robot::Ask::kGreet, {&version, 1}));
  if (answer.status == robot::Status::kWrongVersion && !answer.payload.empty()) {
    const int theirs = answer.payload[0];
    return trouble(fmt::format(
        "the robot speaks version {} of the line, this program version {}; expected {}", theirs,
        version, theirs < version ? "newer firmware in the robot" : "a newer program"));
  }
  const auto greeting = as<robot::Greeting>(answer.payload);
  if (answer.status != robot::Status::kDone || !greeting) return not_understood();
  RobotGreeting told;
  told.name.assign(greeting->name, ::strnlen(greeting->name, robot::kNameSize));
  told.core_major = greeting->core_major;
  told.core_minor = greeting->core_minor;
  told.most_moves = greeting->most_moves;
  told.most_trials = greeting->most_trials;
  told.most_keys = greeting->most_keys;
  told.most_presses = greeting->most_presses;
  told.has_trim_pot = (greeting->capabilities & robot::kHasTrimPot) != 0;
  told.measures_battery = (greeting->capabilities & robot::kMeasuresBattery) != 0;
  told.senses_cable = (greeting->capabilities & robot::kSensesCable) != 0;
  return told;
}

Result<robot::Status> RobotLink::load_once(robot::Part part, std::span<const std::uint8_t> bytes) {
  const auto length = static_cast<std::uint16_t>(bytes.size());
  const auto question = [&](std::uint16_t number) {
    Bytes payload{static_cast<std::uint8_t>(part)};
    append(payload, number);
    return payload;
  };
  RUNTRUE_TRY(Answer answer, ask(robot::Ask::kBegin, question(length)));
  if (answer.status != robot::Status::kDone) return answer.status;
  for (std::size_t place = 0; place < bytes.size(); place += robot::kMostData) {
    Bytes payload = question(static_cast<std::uint16_t>(place));
    const auto some =
        bytes.subspan(place, std::min<std::size_t>(robot::kMostData, bytes.size() - place));
    payload.insert(payload.end(), some.begin(), some.end());
    RUNTRUE_TRY(answer, ask(robot::Ask::kData, payload));
    if (answer.status != robot::Status::kDone) return answer.status;
  }
  Bytes payload = question(length);
  append(payload, robot::fcs16(bytes.data(), length));
  RUNTRUE_TRY(answer, ask(robot::Ask::kCommit, payload));
  return answer.status;
}

Result<void> RobotLink::load(robot::Part part, std::span<const std::uint8_t> bytes) {
  if (bytes.size() > robot::most_bytes(part)) return refused(part, robot::Status::kTooLong);
  robot::Status status = robot::Status::kNotBegun;
  for (int i = 0; i < options_.loads; ++i) {
    RUNTRUE_TRY(status, load_once(part, bytes));
    if (status == robot::Status::kDone) return {};
    // A question that came late can have spoiled it; anything else will not get better.
    if (status != robot::Status::kWrongCheck && status != robot::Status::kNotBegun) break;
  }
  return refused(part, status);
}

Result<bool> RobotLink::holds(robot::Part part, std::span<const std::uint8_t> bytes) {
  const auto which = static_cast<std::uint8_t>(part);
  RUNTRUE_TRY(const Answer answer, ask(robot::Ask::kPart, {&which, 1}));
  if (answer.status == robot::Status::kNothing) return false;
  const auto held = as<robot::PartAnswer>(answer.payload);
  if (answer.status != robot::Status::kDone || !held) return not_understood();
  const auto length = static_cast<std::uint16_t>(bytes.size());
  return held->length == length && held->fcs == robot::fcs16(bytes.data(), length);
}

Result<robot::StateAnswer> RobotLink::state() {
  RUNTRUE_TRY(const Answer answer, ask(robot::Ask::kState, {}));
  const auto state = as<robot::StateAnswer>(answer.payload);
  if (answer.status != robot::Status::kDone || !state) return not_understood();
  return *state;
}

Result<std::vector<robot::LogEntry>> RobotLink::log() {
  std::vector<robot::LogEntry> entries;
  for (std::uint8_t index = 0; index < 255; ++index) {
    RUNTRUE_TRY(const Answer answer, ask(robot::Ask::kLog, {&index, 1}));
    if (answer.status == robot::Status::kNothing) break;
    const auto entry = as<robot::LogEntry>(answer.payload);
    if (answer.status != robot::Status::kDone || !entry) return not_understood();
    entries.push_back(*entry);
  }
  return entries;
}

Result<void> RobotLink::leave() {
  RUNTRUE_TRY(const Answer answer, ask(robot::Ask::kLeave, {}));
  // Sent again after its answer was lost, it is no question of a greeted program any more.
  if (answer.status != robot::Status::kDone && answer.status != robot::Status::kNotGreeted) {
    return not_understood();
  }
  return {};
}

}  // namespace runtrue
