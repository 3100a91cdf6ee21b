#include "cli/command_line.h"

#include <fmt/format.h>

#include <algorithm>
#include <string_view>
#include <vector>

#include "cli/command_tree.h"
#include "cli/help.h"
#include "files/suggestion.h"

namespace runtrue {
namespace {

bool looks_like_option(std::string_view word) {
  // Numbers may begin with a minus: "-10,20,90"; "-" is standard input.
  return word.size() > 1 && word[0] == '-' &&
         std::string_view(".0123456789").find(word[1]) == std::string_view::npos;
}

std::vector<std::string> option_names(const CLI::App& app) {
  std::vector<std::string> names;
  for (const CLI::Option* option : app.get_options()) {
    if (!option->get_positional()) names.push_back(option->get_name(false, false));
  }
  return names;
}

std::string suggested(std::string_view word, const std::vector<std::string>& names) {
  const std::vector<std::string_view> views(names.begin(), names.end());
  return did_you_mean(word, views);
}

std::string in_a_row(const std::vector<std::string>& names) {
  std::string text;
  for (std::size_t i = 0; i < names.size(); ++i) {
    text += (i == 0 ? "" : i + 1 == names.size() ? " or " : ", ") + names[i];
  }
  return text;
}

// Walks over the words as the parser will, and says in plain words what is wrong with them; the
// values themselves are read later.
class Walk {
 public:
  explicit Walk(CLI::App& root) : app_(&root) {}

  Result<void> over(std::span<const std::string> words) {
    for (std::size_t i = 0; i < words.size(); ++i) {
      const bool option = looks_like_option(words[i]) && !only_arguments_;
      auto good = words[i] == "--" ? marker() : option ? name(words, i) : argument(words[i]);
      if (!good) return good;
      if (told_) return {};
    }
    return end();
  }

 private:
  tl::unexpected<Error> wrong(std::string message) const {
    return bad_input(std::move(message), {full_name(*app_), 0, 0});
  }

  Result<void> marker() {
    only_arguments_ = true;
    return {};
  }

  Result<void> name(std::span<const std::string> words, std::size_t& i) {
    const std::string name = words[i].substr(0, words[i].find('='));
    const bool has_value = name.size() < words[i].size();
    if (name == "--help" || name == "--version") told_ = app_->get_option_no_throw(name) != nullptr;
    const CLI::Option* option = app_->get_option_no_throw(name);
    if (option == nullptr) {
      const std::vector<std::string> names = option_names(*app_);
      const std::string near = suggested(name, names);
      return wrong(fmt::format("there is no option {}{}", name,
                               near.empty() ? ", expected " + in_a_row(names) : near));
    }
    if (std::count(seen_.begin(), seen_.end(), option) > 0) {
      return wrong(fmt::format("{} is there twice, expected once", name));
    }
    seen_.push_back(option);
    const bool takes_value = option->get_items_expected_max() > 0;
    if (!takes_value && has_value) return wrong(fmt::format("{} takes no value", name));
    if (!takes_value || has_value) return {};
    if (i + 1 == words.size() || looks_like_option(words[i + 1])) {
      return wrong(fmt::format("{} is without its value, expected {} {}", name, name,
                               option->get_option_text()));
    }
    if (words[++i] == "-" && name != "--header" && name != "--output") return input();
    return {};
  }

  Result<void> argument(const std::string& word) {
    const auto commands = app_->get_subcommands({});
    if (!commands.empty()) {
      std::vector<std::string> names;
      for (CLI::App* command : commands) {
        names.push_back(command->get_name());
        if (names.back() == word) {
          app_ = command;
          seen_.clear();
          return {};
        }
      }
      const std::string near = suggested(word, names);
      return wrong(fmt::format("there is no command '{}'{}", word,
                               near.empty() ? ", expected " + in_a_row(names) : near));
    }
    const auto arguments = positionals();
    const bool goes_on = !arguments.empty() && arguments.back()->get_items_expected_max() > 1;
    if (arguments_ == arguments.size() && !goes_on) {
      return wrong(fmt::format("'{}' is one too many, expected {}", word, usage_of(*app_)));
    }
    if (arguments_ < arguments.size()) ++arguments_;
    return word == "-" ? input() : Result<void>{};
  }

  Result<void> input() {
    if (reads_input_) return wrong("standard input (-) is named twice, it can be read once");
    reads_input_ = true;
    return {};
  }

  Result<void> end() const {
    std::vector<std::string> names;
    for (const CLI::App* command : app_->get_subcommands({})) names.push_back(command->get_name());
    if (!names.empty()) return wrong("the command is missing, expected " + in_a_row(names));
    const auto arguments = positionals();
    for (std::size_t i = arguments_; i < arguments.size(); ++i) {
      if (arguments[i]->get_required()) return missing(arguments[i]->get_name());
    }
    for (const CLI::Option* option : app_->get_options()) {
      const bool seen = std::count(seen_.begin(), seen_.end(), option) > 0;
      if (option->get_required() && !option->get_positional() && !seen) {
        return missing(option->get_name());
      }
    }
    return {};
  }

  Result<void> missing(const std::string& name) const {
    return wrong(fmt::format("{} is missing, expected {}", name, usage_of(*app_)));
  }

  std::vector<const CLI::Option*> positionals() const {
    return static_cast<const CLI::App*>(app_)->get_options(
        [](const CLI::Option* option) { return option->get_positional(); });
  }

  CLI::App* app_;  // the command reached so far
  std::vector<const CLI::Option*> seen_;
  std::size_t arguments_ = 0;
  bool only_arguments_ = false;
  bool reads_input_ = false;
  bool told_ = false;  // help or version is asked for, nothing else counts
};

}  // namespace

Result<Command> parse_command_line(std::span<const std::string> words) {
  std::vector<std::string> all(words.begin(), words.end());
  if (!all.empty() && all.front() == "help") {
    all.erase(all.begin());
    all.emplace_back("--help");
  }
  CommandTree tree;
  if (auto good = Walk(tree.app()).over(all); !good) return tl::unexpected(good.error());
  std::reverse(all.begin(), all.end());  // as the parser wants them
  try {
    tree.app().parse(all);
  } catch (const CLI::CallForHelp&) {
    return Told{tree.app().help()};
  } catch (const CLI::ParseError& error) {
    return bad_input(error.what(), {"runtrue", 0, 0});
  }
  return tree.chosen();
}

}  // namespace runtrue
