#include <utility>

#include "files/run_json.h"
#include "record/internal/store.h"
#include "record/record.h"

namespace runtrue {
namespace {

constexpr const char* kRunColumns =
    "SELECT r.id, r.robot_id, r.change, c.at, c.who, r.ordinal, r.document, "
    "(SELECT m.left_out FROM run_marks m JOIN changes d ON d.number = m.change "
    " WHERE m.run_id = r.id AND d.taken_back = 0 ORDER BY m.change DESC LIMIT 1) "
    "FROM runs r JOIN changes c ON c.number = r.change ";

Result<KeptRun> run_in(SQLite::Statement& row, const std::string& path) {
  KeptRun kept;
  kept.id = row.getColumn(0).getInt64();
  kept.robot_id = row.getColumn(1).getInt64();
  kept.change = row.getColumn(2).getInt64();
  kept.at = row.getColumn(3).getString();
  kept.who = row.getColumn(4).getString();
  RUNTRUE_TRY(const PlacedJson document, parse_json(row.getColumn(6).getString()));
  ObjectReader object(document);
  kept.run = run_from(object);
  if (auto r = object.finish(); !r) return tl::unexpected(std::move(r).error().in_file(path));
  kept.run.row = row.getColumn(5).getInt();
  if (!row.getColumn(7).isNull()) kept.run.left_out = row.getColumn(7).getInt() != 0;
  return kept;
}

}  // namespace

namespace {

RecordId insert_run(Record::Store& store, ChangeNumber change, RecordId robot, const Run& run,
                    std::string_view key) {
  const RecordId id = store.number("SELECT max(id) FROM runs").value_or(0) + 1;
  const std::int64_t ordinal =
      store.number("SELECT max(ordinal) FROM runs WHERE robot_id = ?", robot).value_or(0) + 1;
  store.run(
      "INSERT INTO runs(id, change, robot_id, ordinal, key, left_out, document) "
      "VALUES (?, ?, ?, ?, nullif(?, ''), ?, ?)",
      id, change, robot, ordinal, key, run.left_out ? 1 : 0, run_document(run).dump());
  return id;
}

}  // namespace

Result<Added> Record::add_run(RecordId robot, const Run& run, std::string_view key,
                              const Stamp& stamp) {
  RUNTRUE_TRY(const Robot description, this->robot(robot));
  if (auto r = check_run(run, description); !r) return tl::unexpected(r.error());
  return store_->write([&]() -> Result<Added> {
    if (!key.empty()) {
      auto before = store_->statement("SELECT id, change, robot_id FROM runs WHERE key = ?", key);
      if (before.executeStep()) {
        if (before.getColumn(2).getInt64() != robot) {
          return failure(ErrorKind::kConflict,
                         "this run was noted for another robot already, expected a new key");
        }
        return Added{before.getColumn(1).getInt64(), before.getColumn(0).getInt64(), true};
      }
    }
    const ChangeNumber change =
        store_->add_change(ChangeKind::kRunAdded, stamp,
                           fmt::format("a run for {}", description.name), {.robot_id = robot});
    return Added{change, insert_run(*store_, change, robot, run, key), false};
  });
}

Result<Added> Record::import_runs(RecordId robot, std::span<const Run> runs, const Stamp& stamp) {
  RUNTRUE_TRY(const Robot description, this->robot(robot));
  for (const Run& run : runs) {
    if (auto r = check_run(run, description); !r) {
      Error error = std::move(r).error();
      error.place.line = run.row;
      return tl::unexpected(std::move(error));
    }
  }
  if (runs.empty()) return Added{};
  return store_->write([&]() -> Result<Added> {
    const ChangeNumber change =
        store_->add_change(ChangeKind::kRunsImported, stamp,
                           fmt::format("an import for {} ({} runs)", description.name, runs.size()),
                           {.robot_id = robot});
    Added added{change, 0, false};
    for (const Run& run : runs) {
      const RecordId id = insert_run(*store_, change, robot, run, "");
      if (added.id == 0) added.id = id;
    }
    return added;
  });
}

Result<std::vector<KeptRun>> Record::runs_of(RecordId robot) const {
  RUNTRUE_TRY(const Robot there, this->robot(robot));
  return store_->read([&]() -> Result<std::vector<KeptRun>> {
    std::vector<KeptRun> runs;
    const std::string sql =
        std::string(kRunColumns) + "WHERE r.robot_id = ? AND c.taken_back = 0 ORDER BY r.ordinal";
    auto rows = store_->statement(sql.c_str(), robot);
    while (rows.executeStep()) {
      RUNTRUE_TRY(KeptRun one, run_in(rows, store_->path()));
      runs.push_back(std::move(one));
    }
    return runs;
  });
}

Result<KeptRun> Record::run(RecordId run) const {
  return store_->read([&]() -> Result<KeptRun> {
    const std::string sql = std::string(kRunColumns) + "WHERE r.id = ? AND c.taken_back = 0";
    auto row = store_->statement(sql.c_str(), run);
    if (!row.executeStep()) return not_found("run", run);
    return run_in(row, store_->path());
  });
}

Result<ChangeNumber> Record::leave_out(RecordId run, bool left_out, const Stamp& stamp) {
  RUNTRUE_TRY(const KeptRun kept, this->run(run));
  RUNTRUE_TRY(const Robot robot, this->robot(kept.robot_id));
  return store_->write([&]() -> Result<ChangeNumber> {
    const auto mark = store_->number(
        "SELECT m.left_out FROM run_marks m JOIN changes d ON d.number = m.change "
        "WHERE m.run_id = ? AND d.taken_back = 0 ORDER BY m.change DESC LIMIT 1",
        run);
    const bool is_out = mark ? *mark != 0 : kept.run.left_out;
    if (is_out == left_out) return ChangeNumber{0};
    const ChangeNumber change =
        store_->add_change(left_out ? ChangeKind::kRunLeftOut : ChangeKind::kRunUsedAgain, stamp,
                           fmt::format("a mark on run {} of {}: {}", kept.run.row, robot.name,
                                       left_out ? "left out" : "used again"),
                           {.robot_id = kept.robot_id});
    store_->run("INSERT INTO run_marks(change, run_id, left_out) VALUES (?, ?, ?)", change, run,
                left_out ? 1 : 0);
    return change;
  });
}

Result<ChangeNumber> Record::keep_settings(RecordId robot, const KeptSettings& settings,
                                           const Stamp& stamp) {
  RUNTRUE_TRY(const Robot description, this->robot(robot));
  return store_->write([&]() -> Result<ChangeNumber> {
    const ChangeNumber change = store_->add_change(
        ChangeKind::kSettingsKept, stamp,
        fmt::format("a note on {}'s settings, trim {}", description.name, settings.trim.value),
        {.robot_id = robot});
    store_->run(
        "INSERT INTO kept_settings(change, robot_id, trim, level, answer) "
        "VALUES (?, ?, ?, ?, ?)",
        change, robot, settings.trim.value, settings.level.value, settings.answer);
    return change;
  });
}

Result<std::vector<KeptSettings>> Record::settings_of(RecordId robot) const {
  RUNTRUE_TRY(const Robot there, this->robot(robot));
  return store_->read([&]() -> Result<std::vector<KeptSettings>> {
    std::vector<KeptSettings> kept;
    auto rows = store_->statement(
        "SELECT c.at, c.who, k.trim, k.level, k.answer FROM kept_settings k "
        "JOIN changes c ON c.number = k.change WHERE k.robot_id = ? AND c.taken_back = 0 "
        "ORDER BY k.change DESC",
        robot);
    while (rows.executeStep()) {
      kept.push_back({rows.getColumn(0).getString(), rows.getColumn(1).getString(),
                      Trim{rows.getColumn(2).getInt()}, Level{rows.getColumn(3).getInt()},
                      rows.getColumn(4).getString()});
    }
    return kept;
  });
}

}  // namespace runtrue
