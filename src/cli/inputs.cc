#include "cli/inputs.h"

#include <charconv>
#include <cstdlib>
#include <ctime>
#include <optional>
#include <string_view>

#include "files/capture_file.h"
#include "files/path_file.h"
#include "files/robot_json.h"
#include "files/runs_csv.h"
#include "files/table_json.h"
#include "files/text_file.h"

namespace runtrue {
namespace {

// The time a build or a test wants to be told, if there is one.
std::optional<std::time_t> stated_time() {
  const char* text = std::getenv("SOURCE_DATE_EPOCH");
  if (text == nullptr) return std::nullopt;
  const std::string_view view(text);
  std::time_t time = 0;
  const auto [end, code] = std::from_chars(view.data(), view.data() + view.size(), time);
  if (code != std::errc() || end != view.data() + view.size()) return std::nullopt;
  return time;
}

std::string as_text(const std::tm& parts, const char* form) {
  char text[40];
  return {text, std::strftime(text, sizeof text, form, &parts)};
}

}  // namespace

Result<Robot> Inputs::robot(const std::string& path) const {
  RUNTRUE_TRY(const std::string text, read_text(path));
  return read_robot(text, path);
}

Result<std::vector<Run>> Inputs::runs(const std::string& path, const Robot& robot) const {
  RUNTRUE_TRY(const std::string text, read_text(path));
  return read_runs(text, path, robot);
}

Result<std::vector<Run>> Inputs::runs(const std::string& path) const {
  RUNTRUE_TRY(const std::string text, read_text(path));
  return read_runs(text, path);
}

Result<Table> Inputs::table(const std::string& path) const {
  RUNTRUE_TRY(const std::string text, read_text(path));
  return read_table(text, path);
}

Result<Capture> Inputs::capture(const std::string& path) const {
  RUNTRUE_TRY(const std::string text, read_text(path));
  return read_capture_file(text, path);
}

Result<std::vector<Point>> Inputs::path(const std::string& path, const std::string& id) const {
  RUNTRUE_TRY(const std::string text, read_text(path));
  return read_path(text, path, id);
}

Result<std::vector<Press>> Inputs::presses(const std::string& path) const {
  RUNTRUE_TRY(const std::string text, read_text(path));
  return parse_presses(text, path);
}

Result<std::string> Inputs::moves_text(const std::string& path) {
  RUNTRUE_TRY(moves_text_, read_text(path));
  moves_file_ = path;
  return moves_text_;
}

Result<std::vector<FlatMove>> Inputs::moves(const std::string& path) {
  RUNTRUE_TRY(const std::string text, moves_text(path));
  RUNTRUE_TRY(const MoveList list, parse_moves(text, path));
  auto flat = flatten(list);
  if (!flat) return tl::unexpected(std::move(flat).error().in_file(path));
  return flat;
}

std::string Inputs::source_of(const Error& error) const {
  if (moves_file_.empty() || error.place.file != moves_file_) return "";
  return source_and_caret(moves_text_, error.place);
}

std::string today() {
  std::tm parts{};
  if (const auto stated = stated_time()) {
    gmtime_r(&*stated, &parts);
  } else {
    const std::time_t now = std::time(nullptr);
    localtime_r(&now, &parts);
  }
  return as_text(parts, "%Y-%m-%d");
}

std::string now_utc() {
  const std::time_t now = stated_time().value_or(std::time(nullptr));
  std::tm parts{};
  gmtime_r(&now, &parts);
  return as_text(parts, "%Y-%m-%dT%H:%M:%SZ");
}

}  // namespace runtrue
