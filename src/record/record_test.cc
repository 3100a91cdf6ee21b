#include "record/record.h"

#include <SQLiteCpp/SQLiteCpp.h>
#include <fcntl.h>
#include <gtest/gtest.h>
#include <sys/wait.h>
#include <unistd.h>

#include <chrono>
#include <csignal>
#include <filesystem>
#include <fstream>
#include <functional>
#include <random>
#include <string>
#include <thread>
#include <vector>

namespace runtrue {
namespace {

using Drive = Run;  // within a test, `Run` is the test's own member

const Stamp kNow{"2026-11-25T10:42:00Z", "Ida"};

class RecordFile : public testing::Test {
 protected:
  void SetUp() override {
    folder_ = std::filesystem::temp_directory_path() /
              ("runtrue_record_" + std::to_string(::getpid()) + "_" +
               testing::UnitTest::GetInstance()->current_test_info()->name());
    std::filesystem::create_directories(folder_);
  }
  void TearDown() override { std::filesystem::remove_all(folder_); }

  [[nodiscard]] std::string path(const std::string& name = "set.sqlite") const {
    return (folder_ / name).string();
  }
  [[nodiscard]] Record open(const RecordOptions& options = {}) const {
    auto record = Record::open(path(), options);
    EXPECT_TRUE(record) << record.error().one_line();
    return std::move(*record);
  }

