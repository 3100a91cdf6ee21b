// Tables and move lists.
#include <utility>

#include "files/table_json.h"
#include "record/internal/store.h"
#include "record/record.h"

namespace runtrue {
namespace {

// Tables and lists are kept alike; only words and columns differ.
struct Shelf {
  const char* noun;
  const char* now;         // newest name and content by id
  const char* newest;      // its change
  const char* name_taken;  // id of the one of that name, other than ...
  const char* most_id;
  const char* insert;
  ChangeKind added, changed;
  bool is_table;
};

constexpr Shelf kTables{
    "table",
    "SELECT v.name, v.document FROM table_versions v JOIN changes c ON c.number = v.change "
    "WHERE v.table_id = ? AND c.taken_back = 0 ORDER BY v.change DESC LIMIT 1",
    "SELECT max(v.change) FROM table_versions v JOIN changes c ON c.number = v.change "
    "WHERE v.table_id = ? AND c.taken_back = 0",
    "SELECT v.table_id FROM table_versions v WHERE v.name = ? AND v.table_id <> ? AND v.change = "
    "(SELECT max(w.change) FROM table_versions w JOIN changes d ON d.number = w.change "
    " WHERE w.table_id = v.table_id AND d.taken_back = 0)",
    "SELECT max(table_id) FROM table_versions",
    "INSERT INTO table_versions(change, table_id, name, document) VALUES (?, ?, ?, ?)",
    ChangeKind::kTableAdded,
    ChangeKind::kTableChanged,
    true};

constexpr Shelf kLists{
    "list",
    "SELECT v.name, v.text FROM list_versions v JOIN changes c ON c.number = v.change "
    "WHERE v.list_id = ? AND c.taken_back = 0 ORDER BY v.change DESC LIMIT 1",
    "SELECT max(v.change) FROM list_versions v JOIN changes c ON c.number = v.change "
    "WHERE v.list_id = ? AND c.taken_back = 0",
    "SELECT v.list_id FROM list_versions v WHERE v.name = ? AND v.list_id <> ? AND v.change = "
    "(SELECT max(w.change) FROM list_versions w JOIN changes d ON d.number = w.change "
    " WHERE w.list_id = v.list_id AND d.taken_back = 0)",
    "SELECT max(list_id) FROM list_versions",
    "INSERT INTO list_versions(change, list_id, name, text) VALUES (?, ?, ?, ?)",
    ChangeKind::kListAdded,
    ChangeKind::kListChanged,
    false};

Record::Store::About about(const Shelf& shelf, RecordId id) {
  Record::Store::About answer;
  (shelf.is_table ? answer.table_id : answer.list_id) = id;
  return answer;
}

Result<void> free_name(Record::Store& store, const Shelf& shelf, std::string_view name,
                       RecordId own) {
  if (name.empty())
    return bad_input(fmt::format("the {}'s name is empty, expected a name", shelf.noun));
  if (store.number(shelf.name_taken, name, own)) {
    return failure(ErrorKind::kConflict, fmt::format("there is a {} {} already, expected another "
                                                     "name",
                                                     shelf.noun, name));
  }
  return {};
}

Result<Added> add_to(Record::Store& store, const Shelf& shelf, std::string_view name,
                     const std::string& content, const Stamp& stamp) {
  return store.write([&]() -> Result<Added> {
    if (auto r = free_name(store, shelf, name, 0); !r) return tl::unexpected(r.error());
    const RecordId id = store.number(shelf.most_id).value_or(0) + 1;
    const ChangeNumber change =
        store.add_change(shelf.added, stamp,
                         fmt::format("an entry for the {} {}", shelf.noun, name), about(shelf, id));
    store.run(shelf.insert, change, id, name, content);
    return Added{change, id, false};
  });
}

Result<ChangeNumber> change_on(Record::Store& store, const Shelf& shelf, RecordId id,
                               std::string_view name, const std::string& content,
                               const Stamp& stamp, std::optional<ChangeNumber> based_on) {
  return store.write([&]() -> Result<ChangeNumber> {
    const auto newest = store.number(shelf.newest, id);
    if (!newest) return not_found(shelf.noun, id);
    if (based_on && *newest > *based_on) {
      return failure(ErrorKind::kConflict,
                     fmt::format("someone else changed the {} {} in between, expected it as of "
                                 "change {}; look at it again",
                                 shelf.noun, name, *newest));
    }
    if (auto r = free_name(store, shelf, name, id); !r) return tl::unexpected(r.error());
    const ChangeNumber change =
        store.add_change(shelf.changed, stamp,
                         fmt::format("a change to the {} {}", shelf.noun, name), about(shelf, id));
    store.run(shelf.insert, change, id, name, content);
    return change;
  });
}

}  // namespace

Result<Added> Record::add_table(const Table& table, const Stamp& stamp) {
  if (auto r = check_table(table); !r) return tl::unexpected(r.error());
  return add_to(*store_, kTables, table.name, table_document(table).dump(), stamp);
}

Result<ChangeNumber> Record::change_table(RecordId table, const Table& description,
                                          const Stamp& stamp,
                                          std::optional<ChangeNumber> based_on) {
  if (auto r = check_table(description); !r) return tl::unexpected(r.error());
  return change_on(*store_, kTables, table, description.name, table_document(description).dump(),
                   stamp, based_on);
}

Result<Table> Record::table(RecordId table) const {
  return store_->read([&]() -> Result<Table> {
    auto row = store_->statement(kTables.now, table);
    if (!row.executeStep()) return not_found("table", table);
    return read_table(row.getColumn(1).getString(), store_->path());
  });
}

Result<std::vector<Version<Table>>> Record::table_history(RecordId table) const {
  return store_->read([&]() -> Result<std::vector<Version<Table>>> {
    std::vector<Version<Table>> history;
    const std::string sql = std::string("SELECT") + kChangeColumns +
                            ", v.document FROM table_versions v JOIN changes c ON c.number = "
                            "v.change WHERE v.table_id = ? ORDER BY v.change DESC";
    auto rows = store_->statement(sql.c_str(), table);
    while (rows.executeStep()) {
      RUNTRUE_TRY(Table one, read_table(rows.getColumn(10).getString(), store_->path()));
      history.push_back({change_in(rows), std::move(one)});
    }
    if (history.empty()) return not_found("table", table);
    return history;
  });
}

Result<Added> Record::add_list(std::string_view name, std::string_view text, const Stamp& stamp) {
  return add_to(*store_, kLists, name, std::string(text), stamp);
}

Result<ChangeNumber> Record::change_list(RecordId list, std::string_view name,
                                         std::string_view text, const Stamp& stamp,
                                         std::optional<ChangeNumber> based_on) {
  return change_on(*store_, kLists, list, name, std::string(text), stamp, based_on);
}

Result<KeptList> Record::list(RecordId list) const {
  return store_->read([&]() -> Result<KeptList> {
    auto row = store_->statement(kLists.now, list);
    if (!row.executeStep()) return not_found("list", list);
    return KeptList{list, row.getColumn(0).getString(), row.getColumn(1).getString()};
  });
}

Result<std::vector<Version<KeptList>>> Record::list_history(RecordId list) const {
  return store_->read([&]() -> Result<std::vector<Version<KeptList>>> {
    std::vector<Version<KeptList>> history;
    const std::string sql = std::string("SELECT") + kChangeColumns +
                            ", v.name, v.text FROM list_versions v JOIN changes c ON c.number = "
                            "v.change WHERE v.list_id = ? ORDER BY v.change DESC";
    auto rows = store_->statement(sql.c_str(), list);
    while (rows.executeStep()) {
      history.push_back({change_in(rows),
                         {list, rows.getColumn(10).getString(), rows.getColumn(11).getString()}});
    }
    if (history.empty()) return not_found("list", list);
    return history;
  });
}

}  // namespace runtrue
