#include "robot/run_log.h"

#include "robot/fcs16.h"
#include "robot/shared_code.h"

namespace runtrue {
namespace robot {
namespace {

uint16_t fcs_of(const LogEntry& entry) {
  return fcs16(reinterpret_cast<const uint8_t*>(&entry), sizeof entry);
}

}  // namespace

RunLog::RunLog(const Memory& memory) : memory_(memory) {
  // The newest is the good entry that no other good one is ahead of.
  for (uint8_t slot = 0; slot < kMostLogEntries; ++slot) {
    LogEntry entry;
    if (!read(slot, entry)) continue;
    const uint16_t behind = static_cast<uint16_t>(entry.number + 1 - number_);
    if (count_ != 0 && behind >= 0x8000U) continue;
    count_ = 1;
    number_ = static_cast<uint16_t>(entry.number + 1);
    next_ = static_cast<uint8_t>((slot + 1) % kMostLogEntries);
  }
  if (count_ == 0) return;
  // Entries that follow one another backwards from the newest.
  for (; count_ < kMostLogEntries; ++count_) {
    LogEntry entry;
    const uint8_t slot = static_cast<uint8_t>(next_ + kMostLogEntries - 1 - count_);
    if (!read(slot, entry) || entry.number != static_cast<uint16_t>(number_ - 1 - count_)) break;
  }
}

RUNTRUE_SHARED uint16_t RunLog::place_of(uint8_t slot) {
  return static_cast<uint16_t>(kLogPlace + slot % kMostLogEntries * kKeptEntrySize);
}

bool RunLog::read(uint8_t slot, LogEntry& entry) const {
  const uint16_t place = place_of(slot);
  memory_.read(place, &entry, sizeof entry);
  uint16_t fcs = 0;
  memory_.read(static_cast<uint16_t>(place + sizeof entry), &fcs, sizeof fcs);
  return fcs == fcs_of(entry);
}

bool RunLog::entry(uint8_t index, LogEntry& entry) const {
  return read(static_cast<uint8_t>(next_ + kMostLogEntries - count_ + index), entry);
}

void RunLog::add(LogEntry& entry) {
  entry.number = number_++;
  const uint16_t fcs = fcs_of(entry);
  const uint16_t place = place_of(next_);
  memory_.write(place, &entry, sizeof entry);
  memory_.write(static_cast<uint16_t>(place + sizeof entry), &fcs, sizeof fcs);
  next_ = static_cast<uint8_t>((next_ + 1) % kMostLogEntries);
  if (count_ < kMostLogEntries) ++count_;
}

}  // namespace robot
}  // namespace runtrue
