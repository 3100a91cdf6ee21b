// A request for data and its answer, apart from any HTTP library: what the handlers see and give.
#pragma once

#include <string>

#include "units/result.h"

namespace runtrue {

struct Request {
  std::string method;  // "GET" "POST" "PUT"
  std::string path;    // decoded, from the root: "/api/robots/3"
  std::string body;
};

struct Reply {
  int status = 200;
  std::string json;
  std::string allow = {};  // with 405: the methods there are, as the header of that name lists them
};

// The answer to something that failed: status by the kind of error (400 404 409 500), and
// `{"error": {"message", "field"}}` with the place's name as field, if it has one.
[[nodiscard]] Reply reply_of(const Error& error);

// The same for a status that no error of ours bears (403, 405, 411, 413, 429 ...).
[[nodiscard]] Reply refusal(int status, const std::string& message);

}  // namespace runtrue
