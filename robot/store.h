// The loaded parts in non-volatile memory, each in two copies, so that a cut supply at any moment
// leaves one that holds.
//
// Freestanding C++14. A copy: mark, sequence, length u16, FCS u16, contents. Writing goes to the
// copy that does not hold: its mark is taken away first and set last, behind a check of all bytes
// as read back. Until then the other copy holds; from then on the new one does, since its sequence
// is the next. There is no moment between.
#pragma once

#include <stdint.h>

#include "robot/memory.h"
#include "robot/parts.h"

namespace runtrue {
namespace robot {

struct CopyHead {
  uint8_t mark;
  uint8_t sequence;
  uint16_t length;
  uint16_t fcs;
};
static_assert(sizeof(CopyHead) == 6, "no padding");

// Where each thing lies; the parts follow one another in the order of their numbers.
constexpr uint16_t copy_size(Part part) {
  return static_cast<uint16_t>(sizeof(CopyHead) + most_bytes(part));
}
constexpr uint16_t kLogPlace = 2 * (copy_size(Part::kSettings) + copy_size(Part::kMoves) +
                                    copy_size(Part::kTrials) + copy_size(Part::kKeys));

class Store {
 public:
  explicit Store(const Memory& memory);

  // The bytes of the copy that holds; 0 where there is none.
  uint8_t size(Part part) const { return held_[static_cast<uint8_t>(part)].size; }
  uint16_t fcs(Part part) const { return held_[static_cast<uint8_t>(part)].fcs; }
  // How many items it holds.
  uint8_t items(Part part) const;
  // Reads an item (of the settings: all of them, version included), index below `items`.
  void item(Part part, uint8_t index, void* into) const;

  // Writing, in this order; each step may come twice.
  Status begin(Part part, uint16_t length);
  Status data(Part part, uint16_t place, const uint8_t* bytes, uint8_t count);
  Status commit(Part part, uint16_t length, uint16_t fcs);
  void forget_begun() { begun_ = false; }

 private:
  struct Held {
    uint16_t fcs;
    uint8_t size;  // 0: neither copy holds
    uint8_t copy;
    uint8_t sequence;
  };
  uint16_t place_of(Part part, bool other) const;
  uint16_t fcs_of(uint16_t place, uint8_t length) const;
  void find(Part part);
  Status check_contents(uint16_t place) const;

  const Memory& memory_;
  Held held_[kParts] = {};
  Part part_ = Part::kSettings;  // being written
  uint8_t length_ = 0;
  bool begun_ = false;
};

}  // namespace robot
}  // namespace runtrue
