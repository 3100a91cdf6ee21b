// The machine's side of the line: one answer to each question.
#include <string.h>

#include "robot/bytes.h"
#include "robot/machine.h"

namespace runtrue {
namespace robot {

// The line goes one way at a time: the answer lies where the question was.
void Machine::take_byte(uint8_t byte) {
  if (writer_.busy()) return;
  const LineHeard heard = reader_.byte(byte);
  if (heard == LineHeard::kNothing) return;
  stop_for(Ending::kLine);
  if (heard == LineHeard::kFrame) answer(reader_.body(), reader_.size());
}

void Machine::tell(const void* bytes, uint8_t size) {
  memcpy(writer_.body() + told_, bytes, size);
  told_ = static_cast<uint8_t>(told_ + size);
}

void Machine::answer(const uint8_t* body, uint8_t size) {
  if (size < kQuestionHead || (body[1] & kAnswerBit) != 0) return;
  told_ = kAnswerHead;
  const Ask ask = static_cast<Ask>(body[1]);
  Status status = Status::kNotGreeted;
  if (greeted_ || ask == Ask::kGreet) {
    status = answer_to(ask, body + kQuestionHead, static_cast<uint8_t>(size - kQuestionHead));
  }
  uint8_t* const head = writer_.body();  // the tag stands there already
  head[1] = static_cast<uint8_t>(static_cast<uint8_t>(ask) | kAnswerBit);
  head[2] = static_cast<uint8_t>(status);
  writer_.start(told_);
}

Status Machine::answer_to(Ask ask, const uint8_t* payload, uint8_t size) {
  switch (ask) {
    case Ask::kGreet:
      return size == 1 ? greet(payload[0]) : Status::kWrongSize;
    case Ask::kBegin:
    case Ask::kData:
    case Ask::kCommit:
    case Ask::kPart:
      return write_part(ask, payload, size);
    case Ask::kState: {
      const StateAnswer state = {trim_now(),  sensed_.battery_mv, trials(),
                                 next_trial_, log_.count(),       presses_.count()};
      tell(&state, sizeof state);
      return Status::kDone;
    }
    case Ask::kLog: {
      LogEntry entry;
      if (size != 1) return Status::kWrongSize;
      if (payload[0] >= log_.count() || !log_.entry(payload[0], entry)) return Status::kNothing;
      tell(&entry, sizeof entry);
      return Status::kDone;
    }
    case Ask::kLeave:
      greeted_ = false;
      store_.forget_begun();
      return Status::kDone;
  }
  return Status::kUnknown;
}

Status Machine::greet(uint8_t version) {
  Greeting greeting = {kProtocolVersion, kCoreMajor,   kCoreMinor,
                       capabilities_,    kMostMoves,   kMostTrials,
                       kMostKeys,        kMostPresses, {}};
  memcpy(greeting.name, settings_.name, kNameSize);
  tell(&greeting, sizeof greeting);
  if (version != kProtocolVersion) return Status::kWrongVersion;
  greeted_ = true;
  return Status::kDone;
}

Status Machine::write_part(Ask ask, const uint8_t* payload, uint8_t size) {
  if (size < 1) return Status::kWrongSize;
  if (payload[0] >= kParts) return Status::kNoSuchPart;
  const Part part = static_cast<Part>(payload[0]);
  if (ask == Ask::kPart) {
    if (store_.size(part) == 0) return Status::kNothing;
    const PartAnswer answer = {store_.size(part), store_.fcs(part)};
    tell(&answer, sizeof answer);
    return Status::kDone;
  }
  if (size < kDataHead) return Status::kWrongSize;
  const uint16_t number = get_u16(payload + 1);
  const uint8_t rest = static_cast<uint8_t>(size - kDataHead);
  if (ask == Ask::kData) return store_.data(part, number, payload + kDataHead, rest);
  if (ask == Ask::kBegin) return rest == 0 ? store_.begin(part, number) : Status::kWrongSize;
  if (rest != 2) return Status::kWrongSize;
  const Status status = store_.commit(part, number, get_u16(payload + kDataHead));
  if (status == Status::kDone) {
    load_parts();
    find_next_trial();
  }
  return status;
}

}  // namespace robot
}  // namespace runtrue
