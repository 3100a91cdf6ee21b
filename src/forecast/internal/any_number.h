// Numbers that property tests draw, in sixteenths, so that what they were is read at a glance.
#pragma once

#include <rapidcheck.h>

namespace runtrue::internal {

inline double between(int lowest, int highest) {
  return *rc::gen::inRange(lowest * 16, highest * 16) / 16.0;
}

}  // namespace runtrue::internal
