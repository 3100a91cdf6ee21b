// For functions with several callers of which the chip's compiler would otherwise draw copies into
// each. Measured one by one: only those that make the chip's program smaller have it.
#pragma once

#ifdef __AVR__
#define RUNTRUE_SHARED __attribute__((noinline))
#else
#define RUNTRUE_SHARED
#endif