 private:
  std::filesystem::path folder_;
};

Robot bird(const std::string& name) { return default_robot(name, Length::from_mm(140)); }

Drive straight(int trim, double sideways) {
  Drive run;
  run.level = Level{128};
  run.trim = Trim{trim};
  run.end = LineReading{Length::from_mm(1400), Length::from_mm(sideways)};
  return run;
}

Table trestle() {
  Table table;
  table.name = "trestle";
  for (const auto& [x, y] : {std::pair{0, 0}, {1520, 0}, {1520, 760}, {0, 760}})
    table.edge.push_back({Length::from_mm(x), Length::from_mm(y)});
  return table;
}

TEST_F(RecordFile, WhatIsAdded_IsThereAfterClosingAndOpening) {
  RecordId id = 0;
  {
    Record record = open();
    ASSERT_TRUE(record.name_set("Library club", kNow));
    id = record.add_robot(bird("Dunlin"), kNow)->id;
    ASSERT_TRUE(record.add_run(id, straight(3, -34.5), "k1", kNow));
    ASSERT_TRUE(record.add_table(trestle(), kNow));
    ASSERT_TRUE(record.add_list("flower", "drive 300 mm\n", kNow));
    ASSERT_TRUE(record.keep_settings(id, {"", "", Trim{3}, Level{128}, "{}"}, kNow));
  }
  const Record record = open({.must_exist = true});
  const SetOverview set = *record.overview();
  EXPECT_EQ(set.name, "Library club");
  ASSERT_EQ(set.robots.size(), 1U);
  EXPECT_EQ(set.robots[0].name, "Dunlin");
  EXPECT_EQ(set.robots[0].run_count, 1);
  EXPECT_EQ(set.robots[0].last_run_at, kNow.at);
  EXPECT_EQ(set.robots[0].kept_trim, 3);
  EXPECT_EQ(set.tables.size(), 1U);
  EXPECT_EQ(set.move_lists.size(), 1U);
  const auto runs = *record.runs_of(id);
  ASSERT_EQ(runs.size(), 1U);
  EXPECT_EQ(runs[0].run.end->sideways.mm(), -34.5);
  EXPECT_EQ(runs[0].run.row, 1);
  EXPECT_EQ(runs[0].who, "Ida");
}

TEST_F(RecordFile, TheSameKey_AddsNothingAndAnswersTheSame) {
  Record record = open();
  const RecordId dunlin = record.add_robot(bird("Dunlin"), kNow)->id;
  const RecordId knot = record.add_robot(bird("Knot"), kNow)->id;
  const Added first = *record.add_run(dunlin, straight(0, 5), "key", kNow);
  const Added again = *record.add_run(dunlin, straight(0, 5), "key", kNow);
  EXPECT_TRUE(again.was_there);
  EXPECT_EQ(again.id, first.id);
  EXPECT_EQ(record.runs_of(dunlin)->size(), 1U);
  const auto other = record.add_run(knot, straight(0, 5), "key", kNow);
  ASSERT_FALSE(other);
  EXPECT_EQ(other.error().kind, ErrorKind::kConflict);
}

TEST_F(RecordFile, ARunThatCannotBeUsed_IsRefusedAndNothingIsKept) {
  Record record = open();
  const RecordId id = record.add_robot(bird("Dunlin"), kNow)->id;
  EXPECT_FALSE(record.add_run(id, straight(99, 5), "", kNow));
  std::vector<Drive> runs{straight(0, 5), straight(99, 5)};
  runs[1].row = 3;
  const auto imported = record.import_runs(id, runs, kNow);
  ASSERT_FALSE(imported);
  EXPECT_EQ(imported.error().place.line, 3);
  EXPECT_EQ(record.runs_of(id)->size(), 0U);
}

TEST_F(RecordFile, UnknownIdsAndTakenNames_AreTold) {
  Record record = open();
  EXPECT_EQ(record.robot(7).error().kind, ErrorKind::kNotFound);
  EXPECT_EQ(record.run(7).error().kind, ErrorKind::kNotFound);
  EXPECT_EQ(record.table(7).error().kind, ErrorKind::kNotFound);
  EXPECT_EQ(record.list(7).error().kind, ErrorKind::kNotFound);
  EXPECT_EQ(record.change(7).error().kind, ErrorKind::kNotFound);
  const RecordId id = record.add_robot(bird("Dunlin"), kNow)->id;
  EXPECT_EQ(record.add_robot(bird("Dunlin"), kNow).error().kind, ErrorKind::kConflict);
  ASSERT_TRUE(record.add_list("flower", "", kNow));
  EXPECT_EQ(record.add_list("flower", "", kNow).error().kind, ErrorKind::kConflict);
  EXPECT_EQ(*record.robot_named("Dunlin"), id);
  EXPECT_EQ(record.robot_named("Ruff").error().kind, ErrorKind::kNotFound);
}

TEST_F(RecordFile, AChangeBasedOnAnOlderDescription_IsAConflict) {
  Record record = open();
  const Added added = *record.add_robot(bird("Dunlin"), kNow);
  Robot wider = bird("Dunlin");
  wider.track_width = Length::from_mm(150);
  ASSERT_TRUE(record.change_robot(added.id, wider, kNow, added.change));
  const auto late = record.change_robot(added.id, bird("Dunlin"), kNow, added.change);
  ASSERT_FALSE(late);
  EXPECT_EQ(late.error().kind, ErrorKind::kConflict);
  EXPECT_EQ(record.robot(added.id)->track_width.mm(), 150.0);
  EXPECT_EQ(record.robot_history(added.id)->size(), 2U);
}

// Every kind of change, taken back and brought back: the export before tells the state.
TEST_F(RecordFile, EveryKindOfChange_CanBeTakenBackAndBroughtBack) {
  Record record = open();
  const RecordId robot = record.add_robot(bird("Dunlin"), kNow)->id;
  const RecordId run = record.add_run(robot, straight(0, 5), "", kNow)->id;
  const RecordId table = record.add_table(trestle(), kNow)->id;
  const RecordId list = record.add_list("flower", "drive 1 m\n", kNow)->id;
  Robot renamed = bird("Ruff");
  Table walled = trestle();
  walled.walled = true;
  const std::vector<Drive> two{straight(1, 3), straight(2, 1)};
  const auto state = [&]() {
    const SetOverview set = *record.overview();
    std::string text = set.name + "|";
    for (const auto& r : set.robots) {
      text += r.name + std::to_string(r.run_count) + "/" + std::to_string(r.left_out_count) +
              r.last_run_at + std::to_string(r.kept_trim.value_or(-99)) + "|";
    }
    for (const auto& t : set.tables)
      text += t.name + std::to_string(record.table(t.id)->walled) + "|";
    for (const auto& l : set.move_lists) text += l.name + record.list(l.id)->text + "|";
    return text;
  };
  const std::vector<std::function<bool()>> changes{
      [&] { return record.name_set("Library club", kNow).has_value(); },
      [&] { return record.add_robot(bird("Knot"), kNow).has_value(); },
      [&] { return record.change_robot(robot, renamed, kNow).has_value(); },
      [&] { return record.add_run(robot, straight(4, 9), "", kNow).has_value(); },
      [&] { return record.import_runs(robot, two, kNow).has_value(); },
      [&] { return record.leave_out(run, true, kNow).has_value(); },
      [&] { return record.leave_out(run, false, kNow).has_value(); },
      [&] {
        return record.keep_settings(robot, {"", "", Trim{3}, Level{128}, "{}"}, kNow).has_value();
      },
      [&] { return record.change_table(table, walled, kNow).has_value(); },
      [&] { return record.change_list(list, "petals", "turn left 90 deg\n", kNow).has_value(); },
  };
  for (std::size_t i = 0; i < changes.size(); ++i) {
    const std::string before = state();
    ASSERT_TRUE(changes[i]()) << i;
    const std::string after = state();
    EXPECT_NE(before, after) << i;
    ASSERT_TRUE(record.undo(kNow)) << i;
    EXPECT_EQ(state(), before) << i;
    ASSERT_TRUE(record.redo(kNow)) << i;
    EXPECT_EQ(state(), after) << i;
  }
  // And all of it, one after the other, down to nothing.
  int taken_back = 0;
  while (record.undo(kNow)) ++taken_back;
  EXPECT_EQ(taken_back, 4 + static_cast<int>(changes.size()));
  EXPECT_EQ(state(), "|");
  while (record.redo(kNow)) --taken_back;
  EXPECT_EQ(taken_back, 0);
}

TEST_F(RecordFile, WhatWouldBeTakenBack_IsNamedForAPerson) {
  Record record = open();
  const RecordId id = record.add_robot(bird("Dunlin"), kNow)->id;
  const Added run = *record.add_run(id, straight(0, 5), "", kNow);
  EXPECT_EQ(named(*record.overview()->undo), "the run of 10:42 for Dunlin");
  const auto wrong = record.undo(kNow, run.change - 1);
  ASSERT_FALSE(wrong);
  EXPECT_EQ(wrong.error().kind, ErrorKind::kConflict);
  EXPECT_EQ(record.undo(kNow)->target, run.change);
  ASSERT_TRUE(record.add_run(id, straight(0, 6), "", kNow));
  EXPECT_EQ(record.redo(kNow).error().kind, ErrorKind::kConflict);  // something was made since
}

TEST_F(RecordFile, ExportedImportedAndExportedAgain_IsTheSameText) {
  Record record = open();
  ASSERT_TRUE(record.name_set("Größe", kNow));
  const RecordId id = record.add_robot(bird("Dunlin"), kNow)->id;
  const RecordId run = record.add_run(id, straight(3, -34.1), "key \"1\"", kNow)->id;
  std::vector<Drive> two{straight(1, 1.0 / 3.0), straight(2, 1)};
  two[1].left_out = true;
  ASSERT_TRUE(record.import_runs(id, two, kNow));
  ASSERT_TRUE(record.leave_out(run, true, kNow));
  ASSERT_TRUE(record.keep_settings(id, {"", "", Trim{3}, Level{128}, "{\"trim\":3}"}, kNow));
  ASSERT_TRUE(record.add_table(trestle(), kNow));
  ASSERT_TRUE(record.add_list("flower", "part petal\n", kNow));
  ASSERT_TRUE(record.undo(kNow));
  const std::string text = *record.export_set();
  Record other = *Record::open(path("other.sqlite"));
  const auto imported = other.import_set(text, "set.json");
  ASSERT_TRUE(imported) << imported.error().one_line();
  EXPECT_EQ(*other.export_set(), text);
  EXPECT_EQ(other.overview()->robots[0].left_out_count, 2);
  EXPECT_EQ(other.import_set(text, "set.json").error().kind, ErrorKind::kConflict);
}

TEST_F(RecordFile, AnImportWithAFault_IsToldWithItsPlaceAndLeavesNothing) {
  for (const char* text :
       {"", "{}", "[1]", R"({"format": "runtrue-record", "version": 2, "changes": []})",
        R"({"format": "runtrue-record", "version": 1, "changes": [{"number": 2}]})",
        R"({"format": "runtrue-record", "version": 1, "changes": [
 {"number": 1, "kind": 4, "at": "", "who": "", "sentence": "a b", "robot_id": 1, "runs": [
  {"id": 1, "ordinal": 1, "run": {"kind": "straight", "level": 128, "trim": 0}},
  {"id": 1, "ordinal": 2, "run": {"kind": "straight", "level": 128, "trim": 0}}]}]})",
        R"({"format": "runtrue-record", "version": 1, "changes": [
 {"number": 1, "kind": 13, "at": "", "who": "", "sentence": "a b", "target": 1}]})"}) {
    Record record = open();
    const auto imported = record.import_set(text, "set.json");
    ASSERT_FALSE(imported) << text;
    EXPECT_EQ(imported.error().one_line().find("set.json:"), 0U) << imported.error().one_line();
    EXPECT_EQ(record.overview()->last_change, 0);
  }
}

