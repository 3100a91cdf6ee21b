// The record of a set: robots, runs, settings, tables and move lists in one SQLite file, with the
// history of every change.
//
// Nothing is overwritten or deleted. A description that changes gets a new version; a run is left
// out by a change that can itself be taken back; taking back (undo) and bringing back (redo) are
// changes too. Every change has a number, a time, who made it, and one sentence. The state that is
// read is the newest version of everything that is not taken back.
//
// The record reads no clock: every change bears the time it is given. All writes are one
// transaction each and are on the disk (synchronous=FULL) when the call answers. Any number of
// threads may use one Record; several programs may open the same file. docs/formats/record.md
// describes the file.
//
// Errors of every call: kNotFound (no robot, run, table or list of that id), kConflict (already
// there, or changed in between), kBadInput (what was given), kEnvironment (disk full, no
// permission, in use by another program, not a record or damaged), in plain words.
#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "drive/robot.h"
#include "forecast/table.h"
#include "truing/run.h"
#include "units/result.h"

namespace runtrue {

// Ids and change numbers count from 1 and are never given twice.
using RecordId = std::int64_t;
using ChangeNumber = std::int64_t;

// When and by whom a change is made.
struct Stamp {
  std::string at;   // UTC, "2026-11-25T10:42:00Z"
  std::string who;  // may be empty
};

// Numbers stand in the file: never reuse one.
enum class ChangeKind {
  kSetNamed = 1,
  kRobotAdded = 2,
  kRobotChanged = 3,
  kRunAdded = 4,
  kRunsImported = 5,
  kRunLeftOut = 6,
  kRunUsedAgain = 7,
  kSettingsKept = 8,
  kTableAdded = 9,
  kTableChanged = 10,
  kListAdded = 11,
  kListChanged = 12,
  kTakenBack = 13,
  kBroughtBack = 14,
};

struct Change {
  ChangeNumber number = 0;
  ChangeKind kind = ChangeKind::kSetNamed;
  std::string at;
  std::string who;
  std::string sentence;  // "a run for Dunlin"
  std::optional<RecordId> robot_id, table_id, list_id;
  std::optional<ChangeNumber> target;  // of kTakenBack and kBroughtBack
  bool taken_back = false;             // now
};

// What is taken back or brought back next, as a person reads it: "the run of 10:42 for Dunlin".
[[nodiscard]] std::string named(const Change& change);

// What a change that makes something answers.
struct Added {
  ChangeNumber change = 0;
  RecordId id = 0;
  bool was_there = false;  // the same key came before: nothing was added, this is what it made then
};

struct RobotLine {
  RecordId id = 0;
  std::string name;
  int run_count = 0;        // runs not taken back, left out or not
  int left_out_count = 0;   // of these
  std::string last_run_at;  // "" without runs
  ChangeNumber last_change =
      0;  // newest change that touched this robot, undo included: a cache key
  std::optional<int> kept_trim;  // trim of the settings kept last
};

struct NamedId {
  RecordId id = 0;
  std::string name;
};

struct SetOverview {
  std::string name;                 // "" before it is given one
  std::vector<RobotLine> robots;    // by name
  std::vector<NamedId> tables;      // by name
  std::vector<NamedId> move_lists;  // by name
  ChangeNumber last_change = 0;     // 0 in an empty record
  std::optional<Change> undo;       // what undo would take back
  std::optional<Change> redo;       // what redo would bring back
};

struct KeptRun {
  RecordId id = 0;
  RecordId robot_id = 0;
  ChangeNumber change = 0;
  std::string at;
  std::string who;
  Run run;  // row: the number of the run within its robot, from 1; left_out as it is now
};

struct KeptSettings {
  std::string at;
  std::string who;
  Trim trim;
  Level level;
  std::string answer;  // JSON text of what `runtrue settings --json` answered then
};

struct KeptList {
  RecordId id = 0;
  std::string name;
  std::string text;  // as written, with faults if it has some
};

// One version of a thing in its history, newest first; those taken back are said to be.
template <class T>
struct Version {
  Change change;
  T content;
};

struct RecordOptions {
  int busy_timeout_ms = 3000;   // how long to wait while another program writes, 0..60000
  bool must_exist = false;      // kNotFound instead of a new record where there is none
  std::int64_t most_pages = 0;  // of 4096 bytes; 0: no limit. A file that would grow beyond it is
                                // told as a full disk
};

class Record {
 public:
  class Store;  // the open file; internal/store.h

  // Opens the record at `path`, makes it where it is not there, and brings an older schema up to
  // date (in one transaction). Errors: see above; a file that a newer version wrote is left alone
  // (kEnvironment), as is a file that is no record.
  [[nodiscard]] static Result<Record> open(const std::string& path,
                                           const RecordOptions& options = {});

