#include "server/http_frame.h"

#include <httplib.h>
#include <sys/socket.h>

#include <atomic>
#include <charconv>
#include <chrono>
#include <csignal>
#include <nlohmann/json.hpp>
#include <thread>
#include <utility>

#include "server/guard.h"
#include "server/join_gate.h"

namespace runtrue {
namespace {

constexpr const char* kJson = "application/json";
constexpr int kWaitingConnections =
    256;  // the library's own backlog of 5 costs a second under load
// An event stream looks this often whether its page is still there and whether the server stops.
constexpr std::chrono::milliseconds kStreamTick{500};
constexpr int kTicksPerHeartbeat = 30;     // 15 s: under the usual patience of anything in between
constexpr int kJoinedSeconds = 12 * 3600;  // a cookie lasts a day's classes

// Only the page's own files; no frames around it, no forms sent elsewhere. Data: pictures are the
// empty icon.
constexpr const char* kContentPolicy =
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; "
    "connect-src 'self'; manifest-src 'self'; worker-src 'self'; base-uri 'none'; "
    "form-action 'none'; frame-ancestors 'none'";

void set_reply(httplib::Response& response, const Reply& reply) {
  response.status = reply.status;
  response.set_header("Cache-Control", "no-store");
  if (!reply.allow.empty()) response.set_header("Allow", reply.allow);
  response.set_content(reply.json, kJson);
}

RequestHead head_of(const httplib::Request& request) {
  RequestHead head;
  head.method = request.method;
  head.path = request.path;
  // Two hosts in one request: no browser sends that, and the checks could look at the wrong one.
  if (request.get_header_value_count("Host") == 1) head.host = request.get_header_value("Host");
  head.origin = request.get_header_value("Origin");
  head.fetch_site = request.get_header_value("Sec-Fetch-Site");
  head.content_type = request.get_header_value("Content-Type");
  const bool one_length = request.get_header_value_count("Content-Length") <= 1;
  head.content_length = one_length ? request.get_header_value("Content-Length") : "several";
  head.chunked = request.has_header("Transfer-Encoding");
  return head;
}

bool takes_gzip(const httplib::Request& request) {
  return request.get_header_value("Accept-Encoding").find("gzip") != std::string::npos;
}

// A change number in a header or in the address; nothing if absent or no number.
std::optional<std::int64_t> change_in(const std::string& text) {
  std::int64_t change = 0;
  const char* end = text.data() + text.size();
  const auto read = std::from_chars(text.data(), end, change);
  if (text.empty() || read.ec != std::errc() || read.ptr != end) return {};
  return change;
}

}  // namespace

class HttpFrame::Inside {
 public:
  explicit Inside(FrameOptions options) : options_(std::move(options)), gate_(options_.join_code) {}
  ~Inside() { close(); }
  Inside(const Inside&) = delete;
  Inside& operator=(const Inside&) = delete;

  Result<void> open();
  [[nodiscard]] int port() const { return port_; }

 private:
  using Handled = httplib::Server::HandlerResponse;

  void set_limits();
  void set_handlers();
  void close();
  static Handled check_framing(const httplib::Request& request, httplib::Response& response);
  bool may_pass(const httplib::Request& request, httplib::Response& response);
  void get(const httplib::Request& request, httplib::Response& response);
  void post(const httplib::Request& request, httplib::Response& response);
  void send_page(const httplib::Request& request, httplib::Response& response) const;
  void stream_events(const httplib::Request& request, httplib::Response& response);
  void join(const httplib::Request& request, httplib::Response& response);
  [[nodiscard]] bool has_joined(const httplib::Request& request) const;
  [[nodiscard]] std::string cookie_name() const { return "runtrue_" + std::to_string(port_); }
  void pass_on(const httplib::Request& request, httplib::Response& response);