TEST_F(RecordFile, ABackup_IsAWholeRecordAndNeverOverwrites) {
  Record record = open();
  ASSERT_TRUE(record.add_robot(bird("Dunlin"), kNow));
  ASSERT_TRUE(record.back_up(path("copy.sqlite")));
  EXPECT_EQ(Record::open(path("copy.sqlite"))->overview()->robots.size(), 1U);
  EXPECT_EQ(record.back_up(path("copy.sqlite")).error().kind, ErrorKind::kConflict);
  EXPECT_FALSE(record.back_up(path("no/such/folder.sqlite")));
}

TEST_F(RecordFile, AFullDisk_IsToldAndWhatWasThereStays) {
  Record record = open({.most_pages = 60});
  const RecordId id = record.add_robot(bird("Dunlin"), kNow)->id;
  Drive run = straight(0, 5);
  run.note = std::string(3000, 'x');
  std::size_t kept = 0;
  Result<Added> added = Added{};
  while ((added = record.add_run(id, run, "", kNow)) && kept < 1000) ++kept;
  ASSERT_FALSE(added);
  EXPECT_NE(added.error().message.find("disk is full"), std::string::npos);
  EXPECT_EQ(record.runs_of(id)->size(), kept);
}

TEST_F(RecordFile, WhileAnotherProgramWrites_TheWaitEndsWithAWord) {
  Record record = open({.busy_timeout_ms = 50});
  SQLite::Database other(path(), SQLite::OPEN_READWRITE);
  SQLite::Transaction held(other, SQLite::TransactionBehavior::IMMEDIATE);
  const auto added = record.add_robot(bird("Dunlin"), kNow);
  ASSERT_FALSE(added);
  EXPECT_NE(added.error().message.find("being written by another program"), std::string::npos);
}

