// What `runtrue serve` does: opens the record, opens the port, says where, and answers until it is
// told to end.
#pragma once

#include <ostream>
#include <span>
#include <string>

#include "server/assets.h"
#include "units/result.h"

namespace runtrue {

inline constexpr int kUsualPort = 8137;

struct ServeOptions {
  std::string data = "runtrue.sqlite";  // made where it is not there
  int port = kUsualPort;                // 0: any free one
  bool lan = false;                     // false: only this machine can connect
  std::span<const Asset> page;          // page_assets()
};

// Writes the address, one line, to `out` once the page can be opened; with `lan` also every address
// in the network, the join code and a drawing of the address that a phone's camera reads. Returns
// at SIGINT or SIGTERM, all acknowledged changes on the disk. Call it from the only thread there
// is: the signals are kept from the threads it starts. Errors: those of Record::open and
// HttpFrame::open.
[[nodiscard]] Result<void> serve(const ServeOptions& options, std::ostream& out);

}  // namespace runtrue
