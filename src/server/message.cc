#include "server/message.h"

#include <nlohmann/json.hpp>

namespace runtrue {
namespace {

Reply error_reply(int status, const std::string& message, const std::string& field) {
  nlohmann::ordered_json error = {{"message", message}};
  if (!field.empty()) error["field"] = field;
  const nlohmann::ordered_json answer = {{"error", error}};
  // Bytes that are no UTF-8 (from a file name, say) must not keep the message from being told.
  return {status, answer.dump(-1, ' ', false, nlohmann::json::error_handler_t::replace)};
}

int status_of(ErrorKind kind) {
  switch (kind) {
    case ErrorKind::kBadInput:
      return 400;
    case ErrorKind::kNotFound:
      return 404;
    case ErrorKind::kConflict:
      return 409;
    case ErrorKind::kEnvironment:
      return 500;
  }
  return 500;
}

}  // namespace

Reply reply_of(const Error& error) {
  return error_reply(status_of(error.kind), error.message, error.place.file);
}

Reply refusal(int status, const std::string& message) { return error_reply(status, message, ""); }

}  // namespace runtrue
