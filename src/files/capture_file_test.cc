#include "files/capture_file.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <cmath>
#include <string>
#include <utility>
#include <vector>

namespace runtrue {
namespace {

using Pulses = std::vector<std::pair<bool, double>>;

Pulses pulses_of(const Result<Capture>& capture) {
  Pulses pulses;
  if (!capture) {
    ADD_FAILURE() << capture.error().one_line();
    return pulses;
  }
  for (const Pulse& pulse : capture->pulses) pulses.emplace_back(pulse.mark, pulse.duration_us);
  return pulses;
}

Pulses read(const std::string& text) { return pulses_of(read_capture_file(text, "c")); }

std::string refused(const std::string& text) {
  const auto capture = read_capture_file(text, "c");
  return capture ? "it was read" : capture.error().one_line();
}

const std::string kVars = "$timescale 1 us $end\n$var wire 1 ! IR $end\n$enddefinitions $end\n";

TEST(CaptureCsv, RowsAreLevelsAndDurations_ColumnsInAnyOrder) {
  EXPECT_EQ(read("level,duration_us\n0,50000\n1,562.5\n"), (Pulses{{false, 50000}, {true, 562.5}}));
  EXPECT_EQ(read("duration_us;level\r\n562,5;1\r\n"), (Pulses{{true, 562.5}}));
  EXPECT_EQ(read("level,duration_us\n"), Pulses{});
}

TEST(CaptureCsv, FormsThatOtherRecordersWrite_AreReadTheSame) {
  const Pulses wanted{{false, 50000}, {true, 562.5}, {false, 1687.25}};
  for (const char* text : {
           "0,50000\n1,562.5\n0,1687.25\n",
           "50000,0\n562.5,1\n1687.25,0",
           "\xEF\xBB\xBFLevel, Duration_us\r\n0,50000\r\n1,562.5\r\n0,1687.25\r\n\r\n\r\n",
           "# a receiver at 38 kHz\n\nnote;level;duration_us\n;0;5e4\nfirst;1;562,5\n;0;1687,25\n",
           "level,duration_us,\n0,50000,\n1,562.5,\n0,1687.25,\n,,\n",
           "level\tduration_us\r0\t50000\r1\t562.50\r0\t0\r0\t1687.25\r",
       }) {
    EXPECT_EQ(read(text), wanted) << text;
  }
}

TEST(CaptureCsv, WhatCannotBeUsed_IsToldWithItsPlace) {
  const std::string head = "level,duration_us\n";
  EXPECT_EQ(
      refused(""),
      "c:1:1: nothing is written here, expected level,duration_us in the first line, or a VCD "
      "file");
  EXPECT_EQ(refused("9000,4500\n"),
            "c:1:1: there is no column level, expected level,duration_us in the first line, or a "
            "VCD file");
  EXPECT_EQ(refused("level\n1\n"),
            "c:1:1: there is no column duration_us, expected level,duration_us in the first line, "
            "or a VCD file");
  EXPECT_EQ(refused(head + "1,560\n2,560\n"),
            "c:3:1: level is '2', expected 1 for a mark or 0 for a space");
  EXPECT_EQ(refused(head + "1,soon\n"),
            "c:2:3: duration_us is 'soon', expected microseconds, 0 or more");
  EXPECT_EQ(refused(head + "1,-560\n"),
            "c:2:3: duration_us is '-560', expected microseconds, 0 or more");
  EXPECT_EQ(refused(head + "1\n"), "c:2:1: this row has 1 cells, expected 2 as in the first line");
}

TEST(CaptureVcd, LowIsAMark_AndTimeBeginsAtZero) {
  EXPECT_EQ(read(kVars + "#100\n1!\n#500\n0!\n#600\n1!\n#900\n"),
            (Pulses{{false, 500}, {true, 100}, {false, 300}}));
}

// IEEE 1364-2005, 18.2: one, ten or a hundred of a unit; values before and in $dump sections; the
// same signal named in two scopes; b forms of one bit.
TEST(CaptureVcd, FormsOfTheStandard_AreRead) {
  const Pulses wanted{{false, 20}, {true, 30}, {false, 10}};
  for (const char* text : {
           "$timescale 10us $end $var wire 1 ! a $end\n#0\n1!\n#2\n0!\n#5\n1!\n#6\n",
           "$timescale\n 100 ns\n$end $var reg 1 ab a [0] $end #0 1ab #200 0ab #500 1ab #600",
           "$date today $end $timescale 1 ps $end $var wire 1 ! a $end $scope module m $end "
           "$var wire 1 ! b $end $upscope $end $enddefinitions $end $dumpvars x! $end #0 1! "
           "#20000000 b0 ! #50000000 B1 ! $comment 0! is no change here $end #60000000",
       }) {
    const Pulses pulses = read(text);
    ASSERT_EQ(pulses.size(), wanted.size()) << text;
    for (std::size_t i = 0; i < wanted.size(); ++i) {
      EXPECT_EQ(pulses[i].first, wanted[i].first) << text;
      EXPECT_NEAR(pulses[i].second, wanted[i].second, 1e-9) << text;  // rounding of 1e-6 alone
    }
  }
}

TEST(CaptureVcd, UnknownLevels_LetTheLevelStay) {
  EXPECT_EQ(read(kVars + "#0\nx!\n#50\n1!\n#100\nz!\n#200\n0!\n#300\nx!\n#400\n"),
            (Pulses{{false, 200}, {true, 200}}));
}

TEST(CaptureVcd, LevelThatBeginsAtTheLastTime_LastsOn) {
  EXPECT_EQ(read(kVars + "#0\n1!\n#20\n0!\n#30\n1!\n"),
            (Pulses{{false, 20}, {true, 10}, {false, kLastLevel_us}}));
}

TEST(CaptureVcd, WhatCannotBeUsed_IsToldWithItsPlace) {
  const std::string scale = "$timescale 1 us $end\n";
  EXPECT_EQ(refused(scale), "c:1:1: no signal is declared, expected $var wire 1 NAME of one");
  EXPECT_EQ(refused(scale + "$var wire 1 ! a $end\n$var wire 1 \" b $end\n"),
            "c:3:1: a second signal is declared, expected one: the receiver's line alone");
  EXPECT_EQ(refused(scale + "$var wire 8 ! a $end\n"), "c:2:11: the signal has 8 bits, expected 1");
  EXPECT_EQ(refused("$timescale 5 us $end\n"),
            "c:1:12: the timescale is '5us', expected 1, 10 or 100 of s, ms, us, ns, ps or fs");
  EXPECT_EQ(refused("$var wire 1 ! a $end\n#0\n"),
            "c:2:1: no timescale was told before the first time, expected $timescale 1 us $end");
  EXPECT_EQ(refused(kVars + "#9\n1!\n#8\n"),
            "c:6:1: '#8' goes back in time, expected a later one than before");
  EXPECT_EQ(refused(kVars + "#0\n1?\n"),
            "c:5:1: '1?' is a change of a signal that was not declared, expected one by $var");
  EXPECT_EQ(refused(kVars + "$comment"), "c:4:1: $comment is not closed, expected $end");
  EXPECT_EQ(refused(kVars + "on\n"),
            "c:4:1: 'on' is no part of a VCD file, expected #TIME or a change of the signal");
}

RC_GTEST_PROP(CaptureFiles, Written_AreReadTheSame,
              (const std::vector<std::uint16_t>& widths, bool mark)) {
  Capture capture;
  for (const std::uint16_t width : widths) {
    capture.pulses.push_back({mark, 1.0 + width});
    mark = !mark;
  }
  const Result<Capture> csv = read_capture_file(write_capture_csv(capture), "c");
  RC_ASSERT(csv.has_value());
  RC_ASSERT(pulses_of(csv) == pulses_of(capture));
  if (capture.pulses.empty()) return;
  RC_ASSERT(pulses_of(read_capture_file(write_capture_vcd(capture), "c")) == pulses_of(capture));
}

}  // namespace
}  // namespace runtrue