TEST_F(RecordFile, AFileThatIsNoRecordOfOurs_IsLeftAlone) {
  std::ofstream(path("text")) << std::string(5000, 'x');
  const auto text = Record::open(path("text"));
  ASSERT_FALSE(text);
  EXPECT_NE(text.error().message.find("is no record or is damaged"), std::string::npos);
  {
    SQLite::Database foreign(path("foreign"), SQLite::OPEN_READWRITE | SQLite::OPEN_CREATE);
    foreign.exec("CREATE TABLE birds(name TEXT)");
  }
  const auto foreign = Record::open(path("foreign"));
  ASSERT_FALSE(foreign);
  EXPECT_NE(foreign.error().message.find("another program"), std::string::npos);
  { Record ours = open(); }
  {
    SQLite::Database newer(path(), SQLite::OPEN_READWRITE);
    newer.exec("PRAGMA user_version = 99");
  }
  const auto newer = Record::open(path());
  ASSERT_FALSE(newer);
  EXPECT_NE(newer.error().message.find("newer version"), std::string::npos);
  EXPECT_EQ(Record::open(path("absent"), {.must_exist = true}).error().kind, ErrorKind::kNotFound);
  EXPECT_FALSE(Record::open(path("no/such/folder")));
}

TEST_F(RecordFile, TwoThreadsAndTwoConnections_LoseNothing) {
  Record one = open({.busy_timeout_ms = 20000});
  const RecordId id = one.add_robot(bird("Dunlin"), kNow)->id;
  Record two = open({.busy_timeout_ms = 20000});
  constexpr int kEach = 20;
  const auto add = [&](Record& record) {
    for (int i = 0; i < kEach; ++i) EXPECT_TRUE(record.add_run(id, straight(0, i), "", kNow));
  };
  std::thread first([&] { add(one); }), second([&] { add(one); }), third([&] { add(two); });
  first.join();
  second.join();
  third.join();
  EXPECT_EQ(one.runs_of(id)->size(), 3U * kEach);
}

