// The whole server as a process of its own, over real sockets: what survives a kill, what 40 open
// pages get, what a second server is told.
#include "server/serve.h"

#include <gtest/gtest.h>
#include <sys/wait.h>
#include <unistd.h>

#include <atomic>
#include <chrono>
#include <csignal>
#include <fstream>
#include <map>
#include <mutex>
#include <set>
#include <sstream>
#include <thread>
#include <vector>

#include "record/record.h"
#include "server/test_client.h"
#include "server/test_set.h"

namespace runtrue {
namespace {

using testing::EventReader;
using testing::json;
using testing::kPatience;
using testing::robot_body;
using testing::run_body;
using testing::TestClient;
using testing::TestFolder;

// A server in a child process, made before this process has any thread of its own. Its exit status
// is 0 where `serve` returned without error, 3 with one.
class ServerProcess {
 public:
  explicit ServerProcess(const std::string& data, bool lan = false, int port = 0) {
    int ends[2];
    if (pipe(ends) != 0) throw std::runtime_error("no pipe");
    child_ = fork();
    if (child_ == 0) {
      close(ends[0]);
      std::ofstream out("/dev/fd/" + std::to_string(ends[1]));
      ServeOptions options;
      options.data = data;
      options.port = port;
      options.lan = lan;
      options.page = page_assets();
      const auto served = serve(options, out);
      if (!served) out << served.error().one_line() << std::endl;
      _exit(served ? 0 : 3);
    }
    close(ends[1]);
    from_child_ = fdopen(ends[0], "r");
    first_line_ = next_line();
  }
  ~ServerProcess() {
    if (child_ > 0) end_with(SIGKILL);
    std::fclose(from_child_);
  }
  ServerProcess(const ServerProcess&) = delete;
  ServerProcess& operator=(const ServerProcess&) = delete;

  std::string next_line() {
    std::string line;
    for (int c = 0; (c = std::fgetc(from_child_)) != EOF && c != '\n';) {
      line += static_cast<char>(c);
    }
    return line;
  }
  [[nodiscard]] const std::string& first_line() const { return first_line_; }
  [[nodiscard]] int port() const {
    const std::size_t colon = first_line_.rfind(':');
    return std::atoi(first_line_.c_str() + colon + 1);
  }
  // What waitpid says of its end.
  int end_with(int signal) {
    kill(child_, signal);
    return wait_for_end();
  }
  int wait_for_end() {
    int status = -1;
    waitpid(child_, &status, 0);
    child_ = -1;
    return status;
  }
  void kill_now() const { kill(child_, SIGKILL); }

