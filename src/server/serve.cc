#include "server/serve.h"

#include <pthread.h>

#include <algorithm>
#include <chrono>
#include <csignal>
#include <ctime>
#include <thread>

#include "record/record.h"
#include "server/address_drawing.h"
#include "server/event_hub.h"
#include "server/guard.h"
#include "server/http_frame.h"
#include "server/secrets.h"
#include "server/set_service.h"

namespace runtrue {
namespace {

// How long a change that another program made in the record may wait to be told to the pages.
constexpr std::chrono::milliseconds kLookAround{250};

std::string utc_now() {
  const std::time_t now = std::chrono::system_clock::to_time_t(std::chrono::system_clock::now());
  std::tm parts{};
  gmtime_r(&now, &parts);
  char text[32];
  const std::size_t size = std::strftime(text, sizeof text, "%Y-%m-%dT%H:%M:%SZ", &parts);
  return {text, size};
}

// Keeps SIGINT and SIGTERM from ending the process while it lives, so that they can be waited for.
class HeldSignals {
 public:
  HeldSignals() {
    sigemptyset(&ending_);
    sigaddset(&ending_, SIGINT);
    sigaddset(&ending_, SIGTERM);
    pthread_sigmask(SIG_BLOCK, &ending_, &before_);
  }
  ~HeldSignals() { pthread_sigmask(SIG_SETMASK, &before_, nullptr); }
  HeldSignals(const HeldSignals&) = delete;
  HeldSignals& operator=(const HeldSignals&) = delete;

  // Whether one came within that time.
  [[nodiscard]] bool came_within(std::chrono::milliseconds patience) const {
    const timespec time{0, static_cast<long>(patience.count()) * 1'000'000};
    return sigtimedwait(&ending_, nullptr, &time) > 0;
  }

 private:
  sigset_t ending_{};
  sigset_t before_{};
};

void say_addresses(std::ostream& out, int port, const std::string& join_code) {
  const std::string end = ":" + std::to_string(port) + "/";
  out << "Open http://localhost" << end << '\n';
  if (join_code.empty()) {
    out << std::flush;
    return;
  }
  const std::vector<std::string> addresses = own_network_addresses();
  if (addresses.empty()) {
    out << "This machine is in no network: no other device can reach it.\n";
  }
  for (const std::string& address : addresses) {
    out << "From other devices: http://" << address << end << '\n';
  }
  out << "Join code: " << join_code << '\n';
  if (!addresses.empty()) out << address_drawing("http://" + addresses.front() + end);
  out << std::flush;
}

}  // namespace

Result<void> serve(const ServeOptions& options, std::ostream& out) {
  const HeldSignals signals;
  RUNTRUE_TRY(Record record, Record::open(options.data));
  RUNTRUE_TRY(const SetOverview overview, record.overview());
  EventHub events(overview.last_change);
  const int threads = std::clamp(static_cast<int>(std::thread::hardware_concurrency()), 1, 8);
  SetService service(record, events, utc_now, threads);

  FrameOptions frame_options;
  frame_options.port = options.port;
  frame_options.lan = options.lan;
  frame_options.page = options.page;
  if (options.lan) frame_options.join_code = new_join_code();
  frame_options.events = &events;
  frame_options.answer = [&service](const Request& request) { return service.answer(request); };
  const std::string join_code = frame_options.join_code;
  RUNTRUE_TRY(const auto frame, HttpFrame::open(std::move(frame_options)));
  const std::jthread warming([&service] { service.warm_up(); });
  say_addresses(out, frame->port(), join_code);
  while (!signals.came_within(kLookAround)) service.tell_changes();
  return {};
}

}  // namespace runtrue
