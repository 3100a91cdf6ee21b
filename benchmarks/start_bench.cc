// Start times as a person meets them: whole processes, from the call to the end or the first
// answer. Takes how often to try (default 50). An empty process stands beside them, since the
// machine's own share is in every figure.
#include <arpa/inet.h>
#include <fcntl.h>
#include <fmt/format.h>
#include <netinet/in.h>
#include <spawn.h>
#include <sys/socket.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <chrono>
#include <csignal>
#include <cstdlib>
#include <filesystem>
#include <optional>
#include <string>
#include <vector>

extern char** environ;

namespace {

using Clock = std::chrono::steady_clock;

double since_ms(Clock::time_point begun) {
  return std::chrono::duration<double, std::milli>(Clock::now() - begun).count();
}

// A process whose standard output is read through `out`.
struct Process {
  pid_t id = -1;
  int out = -1;
};

std::optional<Process> start(std::vector<std::string> words) {
  std::vector<char*> arguments;
  for (std::string& word : words) arguments.push_back(word.data());
  arguments.push_back(nullptr);
  std::array<int, 2> pipe_ends{};
  if (::pipe2(pipe_ends.data(), O_CLOEXEC) != 0) return std::nullopt;
  posix_spawn_file_actions_t actions;
  posix_spawn_file_actions_init(&actions);
  posix_spawn_file_actions_adddup2(&actions, pipe_ends[1], 1);
  Process process;
  const int failed =
      posix_spawn(&process.id, arguments[0], &actions, nullptr, arguments.data(), environ);
  posix_spawn_file_actions_destroy(&actions);
  ::close(pipe_ends[1]);
  process.out = pipe_ends[0];
  if (failed != 0) return std::nullopt;
  return process;
}

// Waits for its end; true if it said it went well.
bool wait_for(const Process& process) {
  int status = 0;
  ::waitpid(process.id, &status, 0);
  ::close(process.out);
  return WIFEXITED(status) && WEXITSTATUS(status) == 0;
}

std::optional<double> whole_run_ms(const std::vector<std::string>& words) {
  const auto begun = Clock::now();
  const auto process = start(words);
  if (!process || !wait_for(*process)) return std::nullopt;
  return since_ms(begun);
}

// The port of the first "http://localhost:PORT" that the server prints.
std::optional<int> printed_port(const Process& server) {
  std::string said;
  std::array<char, 512> part{};
  const std::string mark = "http://localhost:";
  for (;;) {
    const ssize_t count = ::read(server.out, part.data(), part.size());
    if (count <= 0) return std::nullopt;
    said.append(part.data(), static_cast<std::size_t>(count));
    const std::size_t at = said.find(mark);
    if (at == std::string::npos || said.find('\n', at) == std::string::npos) continue;
    int port = 0;
    const char* digits = said.data() + at + mark.size();
    std::from_chars(digits, said.data() + said.size(), port);
    return port;
  }
}

bool answers(int port) {
  const int connection = ::socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
  sockaddr_in address{};
  address.sin_family = AF_INET;
  address.sin_port = htons(static_cast<std::uint16_t>(port));
  address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
  const std::string request = fmt::format(
      "GET / HTTP/1.1\r\nHost: localhost:{}\r\nAccept-Encoding: gzip\r\nConnection: close\r\n\r\n",
      port);
  std::array<char, 16> head{};
  const bool good =
      ::connect(connection, reinterpret_cast<const sockaddr*>(&address), sizeof address) == 0 &&
      ::send(connection, request.data(), request.size(), 0) ==
          static_cast<ssize_t>(request.size()) &&
      ::recv(connection, head.data(), 12, MSG_WAITALL) == 12 &&
      std::string(head.data(), 12) == "HTTP/1.1 200";
  ::close(connection);
  return good;
}

// From the call to the first answered page, on a record that isn't there yet or already is.
std::optional<double> serve_ms(const std::string& runtrue, const std::string& record) {
  const auto begun = Clock::now();
  const auto server = start({runtrue, "serve", "--data", record, "--port", "0"});
  if (!server) return std::nullopt;
  const auto port = printed_port(*server);
  const bool good = port && answers(*port);
  const double took = since_ms(begun);
  ::kill(server->id, SIGTERM);
  wait_for(*server);
  return good ? std::optional(took) : std::nullopt;
}

void report(const char* name, std::vector<double> times_ms, double limit_ms) {
  std::sort(times_ms.begin(), times_ms.end());
  const auto part = [&](double p) {
    return times_ms[static_cast<std::size_t>(p * static_cast<double>(times_ms.size() - 1))];
  };
  fmt::print("{:<34} median {:6.1f} ms  95 % {:6.1f} ms", name, part(0.5), part(0.95));
  if (limit_ms > 0.0) {
    fmt::print("  (must be under {:.0f} ms: {})", limit_ms, part(0.5) < limit_ms ? "yes" : "no");
  }
  fmt::print("\n");
}

// Runs `timed` that often; tells and ends the program where it fails.
template <class Timed>
std::vector<double> repeat(int count, const char* name, Timed timed) {
  std::vector<double> times_ms;
  for (int i = 0; i < count; ++i) {
    const std::optional<double> took = timed(i);
    if (!took) {
      fmt::print(stderr, "start_bench: {} did not run\n", name);
      std::exit(1);
    }
    times_ms.push_back(*took);
  }
  return times_ms;
}

}  // namespace

int main(int argc, char** argv) {
  namespace fs = std::filesystem;
  const int count = argc > 1 ? std::max(std::atoi(argv[1]), 1) : 50;
  const fs::path build = fs::read_symlink("/proc/self/exe").parent_path().parent_path();
  const std::string runtrue = (build / "runtrue").string();
  std::string pattern = (fs::temp_directory_path() / "runtrue-start-XXXXXX").string();
  if (::mkdtemp(pattern.data()) == nullptr) return 1;
  const fs::path place = pattern;

  report("an empty process", repeat(count, "true", [](int) { return whole_run_ms({"/bin/true"}); }),
         0.0);
  report("runtrue --version",
         repeat(count, "--version",
                [&](int) {
                  return whole_run_ms({runtrue, "--version"});
                }),
         20.0);
  report("serve, new record, to first page",
         repeat(count, "serve",
                [&](int i) {
                  return serve_ms(runtrue, (place / fmt::format("new-{}.sqlite", i)).string());
                }),
         100.0);
  report("serve, old record, to first page",
         repeat(count, "serve",
                [&](int) { return serve_ms(runtrue, (place / "new-0.sqlite").string()); }),
         100.0);
  fs::remove_all(place);
  return 0;
}
