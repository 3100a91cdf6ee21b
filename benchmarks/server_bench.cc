// The server with a large set: how long the set's page takes cold and warm, how soon the server is
// open, how many requests it answers while 40 pages listen and how soon they hear of a change.
// Prints a report; takes the seed. Client and server share the machine's cores.
#include <fmt/format.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <atomic>
#include <chrono>
#include <csignal>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <memory>
#include <string>
#include <thread>
#include <vector>

#include "link/bench_person.h"
#include "link/virtual_robot.h"
#include "record/record.h"
#include "server/serve.h"
#include "server/set_service.h"
#include "server/test_client.h"

namespace runtrue {
namespace {

using Clock = std::chrono::steady_clock;
using testing::EventReader;
using testing::TestClient;

constexpr int kRobots = 200;
constexpr int kRunsEach = 50;
constexpr int kPages = 40;
const Stamp kStamp{"2026-11-25T10:42:00Z", ""};

double ms_since(Clock::time_point start) {
  return std::chrono::duration<double, std::milli>(Clock::now() - start).count();
}

double quantile(std::vector<double> values, double p) {
  std::sort(values.begin(), values.end());
  return values[static_cast<std::size_t>(p * static_cast<double>(values.size() - 1))];
}

template <class T>
T must(Result<T> result) {
  if (result) return *std::move(result);
  fmt::print(stderr, "{}\n", result.error().one_line());
  std::exit(1);
}

// Two straights to one turn, as a lead makes them.
std::vector<Run> runs_of(VirtualRobot robot, Rng& rng) {
  const BenchPerson person;
  std::vector<Run> runs;
  for (int i = 0; static_cast<int>(runs.size()) < kRunsEach; ++i) {
    auto noted = i % 3 == 2 ? run_turn(robot, person, Level{128}, Trim{0},
                                       Duration::from_s(1 + i % 4), i % 2 == 0, rng)
                            : run_two_lines(robot, person, Level{128}, Trim{i % 7 - 3},
                                            Length::from_mm(700), Length::from_mm(1400), rng);
    robot.charge();
    if (noted && check_run(noted->run, robot.robot())) runs.push_back(noted->run);
  }
  return runs;
}

void make_set(const std::string& path, std::uint64_t seed) {
  Record record = must(Record::open(path));
  Rng rng(seed);
  for (int i = 0; i < kRobots; ++i) {
    const VirtualRobot drawn = draw_virtual_robot(rng);
    Robot robot = drawn.robot();
    robot.name = fmt::format("R{:03}", i);
    const RecordId id = must(record.add_robot(robot, kStamp)).id;
    must(record.import_runs(id, runs_of(drawn, rng), kStamp));
  }
}

std::string now() { return kStamp.at; }

void set_page(const std::string& path, int threads) {
  Record record = must(Record::open(path));
  EventHub events(must(record.overview()).last_change);
  std::vector<double> cold, warm, overview, after_a_run;
  std::size_t bytes = 0;
  for (int i = 0; i < 5; ++i) {
    SetService service(record, events, now, threads);
    const auto start = Clock::now();
    bytes = service.answer({"GET", "/api/set", ""}).json.size();
    cold.push_back(ms_since(start));
  }
  SetService service(record, events, now, threads);
  service.warm_up();
  for (int i = 0; i < 50; ++i) {
    auto start = Clock::now();
    (void)must(record.overview());
    overview.push_back(ms_since(start));
    start = Clock::now();
    (void)service.answer({"GET", "/api/set", ""});
    warm.push_back(ms_since(start));
  }
  const RecordId robot = must(record.overview()).robots[0].id;
  for (int i = 0; i < 20; ++i) {
    must(record.add_run(robot, must(record.runs_of(robot))[0].run, "", kStamp));
    const auto start = Clock::now();
    (void)service.answer({"GET", "/api/set", ""});
    after_a_run.push_back(ms_since(start));
  }
  fmt::print("set page, {} robots, {} runs, {} KiB, {} threads, without sockets:\n", kRobots,
             kRobots * kRunsEach, bytes / 1024, threads);
  fmt::print("  cold (every robot trued)  median {:8.1f} ms\n", quantile(cold, 0.5));
  fmt::print(
      "  warm                      median {:8.1f} ms, p95 {:.1f} ms; {:.1f} ms of it reading "
      "the record\n",
      quantile(warm, 0.5), quantile(warm, 0.95), quantile(overview, 0.5));
  fmt::print("  one robot changed         median {:8.1f} ms, p95 {:.1f} ms\n",
             quantile(after_a_run, 0.5), quantile(after_a_run, 0.95));
}

// A server in a process of its own.
class Server {
 public:
  explicit Server(const std::string& path) {
    int ends[2];
    if (pipe(ends) != 0) std::exit(1);
    const auto start = Clock::now();
    child_ = fork();
    if (child_ == 0) {
      std::ofstream out("/dev/fd/" + std::to_string(ends[1]));
      ServeOptions options;
      options.data = path;
      options.port = 0;
      _exit(serve(options, out) ? 0 : 1);
    }
    close(ends[1]);
    std::FILE* from_child = fdopen(ends[0], "r");
    if (std::fscanf(from_child, "Open http://localhost:%d/", &port_) != 1) std::exit(1);
    open_ms_ = ms_since(start);
    std::fclose(from_child);
    if (TestClient(port_).get("/api/joined").status != 200) std::exit(1);
    answered_ms_ = ms_since(start);
  }
  ~Server() {
    kill(child_, SIGTERM);
    waitpid(child_, nullptr, 0);
  }
  Server(const Server&) = delete;
  Server& operator=(const Server&) = delete;
  [[nodiscard]] int port() const { return port_; }
  [[nodiscard]] double open_ms() const { return open_ms_; }
  [[nodiscard]] double answered_ms() const { return answered_ms_; }

