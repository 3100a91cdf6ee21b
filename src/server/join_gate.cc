#include "server/join_gate.h"

#include <algorithm>

#include "server/secrets.h"

namespace runtrue {
namespace {

// Capital letters and digits only; anything longer than a person would type is cut.
std::string tidied(std::string_view typed) {
  std::string code;
  for (const char c : typed.substr(0, 40)) {
    if (c == ' ' || c == '-') continue;
    code += c >= 'a' && c <= 'z' ? static_cast<char>(c - 'a' + 'A') : c;
  }
  return code;
}

}  // namespace

void JoinGate::forget_old_tries(Time now) {
  for (auto it = wrong_tries_.begin(); it != wrong_tries_.end();) {
    std::deque<Time>& tries = it->second;
    while (!tries.empty() && now - tries.front() >= kTriesWindow) tries.pop_front();
    it = tries.empty() ? wrong_tries_.erase(it) : std::next(it);
  }
}

JoinGate::Answer JoinGate::try_code(std::string_view code, const std::string& address, Time now) {
  const std::lock_guard lock(mutex_);
  forget_old_tries(now);
  const auto known = wrong_tries_.find(address);
  if (known == wrong_tries_.end() && wrong_tries_.size() >= kMostWatchedAddresses) {
    return {false, "", kTriesWindow};
  }
  if (known != wrong_tries_.end() && known->second.size() >= kWrongTriesAllowed) {
    const auto left = kTriesWindow - (now - known->second.front());
    return {false, "", std::chrono::ceil<std::chrono::seconds>(left)};
  }
  if (!same_secret(tidied(code), code_)) {
    wrong_tries_[address].push_back(now);
    return {};
  }
  tokens_.push_back(new_token());
  if (tokens_.size() > kMostDevices) tokens_.pop_front();
  return {true, tokens_.back(), {}};
}

bool JoinGate::has_joined(std::string_view token) const {
  const std::lock_guard lock(mutex_);
  bool found = false;
  for (const std::string& known : tokens_) found |= same_secret(known, token);
  return found;
}

}  // namespace runtrue
