#include "server/http_frame.h"

#include <arpa/inet.h>
#include <gtest/gtest.h>
#include <sys/socket.h>
#include <unistd.h>

#include <array>

#include "server/test_client.h"

namespace runtrue {
namespace {

using testing::EventReader;
using testing::kPatience;
using testing::TestClient;

const std::array<Asset, 2> kPage = {{
    {"/", "text/html; charset=utf-8", "\"one\"", "<p>plain page", "gzip bytes", false},
    {"/assets/a-1f.js", "text/javascript; charset=utf-8", "\"two\"", "let a", "", true},
}};

class HttpFrameTest : public ::testing::Test {
 protected:
  void open(bool lan = false) {
    FrameOptions options;
    options.lan = lan;
    options.page = kPage;
    options.join_code = "QWERTY";
    options.events = &events_;
    options.answer = [](const Request& request) {
      if (request.path == "/api/throw") throw std::runtime_error("a bug");
      return Reply{
          200,
          nlohmann::json{{"method", request.method}, {"path", request.path}, {"body", request.body}}
              .dump(-1, ' ', false, nlohmann::json::error_handler_t::replace)};
    };
    auto opened = HttpFrame::open(std::move(options));
    ASSERT_TRUE(opened) << opened.error().one_line();
    frame_ = std::move(*opened);
    client_ = std::make_unique<TestClient>(frame_->port());
  }

  // Sends these bytes, each part in a packet of its own (the server's library loses what it read
  // beyond one request), and gives back all that comes.
  std::string send_raw(const std::vector<std::string>& parts) const {
    const int socket = ::socket(AF_INET, SOCK_STREAM, 0);
    sockaddr_in address{};
    address.sin_family = AF_INET;
    address.sin_port = htons(static_cast<std::uint16_t>(frame_->port()));
    address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
    EXPECT_EQ(::connect(socket, reinterpret_cast<sockaddr*>(&address), sizeof address), 0);
    for (const std::string& part : parts) {
      (void)::send(socket, part.data(), part.size(), MSG_NOSIGNAL);  // may be closed by then
      if (parts.size() > 1) std::this_thread::sleep_for(std::chrono::milliseconds(50));
    }
    std::string answer;
    std::array<char, 4096> part{};
    for (ssize_t n = 0; (n = ::recv(socket, part.data(), part.size(), 0)) > 0;) {
      answer.append(part.data(), static_cast<std::size_t>(n));
    }
    ::close(socket);
    return answer;
  }

