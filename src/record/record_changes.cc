// Taking back, bringing back, and the list of changes.
#include <algorithm>
#include <utility>

#include "record/internal/store.h"
#include "record/record.h"

namespace runtrue {
namespace {

std::optional<Change> first_change(Record::Store& store, const std::string& where) {
  const std::string sql =
      std::string("SELECT") + kChangeColumns + "FROM changes c " + where + " LIMIT 1";
  auto row = store.statement(sql.c_str());
  if (!row.executeStep()) return std::nullopt;
  return change_in(row);
}

// kTakenBack and kBroughtBack move other changes; the rest make something.
constexpr const char* kMakes = "c.kind NOT IN (13, 14)";

// Writes that `target` is taken back (or brought back) as a change of its own.
Change move_change(Record::Store& store, const Change& target, ChangeKind kind,
                   const Stamp& stamp) {
  const bool back = kind == ChangeKind::kTakenBack;
  Change change;
  change.kind = kind;
  change.at = stamp.at;
  change.who = stamp.who;
  change.sentence = (back ? "taken back: " : "brought back: ") + named(target);
  change.robot_id = target.robot_id;
  change.table_id = target.table_id;
  change.list_id = target.list_id;
  change.target = target.number;
  change.number =
      store.add_change(kind, stamp, change.sentence,
                       {change.robot_id, change.table_id, change.list_id, change.target});
  store.run("UPDATE changes SET taken_back = ? WHERE number = ?", back ? 1 : 0, target.number);
  return change;
}

}  // namespace

std::optional<Change> next_undo(Record::Store& store) {
  return first_change(
      store, std::string("WHERE c.taken_back = 0 AND ") + kMakes + " ORDER BY c.number DESC");
}

std::optional<Change> next_redo(Record::Store& store) {
  // The change taken back last, unless something was made since.
  return first_change(
      store,
      "JOIN changes t ON t.target = c.number AND t.kind = 13 "
      "WHERE c.taken_back = 1 "
      "AND t.number = (SELECT max(u.number) FROM changes u WHERE u.target = c.number) "
      "AND t.number > (SELECT coalesce(max(c.number), 0) FROM changes c "
      "  WHERE c.kind NOT IN (13, 14)) "
      "ORDER BY t.number DESC");
}

std::string named(const Change& change) {
  // "a run for Dunlin" becomes "the run of 10:42 for Dunlin".
  const std::string& sentence = change.sentence;
  const auto article = sentence.find(' ');
  const auto noun_end = sentence.find(' ', article + 1);
  const std::string clock = change.at.size() >= 16 ? change.at.substr(11, 5) : change.at;
  if (article == std::string::npos) return sentence;
  const std::string noun = sentence.substr(article + 1, noun_end - article - 1);
  const std::string rest = noun_end == std::string::npos ? "" : sentence.substr(noun_end);
  return "the " + noun + " of " + clock + rest;
}

Result<Change> Record::undo(const Stamp& stamp, std::optional<ChangeNumber> expected) {
  return store_->write([&]() -> Result<Change> {
    const auto target = next_undo(*store_);
    if (!target) {
      return failure(ErrorKind::kConflict, "there is nothing to take back, expected a change");
    }
    if (expected && target->number != *expected) {
      return failure(ErrorKind::kConflict,
                     fmt::format("something was changed in between, expected to take back change "
                                 "{} but the newest is {}; look again",
                                 *expected, target->number));
    }
    return move_change(*store_, *target, ChangeKind::kTakenBack, stamp);
  });
}

Result<Change> Record::redo(const Stamp& stamp) {
  return store_->write([&]() -> Result<Change> {
    const auto target = next_redo(*store_);
    if (!target) {
      return failure(ErrorKind::kConflict,
                     "there is nothing to bring back, expected a change that was taken back last");
    }
    return move_change(*store_, *target, ChangeKind::kBroughtBack, stamp);
  });
}

Result<Change> Record::change(ChangeNumber number) const {
  return store_->read([&]() -> Result<Change> {
    const auto found = first_change(*store_, fmt::format("WHERE c.number = {}", number));
    if (!found) return not_found("change", number);
    return *found;
  });
}

Result<std::vector<Change>> Record::changes_since(ChangeNumber after, int most) const {
  return store_->read([&]() -> Result<std::vector<Change>> {
    const std::string sql = std::string("SELECT") + kChangeColumns +
                            "FROM changes c WHERE c.number > ? ORDER BY c.number LIMIT ?";
    auto rows = store_->statement(sql.c_str(), after, std::max(most, 0));
    std::vector<Change> changes;
    while (rows.executeStep()) changes.push_back(change_in(rows));
    return changes;
  });
}

}  // namespace runtrue
