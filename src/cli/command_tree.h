// Commands, arguments and options with their help, as CLI11 holds them.
//
// Included by the files of this folder that parse, alone: the library's header is slow to compile.
#pragma once

#include <CLI/CLI.hpp>
#include <optional>
#include <string>

#include "cli/commands.h"

namespace runtrue {

// Filled when `app` parses; after that `chosen` answers the command that was named.
class CommandTree {
 public:
  CommandTree();
  CommandTree(const CommandTree&) = delete;
  CommandTree& operator=(const CommandTree&) = delete;

  CLI::App& app() { return app_; }
  // Errors (bad input): the first value that can't be read or lies outside its range, arguments
  // that don't go together; the place's file is the option or argument.
  [[nodiscard]] Result<Command> chosen();

 private:
  void add_advise();
  void add_settings();
  void add_forecast();
  void add_press_list();
  void add_moves();
  void add_moves_from(CLI::App* moves);
  void add_record();
  void add_record_import(CLI::App* record);
  void add_record_export(CLI::App* record);
  void add_record_list(CLI::App* record);
  void add_remote();
  void add_remote_read(CLI::App* remote);
  void add_remote_learn(CLI::App* remote);
  void add_remote_write(CLI::App* remote);
  void add_remote_time_out(CLI::App* remote);
  void add_remote_room(CLI::App* remote);
  void add_load();
  void add_log();
  void add_practice();
  void add_serve();

  // A value with a reader of its own; `shown` stands for it in the help.
  template <class T>
  CLI::Option* add_value(CLI::App* app, const char* name, const char* shown, const char* what,
                         Result<T> (*read)(const std::string&), T& target);
  Result<Command> checked(RecordImportArguments arguments, const CLI::App& app) const;
  Result<Command> checked(RecordExportArguments arguments) const;
  Result<Command> checked(RecordListArguments arguments) const;

  CLI::App app_;
  std::optional<Error> fault_;
  AdviseArguments advise_;
  SettingsArguments settings_;
  ForecastArguments forecast_;
  PressListArguments press_list_;
  MovesCheckArguments moves_check_;
  MovesFormatArguments moves_format_;
  MovesFromPressesArguments moves_from_presses_;
  MovesFromPathArguments moves_from_path_;
  RecordImportArguments record_import_;
  RecordExportArguments record_export_;
  RecordListArguments record_list_;
  RemoteReadArguments remote_read_;
  RemoteLearnArguments remote_learn_;
  RemoteWriteArguments remote_write_;
  RemoteTimeOutArguments remote_time_out_;
  RemoteRoomArguments remote_room_;
  LoadArguments load_;
  LogArguments log_;
  PracticeArguments practice_;
  ServeArguments serve_;
};

template <class T>
CLI::Option* CommandTree::add_value(CLI::App* app, const char* name, const char* shown,
                                    const char* what, Result<T> (*read)(const std::string&),
                                    T& target) {
  return app
      ->add_option_function<std::string>(
          name,
          [this, name, read, &target](const std::string& text) {
            auto value = read(text);
            if (value) {
              target = *std::move(value);
            } else if (!fault_) {
              fault_ = std::move(value).error().in_file(name);
            }
          },
          what)
      ->option_text(shown);
}

}  // namespace runtrue
