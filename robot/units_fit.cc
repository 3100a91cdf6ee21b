#include "robot/units_fit.h"

namespace runtrue {
namespace robot {

uint8_t units_of(uint16_t width, bool mark, const UnitsFit& fit, Margin& margin) {
  const uint16_t half = fit.unit_us / 2;
  const int32_t cleared =
      static_cast<int32_t>(width) + (mark ? -fit.stretch_us : fit.stretch_us) + half;
  if (cleared <= 0) return 0;
  uint8_t units = 0;
  uint32_t rest = static_cast<uint32_t>(cleared);
  while (rest >= fit.unit_us && units < 7) {
    rest -= fit.unit_us;
    ++units;
  }
  if (rest < fit.unit_us) {
    margin.distance(static_cast<uint16_t>(rest));
    margin.distance(static_cast<uint16_t>(fit.unit_us - rest));
  }
  return units;
}

Refusal fit_units(const PulseTrain& train, uint8_t first, uint16_t nominal_us, UnitsFit& fit) {
  const UnitsFit nominal = {nominal_us, 0};
  Margin unused;
  uint32_t lasted[2] = {0, 0};  // spaces, marks
  uint8_t units[2] = {0, 0};
  uint8_t pulses[2] = {0, 0};
  for (uint8_t i = first; i < train.count; ++i) {
    const uint8_t mark = (i & 1) == 0 ? 1 : 0;
    const uint8_t lasts = units_of(train.us[i], mark != 0, nominal, unused);
    if (lasts == 0 || lasts > 3) return Refusal::kWidth;
    lasted[mark] += train.us[i];
    units[mark] = static_cast<uint8_t>(units[mark] + lasts);
    ++pulses[mark];
  }
  if (pulses[0] == 0 || pulses[1] == 0) return Refusal::kBits;
  const uint16_t weight = static_cast<uint16_t>(pulses[0] * units[1] + pulses[1] * units[0]);
  fit.unit_us =
      static_cast<uint16_t>((pulses[0] * lasted[1] + pulses[1] * lasted[0] + weight / 2U) / weight);
  fit.stretch_us = static_cast<int16_t>(
      (static_cast<int32_t>(lasted[1]) - static_cast<int32_t>(units[1]) * fit.unit_us) / pulses[1]);
  const uint16_t slack = nominal_us / 12;
  if (fit.unit_us < nominal_us - slack || fit.unit_us > nominal_us + slack) return Refusal::kWidth;
  if (fit.stretch_us < -kMostStretch_us || fit.stretch_us > kMostStretch_us) return Refusal::kWidth;
  return Refusal::kNone;
}

}  // namespace robot
}  // namespace runtrue
