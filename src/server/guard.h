// What a request must bear before anything is read from or written to the record: the checks
// against pages of other sites, names that point elsewhere, and bodies that are too large.
//
// Pure functions of the head of a request; docs/server.md says what each guards against and what
// none of them does.
#pragma once

#include <cstdint>
#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace runtrue {

// The parts of a request's head that the checks look at; a header that is absent is empty.
struct RequestHead {
  std::string method;
  std::string path;
  std::string host;
  std::string origin;
  std::string fetch_site;  // Sec-Fetch-Site, sent by browsers
  std::string content_type;
  std::string content_length;
  bool chunked = false;  // Transfer-Encoding is set
};

inline constexpr std::uint64_t kMostSkippedBytes = 16U << 20U;

struct GuardRules {
  bool lan = false;
  std::uint64_t most_body_bytes = 1U
                                  << 20U;  // refused, but read to its end, up to kMostSkippedBytes
  // With `lan`: whether a host name (lower case, no port, no brackets) is this machine's own
  // address or name.
  std::function<bool(const std::string&)> is_own_name;
};

struct Refusal {
  int status = 403;
  std::string message;
};

// What makes it unclear where the request's body ends, so that nothing may be read after it on the
// same connection: a method this server doesn't know, a write without a plain length, a read with a
// body, a length too large to be read to its end.
[[nodiscard]] std::optional<Refusal> framing_refusal_of(const RequestHead& head);

// What keeps a well-framed request out, if anything does.
[[nodiscard]] std::optional<Refusal> refusal_of(const RequestHead& head, const GuardRules& rules);

// The name in a Host header: lower case, without port and brackets; nothing if it has no such form.
[[nodiscard]] std::optional<std::string> host_name(std::string_view host);

// The value of a cookie in a Cookie header; empty if it is not there.
[[nodiscard]] std::string cookie_value(std::string_view header, std::string_view name);

// Whether `name` is an address of one of this machine's network cards, or its own name, alone or
// with ".local".
[[nodiscard]] bool is_name_of_this_machine(const std::string& name);

// Addresses by which other devices reach this machine (IPv4, not loopback), for showing.
[[nodiscard]] std::vector<std::string> own_network_addresses();

}  // namespace runtrue