 private:
  pid_t child_ = -1;
  int port_ = 0;
  double open_ms_ = 0.0, answered_ms_ = 0.0;
};

void start(const std::string& path) {
  std::vector<double> open, answered;
  for (int i = 0; i < 10; ++i) {
    const Server server(path);
    open.push_back(server.open_ms());
    answered.push_back(server.answered_ms());
  }
  fmt::print(
      "server start, that set: open after {:.1f} ms, first answer after {:.1f} ms (median of 10, "
      "worst {:.1f} ms; without loading the program)\n",
      quantile(open, 0.5), quantile(answered, 0.5), quantile(answered, 1.0));
}

// As fast as `clients` can ask for `path`, for two seconds.
void load(const Server& server, const std::string& path, int clients) {
  std::atomic<bool> over = false;
  std::vector<std::vector<double>> took(static_cast<std::size_t>(clients));
  std::vector<std::thread> threads;
  for (auto& own : took) {
    threads.emplace_back([&] {
      TestClient client(server.port());
      while (!over) {
        const auto start = Clock::now();
        if (client.plain().Get(path)->status != 200) std::exit(1);
        own.push_back(ms_since(start));
      }
    });
  }
  constexpr double kSeconds = 2.0;
  std::this_thread::sleep_for(std::chrono::duration<double>(kSeconds));
  over = true;
  for (std::thread& thread : threads) thread.join();
  std::vector<double> all;
  for (const auto& own : took) all.insert(all.end(), own.begin(), own.end());
  fmt::print("  {:<22} {} clients: {:7.0f} requests/s, median {:.2f} ms, p99 {:.1f} ms\n", path,
             clients, static_cast<double>(all.size()) / kSeconds, quantile(all, 0.5),
             quantile(all, 0.99));
}

void with_pages(const std::string& path, const std::string& body) {
  const Server server(path);
  TestClient client(server.port());
  if (client.get("/api/set").status != 200) std::exit(1);  // warm
  std::vector<std::unique_ptr<EventReader>> pages;
  for (int i = 0; i < kPages; ++i) pages.push_back(std::make_unique<EventReader>(server.port()));
  for (auto& page : pages) {
    if (!page->wait_for(": open")) std::exit(1);
  }
  fmt::print("with {} open event streams:\n", kPages);
  for (const int clients : {1, 4, 40}) load(server, "/api/robots/1", clients);
  load(server, "/api/set", 4);
  std::vector<double> answered, told;
  for (int i = 0; i < 30; ++i) {
    const std::string key = ", \"key\": \"" + std::to_string(i) + "\"}";
    const auto start = Clock::now();
    const auto added =
        client.post_text("/api/robots/2/runs", body.substr(0, body.size() - 1) + key);
    if (added.status != 200) std::exit(1);
    answered.push_back(ms_since(start));
    const std::string mark = "id: " + added.json["change"].dump() + "\n";
    for (auto& page : pages) {
      if (!page->wait_for(mark)) std::exit(1);
    }
    told.push_back(ms_since(start));
  }
  fmt::print(
      "  a run written: answered with the robot's page after {:.1f} ms, every page told after "
      "{:.1f} ms (median; p95 {:.1f} and {:.1f} ms)\n",
      quantile(answered, 0.5), quantile(told, 0.5), quantile(answered, 0.95), quantile(told, 0.95));
}

}  // namespace
}  // namespace runtrue

int main(int argc, char** argv) {
  const std::uint64_t seed = argc > 1 ? std::strtoull(argv[1], nullptr, 10) : 1;
  std::string folder = (std::filesystem::temp_directory_path() / "server_bench_XXXXXX").string();
  if (mkdtemp(folder.data()) == nullptr) return 1;
  const std::string path = folder + "/set.sqlite";
  runtrue::make_set(path, seed);
  runtrue::start(path);
  runtrue::with_pages(path, R"({"kind": "straight", "level": 128, "trim": 0, "line_mm": 1400, )"
                            R"("sideways_mm": 20, "half_line_mm": 700, "half_sideways_mm": 5})");
  for (const int threads : {1, 2}) runtrue::set_page(path, threads);
  std::filesystem::remove_all(folder);
}
