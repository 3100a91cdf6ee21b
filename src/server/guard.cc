#include "server/guard.h"

#include <arpa/inet.h>
#include <ifaddrs.h>
#include <net/if.h>
#include <netinet/in.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <memory>

namespace runtrue {
namespace {

std::string lower(std::string_view text) {
  std::string result(text);
  for (char& c : result) {
    if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
  }
  return result;
}

bool all_digits(std::string_view text) {
  return !text.empty() &&
         std::all_of(text.begin(), text.end(), [](char c) { return c >= '0' && c <= '9'; });
}

bool is_loopback_name(const std::string& name) {
  return name == "localhost" || name == "127.0.0.1" || name == "::1";
}

// What follows the name in a Host header: nothing, or a colon and a port.
bool is_port_or_nothing(std::string_view rest) {
  return rest.empty() || (rest.front() == ':' && rest.size() <= 6 && all_digits(rest.substr(1)));
}

bool writes(const RequestHead& head) { return head.method == "POST" || head.method == "PUT"; }

std::optional<Refusal> host_refusal(const RequestHead& head, const GuardRules& rules) {
  const std::optional<std::string> name = host_name(head.host);
  if (name && is_loopback_name(*name)) return {};
  if (name && rules.lan && rules.is_own_name && rules.is_own_name(*name)) return {};
  return Refusal{403, rules.lan
                          ? "this server answers only to this machine's own addresses and name"
                          : "this server answers only to localhost and 127.0.0.1"};
}

std::optional<Refusal> site_refusal(const RequestHead& head) {
  const bool from_elsewhere =
      (!head.origin.empty() && lower(head.origin) != "http://" + lower(head.host));
  const bool fetched_elsewhere = head.fetch_site == "cross-site" || head.fetch_site == "same-site";
  const bool for_data = head.path.rfind("/api/", 0) == 0;
  if ((writes(head) && from_elsewhere) || (for_data && fetched_elsewhere)) {
    return Refusal{403, "a page of another site asked for this; open the page of this server"};
  }
  return {};
}

// The length a Content-Length header says; nothing if it is no plain number.
std::optional<std::uint64_t> length_of(const std::string& header) {
  if (!all_digits(header)) return {};
  std::uint64_t length = 0;
  const auto read = std::from_chars(header.data(), header.data() + header.size(), length);
  return read.ec == std::errc() ? length : UINT64_MAX;
}

Refusal too_large(std::uint64_t most_bytes) {
  return {413, "the body is too large; at most " + std::to_string(most_bytes) + " bytes are taken"};
}

std::optional<Refusal> body_refusal(const RequestHead& head, const GuardRules& rules) {
  if (!writes(head)) return {};
  if (length_of(head.content_length).value_or(0) > rules.most_body_bytes) {
    return too_large(rules.most_body_bytes);
  }
  const std::string type = lower(head.content_type.substr(0, head.content_type.find(';')));
  if (type != "application/json") {
    return Refusal{400, "the body must be sent as application/json"};
  }
  return {};
}

using Cards = std::unique_ptr<ifaddrs, void (*)(ifaddrs*)>;

Cards network_cards() {
  ifaddrs* list = nullptr;
  if (getifaddrs(&list) != 0) list = nullptr;
  return {list, freeifaddrs};
}

std::string text_of_address(const sockaddr* address) {
  std::array<char, INET6_ADDRSTRLEN> text{};
  if (address == nullptr) return {};
  if (address->sa_family == AF_INET) {
    const auto* v4 = reinterpret_cast<const sockaddr_in*>(address);
    if (inet_ntop(AF_INET, &v4->sin_addr, text.data(), text.size()) == nullptr) return {};
  } else if (address->sa_family == AF_INET6) {
    const auto* v6 = reinterpret_cast<const sockaddr_in6*>(address);
    if (inet_ntop(AF_INET6, &v6->sin6_addr, text.data(), text.size()) == nullptr) return {};
  }
  return text.data();
}

}  // namespace

std::optional<std::string> host_name(std::string_view host) {
  if (host.empty() || host.size() > 260) return {};
  std::string_view name;
  if (host.front() == '[') {
    const std::size_t close = host.find(']');
    if (close == std::string_view::npos) return {};
    name = host.substr(1, close - 1);
    host.remove_prefix(close + 1);
  } else {
    name = host.substr(0, host.find(':'));
    host.remove_prefix(name.size());
  }
  if (name.empty() || !is_port_or_nothing(host)) return {};
  const bool plain = std::all_of(name.begin(), name.end(), [](char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '.' ||
           c == '-' || c == ':' || c == '_';
  });
  if (!plain) return {};
  return lower(name);
}

std::optional<Refusal> framing_refusal_of(const RequestHead& head) {
  const bool reads = head.method == "GET" || head.method == "HEAD";
  if (!reads && !writes(head)) return Refusal{405, "this server knows GET, POST and PUT only"};
  if (head.chunked) return Refusal{411, "a body must come with its length, not in chunks"};
  if (head.content_length.empty()) {
    if (reads) return {};
    return Refusal{411, "the request says no length of its body"};
  }
  const std::optional<std::uint64_t> length = length_of(head.content_length);
  if (!length) return Refusal{400, "the length of the body is no whole number"};
  if (reads && *length > 0) return Refusal{400, "a request that reads can't have a body"};
  if (*length > kMostSkippedBytes) return too_large(kMostSkippedBytes);
  return {};
}

std::optional<Refusal> refusal_of(const RequestHead& head, const GuardRules& rules) {
  if (auto refusal = host_refusal(head, rules)) return refusal;
  if (auto refusal = site_refusal(head)) return refusal;
  return body_refusal(head, rules);
}

std::string cookie_value(std::string_view header, std::string_view name) {
  while (!header.empty()) {
    const std::size_t end = std::min(header.find(';'), header.size());
    std::string_view pair = header.substr(0, end);
    header.remove_prefix(std::min(end + 1, header.size()));
    while (!pair.empty() && pair.front() == ' ') pair.remove_prefix(1);
    const std::size_t equals = pair.find('=');
    if (equals != std::string_view::npos && pair.substr(0, equals) == name) {
      return std::string(pair.substr(equals + 1));
    }
  }
  return {};
}

bool is_name_of_this_machine(const std::string& name) {
  if (name.empty()) return false;
  std::array<char, 256> own{};
  if (gethostname(own.data(), own.size() - 1) == 0) {
    const std::string short_name = lower(own.data());
    if (!short_name.empty() && (name == short_name || name == short_name + ".local")) return true;
  }
  const Cards cards = network_cards();
  for (const ifaddrs* card = cards.get(); card != nullptr; card = card->ifa_next) {
    if (text_of_address(card->ifa_addr) == name) return true;
  }
  return false;
}

std::vector<std::string> own_network_addresses() {
  std::vector<std::string> addresses;
  const Cards cards = network_cards();
  for (const ifaddrs* card = cards.get(); card != nullptr; card = card->ifa_next) {
    const bool usable = card->ifa_addr != nullptr && card->ifa_addr->sa_family == AF_INET &&
                        (card->ifa_flags & IFF_UP) != 0 && (card->ifa_flags & IFF_LOOPBACK) == 0;
    if (usable) addresses.push_back(text_of_address(card->ifa_addr));
  }
  return addresses;
}

}  // namespace runtrue
