// `runtrue record export`: parts of the record as files.
#include "cli/commands.h"
#include "cli/record_parts.h"
#include "files/json_number.h"
#include "files/robot_json.h"
#include "files/run_json.h"
#include "files/runs_csv.h"
#include "files/table_json.h"
#include "files/text_file.h"
#include "record/record.h"

namespace runtrue {
namespace {

// As a file of its kind, and as a JSON document, which for most is the same.
Result<std::string> text_of_runs(const Record& record, RecordId robot, Form form) {
  RUNTRUE_TRY(const std::vector<KeptRun> kept, record.runs_of(robot));
  std::vector<Run> runs;
  Json entries = Json::array();
  for (const KeptRun& run : kept) {
    runs.push_back(run.run);
    entries.push_back(run_document(run.run));
  }
  if (form == Form::kWords) return write_runs(runs);
  return document_text({{"runs", entries}});
}

Result<std::string> text_of_part(const Record& record, const RecordExportArguments& arguments,
                                 Form form) {
  if (arguments.part == RecordPart::kSet) return record.export_set();
  RUNTRUE_TRY(const RecordId id, id_named(record, arguments.part, arguments.name));
  if (arguments.part == RecordPart::kRobot) {
    RUNTRUE_TRY(const Robot robot, record.robot(id));
    return write_robot(robot);
  }
  if (arguments.part == RecordPart::kTable) {
    RUNTRUE_TRY(const Table table, record.table(id));
    return write_table(table);
  }
  if (arguments.part == RecordPart::kRuns) return text_of_runs(record, id, form);
  RUNTRUE_TRY(const KeptList list, record.list(id));
  if (form == Form::kWords) return list.text;
  return document_text({{"name", list.name}, {"text", list.text}});
}

}  // namespace

Result<Answer> run(const RecordExportArguments& arguments, Inputs&) {
  RecordOptions options;
  options.must_exist = true;
  RUNTRUE_TRY(const Record record, Record::open(arguments.data_file, options));
  const bool to_file = !arguments.output_file.empty() && arguments.output_file != "-";
  auto text = text_of_part(record, arguments, to_file ? Form::kWords : arguments.form);
  if (!text) return tl::unexpected(std::move(text).error().in_file(arguments.data_file));
  if (!to_file) return Answer{*std::move(text)};
  if (auto written = write_file(arguments.output_file, *text); !written) {
    return tl::unexpected(std::move(written).error());
  }
  if (arguments.form == Form::kJson) {
    return Answer{
        document_text({{"exported", word_of(arguments.part)}, {"file", arguments.output_file}})};
  }
  return Answer{arguments.output_file + " is written.\n"};
}

}  // namespace runtrue
