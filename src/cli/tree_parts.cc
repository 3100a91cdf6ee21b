#include "cli/tree_parts.h"

#include <limits>

#include "print/picture.h"
#include "server/serve.h"

namespace runtrue {

void add_json(CLI::App* app, Form& form) {
  app->add_flag_callback(
      "--json", [&form] { form = Form::kJson; }, "answer one JSON document and nothing else");
}

void add_data(CLI::App* app, std::string& file) {
  file = ServeOptions().data;
  app->add_option("--data", file, "the record's file (" + file + " where it is left out)")
      ->option_text("SET.sqlite");
}

CLI::Option* add_file(CLI::App* app, const char* name, std::string& file, const char* what) {
  return app->add_option(name, file, what)->required();
}

Result<std::string> read_any(const std::string& text) { return text; }

Result<std::string> read_picture(const std::string& text) {
  if (auto kind = picture_kind_of(text); !kind) {
    return bad_input(fmt::format("'{}', expected a name that ends in .svg, .pdf or .png", text));
  }
  return text;
}

Result<std::uint64_t> read_seed(const std::string& text) {
  return read_whole<std::uint64_t>(text, 0, std::numeric_limits<std::uint64_t>::max());
}

}  // namespace runtrue
