// Tells every open page of every change, in the order of the changes.
//
// A page's stream holds the number of the last change it told; `wait` gives what came after it. The
// hub keeps the newest few hundred; a page that fell further behind, or that comes from before a
// restart of the server, gets one notice without ids, on which it reads everything again.
// Publishing never waits for a page. Safe to use from several threads.
#pragma once

#include <chrono>
#include <condition_variable>
#include <cstdint>
#include <deque>
#include <mutex>
#include <optional>
#include <string>
#include <vector>

namespace runtrue {

// What changed; no id at all means "anything may have".
struct ChangeNotice {
  std::int64_t change = 0;
  std::optional<std::int64_t> robot_id, table_id, list_id;
};

class EventHub {
 public:
  static constexpr std::size_t kKept = 512;

  // `newest` is the number of the newest change of the record at the start.
  explicit EventHub(std::int64_t newest) : newest_(newest), oldest_known_(newest) {}

  // Notices must come in the order of their change numbers.
  void publish(const ChangeNotice& notice);

  [[nodiscard]] std::int64_t newest() const;

  struct News {
    std::vector<ChangeNotice> notices;  // empty: time ran out or the hub is closed
    bool closed = false;
  };
  // What came after change `seen`; waits up to `patience` for something to come.
  [[nodiscard]] News wait_after(std::int64_t seen, std::chrono::milliseconds patience) const;

  // Ends every wait, now and later.
  void close();

 private:
  mutable std::mutex mutex_;
  mutable std::condition_variable news_;
  std::deque<ChangeNotice> kept_;
  std::int64_t newest_;
  std::int64_t oldest_known_;  // every change after this one is in kept_
  bool closed_ = false;
};

// The notice as a server-sent event with the change as its id.
[[nodiscard]] std::string event_text(const ChangeNotice& notice);

}  // namespace runtrue
