#include "robot/store.h"

#include "robot/fcs16.h"
#include "robot/shared_code.h"

namespace runtrue {
namespace robot {
namespace {

constexpr uint8_t kHolds = 0xA5;
constexpr uint8_t kHoldsNot = 0x00;

}  // namespace

Store::Store(const Memory& memory) : memory_(memory) {
  for (uint8_t part = 0; part < kParts; ++part) find(static_cast<Part>(part));
}

// The place of the head of the copy that holds, or of the other one.
uint16_t Store::place_of(Part part, bool other) const {
  uint16_t place = 0;
  for (uint8_t before = 0; before < static_cast<uint8_t>(part); ++before)
    place = static_cast<uint16_t>(place + 2 * copy_size(static_cast<Part>(before)));
  const bool second = (held_[static_cast<uint8_t>(part)].copy != 0) != other;
  return second ? static_cast<uint16_t>(place + copy_size(part)) : place;
}

uint16_t Store::fcs_of(uint16_t place, uint8_t length) const {
  uint16_t fcs = kFcsStart;
  place = static_cast<uint16_t>(place + sizeof(CopyHead));
  while (length-- > 0) fcs = fcs16_add(fcs, memory_.read(place++));
  return static_cast<uint16_t>(~fcs);
}

void Store::find(Part part) {
  Held& held = held_[static_cast<uint8_t>(part)];
  Held found = {0, 0, 1, 0};
  for (uint8_t copy = 0; copy < 2; ++copy) {
    held.copy = copy;
    const uint16_t place = place_of(part, false);
    CopyHead head;
    memory_.read(place, &head, sizeof head);
    if (head.mark != kHolds || head.length == 0 || head.length > most_bytes(part)) continue;
    const uint8_t length = static_cast<uint8_t>(head.length);
    if (fcs_of(place, length) != head.fcs) continue;
    const uint8_t ahead = static_cast<uint8_t>(head.sequence - found.sequence);
    if (found.size == 0 || (ahead != 0 && ahead < 128)) {
      found = Held{head.fcs, length, copy, head.sequence};
    }
  }
  held = found;
}

RUNTRUE_SHARED uint8_t Store::items(Part part) const {
  const uint8_t bytes = size(part);
  return bytes == 0 ? static_cast<uint8_t>(0) : static_cast<uint8_t>((bytes - 1) / item_size(part));
}

void Store::item(Part part, uint8_t index, void* into) const {
  const uint8_t size = item_size(part);
  const uint16_t place = static_cast<uint16_t>(place_of(part, false) + sizeof(CopyHead));
  if (part == Part::kSettings) {
    memory_.read(place, into, sizeof(Settings));
  } else {
    memory_.read(static_cast<uint16_t>(place + 1 + index * size), into, size);
  }
}

Status Store::begin(Part part, uint16_t length) {
  if (length == 0) return Status::kWrongSize;
  if (length > most_bytes(part)) return Status::kTooLong;
  memory_.write(place_of(part, true), kHoldsNot);
  part_ = part;
  length_ = static_cast<uint8_t>(length);
  begun_ = true;
  return Status::kDone;
}

Status Store::data(Part part, uint16_t place, const uint8_t* bytes, uint8_t count) {
  if (!begun_ || part_ != part) return Status::kNotBegun;
  if (place > length_ || count > length_ - place) return Status::kTooLong;
  memory_.write(static_cast<uint16_t>(place_of(part, true) + sizeof(CopyHead) + place), bytes,
                count);
  return Status::kDone;
}

Status Store::commit(Part part, uint16_t length, uint16_t fcs) {
  Held& held = held_[static_cast<uint8_t>(part)];
  if (!begun_ || part_ != part || length_ != length) {
    // The answer to the same question may have been lost.
    return held.size == length && length != 0 && held.fcs == fcs ? Status::kDone
                                                                 : Status::kNotBegun;
  }
  const uint16_t place = place_of(part, true);
  if (fcs_of(place, length_) != fcs) return Status::kWrongCheck;
  const Status contents = check_contents(static_cast<uint16_t>(place + sizeof(CopyHead)));
  if (contents != Status::kDone) return contents;
  CopyHead head = {kHoldsNot, static_cast<uint8_t>(held.sequence + 1), length, fcs};
  memory_.write(place, &head, sizeof head);
  memory_.write(place, kHolds);
  begun_ = false;
  const uint8_t copy = held.copy;
  find(part);
  return held.copy != copy && held.size == length_ ? Status::kDone : Status::kWrongCheck;
}

Status Store::check_contents(uint16_t place) const {
  if (memory_.read(place) != kPartVersion) return Status::kWrongVersion;
  const uint8_t size = item_size(part_);
  if ((length_ - 1) % size != 0) return Status::kWrongSize;
  if (part_ == Part::kSettings) {
    Settings settings;
    if (length_ != sizeof settings) return Status::kWrongSize;
    memory_.read(place, &settings, sizeof settings);
    return in_range(settings) ? Status::kDone : Status::kOutOfRange;
  }
  if (part_ == Part::kKeys) {
    for (uint8_t at = 1; at < length_; at = static_cast<uint8_t>(at + size)) {
      MappedKey key;
      memory_.read(static_cast<uint16_t>(place + at), &key, sizeof key);
      const bool drives = key.motion >= Motion::kStop && key.motion <= Motion::kBendRight;
      if (!drives && key.motion != Motion::kRunList) return Status::kOutOfRange;
    }
  }
  return Status::kDone;
}

}  // namespace robot
}  // namespace runtrue