// A child adds runs and tells each one's key only after the record has answered; it is killed in
// the middle, again and again, and what it told must be there.
TEST_F(RecordFile, KilledInTheMiddleOfWriting_LosesNoRunThatWasAnswered) {
  const RecordId id = open().add_robot(bird("Dunlin"), kNow)->id;
  std::vector<std::string> told;
  std::mt19937 random(1);
  constexpr unsigned kLongest_us = 3000;  // a write takes 1-3 ms
  for (int round = 0; round < 12; ++round) {
    int ends[2];
    ASSERT_EQ(::pipe(ends), 0);
    const pid_t child = ::fork();
    if (child == 0) {
      ::close(ends[0]);
      auto record = Record::open(path(), {.busy_timeout_ms = 20000});
      for (int i = 0; record; ++i) {
        const std::string key = std::to_string(round) + "-" + std::to_string(i) + "\n";
        if (!record->add_run(id, straight(0, i % 100), key, kNow)) break;
        if (::write(ends[1], key.data(), key.size()) < 0) break;
      }
      ::_exit(0);
    }
    ::close(ends[1]);
    // Killed after as many answers as the round says and a while of up to one write more.
    std::string heard;
    char byte = 0;
    const int answers = 1 + (round * 7) % 23;
    for (int lines = 0; lines < answers && ::read(ends[0], &byte, 1) == 1;) {
      heard += byte;
      lines += byte == '\n';
    }
    std::this_thread::sleep_for(std::chrono::microseconds(random() % kLongest_us));
    ::kill(child, SIGKILL);
    while (::read(ends[0], &byte, 1) == 1) heard += byte;
    ::close(ends[0]);
    int status = 0;
    ::waitpid(child, &status, 0);
    EXPECT_TRUE(WIFSIGNALED(status)) << "the child must not have ended by itself";
    for (std::size_t at = 0, end = 0; (end = heard.find('\n', at)) != std::string::npos;
         at = end + 1)
      told.push_back(heard.substr(at, end - at + 1));
  }
  Record record = open();
  EXPECT_GT(told.size(), 50U);
  for (const std::string& key : told)
    EXPECT_TRUE(record.add_run(id, straight(0, 0), key, kNow)->was_there) << key;
  SQLite::Database checked(path(), SQLite::OPEN_READWRITE);
  EXPECT_EQ(checked.execAndGet("PRAGMA integrity_check").getString(), "ok");
}

}  // namespace
}  // namespace runtrue