  FrameOptions options_;
  JoinGate gate_;
  GuardRules rules_;
  httplib::Server server_;
  std::thread listener_;
  std::atomic<int> streams_ = 0;
  std::atomic<bool> closing_ = false;
  std::atomic<bool> listener_ended_ = false;
  int socket_ = -1;
  int port_ = 0;
};

void HttpFrame::Inside::set_limits() {
  server_.new_task_queue = [] { return new httplib::ThreadPool(kHttpThreads); };
  server_.set_keep_alive_timeout(2);
  server_.set_keep_alive_max_count(100000);
  server_.set_tcp_nodelay(true);
  server_.set_payload_max_length(kMostBodyBytes);
  server_.set_read_timeout(5);
  server_.set_write_timeout(5);
  server_.set_socket_options([this](int socket) {
    // SO_REUSEADDR alone: with SO_REUSEPORT a second server would silently share the port.
    const int yes = 1;
    setsockopt(socket, SOL_SOCKET, SO_REUSEADDR, &yes, sizeof yes);
    socket_ = socket;
  });
  server_.set_default_headers({{"X-Content-Type-Options", "nosniff"},
                               {"Referrer-Policy", "no-referrer"},
                               {"X-Frame-Options", "DENY"},
                               {"Cross-Origin-Opener-Policy", "same-origin"},
                               {"Cross-Origin-Resource-Policy", "same-origin"},
                               {"Content-Security-Policy", kContentPolicy}});
}

void HttpFrame::Inside::set_handlers() {
  server_.set_pre_routing_handler(check_framing);
  const char* any = R"([\s\S]*)";
  const auto guarded = [this](auto handler) {
    return [this, handler](const httplib::Request& request, httplib::Response& response) {
      if (may_pass(request, response)) (this->*handler)(request, response);
    };
  };
  server_.Get(any, guarded(&Inside::get));
  server_.Post(any, guarded(&Inside::post));
  server_.Put(any, guarded(&Inside::pass_on));
  server_.set_exception_handler([](const auto&, auto& response, const std::exception_ptr&) {
    set_reply(response, refusal(500, "this request met a fault of the server"));
  });
  // What the library itself refuses (a malformed request, an address that is too long).
  const httplib::Server::HandlerWithResponse on_error = [](const httplib::Request&,
                                                           httplib::Response& response) {
    if (response.body.empty() && !response.content_provider_) {
      const int status = response.status;
      const char* message = status == 413   ? "the body is too large"
                            : status == 414 ? "the address is too long"
                            : status == 404 ? "there is nothing of that name"
                                            : "the request is malformed";
      set_reply(response, refusal(status, message));
    }
    return Handled::Handled;
  };
  server_.set_error_handler(on_error);
}

Result<void> HttpFrame::Inside::open() {
  RUNTRUE_CHECK(options_.events != nullptr && options_.answer != nullptr);
  std::signal(SIGPIPE, SIG_IGN);  // a device that goes away must not end the server
  rules_ = {options_.lan, kMostBodyBytes, is_name_of_this_machine};
  set_limits();
  set_handlers();
  const std::string host = options_.lan ? "0.0.0.0" : "127.0.0.1";
  if (options_.port == 0) {
    port_ = server_.bind_to_any_port(host);
    if (port_ <= 0) {
      return failure(ErrorKind::kEnvironment, "no port could be opened on " + host);
    }
  } else {
    if (!server_.bind_to_port(host, options_.port)) {
      return failure(ErrorKind::kEnvironment, "port " + std::to_string(options_.port) + " on " +
                                                  host +
                                                  " is in use or not allowed; choose another");
    }
    port_ = options_.port;
  }
  if (::listen(socket_, kWaitingConnections) != 0) {
    return failure(ErrorKind::kEnvironment,
                   "port " + std::to_string(port_) + " can't be listened on");
  }
  listener_ = std::thread([this] {
    server_.listen_after_bind();
    listener_ended_ = true;
  });
  return {};
}

void HttpFrame::Inside::close() {
  closing_ = true;
  if (options_.events != nullptr) options_.events->close();
  if (!listener_.joinable()) return;
  // The library forgets a stop that comes before its loop runs.
  while (!server_.is_running() && !listener_ended_)
    std::this_thread::sleep_for(std::chrono::milliseconds(1));
  server_.stop();
  listener_.join();
}

bool HttpFrame::Inside::has_joined(const httplib::Request& request) const {
  if (!options_.lan) return true;
  return gate_.has_joined(cookie_value(request.get_header_value("Cookie"), cookie_name()));
}

// Runs before the body is read. What is refused here is followed by the end of the connection: the
// rest of its bytes could else be taken for a further request, one without the marks of the site
// that sent it.
HttpFrame::Inside::Handled HttpFrame::Inside::check_framing(const httplib::Request& request,
                                                            httplib::Response& response) {
  const auto reason = framing_refusal_of(head_of(request));
  if (!reason) return Handled::Unhandled;
  const Reply reply = refusal(reason->status, reason->message);
  response.status = reply.status;
  if (reply.status == 405) response.set_header("Allow", "GET, HEAD, POST, PUT");
  response.set_header("Connection", "close");
  response.set_header("Cache-Control", "no-store");
  // A provider that fails after its last byte is the library's way to drop the connection.
  response.set_content_provider(reply.json.size() + 1, kJson,
                                [json = reply.json + "\n"](std::size_t, std::size_t, auto& sink) {
                                  sink.write(json.data(), json.size());
                                  return false;
                                });
  return Handled::Handled;
}

bool HttpFrame::Inside::may_pass(const httplib::Request& request, httplib::Response& response) {
  if (const auto reason = refusal_of(head_of(request), rules_)) {
    set_reply(response, refusal(reason->status, reason->message));
    return false;
  }
  const bool for_data = request.path.rfind("/api/", 0) == 0;
  const bool open_to_all = request.path == "/api/join" || request.path == "/api/joined";
  if (for_data && !open_to_all && !has_joined(request)) {
    set_reply(response, refusal(403, "this device has not joined; type the join code first"));
    return false;
  }
  return true;
}

void HttpFrame::Inside::get(const httplib::Request& request, httplib::Response& response) {
  if (request.path.rfind("/api/", 0) != 0) return send_page(request, response);
  if (request.path == "/api/events") return stream_events(request, response);
  if (request.path == "/api/joined") {
    const nlohmann::ordered_json joined = {{"joined", has_joined(request)}, {"lan", options_.lan}};
    return set_reply(response, {200, joined.dump()});
  }
  pass_on(request, response);
}

void HttpFrame::Inside::post(const httplib::Request& request, httplib::Response& response) {
  if (request.path == "/api/join") return join(request, response);
  pass_on(request, response);
}

void HttpFrame::Inside::pass_on(const httplib::Request& request, httplib::Response& response) {
  const std::string method = request.method == "HEAD" ? "GET" : request.method;
  set_reply(response, options_.answer({method, request.path, request.body}));
}

void HttpFrame::Inside::send_page(const httplib::Request& request,
                                  httplib::Response& response) const {
  const auto found = std::find_if(options_.page.begin(), options_.page.end(),
                                  [&](const Asset& a) { return a.path == request.path; });
  if (found == options_.page.end()) {
    return set_reply(response, refusal(404, "there is nothing of that name"));
  }
  const Asset& asset = *found;
  const bool gzip = !asset.gzip.empty() && takes_gzip(request);
  response.set_header("ETag", std::string(asset.etag));
  response.set_header("Vary", "Accept-Encoding");
  response.set_header("Cache-Control",
                      asset.named_by_content ? "public, max-age=31536000, immutable" : "no-cache");
  if (request.get_header_value("If-None-Match") == asset.etag) {
    response.status = 304;
    return;
  }
  if (gzip) response.set_header("Content-Encoding", "gzip");
  const std::string_view bytes = gzip ? asset.gzip : asset.plain;
  // A provider, not set_content: the library would compress text a second time.
  response.status = 200;
  response.set_content_provider(bytes.size(), std::string(asset.mime),
                                [bytes](std::size_t offset, std::size_t length, auto& sink) {
                                  return sink.write(bytes.data() + offset, length);
                                });
}

void HttpFrame::Inside::join(const httplib::Request& request, httplib::Response& response) {
  if (!options_.lan) return set_reply(response, {200, "{}"});
  const auto body = nlohmann::json::parse(request.body, nullptr, false);
  if (!body.is_object() || body.size() != 1 || !body.contains("code") ||
      !body["code"].is_string()) {
    return set_reply(
        response,
        reply_of({ErrorKind::kBadInput, "the body must be {\"code\": \"...\"}", {"code"}}));
  }
  const auto tried = gate_.try_code(body["code"].get<std::string>(), request.remote_addr,
                                    std::chrono::steady_clock::now());
  if (tried.wait.count() > 0) {
    response.set_header("Retry-After", std::to_string(tried.wait.count()));
    return set_reply(response, refusal(429, "too many wrong codes from this device; try again in " +
                                                std::to_string(tried.wait.count()) + " s"));
  }
  if (!tried.joined) {
    return set_reply(response,
                     refusal(403, "that is not the join code shown where the server runs"));
  }
  response.set_header("Set-Cookie", cookie_name() + "=" + tried.token +
                                        "; HttpOnly; SameSite=Strict; Path=/; Max-Age=" +
                                        std::to_string(kJoinedSeconds));
  set_reply(response, {200, "{}"});
}

void HttpFrame::Inside::stream_events(const httplib::Request& request,
                                      httplib::Response& response) {
  if (request.method == "HEAD") return set_reply(response, {200, ""});
  auto holding = std::shared_ptr<void>(nullptr, [this](void*) { --streams_; });
  if (++streams_ > kMostEventStreams) {
    response.set_header("Retry-After", "5");
    return set_reply(response, refusal(503, "too many pages are open at once"));
  }
  std::optional<std::int64_t> seen = change_in(request.get_header_value("Last-Event-ID"));
  if (!seen) seen = change_in(request.get_param_value("since"));
  struct Stream {
    std::int64_t seen;
    int ticks = 0;
    bool opened = false;
  };
  auto stream = std::make_shared<Stream>(Stream{seen.value_or(options_.events->newest())});
  response.set_header("Cache-Control", "no-store");
  const auto provide = [this, stream, holding](std::size_t, httplib::DataSink& sink) {
    std::string text;
    if (!stream->opened) {
      stream->opened = true;
      text = "retry: 2000\n: open\n\n";
    } else {
      const EventHub::News news = options_.events->wait_after(stream->seen, kStreamTick);
      if (news.closed || closing_) {
        sink.done();
        return true;
      }
      for (const ChangeNotice& notice : news.notices) {
        text += event_text(notice);
        stream->seen = notice.change;
      }
      if (++stream->ticks % kTicksPerHeartbeat == 0) text += ": here\n\n";
    }
    if (text.empty()) return sink.is_writable();
    return sink.write(text.data(), text.size());
  };
  response.set_chunked_content_provider("text/event-stream", provide);
}

Result<std::unique_ptr<HttpFrame>> HttpFrame::open(FrameOptions options) {
  auto inside = std::make_unique<Inside>(std::move(options));
  if (auto opened = inside->open(); !opened) return tl::unexpected(std::move(opened).error());
  return std::unique_ptr<HttpFrame>(new HttpFrame(std::move(inside)));
}

HttpFrame::HttpFrame(std::unique_ptr<Inside> inside) : inside_(std::move(inside)) {}
HttpFrame::~HttpFrame() = default;
int HttpFrame::port() const { return inside_->port(); }

}  // namespace runtrue
