#include "record/record.h"

#include <utility>

#include "files/robot_json.h"
#include "record/internal/store.h"

namespace runtrue {
namespace {

// The newest description of a robot that is not taken back.
constexpr const char* kRobotNow =
    "SELECT v.document FROM robot_versions v JOIN changes c ON c.number = v.change "
    "WHERE v.robot_id = ? AND c.taken_back = 0 ORDER BY v.change DESC LIMIT 1";

constexpr const char* kNameTaken =
    "SELECT v.robot_id FROM robot_versions v JOIN changes c ON c.number = v.change "
    "WHERE c.taken_back = 0 AND v.name = ? AND v.robot_id <> ? AND v.change = "
    "(SELECT max(w.change) FROM robot_versions w JOIN changes d ON d.number = w.change "
    " WHERE w.robot_id = v.robot_id AND d.taken_back = 0)";

}  // namespace

Record::Record(std::unique_ptr<Store> store) : store_(std::move(store)) {}
Record::Record(Record&&) noexcept = default;
Record& Record::operator=(Record&&) noexcept = default;
Record::~Record() = default;

Result<Record> Record::open(const std::string& path, const RecordOptions& options) {
  RUNTRUE_TRY(auto store, Store::open(path, options));
  return Record(std::move(store));
}

Result<SetOverview> Record::overview() const {
  return store_->read([&]() -> Result<SetOverview> {
    SetOverview set;
    set.name = store_
                   ->text(
                       "SELECT n.name FROM set_names n JOIN changes c ON c.number = n.change "
                       "WHERE c.taken_back = 0 ORDER BY n.change DESC LIMIT 1")
                   .value_or("");
    set.last_change = store_->number("SELECT max(number) FROM changes").value_or(0);
    auto robots = store_->statement(
        "SELECT v.robot_id, v.name, "
        " (SELECT count(*) FROM runs r JOIN changes d ON d.number = r.change "
        "   WHERE r.robot_id = v.robot_id AND d.taken_back = 0), "
        " (SELECT count(*) FROM runs r JOIN changes d ON d.number = r.change "
        "   WHERE r.robot_id = v.robot_id AND d.taken_back = 0 AND coalesce("
        "     (SELECT m.left_out FROM run_marks m JOIN changes e ON e.number = m.change "
        "      WHERE m.run_id = r.id AND e.taken_back = 0 ORDER BY m.change DESC LIMIT 1), "
        "     r.left_out) = 1), "
        " (SELECT d.at FROM runs r JOIN changes d ON d.number = r.change "
        "   WHERE r.robot_id = v.robot_id AND d.taken_back = 0 ORDER BY r.ordinal DESC LIMIT 1), "
        " (SELECT max(d.number) FROM changes d WHERE d.robot_id = v.robot_id), "
        " (SELECT k.trim FROM kept_settings k JOIN changes d ON d.number = k.change "
        "   WHERE k.robot_id = v.robot_id AND d.taken_back = 0 ORDER BY k.change DESC LIMIT 1) "
        "FROM robot_versions v WHERE v.change = (SELECT max(w.change) FROM robot_versions w "
        "  JOIN changes d ON d.number = w.change WHERE w.robot_id = v.robot_id "
        "  AND d.taken_back = 0) ORDER BY v.name");
    while (robots.executeStep()) {
      RobotLine line;
      line.id = robots.getColumn(0).getInt64();
      line.name = robots.getColumn(1).getString();
      line.run_count = robots.getColumn(2).getInt();
      line.left_out_count = robots.getColumn(3).getInt();
      line.last_run_at = robots.getColumn(4).getString();
      line.last_change = robots.getColumn(5).getInt64();
      if (!robots.getColumn(6).isNull()) line.kept_trim = robots.getColumn(6).getInt();
      set.robots.push_back(std::move(line));
    }
    const auto named_in = [&](const char* sql, std::vector<NamedId>& names) {
      auto rows = store_->statement(sql);
      while (rows.executeStep())
        names.push_back({rows.getColumn(0).getInt64(), rows.getColumn(1).getString()});
    };
    named_in(
        "SELECT v.table_id, v.name FROM table_versions v WHERE v.change = "
        "(SELECT max(w.change) FROM table_versions w JOIN changes d ON d.number = w.change "
        " WHERE w.table_id = v.table_id AND d.taken_back = 0) ORDER BY v.name",
        set.tables);
    named_in(
        "SELECT v.list_id, v.name FROM list_versions v WHERE v.change = "
        "(SELECT max(w.change) FROM list_versions w JOIN changes d ON d.number = w.change "
        " WHERE w.list_id = v.list_id AND d.taken_back = 0) ORDER BY v.name",
        set.move_lists);
    set.undo = next_undo(*store_);
    set.redo = next_redo(*store_);
    return set;
  });
}

Result<ChangeNumber> Record::name_set(std::string_view name, const Stamp& stamp) {
  if (name.empty()) return bad_input("the set's name is empty, expected a name");
  return store_->write([&]() -> Result<ChangeNumber> {
    const ChangeNumber change =
        store_->add_change(ChangeKind::kSetNamed, stamp, "a name for the set", {});
    store_->run("INSERT INTO set_names(change, name) VALUES (?, ?)", change, name);
    return change;
  });
}

Result<Added> Record::add_robot(const Robot& robot, const Stamp& stamp) {
  if (auto r = check_robot(robot); !r) return tl::unexpected(r.error());
  return store_->write([&]() -> Result<Added> {
    if (store_->number(kNameTaken, robot.name, 0)) {
      return failure(ErrorKind::kConflict,
                     fmt::format("there is a robot {} already, expected another name", robot.name));
    }
    const RecordId id = store_->number("SELECT max(robot_id) FROM robot_versions").value_or(0) + 1;
    const ChangeNumber change =
        store_->add_change(ChangeKind::kRobotAdded, stamp,
                           fmt::format("an entry for {}", robot.name), {.robot_id = id});
    store_->run("INSERT INTO robot_versions(change, robot_id, name, document) VALUES (?, ?, ?, ?)",
                change, id, robot.name, robot_document(robot).dump());
    return Added{change, id, false};
  });
}

Result<ChangeNumber> Record::change_robot(RecordId robot, const Robot& description,
                                          const Stamp& stamp,
                                          std::optional<ChangeNumber> based_on) {
  if (auto r = check_robot(description); !r) return tl::unexpected(r.error());
  return store_->write([&]() -> Result<ChangeNumber> {
    if (!store_->text(kRobotNow, robot)) return not_found("robot", robot);
    const auto newest = store_->number(
        "SELECT max(v.change) FROM robot_versions v JOIN changes c ON c.number = v.change "
        "WHERE v.robot_id = ? AND c.taken_back = 0",
        robot);
    if (based_on && newest > based_on) {
      return failure(ErrorKind::kConflict,
                     fmt::format("someone else changed {} in between, expected the description of "
                                 "change {}; look at it again",
                                 description.name, *newest));
    }
    if (store_->number(kNameTaken, description.name, robot)) {
      return failure(
          ErrorKind::kConflict,
          fmt::format("there is a robot {} already, expected another name", description.name));
    }
    const ChangeNumber change =
        store_->add_change(ChangeKind::kRobotChanged, stamp,
                           fmt::format("a change to {}", description.name), {.robot_id = robot});
    store_->run("INSERT INTO robot_versions(change, robot_id, name, document) VALUES (?, ?, ?, ?)",
                change, robot, description.name, robot_document(description).dump());
    return change;
  });
}

Result<Robot> Record::robot(RecordId robot) const {
  return store_->read([&]() -> Result<Robot> {
    const auto document = store_->text(kRobotNow, robot);
    if (!document) return not_found("robot", robot);
    return read_robot(*document, store_->path());
  });
}

Result<RecordId> Record::robot_named(std::string_view name) const {
  return store_->read([&]() -> Result<RecordId> {
    const auto id = store_->number(kNameTaken, name, 0);
    if (!id) {
      return failure(ErrorKind::kNotFound,
                     fmt::format("there is no robot {}, expected one of the record", name));
    }
    return *id;
  });
}

Result<std::vector<Version<Robot>>> Record::robot_history(RecordId robot) const {
  return store_->read([&]() -> Result<std::vector<Version<Robot>>> {
    std::vector<Version<Robot>> history;
    const std::string sql = std::string("SELECT") + kChangeColumns +
                            ", v.document FROM robot_versions v JOIN changes c ON c.number = "
                            "v.change WHERE v.robot_id = ? ORDER BY v.change DESC";
    auto rows = store_->statement(sql.c_str(), robot);
    while (rows.executeStep()) {
      RUNTRUE_TRY(Robot one, read_robot(rows.getColumn(10).getString(), store_->path()));
      history.push_back({change_in(rows), std::move(one)});
    }
    if (history.empty()) return not_found("robot", robot);
    return history;
  });
}

}  // namespace runtrue
