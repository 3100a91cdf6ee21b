#include "cli/help.h"

#include <fmt/format.h>

#include "cli/words.h"

namespace runtrue {
namespace {

constexpr std::size_t kColumn = 30;  // where the explanations begin

std::string entry(const std::string& name, const std::string& what) {
  std::string text = "  " + name;
  if (text.size() + 2 > kColumn) text += "\n";
  std::string explained = paragraph(what, kColumn);
  const std::size_t used = text.size() - (text.rfind('\n') + 1);
  explained.erase(0, text.back() == '\n' ? 0 : used);
  return text + explained;
}

}  // namespace

std::string full_name(const CLI::App& app) {
  const CLI::App* parent = app.get_parent();
  return parent == nullptr ? app.get_name() : full_name(*parent) + " " + app.get_name();
}

std::string usage_of(const CLI::App& app) {
  std::string usage = full_name(app);
  for (const CLI::Option* option : app.get_options()) {
    if (!option->get_positional()) continue;
    usage += option->get_required() ? " " + option->get_name() : " [" + option->get_name() + "]";
  }
  for (const CLI::Option* option : app.get_options()) {
    if (!option->get_positional() && option->get_required()) {
      usage += " " + option->get_name() + " " + option->get_option_text();
    }
  }
  if (!app.get_subcommands({}).empty()) return usage + " COMMAND ...";
  return usage + " [options]";
}

std::string HelpFormatter::make_help(const CLI::App* app, std::string, CLI::AppFormatMode) const {
  std::string text = "Usage: " + usage_of(*app) + "\n\n" + paragraph(app->get_description());
  std::string arguments, options, commands;
  for (const CLI::Option* option : app->get_options()) {
    if (option->get_positional()) {
      arguments += entry(option->get_name(), option->get_description());
    } else {
      std::string name = option->get_name(false, true);
      if (!option->get_option_text().empty()) name += " " + option->get_option_text();
      options += entry(name, option->get_description());
    }
  }
  for (const CLI::App* command : app->get_subcommands({})) {
    const std::string what = command->get_description();
    commands += entry(command->get_name(), what.substr(0, what.find(". ")));
  }
  if (!commands.empty()) text += "\nCommands:\n" + commands;
  if (!arguments.empty()) text += "\nArguments:\n" + arguments;
  if (!options.empty()) text += "\nOptions:\n" + options;
  if (!app->get_footer().empty()) text += "\n" + app->get_footer();
  return text;
}

}  // namespace runtrue
