#include "server/guard.h"

#include <gtest/gtest.h>

namespace runtrue {
namespace {

RequestHead post_from_own_page() {
  return {"POST",
          "/api/robots",
          "127.0.0.1:8420",
          "http://127.0.0.1:8420",
          "same-origin",
          "application/json",
          "12",
          false};
}

int status_for(const RequestHead& head, const GuardRules& rules = {}) {
  auto refusal = framing_refusal_of(head);
  if (!refusal) refusal = refusal_of(head, rules);
  return refusal ? refusal->status : 200;
}

TEST(Guard, RequestOfTheOwnPage_Passes) { EXPECT_EQ(status_for(post_from_own_page()), 200); }

TEST(Guard, RequestWithoutBrowserHeaders_Passes) {
  RequestHead head = post_from_own_page();
  head.origin.clear();
  head.fetch_site.clear();
  EXPECT_EQ(status_for(head), 200);
}

TEST(Guard, HostsOfTheLoopback_Pass) {
  for (const char* host : {"localhost", "LOCALHOST:9", "127.0.0.1", "[::1]:8420", "[::1]"}) {
    EXPECT_EQ(status_for({"GET", "/", host, "", "", "", "", false}), 200) << host;
  }
}

TEST(Guard, OtherHosts_AreRefused) {
  for (const char* host :
       {"", "example.org", "127.0.0.1.example.org", "localhost.example.org", "127.0.0.1:80x",
        "127.0.0.1:", "192.168.1.5", "[::1", "a b", "localhost@x", "localhost:123456"}) {
    EXPECT_EQ(status_for({"GET", "/", host, "", "", "", "", false}), 403) << host;
  }
}

TEST(Guard, OpenToTheNetwork_TakesOwnNamesOnly) {
  GuardRules rules;
  rules.lan = true;
  rules.is_own_name = [](const std::string& name) {
    return name == "192.168.1.5" || name == "bench";
  };
  EXPECT_EQ(status_for({"GET", "/", "192.168.1.5:8420", "", "", "", "", false}, rules), 200);
  EXPECT_EQ(status_for({"GET", "/", "Bench", "", "", "", "", false}, rules), 200);
  EXPECT_EQ(status_for({"GET", "/", "192.168.1.6", "", "", "", "", false}, rules), 403);
  EXPECT_EQ(status_for({"GET", "/", "example.org", "", "", "", "", false}, rules), 403);
}

TEST(Guard, OwnMachine_KnowsItsLoopbackAddressButNoForeignName) {
  EXPECT_TRUE(is_name_of_this_machine("127.0.0.1"));
  EXPECT_FALSE(is_name_of_this_machine("192.0.2.77"));  // RFC 5737: an address nobody has
  EXPECT_FALSE(is_name_of_this_machine("example.org"));
  EXPECT_FALSE(is_name_of_this_machine(""));
}

TEST(Guard, WritesOfOtherSites_AreRefused) {
  for (const char* origin : {"http://example.org", "null", "http://127.0.0.1:81",
                             "https://127.0.0.1:8420", "http://127.0.0.1:8420.example.org"}) {
    RequestHead head = post_from_own_page();
    head.origin = origin;
    EXPECT_EQ(status_for(head), 403) << origin;
  }
}

TEST(Guard, ReadsAskedForByOtherSites_AreRefusedForDataButNotForThePage) {
  EXPECT_EQ(status_for({"GET", "/api/set", "localhost", "", "cross-site", "", "", false}), 403);
  EXPECT_EQ(status_for({"GET", "/api/events", "localhost", "", "same-site", "", "", false}), 403);
  EXPECT_EQ(status_for({"GET", "/", "localhost", "", "cross-site", "", "", false}), 200);
  EXPECT_EQ(status_for({"GET", "/api/set", "localhost", "", "none", "", "", false}), 200);
}

TEST(Guard, Bodies_NeedALengthWithinTheLimitAndTheirType) {
  GuardRules rules;
  rules.most_body_bytes = 100;
  const auto with = [&](const char* length, const char* type, bool chunked) {
    RequestHead head = post_from_own_page();
    head.content_length = length;
    head.content_type = type;
    head.chunked = chunked;
    return status_for(head, rules);
  };
  EXPECT_EQ(with("100", "application/json", false), 200);
  EXPECT_EQ(with("100", "Application/JSON; charset=utf-8", false), 200);
  EXPECT_EQ(with("101", "application/json", false), 413);
  EXPECT_EQ(with("99999999999999999999999", "application/json", false), 413);
  EXPECT_EQ(with("-1", "application/json", false), 400);
  EXPECT_EQ(with("12x", "application/json", false), 400);
  EXPECT_EQ(with("", "application/json", false), 411);
  EXPECT_EQ(with("12", "application/json", true), 411);
  EXPECT_EQ(with("12", "text/plain", false), 400);
  EXPECT_EQ(with("12", "application/x-www-form-urlencoded", false), 400);
  EXPECT_EQ(with("12", "", false), 400);
}

TEST(Guard, BodiesWhoseEndIsUnclear_AreCutOff) {
  const auto framed = [](const char* method, const char* length, bool chunked) {
    const auto refusal =
        framing_refusal_of({method, "/", "localhost", "", "", "text/plain", length, chunked});
    return refusal ? refusal->status : 200;
  };
  EXPECT_EQ(framed("POST", "5", false), 200);  // refused later, after its body was read
  EXPECT_EQ(framed("GET", "", false), 200);
  EXPECT_EQ(framed("GET", "0", false), 200);
  EXPECT_EQ(framed("GET", "5", false), 400);
  EXPECT_EQ(framed("GET", "", true), 411);
  EXPECT_EQ(framed("POST", "16777217", false), 413);
  EXPECT_EQ(framed("POST", "+5", false), 400);
  EXPECT_EQ(framed("PUT", "", false), 411);
}

TEST(Guard, OtherMethods_AreRefused) {
  for (const char* method : {"DELETE", "OPTIONS", "PATCH", "TRACE", "CONNECT", "get", ""}) {
    EXPECT_EQ(status_for({method, "/", "localhost", "", "", "", "", false}), 405) << method;
  }
}

TEST(Guard, CookieHeader_GivesTheValueOfTheWholeName) {
  EXPECT_EQ(cookie_value("a=1; runtrue_8420=abc; b=2", "runtrue_8420"), "abc");
  EXPECT_EQ(cookie_value("xruntrue_8420=abc", "runtrue_8420"), "");
  EXPECT_EQ(cookie_value("runtrue_8420=", "runtrue_8420"), "");
  EXPECT_EQ(cookie_value("", "runtrue_8420"), "");
  EXPECT_EQ(cookie_value(";;; ;=;", "runtrue_8420"), "");
}

}  // namespace
}  // namespace runtrue
