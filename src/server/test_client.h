// What the tests of this folder speak HTTP with: one client on the loopback address, and a reader
// of an event stream.
#pragma once

#include <httplib.h>

#include <atomic>
#include <chrono>
#include <condition_variable>
#include <mutex>
#include <nlohmann/json.hpp>
#include <string>
#include <thread>
#include <vector>

namespace runtrue::testing {

// Long enough for a loaded machine under the address checks; only a failing test waits this long.
inline constexpr std::chrono::seconds kPatience{20};

class TestClient {
 public:
  explicit TestClient(int port) : client_("127.0.0.1", port) {
    client_.set_keep_alive(true);
    client_.set_tcp_nodelay(
        true);  // as browsers do; else a body waits 40 ms for an acknowledgement
    client_.set_read_timeout(kPatience.count());
  }

  struct Answer {
    int status = 0;
    nlohmann::json json;
    httplib::Headers headers;
    std::string body;
  };

  Answer get(const std::string& path, const httplib::Headers& headers = {}) {
    return answer_of(client_.Get(path, headers));
  }
  Answer post(const std::string& path, const nlohmann::json& body,
              const httplib::Headers& headers = {}) {
    return answer_of(client_.Post(path, headers, body.dump(), "application/json"));
  }
  Answer post_text(const std::string& path, const std::string& body,
                   const std::string& type = "application/json",
                   const httplib::Headers& headers = {}) {
    return answer_of(client_.Post(path, headers, body, type));
  }
  Answer put(const std::string& path, const nlohmann::json& body) {
    return answer_of(client_.Put(path, body.dump(), "application/json"));
  }
  httplib::Client& plain() { return client_; }

 private:
  static Answer answer_of(const httplib::Result& result) {
    Answer answer;
    if (!result) return answer;
    answer.status = result->status;
    answer.headers = result->headers;
    answer.body = result->body;
    answer.json = nlohmann::json::parse(result->body, nullptr, false);
    return answer;
  }
  httplib::Client client_;
};

// Reads an event stream in a thread of its own until it is destroyed.
class EventReader {
 public:
  explicit EventReader(int port, std::string path = "/api/events", httplib::Headers headers = {})
      : client_("127.0.0.1", port) {
    client_.set_read_timeout(kPatience.count());
    thread_ = std::thread([this, path = std::move(path), headers = std::move(headers)] {
      const auto result = client_.Get(path, headers, [this](const char* data, std::size_t size) {
        const std::lock_guard lock(mutex_);
        text_.append(data, size);
        came_.notify_all();
        return !stopping_;
      });
      const std::lock_guard lock(mutex_);
      ended_ = true;
      came_.notify_all();
    });
  }
  ~EventReader() {
    stopping_ = true;
    client_.stop();
    thread_.join();
  }
  EventReader(const EventReader&) = delete;
  EventReader& operator=(const EventReader&) = delete;

  // Waits until the stream holds `part`; false if time ran out.
  bool wait_for(const std::string& part) {
    std::unique_lock lock(mutex_);
    return came_.wait_for(lock, kPatience, [&] {
      return text_.find(part) != std::string::npos || ended_;
    }) && text_.find(part) != std::string::npos;
  }
  bool wait_for_end() {
    std::unique_lock lock(mutex_);
    return came_.wait_for(lock, kPatience, [&] { return ended_; });
  }
  std::string text() {
    const std::lock_guard lock(mutex_);
    return text_;
  }

 private:
  httplib::Client client_;
  std::mutex mutex_;
  std::condition_variable came_;
  std::string text_;
  bool ended_ = false;
  std::atomic<bool> stopping_ = false;
  std::thread thread_;
};

}  // namespace runtrue::testing