  Record(Record&&) noexcept;
  Record& operator=(Record&&) noexcept;
  ~Record();

  // --- the set ---
  [[nodiscard]] Result<SetOverview> overview() const;
  [[nodiscard]] Result<ChangeNumber> name_set(std::string_view name, const Stamp& stamp);

  // --- robots; names are unique within the set ---
  [[nodiscard]] Result<Added> add_robot(const Robot& robot, const Stamp& stamp);
  // `based_on`: the change the editor saw last for this robot; a newer description is a conflict.
  [[nodiscard]] Result<ChangeNumber> change_robot(RecordId robot, const Robot& description,
                                                  const Stamp& stamp,
                                                  std::optional<ChangeNumber> based_on = {});
  [[nodiscard]] Result<Robot> robot(RecordId robot) const;
  [[nodiscard]] Result<RecordId> robot_named(std::string_view name) const;
  [[nodiscard]] Result<std::vector<Version<Robot>>> robot_history(RecordId robot) const;

  // --- runs: each must pass check_run for its robot ---
  // `key`: random text of the client, or "" for none. The same key again adds nothing and answers
  // what it made, also where that has been taken back since; for another robot it is a conflict.
  [[nodiscard]] Result<Added> add_run(RecordId robot, const Run& run, std::string_view key,
                                      const Stamp& stamp);
  // All or none, as one change; answers the change and the id of the first run (0 for no runs,
  // which change nothing).
  [[nodiscard]] Result<Added> import_runs(RecordId robot, std::span<const Run> runs,
                                          const Stamp& stamp);
  // In the order they were added, left-out ones included, those taken back not.
  [[nodiscard]] Result<std::vector<KeptRun>> runs_of(RecordId robot) const;
  [[nodiscard]] Result<KeptRun> run(RecordId run) const;
  // Nothing changes (and change is 0) where it is so already.
  [[nodiscard]] Result<ChangeNumber> leave_out(RecordId run, bool left_out, const Stamp& stamp);

  // --- settings a robot was loaded with; at and who of `settings` are passed over for the stamp
  // ---
  [[nodiscard]] Result<ChangeNumber> keep_settings(RecordId robot, const KeptSettings& settings,
                                                   const Stamp& stamp);
  [[nodiscard]] Result<std::vector<KeptSettings>> settings_of(
      RecordId robot) const;  // newest first

  // --- tables and move lists; names are unique among tables and among lists ---
  [[nodiscard]] Result<Added> add_table(const Table& table, const Stamp& stamp);
  [[nodiscard]] Result<ChangeNumber> change_table(RecordId table, const Table& description,
                                                  const Stamp& stamp,
                                                  std::optional<ChangeNumber> based_on = {});
  [[nodiscard]] Result<Table> table(RecordId table) const;
  [[nodiscard]] Result<std::vector<Version<Table>>> table_history(RecordId table) const;
  [[nodiscard]] Result<Added> add_list(std::string_view name, std::string_view text,
                                       const Stamp& stamp);
  [[nodiscard]] Result<ChangeNumber> change_list(RecordId list, std::string_view name,
                                                 std::string_view text, const Stamp& stamp,
                                                 std::optional<ChangeNumber> based_on = {});
  [[nodiscard]] Result<KeptList> list(RecordId list) const;
  [[nodiscard]] Result<std::vector<Version<KeptList>>> list_history(RecordId list) const;

  // --- changes ---
  // Takes back the newest change that is not taken back; kConflict where there is none, or where it
  // is not `expected`. Answers the new change; its target is what was taken back.
  [[nodiscard]] Result<Change> undo(const Stamp& stamp, std::optional<ChangeNumber> expected = {});
  // Brings back what was taken back last, as long as nothing else was changed since; else
  // kConflict.
  [[nodiscard]] Result<Change> redo(const Stamp& stamp);
  [[nodiscard]] Result<Change> change(ChangeNumber number) const;
  // Those with a number above `after`, oldest first, at most `most`.
  [[nodiscard]] Result<std::vector<Change>> changes_since(ChangeNumber after,
                                                          int most = 1000) const;

  // --- whole ---
  // The whole history as one JSON document; importing it into an empty record and exporting again
  // gives the identical text.
  [[nodiscard]] Result<std::string> export_set() const;
  // Into an empty record only (else kConflict), all or nothing; errors in the text bear line and
  // column.
  [[nodiscard]] Result<void> import_set(std::string_view text, std::string_view file_name);
  // A consistent copy while others go on writing; kConflict where `path` is there already. The copy
  // takes its name only when it is whole.
  [[nodiscard]] Result<void> back_up(const std::string& path) const;

 private:
  explicit Record(std::unique_ptr<Store> store);
  std::unique_ptr<Store> store_;
};

}  // namespace runtrue