 private:
  pid_t child_ = -1;
  std::FILE* from_child_ = nullptr;
  std::string first_line_;
};

std::string runs_path(const json& robot_id) { return "/api/robots/" + robot_id.dump() + "/runs"; }

TEST(Serve, TheAddress_IsSaidOnceThePageCanBeOpened) {
  const TestFolder folder;
  ServerProcess server(folder.file("set.sqlite"));
  EXPECT_EQ(server.first_line(), "Open http://localhost:" + std::to_string(server.port()) + "/");
  TestClient client(server.port());
  EXPECT_EQ(client.get("/").status, 200);
  EXPECT_EQ(client.get("/").body, page_assets().back().plain);
  EXPECT_EQ(client.get("/api/set").json["robots"], json::array());
}

TEST(Serve, AskedToEnd_ItEndsWithoutErrorEvenWithPagesOpen) {
  for (const int signal : {SIGTERM, SIGINT}) {
    const TestFolder folder;
    ServerProcess server(folder.file("set.sqlite"));
    EventReader page(server.port());
    ASSERT_TRUE(page.wait_for(": open"));
    const int status = server.end_with(signal);
    EXPECT_TRUE(WIFEXITED(status));
    EXPECT_EQ(WEXITSTATUS(status), 0);
    EXPECT_TRUE(page.wait_for_end());
  }
}

TEST(Serve, ASecondServerOnThePort_IsRefusedInOneLine) {
  const TestFolder folder;
  ServerProcess first(folder.file("set.sqlite"));
  ServerProcess second(folder.file("other.sqlite"), false, first.port());
  EXPECT_EQ(second.first_line(), "port " + std::to_string(first.port()) +
                                     " on 127.0.0.1 is in use or not allowed; choose another");
  const int status = second.wait_for_end();
  EXPECT_TRUE(WIFEXITED(status));
  EXPECT_EQ(WEXITSTATUS(status), 3);
  EXPECT_EQ(TestClient(first.port()).get("/api/set").status, 200);
}

TEST(Serve, AFileThatIsNoRecord_IsRefusedAndLeftAlone) {
  const TestFolder folder;
  const std::string path = folder.file("letter.txt");
  const std::string text(2000, 'a');
  std::ofstream(path) << text;
  ServerProcess server(path);
  EXPECT_NE(server.first_line().find("letter.txt"), std::string::npos) << server.first_line();
  EXPECT_EQ(WEXITSTATUS(server.wait_for_end()), 3);
  std::ifstream file(path);
  EXPECT_EQ(std::string(std::istreambuf_iterator<char>(file), {}), text);
}

TEST(Serve, OverTheNetwork_TheSetIsOpenToWhoTypedTheCode) {
  const TestFolder folder;
  ServerProcess server(folder.file("set.sqlite"), true);
  std::string line;
  while (line.rfind("Join code: ", 0) != 0) line = server.next_line();
  const std::string code = line.substr(std::string("Join code: ").size());
  TestClient client(server.port());
  EXPECT_EQ(client.get("/").status, 200);  // the page itself asks for the code
  EXPECT_EQ(client.get("/api/set").status, 403);
  EXPECT_EQ(client.post("/api/robots", robot_body()).status, 403);
  EXPECT_EQ(client.post("/api/join", {{"code", "AAAAAA"}}).status, 403);
  const auto joined = client.post("/api/join", {{"code", code}});
  ASSERT_EQ(joined.status, 200);
  std::string cookie = joined.headers.find("Set-Cookie")->second;
  cookie = cookie.substr(0, cookie.find(';'));
  EXPECT_EQ(client.get("/api/set", {{"Cookie", cookie}}).status, 200);
}

TEST(Serve, BodiesThatAreTooLarge_AreRefusedAndTheConnectionGoesOn) {
  const TestFolder folder;
  ServerProcess server(folder.file("set.sqlite"));
  TestClient client(server.port());
  EXPECT_EQ(client.post_text("/api/lists", std::string((1U << 20U) + 1, ' ')).status, 413);
  EXPECT_EQ(client.get("/api/set").status, 200);
}

TEST(Serve, LiveChanges_ReachEveryListenerInOneOrder) {
  const TestFolder folder;
  ServerProcess server(folder.file("set.sqlite"));
  TestClient client(server.port());
  const json robot = client.post("/api/robots", robot_body()).json["id"];
  EventReader one(server.port(), "/api/events?since=0");
  EventReader two(server.port(), "/api/events?since=0");
  constexpr int kWriters = 4, kRunsEach = 10;
  std::vector<std::thread> writers;
  for (int w = 0; w < kWriters; ++w) {
    writers.emplace_back([&, w] {
      TestClient own(server.port());
      for (int i = 0; i < kRunsEach; ++i) {
        const std::string key = std::to_string(w) + "-" + std::to_string(i);
        EXPECT_EQ(own.post(runs_path(robot), run_body(0, 10, key)).status, 200);
      }
    });
  }
  for (std::thread& writer : writers) writer.join();
  const std::int64_t newest = client.get("/api/set").json["change"];
  EXPECT_EQ(newest, 1 + kWriters * kRunsEach);
  const std::string last = "id: " + std::to_string(newest) + "\n";
  ASSERT_TRUE(one.wait_for(last));
  ASSERT_TRUE(two.wait_for(last));
  for (const std::string& text : {one.text(), two.text()}) {
    std::istringstream lines(text);
    std::int64_t expected = 1;
    for (std::string line; std::getline(lines, line);) {
      if (line.rfind("id: ", 0) == 0) {
        EXPECT_EQ(line, "id: " + std::to_string(expected++));
      }
    }
    EXPECT_EQ(expected, newest + 1);
  }
}

TEST(Serve, FortyOpenPages_AreToldWhileRequestsAreAnswered) {
  const TestFolder folder;
  ServerProcess server(folder.file("set.sqlite"));
  TestClient client(server.port());
  const json robot = client.post("/api/robots", robot_body()).json["id"];
  std::vector<std::unique_ptr<EventReader>> pages;
  for (int i = 0; i < 40; ++i) pages.push_back(std::make_unique<EventReader>(server.port()));
  for (const auto& page : pages) ASSERT_TRUE(page->wait_for(": open"));
  std::int64_t change = 0;
  for (int i = 0; i < 5; ++i) {
    const auto added = client.post(runs_path(robot), run_body(i, 10, std::to_string(i)));
    ASSERT_EQ(added.status, 200);
    change = added.json["change"];
    EXPECT_EQ(client.get("/api/set").status, 200);
  }
  for (const auto& page : pages) {
    EXPECT_TRUE(page->wait_for("id: " + std::to_string(change) + "\n"));
  }
}

TEST(Serve, KilledInTheMiddleOfAThousandWrites_LosesNoAcknowledgedRun) {
  constexpr int kRuns = 1000, kRobots = 20, kWriters = 4, kKillAfter = 400;
  const TestFolder folder;
  const std::string data = folder.file("set.sqlite");
  std::vector<json> robots;
  std::mutex mutex;
  std::vector<std::pair<std::string, std::int64_t>> acknowledged;  // key, run
  const auto write_all = [&](const ServerProcess& server, int kill_after) {
    std::atomic<int> next = 0;
    std::vector<std::thread> writers;
    for (int w = 0; w < kWriters; ++w) {
      writers.emplace_back([&] {
        TestClient client(server.port());
        for (int i = next++; i < kRuns; i = next++) {
          // Left out, so that the time goes into writing and not into truing.
          json run = run_body(0, 10, "run " + std::to_string(i));
          run["left_out"] = true;
          const auto answer =
              client.post(runs_path(robots[static_cast<std::size_t>(i % kRobots)]), run);
          if (answer.status != 200) return;
          const std::lock_guard lock(mutex);
          acknowledged.emplace_back(run["key"], answer.json["run_id"]);
          if (static_cast<int>(acknowledged.size()) == kill_after) server.kill_now();
        }
      });
    }
    for (std::thread& writer : writers) writer.join();
  };
  {
    ServerProcess server(data);
    TestClient client(server.port());
    for (int i = 0; i < kRobots; ++i) {
      robots.push_back(client.post("/api/robots", robot_body("R" + std::to_string(i))).json["id"]);
    }
    write_all(server, kKillAfter);
    const int status = server.wait_for_end();
    ASSERT_TRUE(WIFSIGNALED(status));
  }
  const std::size_t before_kill = acknowledged.size();
  ASSERT_GE(before_kill, static_cast<std::size_t>(kKillAfter));
  ASSERT_LT(before_kill, static_cast<std::size_t>(kRuns));
  {
    auto record = Record::open(data);
    ASSERT_TRUE(record) << record.error().one_line();
    for (const auto& [key, run] : acknowledged) EXPECT_TRUE(record->run(run)) << key;
  }
  // The pages send everything again by the same keys: each run is there once, under its first id.
  ServerProcess server(data);
  write_all(server, 0);
  std::map<std::string, std::set<std::int64_t>> runs_of_key;
  for (const auto& [key, run] : acknowledged) runs_of_key[key].insert(run);
  EXPECT_EQ(runs_of_key.size(), static_cast<std::size_t>(kRuns));
  for (const auto& [key, runs] : runs_of_key) EXPECT_EQ(runs.size(), 1U) << key;
  int listed = 0;
  const json set = TestClient(server.port()).get("/api/set").json;
  for (const json& line : set["robots"]) listed += line["run_count"].get<int>();
  EXPECT_EQ(listed, kRuns);
}

TEST(Serve, AChangeOfAnotherProgram_IsToldToThePages) {
  const TestFolder folder;
  const std::string data = folder.file("set.sqlite");
  ServerProcess server(data);
  EventReader page(server.port());
  ASSERT_TRUE(page.wait_for(": open"));
  auto record = Record::open(data);
  ASSERT_TRUE(record) << record.error().one_line();
  const auto added = record->add_robot(default_robot("Knot", Length::from_mm(140)),
                                       {"2026-11-25T10:42:00Z", "another"});
  ASSERT_TRUE(added) << added.error().one_line();
  EXPECT_TRUE(page.wait_for("\"robot_id\": " + std::to_string(added->id)));
}

}  // namespace
}  // namespace runtrue
