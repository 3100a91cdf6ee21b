// The HTTP side: one listening port, the page's files, the live events, joining, and the checks
// that stand before every request. What is asked under /api/ otherwise goes to a handler.
//
// One thread a connection from a pool; an open event stream holds one. The numbers below bound what
// the machine spends, docs/server.md says how they were chosen.
#pragma once

#include <functional>
#include <memory>
#include <span>
#include <string>
#include <vector>

#include "server/assets.h"
#include "server/event_hub.h"
#include "server/message.h"

namespace runtrue {

inline constexpr int kHttpThreads = 256;
inline constexpr int kMostEventStreams =
    160;  // leaves threads for requests, whoever stays connected
inline constexpr std::size_t kMostBodyBytes = 1U << 20U;

struct FrameOptions {
  int port = 0;                                 // 0: any free one
  bool lan = false;                             // false: only this machine can connect
  std::span<const Asset> page;                  // must outlive the frame
  std::string join_code;                        // with `lan`: what a device must type once
  EventHub* events = nullptr;                   // must outlive the frame
  std::function<Reply(const Request&)> answer;  // called from many threads at once
};

class HttpFrame {
 public:
  // Returns when the port is open: whoever connects from then on is answered. Error (environment):
  // the port is taken or not allowed.
  [[nodiscard]] static Result<std::unique_ptr<HttpFrame>> open(FrameOptions options);

  ~HttpFrame();  // closes the port and ends all streams and threads
  HttpFrame(const HttpFrame&) = delete;
  HttpFrame& operator=(const HttpFrame&) = delete;

  [[nodiscard]] int port() const;

 private:
  class Inside;
  explicit HttpFrame(std::unique_ptr<Inside> inside);
  std::unique_ptr<Inside> inside_;
};

}  // namespace runtrue
