#include "server/event_hub.h"

#include <algorithm>

namespace runtrue {

void EventHub::publish(const ChangeNotice& notice) {
  {
    const std::lock_guard lock(mutex_);
    kept_.push_back(notice);
    newest_ = notice.change;
    if (kept_.size() > kKept) {
      oldest_known_ = kept_.front().change;
      kept_.pop_front();
    }
  }
  news_.notify_all();
}

std::int64_t EventHub::newest() const {
  const std::lock_guard lock(mutex_);
  return newest_;
}

EventHub::News EventHub::wait_after(std::int64_t seen, std::chrono::milliseconds patience) const {
  std::unique_lock lock(mutex_);
  // A number above the newest comes from another record: that page must read again, too.
  const auto there_is_news = [&] { return closed_ || newest_ != seen; };
  news_.wait_for(lock, patience, there_is_news);
  News news;
  news.closed = closed_;
  if (closed_ || newest_ == seen) return news;
  if (seen < oldest_known_ || seen > newest_) {
    news.notices.push_back({newest_, {}, {}, {}});
    return news;
  }
  for (const ChangeNotice& notice : kept_) {
    if (notice.change > seen) news.notices.push_back(notice);
  }
  return news;
}

void EventHub::close() {
  {
    const std::lock_guard lock(mutex_);
    closed_ = true;
  }
  news_.notify_all();
}

std::string event_text(const ChangeNotice& notice) {
  const auto number = [](const std::optional<std::int64_t>& id) {
    return id ? std::to_string(*id) : std::string("null");
  };
  const std::string change = std::to_string(notice.change);
  return "id: " + change + "\nevent: changed\ndata: {\"change\": " + change +
         ", \"robot_id\": " + number(notice.robot_id) +
         ", \"table_id\": " + number(notice.table_id) + ", \"list_id\": " + number(notice.list_id) +
         "}\n\n";
}

}  // namespace runtrue
