// `runtrue record import`: files into the record.
#include <fmt/format.h>

#include <filesystem>

#include "cli/commands.h"
#include "cli/record_parts.h"
#include "files/json_number.h"
#include "files/text_file.h"
#include "record/record.h"

namespace runtrue {
namespace {

// What came of it: the change in the record's history (0: nothing had to change) and in words.
struct Done {
  ChangeNumber change = 0;
  std::string sentence;
};

// Adds a thing, or with `replace` makes a new version of the one of that name.
template <class Add, class Change>
Result<ChangeNumber> add_or_change(const Record& record, const RecordImportArguments& arguments,
                                   std::string_view name, Add add, Change change) {
  if (arguments.replace) {
    const Result<RecordId> id = id_named(record, arguments.part, name);
    if (id) return change(*id);
    if (id.error().kind != ErrorKind::kNotFound) return tl::unexpected(id.error());
  }
  RUNTRUE_TRY(const Added added, add());
  return added.change;
}

Result<Done> import_robot(const RecordImportArguments& arguments, const Inputs& inputs,
                          const Stamp& stamp) {
  RUNTRUE_TRY(const Robot robot, inputs.robot(arguments.file));
  RUNTRUE_TRY(Record record, Record::open(arguments.data_file));
  RUNTRUE_TRY(const ChangeNumber change,
              add_or_change(
                  record, arguments, robot.name, [&] { return record.add_robot(robot, stamp); },
                  [&](RecordId id) { return record.change_robot(id, robot, stamp); }));
  return Done{change, fmt::format("The record holds {}.", robot.name)};
}

Result<Done> import_runs(const RecordImportArguments& arguments, const Inputs& inputs,
                         const Stamp& stamp) {
  RecordOptions options;
  options.must_exist = true;
  RUNTRUE_TRY(Record record, Record::open(arguments.data_file, options));
  const Result<RecordId> id = id_named(record, RecordPart::kRuns, arguments.robot);
  if (!id) return tl::unexpected(Error(id.error()).in_file(arguments.data_file));
  RUNTRUE_TRY(const Robot robot, record.robot(*id));
  RUNTRUE_TRY(const std::vector<Run> runs, inputs.runs(arguments.file, robot));
  RUNTRUE_TRY(const Added added, record.import_runs(*id, runs, stamp));
  return Done{added.change, fmt::format("{} {} added to {}.", runs.size(),
                                        runs.size() == 1 ? "run was" : "runs were", robot.name)};
}

Result<Done> import_table(const RecordImportArguments& arguments, const Inputs& inputs,
                          const Stamp& stamp) {
  RUNTRUE_TRY(const Table table, inputs.table(arguments.file));
  RUNTRUE_TRY(Record record, Record::open(arguments.data_file));
  RUNTRUE_TRY(const ChangeNumber change,
              add_or_change(
                  record, arguments, table.name, [&] { return record.add_table(table, stamp); },
                  [&](RecordId id) { return record.change_table(id, table, stamp); }));
  return Done{change, fmt::format("The record holds the table '{}'.", table.name)};
}

Result<Done> import_moves(const RecordImportArguments& arguments, Inputs& inputs,
                          const Stamp& stamp) {
  RUNTRUE_TRY(const std::string text, inputs.moves_text(arguments.file));
  if (auto list = parse_moves(text, arguments.file); !list) {
    return tl::unexpected(std::move(list).error());
  }
  RUNTRUE_TRY(Record record, Record::open(arguments.data_file));
  const std::string name = arguments.name.empty()
                               ? std::filesystem::path(arguments.file).stem().string()
                               : arguments.name;
  RUNTRUE_TRY(const ChangeNumber change,
              add_or_change(
                  record, arguments, name, [&] { return record.add_list(name, text, stamp); },
                  [&](RecordId id) { return record.change_list(id, name, text, stamp); }));
  return Done{change, fmt::format("The record holds the move list '{}'.", name)};
}

Result<Done> import_set(const RecordImportArguments& arguments) {
  RUNTRUE_TRY(const std::string text, read_text(arguments.file));
  RUNTRUE_TRY(Record record, Record::open(arguments.data_file));
  if (auto imported = record.import_set(text, arguments.file); !imported) {
    return tl::unexpected(std::move(imported).error());
  }
  RUNTRUE_TRY(const SetOverview overview, record.overview());
  return Done{
      overview.last_change,
      fmt::format("The record holds {} robots, {} tables and {} move lists.",
                  overview.robots.size(), overview.tables.size(), overview.move_lists.size())};
}

// Everything that can be read before the record is opened is: a file that can't be used makes none.
Result<Done> import_part(const RecordImportArguments& arguments, Inputs& inputs) {
  const Stamp stamp{now_utc(), arguments.who};
  switch (arguments.part) {
    case RecordPart::kSet:
      return import_set(arguments);
    case RecordPart::kRobot:
      return import_robot(arguments, inputs, stamp);
    case RecordPart::kRuns:
      return import_runs(arguments, inputs, stamp);
    case RecordPart::kTable:
      return import_table(arguments, inputs, stamp);
    case RecordPart::kMoves:
      return import_moves(arguments, inputs, stamp);
  }
  RUNTRUE_CHECK(false);
}

}  // namespace

Result<Answer> run(const RecordImportArguments& arguments, Inputs& inputs) {
  auto done = import_part(arguments, inputs);
  if (!done) return tl::unexpected(std::move(done).error().in_file(arguments.file));
  if (arguments.form == Form::kJson) {
    return Answer{document_text({{"imported", word_of(arguments.part)}, {"change", done->change}})};
  }
  return Answer{done->sentence + "\n"};
}

}  // namespace runtrue
