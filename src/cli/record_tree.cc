// The commands of `runtrue record`, their arguments and help.
#include <fmt/format.h>

#include <string_view>
#include <vector>

#include "cli/command_tree.h"
#include "cli/record_parts.h"
#include "cli/tree_parts.h"
#include "files/suggestion.h"

namespace runtrue {
namespace {

Result<RecordPart> read_part(const std::string& text) {
  constexpr RecordPart kParts[] = {RecordPart::kSet, RecordPart::kRobot, RecordPart::kRuns,
                                   RecordPart::kTable, RecordPart::kMoves};
  std::vector<std::string_view> words;
  for (const RecordPart part : kParts) {
    words.push_back(word_of(part));
    if (words.back() == text) return part;
  }
  return bad_input(fmt::format("'{}', expected set, robot, runs, table or moves{}", text,
                               did_you_mean(text, words)));
}

Result<Listing> read_listing(const std::string& text) {
  if (text == "all") return Listing::kOverview;
  if (text == "runs") return Listing::kRuns;
  if (text == "history") return Listing::kHistory;
  const std::vector<std::string_view> words{"all", "runs", "history"};
  return bad_input(
      fmt::format("'{}', expected all, runs or history{}", text, did_you_mean(text, words)));
}

}  // namespace

void CommandTree::add_record() {
  CLI::App* record = app_.add_subcommand(
      "record",
      "Puts files into the record of a set, takes them out, lists it. The record is one SQLite "
      "file that keeps every change; the page of `runtrue serve` works on it.");
  record->require_subcommand(0, 1);  // so that a thing may be named like a command
  record->footer("`runtrue record import --help` and so on say more.\n");
  add_record_import(record);
  add_record_export(record);
  add_record_list(record);
}

void CommandTree::add_record_import(CLI::App* record) {
  CLI::App* app = record->add_subcommand(
      "import", "Puts a file into the record. All of it or, where something is wrong, nothing.");
  add_value(app, "WHAT", "", "set (whole, into an empty record), robot, runs, table or moves",
            read_part, record_import_.part)
      ->required();
  add_file(app, "FILE", record_import_.file, "the file: JSON, for runs CSV, for moves text");
  app->add_option("--robot", record_import_.robot, "whose runs they are")->option_text("NAME");
  app->add_option("--name", record_import_.name,
                  "of the move list (the file's name without its ending)")
      ->option_text("NAME");
  app->add_flag("--replace", record_import_.replace,
                "where one of that name is there: a new version of it; the old one is kept");
  app->add_option("--who", record_import_.who, "who does it, for the history")->option_text("NAME");
  add_data(app, record_import_.data_file);
  add_json(app, record_import_.form);
  app->footer(
      "Examples:\n"
      "  runtrue record import robot dunlin.json --data club.sqlite\n"
      "  runtrue record import runs dunlin.csv --robot Dunlin --data club.sqlite\n"
      "  runtrue record import moves square.moves --replace\n"
      "  runtrue record import set club.json --data copy.sqlite\n");
}

void CommandTree::add_record_export(CLI::App* record) {
  CLI::App* app = record->add_subcommand(
      "export",
      "Takes a part out of the record as a file. It is the form that `record import` takes.");
  add_value(app, "WHAT", "", "set (whole, with its history), robot, runs, table or moves",
            read_part, record_export_.part)
      ->required();
  app->add_option("NAME", record_export_.name,
                  "of the robot (also for its runs), table or move list");
  app->add_option("--output", record_export_.output_file, "write it there (standard output)")
      ->option_text("FILE");
  add_data(app, record_export_.data_file);
  add_json(app, record_export_.form);
  app->footer(
      "Examples:\n"
      "  runtrue record export set --output club.json --data club.sqlite\n"
      "  runtrue record export runs Dunlin > dunlin.csv\n");
}

void CommandTree::add_record_list(CLI::App* record) {
  CLI::App* app = record->add_subcommand("list", "Lists what the record holds. ");
  add_value(app, "WHAT", "",
            "all (where it is left out), runs of a robot, or history: every change", read_listing,
            record_list_.listing);
  app->add_option("NAME", record_list_.robot, "the robot whose runs to list");
  add_data(app, record_list_.data_file);
  add_json(app, record_list_.form);
  app->footer(
      "Examples:\n"
      "  runtrue record list --data club.sqlite\n"
      "  runtrue record list runs Dunlin\n"
      "  runtrue record list history\n");
}

Result<Command> CommandTree::checked(RecordImportArguments a, const CLI::App& app) const {
  const auto given = [&app](const char* name) { return app.get_option(name)->count() > 0; };
  const bool runs = a.part == RecordPart::kRuns, moves = a.part == RecordPart::kMoves;
  if (runs && a.robot.empty()) {
    return bad_input("is missing, expected --robot NAME: whose runs they are", {"--robot"});
  }
  if (!runs && given("--robot")) return bad_input("goes with runs alone", {"--robot"});
  if (!moves && given("--name")) return bad_input("goes with moves alone", {"--name"});
  if (a.replace && (runs || a.part == RecordPart::kSet)) {
    return bad_input("goes with robot, table or moves alone", {"--replace"});
  }
  if (moves && a.name.empty() && a.file == "-") {
    return bad_input("is missing, expected --name NAME, since standard input has none", {"--name"});
  }
  return a;
}

Result<Command> CommandTree::checked(RecordExportArguments a) const {
  if (a.part == RecordPart::kSet && !a.name.empty()) {
    return bad_input(fmt::format("'{}' is one too many, expected no name for a whole set", a.name),
                     {"NAME"});
  }
  if (a.part != RecordPart::kSet && a.name.empty()) {
    return bad_input(
        fmt::format("is missing, expected runtrue record export {} NAME", word_of(a.part)),
        {"NAME"});
  }
  return a;
}

Result<Command> CommandTree::checked(RecordListArguments a) const {
  if (a.listing == Listing::kRuns && a.robot.empty()) {
    return bad_input("is missing, expected runtrue record list runs NAME", {"NAME"});
  }
  if (a.listing != Listing::kRuns && !a.robot.empty()) {
    return bad_input(fmt::format("'{}' is one too many, expected no name", a.robot), {"NAME"});
  }
  return a;
}

}  // namespace runtrue
