// The open file behind a Record, and the few steps every call is made of.
#pragma once

#include <SQLiteCpp/SQLiteCpp.h>
#include <fmt/format.h>

#include <mutex>
#include <optional>
#include <string>
#include <string_view>
#include <utility>

#include "record/record.h"

namespace runtrue {

// Puts what the database threw into plain words.
[[nodiscard]] Error error_of(const SQLite::Exception& thrown, const std::string& path);

class Record::Store {
 public:
  // Errors: see Record::open.
  [[nodiscard]] static Result<std::unique_ptr<Store>> open(const std::string& path,
                                                           const RecordOptions& options);

  Store(const std::string& path, int flags, int busy_timeout_ms)
      : database_(path, flags, busy_timeout_ms), path_(path) {}

  // Runs `call`, which answers a Result, while no other thread uses this connection.
  template <class Call>
  auto read(Call call) -> decltype(call()) {
    const std::scoped_lock lock(mutex_);
    try {
      return call();
    } catch (const SQLite::Exception& thrown) {
      return tl::unexpected(error_of(thrown, path_));
    }
  }

  // The same within one transaction, which is kept only where `call` answers a value.
  template <class Call>
  auto write(Call call) -> decltype(call()) {
    return read([&]() -> decltype(call()) {
      SQLite::Transaction transaction(database_, SQLite::TransactionBehavior::IMMEDIATE);
      auto answer = call();
      if (answer) transaction.commit();
      return answer;
    });
  }

  // A statement with its parameters bound in order.
  template <class... Values>
  SQLite::Statement statement(const char* sql, const Values&... values) {
    SQLite::Statement prepared(database_, sql);
    int index = 0;
    (bind(prepared, ++index, values), ...);
    return prepared;
  }
  template <class... Values>
  void run(const char* sql, const Values&... values) {
    statement(sql, values...).exec();
  }
  // The first column of the first row, if there is one and it is not null.
  template <class... Values>
  std::optional<std::int64_t> number(const char* sql, const Values&... values) {
    auto asked = statement(sql, values...);
    if (!asked.executeStep() || asked.getColumn(0).isNull()) return std::nullopt;
    return asked.getColumn(0).getInt64();
  }
  template <class... Values>
  std::optional<std::string> text(const char* sql, const Values&... values) {
    auto asked = statement(sql, values...);
    if (!asked.executeStep() || asked.getColumn(0).isNull()) return std::nullopt;
    return asked.getColumn(0).getString();
  }

  struct About {
    std::optional<RecordId> robot_id{}, table_id{}, list_id{};
    std::optional<ChangeNumber> target{};
  };
  // Writes the change's own row; answers its number.
  ChangeNumber add_change(ChangeKind kind, const Stamp& stamp, const std::string& sentence,
                          const About& about);

  [[nodiscard]] const std::string& path() const { return path_; }
  [[nodiscard]] SQLite::Database& database() { return database_; }

 private:
  static void bind(SQLite::Statement& s, int i, std::int64_t value) { s.bind(i, value); }
  static void bind(SQLite::Statement& s, int i, int value) { s.bind(i, value); }
  static void bind(SQLite::Statement& s, int i, const std::string& value) { s.bind(i, value); }
  static void bind(SQLite::Statement& s, int i, std::string_view value) {
    s.bind(i, std::string(value));
  }
  static void bind(SQLite::Statement& s, int i, const std::optional<std::int64_t>& value) {
    value ? s.bind(i, *value) : s.bind(i);
  }
  static void bind(SQLite::Statement& s, int i, ChangeKind kind) {
    s.bind(i, static_cast<int>(kind));
  }

  mutable std::mutex mutex_;
  SQLite::Database database_;
  std::string path_;
};

// The change in the columns of kChangeColumns.
inline constexpr const char* kChangeColumns =
    " c.number, c.kind, c.at, c.who, c.sentence, c.robot_id, c.table_id, c.list_id, c.target, "
    "c.taken_back ";
[[nodiscard]] Change change_in(SQLite::Statement& row);

// What undo and redo would act on now.
[[nodiscard]] std::optional<Change> next_undo(Record::Store& store);
[[nodiscard]] std::optional<Change> next_redo(Record::Store& store);

[[nodiscard]] inline tl::unexpected<Error> not_found(std::string_view what, RecordId id) {
  return failure(ErrorKind::kNotFound, fmt::format("there is no {} {}", what, id));
}

// Makes or brings up to date the tables of an open file; its errors are told by exception.
void bring_up_to_date(SQLite::Database& database);
inline constexpr int kSchemaVersion = 1;
inline constexpr int kApplicationId = 0x52547231;  // "RTr1": stands in the file, never change it

}  // namespace runtrue
