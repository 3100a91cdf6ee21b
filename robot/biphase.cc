#include "robot/biphase.h"

namespace runtrue {
namespace robot {
namespace {

constexpr uint8_t kMostBits = 37;

// Takes units of level one after another and makes bits of them.
class Halves {
 public:
  Halves(const Biphase& shape, BiphaseBits& bits) : shape_(shape), bits_(bits) {}

  // Whether the unit fits where it comes.
  bool take(bool mark) {
    const bool doubled = bits_.bits == shape_.double_bit;
    const uint8_t half = doubled ? 2 : 1;
    if (units_ == 0) first_ = mark;
    if (mark != (units_ < half ? first_ : !first_)) return false;
    if (++units_ < 2 * half) return true;
    units_ = 0;
    const bool one = first_ != shape_.one_ends_marked;
    bits_.value = bits_.value << 1 | (one ? 1U : 0U);
    if (++bits_.bits == 5) bits_.head = static_cast<uint8_t>(bits_.value);
    return bits_.bits <= kMostBits;
  }
  bool between_bits() const { return units_ == 0; }

 private:
  const Biphase& shape_;
  BiphaseBits& bits_;
  uint8_t units_ = 0;
  bool first_ = false;
};

}  // namespace

Refusal read_biphase(const PulseTrain& train, const Biphase& shape, BiphaseBits& bits,
                     Margin& margin) {
  UnitsFit fit;
  const Refusal refusal = fit_units(train, shape.first, shape.half_us, fit);
  if (refusal != Refusal::kNone) return refusal;
  bits = {0, 0, 0};
  Halves halves(shape, bits);
  if (shape.space_first) halves.take(false);
  for (uint8_t i = shape.first; i < train.count; ++i) {
    const bool mark = (i & 1) == 0;
    for (uint8_t left = units_of(train.us[i], mark, fit, margin); left != 0; --left) {
      if (!halves.take(mark)) return Refusal::kWidth;
    }
  }
  while (!halves.between_bits()) {
    if (!halves.take(false)) return Refusal::kWidth;
  }
  return Refusal::kNone;
}

}  // namespace robot
}  // namespace runtrue
