// Who may use the set over the network: devices that typed the join code once.
//
// Lives as long as the server: a restart makes a new code and forgets every device. Safe to use
// from several threads.
#pragma once

#include <chrono>
#include <deque>
#include <map>
#include <mutex>
#include <string>
#include <string_view>

namespace runtrue {

class JoinGate {
 public:
  using Time = std::chrono::steady_clock::time_point;

  static constexpr int kWrongTriesAllowed = 5;                // per address ...
  static constexpr std::chrono::seconds kTriesWindow{60};     // ... within this
  static constexpr std::size_t kMostDevices = 1000;           // the oldest is forgotten
  static constexpr std::size_t kMostWatchedAddresses = 4096;  // all full: nobody may try

  explicit JoinGate(std::string code) : code_(std::move(code)) {}

  struct Answer {
    bool joined = false;
    std::string token;             // the device's cookie value, if joined
    std::chrono::seconds wait{0};  // above 0: too many wrong tries, not even looked at
  };
  // `code` as typed: small letters and blanks within do no harm.
  [[nodiscard]] Answer try_code(std::string_view code, const std::string& address, Time now);

  [[nodiscard]] bool has_joined(std::string_view token) const;
  [[nodiscard]] const std::string& code() const { return code_; }

 private:
  void forget_old_tries(Time now);

  const std::string code_;
  mutable std::mutex mutex_;
  std::deque<std::string> tokens_;
  std::map<std::string, std::deque<Time>> wrong_tries_;
};

}  // namespace runtrue
