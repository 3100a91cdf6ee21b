// The whole record out to one text, in from one, and copied while in use.
#include <SQLiteCpp/Backup.h>
#include <sqlite3.h>

#include <filesystem>
#include <utility>

#include "files/json_number.h"
#include "files/placed_json.h"
#include "files/robot_json.h"
#include "files/run_json.h"
#include "files/table_json.h"
#include "record/internal/store.h"
#include "record/record.h"

namespace runtrue {
namespace {

using Need = ObjectReader::Need;

constexpr const char* kFormat = "runtrue-record";
constexpr int kFormatVersion = 1;

Json parsed(const std::string& document) { return Json::parse(document); }

// What a change made, in the keys of its kind.
void add_content(Record::Store& store, const Change& change, Json& out) {
  const ChangeNumber n = change.number;
  if (auto row = store.statement("SELECT name FROM set_names WHERE change = ?", n);
      row.executeStep())
    out["name"] = row.getColumn(0).getString();
  if (auto row = store.statement("SELECT document FROM robot_versions WHERE change = ?", n);
      row.executeStep())
    out["robot"] = parsed(row.getColumn(0).getString());
  auto runs = store.statement(
      "SELECT id, ordinal, key, document FROM runs WHERE change = ? ORDER BY ordinal", n);
  while (runs.executeStep()) {
    Json run{{"id", runs.getColumn(0).getInt64()}, {"ordinal", runs.getColumn(1).getInt64()}};
    if (!runs.getColumn(2).isNull()) run["key"] = runs.getColumn(2).getString();
    run["run"] = parsed(runs.getColumn(3).getString());
    out["runs"].push_back(std::move(run));
  }
  if (auto row = store.statement("SELECT run_id, left_out FROM run_marks WHERE change = ?", n);
      row.executeStep()) {
    out["run_id"] = row.getColumn(0).getInt64();
  }
  if (auto row =
          store.statement("SELECT trim, level, answer FROM kept_settings WHERE change = ?", n);
      row.executeStep()) {
    out["trim"] = row.getColumn(0).getInt();
    out["level"] = row.getColumn(1).getInt();
    out["answer"] = row.getColumn(2).getString();
  }
  if (auto row = store.statement("SELECT document FROM table_versions WHERE change = ?", n);
      row.executeStep())
    out["table"] = parsed(row.getColumn(0).getString());
  if (auto row = store.statement("SELECT name, text FROM list_versions WHERE change = ?", n);
      row.executeStep()) {
    out["name"] = row.getColumn(0).getString();
    out["text"] = row.getColumn(1).getString();
  }
}

Json change_document(Record::Store& store, const Change& change) {
  Json out{{"number", change.number},
           {"kind", static_cast<int>(change.kind)},
           {"at", change.at},
           {"who", change.who},
           {"sentence", change.sentence}};
  if (change.robot_id) out["robot_id"] = *change.robot_id;
  if (change.table_id) out["table_id"] = *change.table_id;
  if (change.list_id) out["list_id"] = *change.list_id;
  if (change.target) out["target"] = *change.target;
  add_content(store, change, out);
  return out;
}

tl::unexpected<Error> wrong_in(const PlacedJson& value, std::string message) {
  return bad_input(std::move(message), value.place());
}

Result<void> insert_runs(Record::Store& store, const PlacedJson& list, ChangeNumber change,
                         RecordId robot) {
  for (const PlacedJson& item : list.items) {
    ObjectReader object(item, "a run with its id in {}");
    const auto id = object.whole_number("id", Need::kRequired);
    const auto ordinal = object.whole_number("ordinal", Need::kRequired);
    const std::string key = object.text("key").value_or("");
    const PlacedJson* value = object.object("run", Need::kRequired);
    if (auto r = object.finish(); !r) return r;
    ObjectReader run_object(*value);
    const Run run = run_from(run_object);
    if (auto r = run_object.finish(); !r) return r;
    store.run(
        "INSERT INTO runs(id, change, robot_id, ordinal, key, left_out, document) "
        "VALUES (?, ?, ?, ?, nullif(?, ''), ?, ?)",
        *id, change, robot, *ordinal, key, run.left_out ? 1 : 0, run_document(run).dump());
  }
  return {};
}

// Reads the content that a change of that kind must have and puts it into its tables.
Result<void> insert_content(Record::Store& store, ObjectReader& object, const PlacedJson& value,
                            const Change& change) {
  const ChangeNumber n = change.number;
  const RecordId robot = change.robot_id.value_or(0);
  switch (change.kind) {
    case ChangeKind::kSetNamed: {
      const std::string name = object.text("name", Need::kRequired).value_or("");
      store.run("INSERT INTO set_names(change, name) VALUES (?, ?)", n, name);
      return {};
    }
    case ChangeKind::kRobotAdded:
    case ChangeKind::kRobotChanged: {
      const PlacedJson* document = object.object("robot", Need::kRequired);
      if (document == nullptr) return {};
      RUNTRUE_TRY(const Robot one, robot_from(*document));
      store.run("INSERT INTO robot_versions(change, robot_id, name, document) VALUES (?, ?, ?, ?)",
                n, robot, one.name, robot_document(one).dump());
      return {};
    }
    case ChangeKind::kRunAdded:
    case ChangeKind::kRunsImported: {
      const PlacedJson* runs = object.list("runs", Need::kRequired);
      if (runs == nullptr) return {};
      return insert_runs(store, *runs, n, robot);
    }
    case ChangeKind::kRunLeftOut:
    case ChangeKind::kRunUsedAgain: {
      const auto run = object.whole_number("run_id", Need::kRequired);
      store.run("INSERT INTO run_marks(change, run_id, left_out) VALUES (?, ?, ?)", n,
                run.value_or(0), change.kind == ChangeKind::kRunLeftOut ? 1 : 0);
      return {};
    }
    case ChangeKind::kSettingsKept: {
      const auto trim = object.whole_number("trim", Need::kRequired);
      const auto level = object.whole_number("level", Need::kRequired);
      const auto answer = object.text("answer", Need::kRequired);
      store.run(
          "INSERT INTO kept_settings(change, robot_id, trim, level, answer) "
          "VALUES (?, ?, ?, ?, ?)",
          n, robot, trim.value_or(0), level.value_or(0), answer.value_or(""));
      return {};
    }
    case ChangeKind::kTableAdded:
    case ChangeKind::kTableChanged: {
      const PlacedJson* document = object.object("table", Need::kRequired);
      if (document == nullptr) return {};
      RUNTRUE_TRY(const Table one, table_from(*document));
      store.run("INSERT INTO table_versions(change, table_id, name, document) VALUES (?, ?, ?, ?)",
                n, change.table_id.value_or(0), one.name, table_document(one).dump());
      return {};
    }
    case ChangeKind::kListAdded:
    case ChangeKind::kListChanged: {
      const auto name = object.text("name", Need::kRequired);
      const auto text = object.text("text", Need::kRequired);
      store.run("INSERT INTO list_versions(change, list_id, name, text) VALUES (?, ?, ?, ?)", n,
                change.list_id.value_or(0), name.value_or(""), text.value_or(""));
      return {};
    }
    case ChangeKind::kTakenBack:
    case ChangeKind::kBroughtBack:
      if (!change.target) return wrong_in(value, "'target' is missing, expected it here");
      store.run("UPDATE changes SET taken_back = ? WHERE number = ?",
                change.kind == ChangeKind::kTakenBack ? 1 : 0, *change.target);
      return {};
  }
  return wrong_in(value,
                  fmt::format("kind is {}, expected 1 to 14", static_cast<int>(change.kind)));
}

Result<void> insert_change(Record::Store& store, const PlacedJson& value, ChangeNumber expected) {
  ObjectReader object(value, "a change in {}");
  Change change;
  change.number = object.whole_number("number", Need::kRequired).value_or(0);
  change.kind = static_cast<ChangeKind>(object.whole_number("kind", Need::kRequired).value_or(0));
  change.at = object.text("at", Need::kRequired).value_or("");
  change.who = object.text("who", Need::kRequired).value_or("");
  change.sentence = object.text("sentence", Need::kRequired).value_or("");
  change.robot_id = object.whole_number("robot_id");
  change.table_id = object.whole_number("table_id");
  change.list_id = object.whole_number("list_id");
  change.target = object.whole_number("target");
  if (change.number != expected) {
    return wrong_in(value, fmt::format("number is {}, expected {}: changes in order, none missing",
                                       change.number, expected));
  }
  if (change.target && (*change.target < 1 || *change.target >= change.number))
    return wrong_in(value, "target is no earlier change, expected one");
  store.run(
      "INSERT INTO changes(number, kind, at, who, sentence, robot_id, table_id, list_id, "
      "target) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)",
      change.number, change.kind, change.at, change.who, change.sentence, change.robot_id,
      change.table_id, change.list_id, change.target);
  if (auto r = insert_content(store, object, value, change); !r) return r;
  return object.finish();
}

}  // namespace

Result<std::string> Record::export_set() const {
  return store_->read([&]() -> Result<std::string> {
    // One transaction, so that no change slips in between.
    SQLite::Transaction transaction(store_->database());
    const std::string sql =
        std::string("SELECT") + kChangeColumns + "FROM changes c ORDER BY c.number";
    auto rows = store_->statement(sql.c_str());
    Json changes = Json::array();
    while (rows.executeStep()) changes.push_back(change_document(*store_, change_in(rows)));
    return document_text(
        Json{{"format", kFormat}, {"version", kFormatVersion}, {"changes", std::move(changes)}});
  });
}

Result<void> Record::import_set(std::string_view text, std::string_view file_name) {
  auto value = parse_json(text);
  if (!value) return tl::unexpected(std::move(value).error().in_file(file_name));
  auto done = store_->write([&]() -> Result<bool> {
    if (store_->number("SELECT max(number) FROM changes")) {
      return failure(ErrorKind::kConflict,
                     "the record is not empty, expected a new one to import into");
    }
    ObjectReader object(*value, "an exported record in {}");
    const auto format = object.text("format", Need::kRequired);
    const auto version = object.whole_number("version", Need::kRequired);
    const PlacedJson* changes = object.list("changes", Need::kRequired);
    if (auto r = object.finish(); !r) return tl::unexpected(std::move(r).error());
    if (format != kFormat || version != kFormatVersion) {
      return bad_input(
          fmt::format("this is {} {}, expected {} {}", *format, *version, kFormat, kFormatVersion),
          value->place());
    }
    ChangeNumber expected = 0;
    for (const PlacedJson& item : changes->items) {
      try {
        if (auto r = insert_change(*store_, item, ++expected); !r)
          return tl::unexpected(std::move(r).error());
      } catch (const SQLite::Exception& thrown) {
        if (thrown.getErrorCode() != SQLITE_CONSTRAINT) throw;
        return bad_input("this change does not fit those before it, expected an exported record",
                         item.place());
      }
    }
    return true;
  });
  if (!done) return tl::unexpected(std::move(done).error().in_file(file_name));
  return {};
}

Result<void> Record::back_up(const std::string& path) const {
  std::error_code trouble;
  if (std::filesystem::exists(path, trouble)) {
    return failure(ErrorKind::kConflict, "is there already, expected the name of a new file",
                   {path, 0, 0});
  }
  const std::string part = path + ".part";
  std::filesystem::remove(part, trouble);
  auto done = store_->read([&]() -> Result<bool> {
    try {
      SQLite::Database copy(part, SQLite::OPEN_READWRITE | SQLite::OPEN_CREATE);
      SQLite::Backup backup(copy, store_->database());
      while (backup.executeStep(256) != SQLITE_DONE) {  // of pages: others may write in between
      }
    } catch (const SQLite::Exception& thrown) {
      return tl::unexpected(error_of(thrown, path));
    }
    return true;
  });
  if (done) std::filesystem::rename(part, path, trouble);
  if (!done || trouble) std::filesystem::remove(part, trouble);
  if (!done) return tl::unexpected(std::move(done).error());
  if (!std::filesystem::exists(path)) {
    return failure(ErrorKind::kEnvironment, "cannot be written, expected a folder one may write to",
                   {path, 0, 0});
  }
  return {};
}

}  // namespace runtrue