  EventHub events_{5};
  std::unique_ptr<HttpFrame> frame_;
  std::unique_ptr<TestClient> client_;
};

TEST_F(HttpFrameTest, RequestsForData_ReachTheHandlerWhole) {
  open();
  EXPECT_EQ(client_->get("/api/robots/3").json["path"], "/api/robots/3");
  const auto answer = client_->post("/api/robots", {{"name", "Dunlin"}});
  EXPECT_EQ(answer.status, 200);
  EXPECT_EQ(answer.json["method"], "POST");
  EXPECT_EQ(answer.json["body"], R"({"name":"Dunlin"})");
  EXPECT_EQ(client_->put("/api/robots/3", {{"a", 1}}).json["method"], "PUT");
  EXPECT_EQ(client_->get("/api/set").headers.find("Cache-Control")->second, "no-store");
}

TEST_F(HttpFrameTest, ThePage_IsServedWithItsProtections) {
  open();
  const auto answer = client_->get("/");
  EXPECT_EQ(answer.status, 200);
  EXPECT_EQ(answer.body, "<p>plain page");
  const auto header = [&](const char* name) {
    const auto found = answer.headers.find(name);
    return found == answer.headers.end() ? std::string() : found->second;
  };
  EXPECT_EQ(header("Content-Type"), "text/html; charset=utf-8");
  EXPECT_EQ(header("ETag"), "\"one\"");
  EXPECT_EQ(header("Cache-Control"), "no-cache");
  EXPECT_EQ(header("X-Content-Type-Options"), "nosniff");
  EXPECT_EQ(header("Referrer-Policy"), "no-referrer");
  EXPECT_EQ(header("X-Frame-Options"), "DENY");
  const std::string policy = header("Content-Security-Policy");
  EXPECT_EQ(policy.rfind("default-src 'none'", 0), 0U);
  EXPECT_NE(policy.find("script-src 'self';"), std::string::npos);
  EXPECT_EQ(policy.find("unsafe"), std::string::npos);
  EXPECT_EQ(policy.find('*'), std::string::npos);
}

TEST_F(HttpFrameTest, PageFiles_AreCompressedOnlyForWhoTakesItAndAreNotSentTwice) {
  open();
  auto& plain = client_->plain();
  plain.set_decompress(false);
  const auto compressed = client_->get("/", {{"Accept-Encoding", "br, gzip"}});
  EXPECT_EQ(compressed.body, "gzip bytes");
  EXPECT_EQ(compressed.headers.find("Content-Encoding")->second, "gzip");
  const auto small = client_->get("/assets/a-1f.js", {{"Accept-Encoding", "gzip"}});
  EXPECT_EQ(small.body, "let a");
  EXPECT_EQ(small.headers.count("Content-Encoding"), 0U);
  EXPECT_EQ(small.headers.find("Cache-Control")->second, "public, max-age=31536000, immutable");
  const auto known = client_->get("/", {{"If-None-Match", "\"one\""}});
  EXPECT_EQ(known.status, 304);
  EXPECT_EQ(known.body, "");
}

TEST_F(HttpFrameTest, PathsOutsideTheTable_AreNotFound) {
  open();
  for (const char* path :
       {"/nothing", "/../etc/passwd", "/assets/../../etc/passwd", "/%2e%2e/%2e%2e/etc/passwd",
        "/assets/%2e%2e%2f%2e%2e%2fetc%2fpasswd", "//etc/passwd", "/..\\..\\etc\\passwd",
        "/assets/", "/assets/a-1f.js%00.html", "/%c0%ae%c0%ae/etc/passwd", "/index.html/."}) {
    EXPECT_EQ(client_->get(path).status, 404) << path;
  }
}

TEST_F(HttpFrameTest, RefusedRequests_DontReachTheHandler) {
  open();
  const auto cross = client_->post("/api/robots", {{"a", 1}}, {{"Origin", "http://example.org"}});
  EXPECT_EQ(cross.status, 403);
  EXPECT_TRUE(cross.json["error"]["message"].is_string());
  EXPECT_EQ(client_->get("/", {{"Host", "example.org"}}).status, 403);
  EXPECT_EQ(client_->post_text("/api/robots", "{}", "text/plain").status, 400);
  const auto removed = client_->plain().Delete("/api/robots/1");
  EXPECT_EQ(removed->status, 405);
  EXPECT_EQ(removed->get_header_value("Allow"), "GET, HEAD, POST, PUT");  // RFC 9110, 15.5.6
}

TEST_F(HttpFrameTest, BodyOverTheLimit_IsRefusedAndTheConnectionGoesOn) {
  open();
  const std::string whole(kMostBodyBytes, ' ');
  EXPECT_EQ(client_->post_text("/api/robots", whole).status, 200);
  const auto over = client_->post_text("/api/robots", whole + " ");
  EXPECT_EQ(over.status, 413);
  EXPECT_TRUE(over.json["error"]["message"].is_string());
  EXPECT_EQ(client_->get("/api/set").status, 200);
}

TEST_F(HttpFrameTest, BodyFarOverTheLimit_IsRefusedWithoutReadingIt) {
  open();
  const std::string head =
      "POST /api/robots HTTP/1.1\r\nHost: localhost\r\n"
      "Content-Type: application/json\r\nContent-Length: 99999999999\r\n\r\n";
  const auto answer = send_raw({head});
  EXPECT_EQ(answer.rfind("HTTP/1.1 413", 0), 0U) << answer;
  EXPECT_NE(answer.find("\"message\""), std::string::npos);
}

// A page of another site may send any text as a body without asking first. If the body of a refused
// request were left on the connection, it would be read as the next request, one without an Origin.
TEST_F(HttpFrameTest, RequestHiddenInARefusedBody_IsNeverRead) {
  open();
  const std::string hidden =
      "POST /api/undo HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/json\r\n"
      "Content-Length: 2\r\n\r\n{}";
  // Answered on the connections that go on, and ends them.
  const std::string last = "GET /api/last HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\n\r\n";
  const auto size = std::to_string(hidden.size());
  for (const std::string& head : std::vector<std::string>{
           "POST /api/set HTTP/1.1\r\nHost: localhost\r\nOrigin: http://example.org\r\n"
           "Content-Type: text/plain\r\nContent-Length: " +
               size,
           "POST /api/set HTTP/1.1\r\nHost: example.org\r\nContent-Length: " + size,
           "POST /nothing HTTP/1.1\r\nHost: localhost\r\nContent-Length: " + size,
           "DELETE /api/set HTTP/1.1\r\nHost: localhost\r\nContent-Length: " + size,
           "OPTIONS /api/set HTTP/1.1\r\nHost: localhost\r\nContent-Length: " + size,
           "GET /api/set HTTP/1.1\r\nHost: localhost\r\nContent-Length: " + size,
           "POST /api/set HTTP/1.1\r\nHost: localhost\r\nContent-Length: 99999999",
           "POST /api/set HTTP/1.1\r\nHost: localhost\r\nContent-Length: 0\r\nContent-Length: " +
               size,
           "POST /api/set HTTP/1.1\r\nHost: localhost\r\nTransfer-Encoding: chunked"}) {
    const std::string answer = send_raw({head + "\r\n\r\n", hidden, last});
    EXPECT_EQ(answer.find("/api/undo"), std::string::npos) << head << "\n" << answer;
    EXPECT_NE(answer.rfind("HTTP/1.1 2", 0), 0U) << head << "\n" << answer;
  }
}

TEST_F(HttpFrameTest, MalformedRequests_AreAnsweredAndTheServerGoesOn) {
  open();
  for (const std::string& bytes : std::vector<std::string>{
           "GET\r\n\r\n", "GET / HTTP/9.9\r\n\r\n", std::string(64, '\0') + "\r\n\r\n",
           "GET /" + std::string(9000, 'a') + " HTTP/1.1\r\nHost: localhost\r\n\r\n",
           "GET /" + std::string(8000, 'a') +
               " HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\n\r\n",
           "GET / HTTP/1.1\r\nHost: localhost\r\nHost: example.org\r\nConnection: close\r\n\r\n",
           "GET / HTTP/1.1\r\nHost: localhost\r\nContent-Length: -5\r\nConnection: "
           "close\r\n\r\n"}) {
    (void)send_raw({bytes});
  }
  EXPECT_EQ(client_->get("/").status, 200);
}

TEST_F(HttpFrameTest, TwoHostHeaders_AreRefused) {
  open();
  const auto answer = send_raw(
      {"GET / HTTP/1.1\r\nHost: localhost\r\nHost: example.org\r\nConnection: close\r\n\r\n"});
  EXPECT_EQ(answer.rfind("HTTP/1.1 403", 0), 0U) << answer;
}

TEST_F(HttpFrameTest, FaultOfAHandler_IsAnsweredAs500WithoutItsText) {
  open();
  const auto answer = client_->get("/api/throw");
  EXPECT_EQ(answer.status, 500);
  EXPECT_EQ(answer.body.find("a bug"), std::string::npos);
}

TEST_F(HttpFrameTest, Change_ReachesEveryOpenPage) {
  open();
  EventReader first(frame_->port());
  EventReader second(frame_->port());
  ASSERT_TRUE(first.wait_for(": open"));
  ASSERT_TRUE(second.wait_for(": open"));
  events_.publish({6, 3, {}, {}});
  EXPECT_TRUE(first.wait_for("id: 6\nevent: changed\ndata: {\"change\": 6, \"robot_id\": 3"));
  EXPECT_TRUE(second.wait_for("id: 6\n"));
}

TEST_F(HttpFrameTest, PageThatLostItsStream_IsToldWhatItMissed) {
  open();
  events_.publish({6, 3, {}, {}});
  events_.publish({7, 4, {}, {}});
  EventReader again(frame_->port(), "/api/events", {{"Last-Event-ID", "6"}});
  EXPECT_TRUE(again.wait_for("\"robot_id\": 4"));
  EXPECT_EQ(again.text().find("\"robot_id\": 3"), std::string::npos);
  EventReader since(frame_->port(), "/api/events?since=5");
  EXPECT_TRUE(since.wait_for("\"robot_id\": 4"));
  EXPECT_NE(since.text().find("\"robot_id\": 3"), std::string::npos);
}

TEST_F(HttpFrameTest, FortyDevices_AreToldWhileRequestsAreAnswered) {
  open();
  std::vector<std::unique_ptr<EventReader>> devices;
  for (int i = 0; i < 40; ++i) devices.push_back(std::make_unique<EventReader>(frame_->port()));
  for (auto& device : devices) ASSERT_TRUE(device->wait_for(": open"));
  for (std::int64_t change = 6; change <= 30; ++change) {
    events_.publish({change, change, {}, {}});
    EXPECT_EQ(client_->get("/api/set").status, 200);
  }
  for (auto& device : devices) {
    EXPECT_TRUE(device->wait_for("id: 30\n"));
    EXPECT_NE(device->text().find("id: 6\n"), std::string::npos);
  }
}

TEST_F(HttpFrameTest, Stopping_EndsOpenStreamsSoon) {
  open();
  EventReader page(frame_->port());
  ASSERT_TRUE(page.wait_for(": open"));
  const auto before = std::chrono::steady_clock::now();
  frame_.reset();
  EXPECT_TRUE(page.wait_for_end());
  // One tick of a stream plus what a loaded machine adds; a hang would take the client's patience.
  EXPECT_LT(std::chrono::steady_clock::now() - before, std::chrono::seconds(5));
}

TEST_F(HttpFrameTest, StoppingRightAfterOpening_Works) {
  open();
  frame_.reset();
}

TEST_F(HttpFrameTest, PortInUse_IsAnErrorNotASharedPort) {
  open();
  FrameOptions options;
  options.port = frame_->port();
  options.events = &events_;
  options.answer = [](const Request&) { return Reply{}; };
  const auto second = HttpFrame::open(std::move(options));
  ASSERT_FALSE(second);
  EXPECT_EQ(second.error().kind, ErrorKind::kEnvironment);
  EXPECT_NE(second.error().message.find(std::to_string(frame_->port())), std::string::npos);
}

TEST_F(HttpFrameTest, WithoutLan_EveryoneHereHasJoined) {
  open();
  EXPECT_EQ(client_->get("/api/joined").json, nlohmann::json({{"joined", true}, {"lan", false}}));
  EXPECT_EQ(client_->get("/api/set").status, 200);
}

TEST_F(HttpFrameTest, WithLan_DataNeedsTheCookieThatTheCodeGives) {
  open(true);
  EXPECT_EQ(client_->get("/").status, 200);
  EXPECT_EQ(client_->get("/api/joined").json, nlohmann::json({{"joined", false}, {"lan", true}}));
  EXPECT_EQ(client_->get("/api/set").status, 403);
  EXPECT_EQ(client_->get("/api/events").status, 403);
  EXPECT_EQ(client_->post("/api/robots", {{"a", 1}}).status, 403);
  EXPECT_EQ(client_->post("/api/join", {{"code", "AAAAAA"}}).status, 403);
  EXPECT_EQ(client_->post("/api/join", {{"kode", "QWERTY"}}).json["error"]["field"], "code");
  EXPECT_EQ(client_->post("/api/join", {{"code", 5}}).status, 400);
  const auto joined = client_->post("/api/join", {{"code", "qwerty"}});
  ASSERT_EQ(joined.status, 200);
  EXPECT_EQ(joined.json, nlohmann::json::object());
  const std::string cookie = joined.headers.find("Set-Cookie")->second;
  EXPECT_NE(cookie.find("; HttpOnly"), std::string::npos);
  EXPECT_NE(cookie.find("; SameSite=Strict"), std::string::npos);
  const httplib::Headers with = {{"Cookie", cookie.substr(0, cookie.find(';'))}};
  EXPECT_EQ(client_->get("/api/set", with).status, 200);
  EXPECT_EQ(client_->get("/api/joined", with).json["joined"], true);
  EXPECT_EQ(client_->get("/api/set", {{"Cookie", "runtrue_1=x"}}).status, 403);
}

TEST_F(HttpFrameTest, WithLan_TooManyWrongCodesAreAnsweredWithAWait) {
  open(true);
  for (int i = 0; i < 5; ++i) {
    EXPECT_EQ(client_->post("/api/join", {{"code", "AAAAAA"}}).status, 403);
  }
  const auto shut = client_->post("/api/join", {{"code", "QWERTY"}});
  EXPECT_EQ(shut.status, 429);
  EXPECT_EQ(shut.headers.count("Retry-After"), 1U);
}

}  // namespace
}  // namespace runtrue
