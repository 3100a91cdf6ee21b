#include "files/settings_header.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <string_view>

namespace runtrue {
namespace {

// A name as it may stand in a C comment: no line ends, no comment ends, nothing that a compiler
// reads as more than one character.
std::string comment_text(std::string_view text) {
  std::string clean;
  for (const char c : text) {
    const auto byte = static_cast<unsigned char>(c);
    const bool spoils = byte < 0x20 || c == '*' || c == '/' || c == '\\' || c == '?';
    clean += spoils ? ' ' : c;
  }
  return clean;
}

// As a decimal constant of type double: always with a point or an exponent.
std::string number(double value) {
  std::string text = fmt::format("{:.7g}", value);
  if (text.find_first_of(".e") == std::string::npos) text += ".0";
  return text;
}

}  // namespace

std::string settings_header(const Robot& robot, const Truing& truing, const HeaderSource& source) {
  const DriveSettings& settings = truing.settings;
  std::string text = fmt::format(
      "/* Settings of the robot {}.\n"
      " * Made by runtrue from {} runs, {}. Don't change it by hand: measure and make it anew.\n"
      " * Levels and trim as the robot takes them; drift at the best trim {:.0f} mm in a metre\n"
      " * (95 %: {:.0f} to {:.0f}, left is positive). Nothing here is a safety device. */\n"
      "#ifndef ROBOT_SETTINGS_H\n"
      "#define ROBOT_SETTINGS_H\n\n",
      comment_text(robot.name), source.run_count, comment_text(source.date),
      truing.drift_mm_per_m.mean, truing.drift_mm_per_m.low, truing.drift_mm_per_m.high);
  const std::array<std::pair<const char*, int>, 6> wholes{
      {{"settings_version", 1},
       {"trim", settings.trim.value},
       {"trim_lowest", robot.trim_range.lowest.value},
       {"trim_highest", robot.trim_range.highest.value},
       {"level_usual", robot.level_usual.value},
       {"level_full", robot.level_full.value}}};
  for (const auto& [name, value] : wholes)
    text += fmt::format("static const long {} = {};\n", name, value);
  text +=
      fmt::format("static const double track_width_mm = {};\n\n", number(robot.track_width.mm()));
  for (int i = 0; i < kConstantCount; ++i) {
    const auto constant = static_cast<Constant>(i);
    const ConstantText& about = text_of(constant);
    const Estimate& value = truing.constants[static_cast<std::size_t>(i)];
    const bool assumed = std::find(settings.assumed.begin(), settings.assumed.end(), constant) !=
                         settings.assumed.end();
    text += fmt::format("/* {}; 95 %: {:.4g} to {:.4g}{} */\nstatic const double {} = {};\n",
                        about.meaning, value.low, value.high,
                        assumed ? "; assumed, no run tells about it" : "", about.key,
                        number(value.mean));
  }
  return text + "\n#endif\n";
}

}  // namespace runtrue
