#include "files/text_file.h"

#include <gtest/gtest.h>
#include <unistd.h>

#include <filesystem>
#include <fstream>
#include <string>

namespace runtrue {
namespace {

class TextFile : public testing::Test {
 protected:
  void SetUp() override {
    folder_ =
        std::filesystem::temp_directory_path() / ("runtrue_text_" + std::to_string(::getpid()));
    std::filesystem::create_directories(folder_);
  }
  void TearDown() override { std::filesystem::remove_all(folder_); }
  [[nodiscard]] std::string path(const std::string& name) const {
    return (folder_ / name).string();
  }
  [[nodiscard]] long files() const {
    return std::distance(std::filesystem::directory_iterator(folder_), {});
  }

 private:
  std::filesystem::path folder_;
};

TEST_F(TextFile, WrittenAndRead_IsTheSame) {
  ASSERT_TRUE(write_file(path("a"), "drive 300 mm\ngrößer\n"));
  EXPECT_EQ(*read_text(path("a")), "drive 300 mm\ngrößer\n");
  EXPECT_EQ(files(), 1);  // nothing of the writing stays beside it
}

TEST_F(TextFile, AMarkOfByteOrder_IsTakenOff) {
  std::ofstream(path("a")) << "\xEF\xBB\xBF"
                           << "x";
  EXPECT_EQ(*read_text(path("a")), "x");
}

TEST_F(TextFile, WhatCannotBeRead_IsToldWithTheFile) {
  EXPECT_EQ(read_text(path("absent")).error().kind, ErrorKind::kNotFound);
  EXPECT_NE(read_text(path(".")).error().one_line().find("is a folder, expected a file"),
            std::string::npos);
  std::ofstream(path("binary")) << "ab\n" << '\xff';
  EXPECT_EQ(read_text(path("binary")).error().one_line(),
            path("binary") + ":2:1: holds bytes that are not UTF-8, expected a text file");
  std::ofstream(path("large")) << std::string(2000, 'x');
  EXPECT_NE(read_text(path("large"), 1000).error().message.find("is larger"), std::string::npos);
}

TEST_F(TextFile, AWriteThatFails_LeavesTheOldFileWhole) {
  EXPECT_FALSE(write_file(path("no/folder"), "x"));
  EXPECT_FALSE(write_file(path("."), "x"));
  ASSERT_TRUE(write_file(path("a"), "old"));
  // A folder in the way of the new file's name can't be made here without rights to take away, so
  // the disk is filled instead: a device that takes nothing.
  EXPECT_FALSE(write_file("/dev/full", "x"));
  EXPECT_EQ(*read_text(path("a")), "old");
  EXPECT_EQ(files(), 1);
}

// RFC 3629, section 3 and 4: what is and what is not UTF-8.
TEST(CheckText, KnowsUtf8) {
  for (const char* good : {"", "a", "\xC2\x80", "\xE0\xA0\x80", "\xED\x9F\xBF", "\xF4\x8F\xBF\xBF"})
    EXPECT_TRUE(check_text(good)) << good;
  for (const char* bad : {"\x80", "\xC0\x80", "\xC1\xBF", "\xE0\x9F\xBF", "\xED\xA0\x80",
                          "\xF4\x90\x80\x80", "\xF5\x80\x80\x80", "\xC2", "\xE2\x82", "\xFF"})
    EXPECT_FALSE(check_text(bad));
  EXPECT_FALSE(check_text(std::string_view("a\0b", 3)));
}

TEST(PlaceAt, CountsCharactersNotBytes) {
  const Place place = place_at("grö\nßab", 7);  // g r ö(2) \n ß(2) a
  EXPECT_EQ(place.line, 2);
  EXPECT_EQ(place.column, 2);
}

}  // namespace
}  // namespace runtrue
