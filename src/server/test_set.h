// What the tests of this folder share: a folder for a record, a set with a service on it, and the
// bodies of a robot, a run, a table.
#pragma once

#include <gtest/gtest.h>
#include <unistd.h>

#include <filesystem>
#include <memory>
#include <nlohmann/json.hpp>
#include <string>

#include "server/set_service.h"

namespace runtrue::testing {

using nlohmann::json;

// A new folder that is gone with everything in it at the end.
class TestFolder {
 public:
  TestFolder() {
    std::string name = ::testing::TempDir() + "runtrue_server_XXXXXX";
    EXPECT_NE(mkdtemp(name.data()), nullptr);
    path_ = name;
  }
  ~TestFolder() {
    std::error_code ignored;
    std::filesystem::remove_all(path_, ignored);
  }
  TestFolder(const TestFolder&) = delete;
  TestFolder& operator=(const TestFolder&) = delete;
  [[nodiscard]] std::string file(const std::string& name) const { return path_ + "/" + name; }

 private:
  std::string path_;
};

inline json robot_body(const std::string& name = "Dunlin") {
  return {{"name", name}, {"track_width_mm", 140}, {"trim_range", {-30, 30}}};
}

// A straight run at level 128 read at two lines, as a robot that bends by `drift_mm_per_m` with a
// perfect aim leaves them (small bends: sideways grows with the square of the way).
inline json run_body(int trim, double drift_mm_per_m, const std::string& key) {
  return {{"kind", "straight"},
          {"level", 128},
          {"trim", trim},
          {"half_line_mm", 700},
          {"half_sideways_mm", drift_mm_per_m * 0.49},
          {"line_mm", 1400},
          {"sideways_mm", drift_mm_per_m * 1.96},
          {"key", key}};
}

inline json table_body(const std::string& name = "trestle") {
  return {{"name", name},
          {"edge_mm", {{0, 0}, {1520, 0}, {1520, 760}, {0, 760}}},
          {"walled", false},
          {"obstacles", {{{"name", "mug"}, {"centre_mm", {900, 500}}, {"radius_mm", 45}}}}};
}

// An empty set in a record of its own, and its service with a clock that stands still.
class TestSet {
 public:
  TestSet()
      : record_(open()),
        events_(0),
        service_(
            record_, events_, [] { return std::string("2026-11-25T10:42:00Z"); }, 2) {}

  struct Answer {
    int status = 0;
    json body;
    std::string allow;
    [[nodiscard]] std::string message() const { return body["error"]["message"]; }
    [[nodiscard]] std::string field() const { return body["error"].value("field", ""); }
  };
  Answer ask_text(const std::string& method, const std::string& path, const std::string& body) {
    const Reply reply = service_.answer({method, path, body});
    return {reply.status, json::parse(reply.json), reply.allow};
  }
  Answer get(const std::string& path) { return ask_text("GET", path, ""); }
  Answer post(const std::string& path, const json& body = json::object()) {
    return ask_text("POST", path, body.dump());
  }
  Answer put(const std::string& path, const json& body) {
    return ask_text("PUT", path, body.dump());
  }
  // The id of a thing that must be addable.
  RecordId add(const std::string& path, const json& body) {
    const Answer answer = post(path, body);
    EXPECT_EQ(answer.status, 200) << answer.body;
    return answer.body.value("id", RecordId{0});
  }

  Record& record() { return record_; }
  EventHub& events() { return events_; }
  SetService& service() { return service_; }
  [[nodiscard]] std::string path() const { return folder_.file("set.sqlite"); }

 private:
  Record open() const {
    auto opened = Record::open(path());
    if (!opened) throw std::runtime_error(opened.error().one_line());
    return std::move(*opened);
  }
  TestFolder folder_;
  Record record_;
  EventHub events_;
  SetService service_;
};

}  // namespace runtrue::testing
