// For loops over samples side by side: how they are compiled, and functions without branches that a
// loop over them is vectorised with. Only for sources that src/forecast/CMakeLists.txt compiles
// without contraction, or instruction sets with fused operations would give other bits.
#pragma once

#include <bit>
#include <cmath>
#include <cstdint>
#include <numbers>

// Function versions are chosen while the program is loaded, before the address and thread checks
// are ready; checked builds take the plain version, whose bits are the same.
#if defined(__x86_64__) && defined(__GNUC__) && !defined(__clang__) && \
    !defined(__SANITIZE_ADDRESS__) && !defined(__SANITIZE_THREAD__)
#define RUNTRUE_WIDE __attribute__((target_clones("arch=x86-64-v4", "arch=x86-64-v3", "default")))
#else
#define RUNTRUE_WIDE
#endif

// No array that a loop writes is one that it reads elsewhere.
#if defined(__clang__)
#define RUNTRUE_APART
#else
#define RUNTRUE_APART _Pragma("GCC ivdep")
#endif

namespace runtrue::internal {

struct SinCos {
  double sin, cos;
};

// Cody-Waite reduction to a quarter turn about 0 and the minimax polynomials of [Ceph89], good to
// about an ulp for |a| < 1e5; written without branches so that a loop over it is vectorised.
[[gnu::always_inline]] inline SinCos sin_cos(double a) {
  constexpr double kRound = 0x1.8p52;  // adding it rounds to a whole number
  const double q = (a * (2.0 / std::numbers::pi) + kRound) - kRound;
  const double r =
      ((a - q * 0x1.921fb54400000p+0) - q * 0x1.0b4611a600000p-34) - q * 0x1.3198a2e037073p-69;
  const double r2 = r * r;
  double s = 1.58962301576546568060e-10;
  s = s * r2 - 2.50507477628578072866e-8;
  s = s * r2 + 2.75573136213857245213e-6;
  s = s * r2 - 1.98412698295895385996e-4;
  s = s * r2 + 8.33333333332211858878e-3;
  s = s * r2 - 1.66666666666666307295e-1;
  s = r + r * r2 * s;
  double c = -1.13585365213876817300e-11;
  c = c * r2 + 2.08757008419747316778e-9;
  c = c * r2 - 2.75573141792967388112e-7;
  c = c * r2 + 2.48015872888517045348e-5;
  c = c * r2 - 1.38888888888730564116e-3;
  c = c * r2 + 4.16666666666665929218e-2;
  c = 1.0 - 0.5 * r2 + r2 * r2 * c;
  const double quarter = q - 4.0 * ((q * 0.25 + kRound) - kRound);  // -2 .. 2
  const bool odd = quarter == 1.0 || quarter == -1.0;
  const double sin_size = odd ? c : s, cos_size = odd ? s : c;
  const bool half = quarter == 2.0 || quarter == -2.0;
  return {(half || quarter == -1.0) ? -sin_size : sin_size,
          (half || quarter == 1.0) ? -cos_size : cos_size};
}

// Natural logarithm of a positive, normal number, by the series of 2·artanh((m − 1)/(m + 1)) about
// the power of two next to it: |m − 1|/(m + 1) < 0.172, so it is good to 2e-14.
[[gnu::always_inline]] inline double log_of(double x) {
  const std::uint64_t bits = std::bit_cast<std::uint64_t>(x);
  // 1..2 times a power of two; from the root of 2 on, half of that.
  const double mantissa = std::bit_cast<double>((bits & 0xFFFFFFFFFFFFFu) | 0x3FF0000000000000u);
  const double power =
      std::bit_cast<double>((bits >> 52) | 0x4330000000000000u) - (0x1p52 + 1023.0);
  const bool high = mantissa > std::numbers::sqrt2;
  const double m = high ? mantissa * 0.5 : mantissa;
  const double s = (m - 1.0) / (m + 1.0), s2 = s * s;
  double series = 1.0 / 15.0;
  series = series * s2 + 1.0 / 13.0;
  series = series * s2 + 1.0 / 11.0;
  series = series * s2 + 1.0 / 9.0;
  series = series * s2 + 1.0 / 7.0;
  series = series * s2 + 1.0 / 5.0;
  series = series * s2 + 1.0 / 3.0;
  return (high ? power + 1.0 : power) * std::numbers::ln2 + 2.0 * (s + s * s2 * series);
}

}  // namespace runtrue::internal
