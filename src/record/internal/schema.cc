#include "record/internal/store.h"

namespace runtrue {
namespace {

// Version 1. Kinds of changes are the numbers of ChangeKind. `taken_back` repeats what the newest
// taking or bringing back of a change says, so that it need not be looked for.
constexpr const char* kVersion1 = R"sql(
CREATE TABLE changes(
  number INTEGER PRIMARY KEY,
  kind INTEGER NOT NULL,
  at TEXT NOT NULL,
  who TEXT NOT NULL,
  sentence TEXT NOT NULL,
  robot_id INTEGER, table_id INTEGER, list_id INTEGER,
  target INTEGER REFERENCES changes(number),
  taken_back INTEGER NOT NULL DEFAULT 0 CHECK (taken_back IN (0, 1))
) STRICT;
CREATE INDEX changes_by_robot ON changes(robot_id, number);
CREATE INDEX changes_by_target ON changes(target, number);
CREATE TABLE set_names(
  change INTEGER PRIMARY KEY REFERENCES changes(number), name TEXT NOT NULL) STRICT;
CREATE TABLE robot_versions(
  change INTEGER PRIMARY KEY REFERENCES changes(number),
  robot_id INTEGER NOT NULL, name TEXT NOT NULL, document TEXT NOT NULL) STRICT;
CREATE INDEX robot_versions_by_robot ON robot_versions(robot_id, change);
CREATE TABLE runs(
  id INTEGER PRIMARY KEY,
  change INTEGER NOT NULL REFERENCES changes(number),
  robot_id INTEGER NOT NULL,
  ordinal INTEGER NOT NULL,
  key TEXT UNIQUE,
  left_out INTEGER NOT NULL,
  document TEXT NOT NULL,
  UNIQUE (robot_id, ordinal)) STRICT;
CREATE INDEX runs_by_change ON runs(change);
CREATE TABLE run_marks(
  change INTEGER PRIMARY KEY REFERENCES changes(number),
  run_id INTEGER NOT NULL REFERENCES runs(id), left_out INTEGER NOT NULL) STRICT;
CREATE INDEX run_marks_by_run ON run_marks(run_id, change);
CREATE TABLE kept_settings(
  change INTEGER PRIMARY KEY REFERENCES changes(number),
  robot_id INTEGER NOT NULL, trim INTEGER NOT NULL, level INTEGER NOT NULL,
  answer TEXT NOT NULL) STRICT;
CREATE INDEX kept_settings_by_robot ON kept_settings(robot_id, change);
CREATE TABLE table_versions(
  change INTEGER PRIMARY KEY REFERENCES changes(number),
  table_id INTEGER NOT NULL, name TEXT NOT NULL, document TEXT NOT NULL) STRICT;
CREATE INDEX table_versions_by_table ON table_versions(table_id, change);
CREATE TABLE list_versions(
  change INTEGER PRIMARY KEY REFERENCES changes(number),
  list_id INTEGER NOT NULL, name TEXT NOT NULL, text TEXT NOT NULL) STRICT;
CREATE INDEX list_versions_by_list ON list_versions(list_id, change);
)sql";

}  // namespace

void bring_up_to_date(SQLite::Database& database) {
  SQLite::Transaction transaction(database, SQLite::TransactionBehavior::IMMEDIATE);
  const int version = database.execAndGet("PRAGMA user_version").getInt();
  if (version < 1) {
    database.exec(kVersion1);
    database.exec(fmt::format("PRAGMA application_id = {}", kApplicationId));
  }
  if (version != kSchemaVersion)
    database.exec(fmt::format("PRAGMA user_version = {}", kSchemaVersion));
  transaction.commit();
}

}  // namespace runtrue
