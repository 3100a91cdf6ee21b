// Pictures for paper: the forecast of a move list on its table, how a robot was trued, and a list
// of moves over the path it was made from.
//
// One drawing code makes SVG, PDF and PNG; the ending of the file's name decides. Every picture is
// an A4 sheet, landscape, black on white, true to the scale it states when printed without fitting;
// PNG has 150 dots per inch. The same picture gives the same bytes on every run: no clock is read,
// no font but DejaVu Sans is used. An SVG holds its text as outlines, and its title and sentence as
// <title> and <desc>, so that they can be read and searched.
//
// It draws what it is given and computes nothing but places on the paper.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "drive/robot.h"
#include "forecast/forecast.h"
#include "forecast/table.h"
#include "moves/compile.h"
#include "moves/fit_path.h"
#include "truing/truing.h"
#include "units/result.h"

namespace runtrue {

enum class PictureKind { kSvg, kPdf, kPng };

// By the file name's ending, upper or lower case. Error (bad input): any other ending, saying which
// are known.
[[nodiscard]] Result<PictureKind> picture_kind_of(std::string_view path);

// The sheet's size and how fine its PNG is.
inline constexpr double kSheetWidth_mm = 297.0;
inline constexpr double kSheetHeight_mm = 210.0;
inline constexpr double kPngDotsPerInch = 150.0;

// The caution that stands on every sheet a robot is started from.
inline constexpr const char* kHandAtTheEdge =
    "Keep a hand at the edge on a first run. Nothing here is a safety device.";

// What a forecast sheet shows. References must outlive the call only.
struct ForecastPicture {
  const Robot& robot;
  Trim trim;
  const std::vector<CompiledMove>& moves;
  const Table& table;
  Pose start;
  const Forecast& forecast;
  std::string sentence;   // the sheet's heading: what is so, and what to do; "" leaves it out
  std::string made_on{};  // a date for the sheet's foot, "2026-11-25"; "" leaves it out
};

// What a truing sheet shows.
struct TruingPicture {
  const Robot& robot;
  const Truing& truing;
  double tolerance_mm_per_m;  // > 0, drawn as a pair of brackets
  std::string sentence;
  std::string made_on{};
};

// A list of moves over the path it was made from; y up, no table.
struct PathPicture {
  const std::vector<Point>& path;  // two points or more
  const FittedPath& fitted;
  std::string sentence;
  std::string made_on{};
};

// The picture's bytes. Error (environment): the drawing library has no font or no memory.
[[nodiscard]] Result<std::string> picture_of(const ForecastPicture& picture, PictureKind kind);
[[nodiscard]] Result<std::string> picture_of(const TruingPicture& picture, PictureKind kind);
[[nodiscard]] Result<std::string> picture_of(const PathPicture& picture, PictureKind kind);

}  // namespace runtrue
