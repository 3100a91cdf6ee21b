// Real captures of hand remotes (public domain) and signals generated from data sheets, against
// what other decoders read from them: the values of `frames.csv` (each frame of each capture) and
// `expected.csv`. The data are not part of this project; RUNTRUE_REFERENCE_DATA names their folder.
#include <gtest/gtest.h>

#include <cmath>
#include <cstdlib>
#include <fstream>
#include <map>
#include <sstream>
#include <string>
#include <vector>

#include "reference_data.h"
#include "remote/learning.h"
#include "remote/reading.h"

namespace runtrue {
namespace {

std::vector<std::vector<std::string>> rows_of(const std::string& path) {
  std::ifstream file(path);
  std::string line;
  std::vector<std::vector<std::string>> rows;
  std::getline(file, line);
  while (std::getline(file, line)) {
    std::vector<std::string> cells;
    std::string cell;
    std::istringstream cut(line);
    while (std::getline(cut, cell, ',')) cells.push_back(cell);
    rows.push_back(cells);
  }
  return rows;
}

Capture capture_of(const std::string& path) {
  Capture capture;
  for (const auto& row : rows_of(path)) {
    capture.pulses.push_back({row.at(0) == "1", std::stod(row.at(1))});
  }
  return capture;
}

// The tables write NEC in hexadecimal with 0x, RC-5 in decimal, RC-6 and the pulse width form in
// hexadecimal, the 15-bit form in binary.
unsigned long number(const std::string& text, const std::string& protocol) {
  if (protocol == "rc5") return std::stoul(text, nullptr, 10);
  return std::stoul(text, nullptr, protocol == "biphase15" ? 2 : 16);
}

TEST(RealCaptures, EveryGoodFrameIsReadRightAndNoOther) {
  const std::string folder = testing::reference_data();
  if (folder.empty()) GTEST_SKIP() << "skipped: no reference data";
  std::map<std::string, std::vector<std::vector<std::string>>> wanted;
  for (const auto& row : rows_of(folder + "/captures/frames.csv")) {
    auto& list = wanted[row.at(0)];
    if ((row.at(3) == "frame" || row.at(3) == "repeat") && row.at(4) != "pd8+8")
      list.push_back(row);
  }
  ASSERT_FALSE(wanted.empty());
  for (const auto& [file, rows] : wanted) {
    const CaptureReading reading = read_capture(capture_of(folder + "/captures/" + file));
    EXPECT_FALSE(reading.inverted);
    ASSERT_EQ(reading.frames.size(), rows.size()) << file;
    for (std::size_t i = 0; i < rows.size(); ++i) {
      const HeardFrame& heard = reading.frames[i];
      const auto& row = rows[i];
      const std::string& protocol = row.at(4);
      EXPECT_EQ(heard.start_us, std::stod(row.at(2))) << file;
      EXPECT_EQ(heard.frame.repeat, row.at(3) == "repeat") << file;
      if (heard.frame.repeat) continue;
      EXPECT_EQ(protocol_name(heard.frame.protocol), protocol) << file;
      EXPECT_EQ(heard.frame.address, number(row.at(5), protocol)) << file;
      EXPECT_EQ(heard.frame.command, number(row.at(6), protocol)) << file;
    }
  }
}

TEST(RealCaptures, TurnedUpsideDown_ReadTheSame) {
  const std::string folder = testing::reference_data();
  if (folder.empty()) GTEST_SKIP() << "skipped: no reference data";
  for (const char* file : {"001.csv", "011.csv", "016.csv", "018.csv", "021.csv"}) {
    Capture capture = capture_of(folder + "/captures/" + file);
    const CaptureReading upright = read_capture(capture);
    for (Pulse& pulse : capture.pulses) pulse.mark = !pulse.mark;
    const CaptureReading turned = read_capture(capture);
    EXPECT_TRUE(turned.inverted) << file;
    EXPECT_EQ(turned.frames.size(), upright.frames.size()) << file;
  }
}

TEST(GeneratedCaptures, AreReadAtEachStretch) {
  const std::string folder = testing::reference_data();
  if (folder.empty()) GTEST_SKIP() << "skipped: no reference data";
  for (const auto& row : rows_of(folder + "/synthetic/expected.csv")) {
    const Capture clean = capture_of(folder + "/synthetic/" + row.at(0));
    for (const double stretch_us : {-100.0, 0.0, 100.0}) {
      Capture capture = clean;
      for (std::size_t i = 0; i < capture.pulses.size(); ++i) {
        Pulse& pulse = capture.pulses[i];
        if (pulse.mark) pulse.duration_us += stretch_us;
        if (!pulse.mark && i > 0) pulse.duration_us -= stretch_us;
      }
      const CaptureReading reading = read_capture(capture);
      EXPECT_EQ(reading.frames.size(), std::stoul(row.at(5))) << row.at(0) << ' ' << stretch_us;
      EXPECT_TRUE(reading.refused.empty()) << row.at(0) << ' ' << stretch_us;
      if (row.at(3).rfind("0x", 0) != 0 || reading.frames.empty()) continue;
      EXPECT_EQ(reading.frames[0].frame.address, std::stoul(row.at(3), nullptr, 16)) << row.at(0);
      if (row.at(4).rfind("0x", 0) != 0) continue;
      EXPECT_EQ(reading.frames[0].frame.command, std::stoul(row.at(4), nullptr, 16)) << row.at(0);
    }
  }
}

// The remote that no decoder reads: each of its captures is a key, its bits those of `frames.csv`,
// and each of its trains is told to be its own key's and no other's.
TEST(RealCaptures, UnknownRemote_IsLearnedAndItsKeysAreToldApart) {
  const std::string folder = testing::reference_data();
  if (folder.empty()) GTEST_SKIP() << "skipped: no reference data";
  std::map<std::string, std::string> bits;
  for (const auto& row : rows_of(folder + "/captures/frames.csv")) {
    if (row.at(4) != "pd8+8" || row.at(3) != "frame") continue;
    std::string all;
    for (const std::size_t field : {5U, 6U}) {
      if (!all.empty()) all += '|';
      const unsigned long value = std::stoul(row.at(field), nullptr, 16);
      for (int bit = 0; bit < 8; ++bit) all += (value >> bit & 1) != 0 ? '1' : '0';
    }
    bits[row.at(0)] = all;
  }
  ASSERT_FALSE(bits.empty());
  std::vector<KeyRecording> recordings;
  for (const auto& [file, wanted] : bits) {
    recordings.push_back({file, capture_of(folder + "/captures/" + file)});
  }
  const auto remote = learn_remote("unknown", recordings);
  ASSERT_TRUE(remote.has_value()) << remote.error().one_line();
  for (std::size_t i = 0; i < recordings.size(); ++i) {
    EXPECT_EQ(remote->keys[i].bits, bits[recordings[i].name]);
    CaptureReading reading = read_capture(recordings[i].capture);
    recognise(*remote, recordings[i].capture, reading);
    EXPECT_EQ(reading.frames.size(), static_cast<std::size_t>(remote->keys[i].trains));
    for (const HeardFrame& heard : reading.frames) EXPECT_EQ(heard.key, recordings[i].name);
  }
}

}  // namespace
}  // namespace runtrue
