#include "record/internal/store.h"

#include <sqlite3.h>

#include <filesystem>

namespace runtrue {

Error error_of(const SQLite::Exception& thrown, const std::string& path) {
  const auto environment = [&](std::string message) {
    return Error{ErrorKind::kEnvironment, std::move(message), {path, 0, 0}};
  };
  switch (thrown.getErrorCode()) {
    case SQLITE_BUSY:
    case SQLITE_LOCKED:
      return environment("is being written by another program, expected it to be free; try again");
    case SQLITE_FULL:
      return environment("cannot grow: the disk is full, expected room for one more change");
    case SQLITE_READONLY:
    case SQLITE_PERM:
    case SQLITE_AUTH:
      return environment("may not be written, expected a record one has the rights to change");
    case SQLITE_CANTOPEN:
      return environment("cannot be opened, expected a file in a folder one may write to");
    case SQLITE_CORRUPT:
    case SQLITE_NOTADB:
      return environment("is no record or is damaged, expected a record; a backup may help");
    default:
      return environment(fmt::format("the record cannot be used: {}", thrown.what()));
  }
}

Result<std::unique_ptr<Record::Store>> Record::Store::open(const std::string& path,
                                                           const RecordOptions& options) {
  const Place place{path, 0, 0};
  std::error_code ignored;
  if (std::filesystem::is_directory(path, ignored)) {
    return failure(ErrorKind::kEnvironment, "is a folder, expected the file of a record", place);
  }
  if (options.must_exist && !std::filesystem::exists(path, ignored)) {
    return failure(ErrorKind::kNotFound, "is not there, expected the file of a record", place);
  }
  try {
    auto store = std::make_unique<Store>(path, SQLite::OPEN_READWRITE | SQLite::OPEN_CREATE,
                                         options.busy_timeout_ms);
    SQLite::Database& database = store->database_;
    const int version = database.execAndGet("PRAGMA user_version").getInt();
    const int application = database.execAndGet("PRAGMA application_id").getInt();
    const bool empty = database.execAndGet("SELECT count(*) FROM sqlite_schema").getInt() == 0;
    if (!empty && application != kApplicationId) {
      return failure(ErrorKind::kEnvironment,
                     "is a database of another program, expected the record of a set", place);
    }
    if (version > kSchemaVersion) {
      return failure(ErrorKind::kEnvironment,
                     fmt::format("was written by a newer version (its format is {}), expected {} "
                                 "or older; nothing was changed",
                                 version, kSchemaVersion),
                     place);
    }
    database.exec("PRAGMA journal_mode = WAL");
    database.exec("PRAGMA synchronous = FULL");
    database.exec("PRAGMA foreign_keys = ON");
    if (options.most_pages > 0)
      database.exec(fmt::format("PRAGMA max_page_count = {}", options.most_pages));
    bring_up_to_date(database);
    return store;
  } catch (const SQLite::Exception& thrown) {
    return tl::unexpected(error_of(thrown, path));
  }
}

ChangeNumber Record::Store::add_change(ChangeKind kind, const Stamp& stamp,
                                       const std::string& sentence, const About& about) {
  const ChangeNumber next = number("SELECT max(number) FROM changes").value_or(0) + 1;
  run("INSERT INTO changes(number, kind, at, who, sentence, robot_id, table_id, list_id, target) "
      "VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)",
      next, kind, stamp.at, stamp.who, sentence, about.robot_id, about.table_id, about.list_id,
      about.target);
  return next;
}

Change change_in(SQLite::Statement& row) {
  const auto id = [&](int column) -> std::optional<std::int64_t> {
    const auto value = row.getColumn(column);
    if (value.isNull()) return std::nullopt;
    return value.getInt64();
  };
  Change change;
  change.number = row.getColumn(0).getInt64();
  change.kind = static_cast<ChangeKind>(row.getColumn(1).getInt());
  change.at = row.getColumn(2).getString();
  change.who = row.getColumn(3).getString();
  change.sentence = row.getColumn(4).getString();
  change.robot_id = id(5);
  change.table_id = id(6);
  change.list_id = id(7);
  change.target = id(8);
  change.taken_back = row.getColumn(9).getInt() != 0;
  return change;
}

}  // namespace runtrue
