#include "files/settings_header.h"

#include <gtest/gtest.h>
#include <unistd.h>

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <string>

namespace runtrue {
namespace {

std::string header_of(const std::string& name) {
  const Robot robot = default_robot(name, Length::from_mm(140));
  return settings_header(robot, *true_robot(robot, {}), {.run_count = 0, .date = "2026-11-25"});
}

// Through the compilers that a robot's own program is built with.
bool compiles(const std::string& header, const std::string& compiler) {
  const auto folder =
      std::filesystem::temp_directory_path() / ("runtrue_header_" + std::to_string(::getpid()));
  std::filesystem::create_directories(folder);
  std::ofstream(folder / "settings.h") << header;
  std::ofstream(folder / "program.c") << "#include \"settings.h\"\n#include \"settings.h\"\n"
                                         "double used(void);\n"
                                         "double used(void) { return trim + track_width_mm + "
                                         "speed_gain_mm_per_s_per_level; }\n";
  const std::string command =
      compiler + " -pedantic -Wall -Werror -Wno-unused-variable -Wno-unused-const-variable -c " +
      (folder / "program.c").string() + " -o " + (folder / "program.o").string();
  const bool good = std::system(command.c_str()) == 0;
  std::filesystem::remove_all(folder);
  return good;
}

TEST(SettingsHeader, IsValidForCAndForCpp) {
  const std::string header = header_of("Dunlin");
  EXPECT_TRUE(compiles(header, "gcc -std=c99"));
  EXPECT_TRUE(compiles(header, "g++ -x c++ -std=c++14"));
  EXPECT_TRUE(compiles(header, "avr-gcc -mmcu=atmega32u4 -std=c99"));
}

TEST(SettingsHeader, WithAnyName_StaysAComment) {
  EXPECT_TRUE(compiles(header_of("*/ int x; /* \\ ?"
                                 "?/ größe"),
                       "gcc -std=c99"));
}

TEST(SettingsHeader, SaysWhatIsAssumedAndWhereItComesFrom) {
  const std::string header = header_of("Dunlin");
  EXPECT_NE(header.find("Settings of the robot Dunlin"), std::string::npos);
  EXPECT_NE(header.find("from 0 runs, 2026-11-25"), std::string::npos);
  EXPECT_NE(header.find("assumed, no run tells about it"), std::string::npos);
}

}  // namespace
}  // namespace runtrue
