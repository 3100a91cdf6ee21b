#include "print/picture.h"

#include <gtest/gtest.h>

#include <array>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <sstream>

#include "print/internal/example_scene.h"

namespace runtrue {
namespace {

using internal::square_scene;
using internal::true_scene;

// A fresh folder for one test's files.
class PictureFiles : public testing::Test {
 protected:
  PictureFiles() {
    std::string pattern = testing::TempDir() + "pictureXXXXXX";
    folder_ = ::mkdtemp(pattern.data());
  }
  ~PictureFiles() override { std::filesystem::remove_all(folder_); }
  [[nodiscard]] std::string path(const std::string& name) const { return folder_ + "/" + name; }
  std::string folder_;
};

std::string contents(const std::string& path) {
  std::ifstream file(path, std::ios::binary);
  std::stringstream all;
  all << file.rdbuf();
  return all.str();
}

std::string output_of(const std::string& command) {
  std::FILE* pipe = ::popen(command.c_str(), "r");
  std::string out;
  std::array<char, 4096> buffer{};
  for (std::size_t n = 0; (n = std::fread(buffer.data(), 1, buffer.size(), pipe)) > 0;)
    out.append(buffer.data(), n);
  ::pclose(pipe);
  return out;
}

bool holds(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

std::string bytes_of(const Result<std::string>& made) {
  EXPECT_TRUE(made) << (made ? "" : made.error().one_line());
  return made.value_or("");
}

template <typename Picture>
bool drawn(const Picture& picture, const std::string& path) {
  std::ofstream(path, std::ios::binary) << bytes_of(picture_of(picture, *picture_kind_of(path)));
  return !contents(path).empty();
}

TEST(PictureKind, GoesByTheEndingWhateverItsCase) {
  EXPECT_EQ(picture_kind_of("a/b.svg"), PictureKind::kSvg);
  EXPECT_EQ(picture_kind_of("B.PDF"), PictureKind::kPdf);
  EXPECT_EQ(picture_kind_of("x.y.png"), PictureKind::kPng);
  for (const char* wrong : {"plan", "plan.jpg", "", ".", "svg"}) {
    const auto kind = picture_kind_of(wrong);
    ASSERT_FALSE(kind) << wrong;
    EXPECT_EQ(kind.error().kind, ErrorKind::kBadInput);
    EXPECT_TRUE(holds(kind.error().message, ".svg, .pdf or .png"));
  }
}

TEST(Picture, HasTheSameBytesEveryTime) {
  const auto scene = square_scene(2, 380);
  const auto trued = true_scene();
  for (const PictureKind kind : {PictureKind::kSvg, PictureKind::kPdf, PictureKind::kPng}) {
    EXPECT_EQ(bytes_of(picture_of(scene.picture(), kind)),
              bytes_of(picture_of(scene.picture(), kind)));
    EXPECT_EQ(bytes_of(picture_of(trued.picture(), kind)),
              bytes_of(picture_of(trued.picture(), kind)));
  }
}

TEST_F(PictureFiles, SvgIsWellFormedXmlWithTheSentenceInIt) {
  auto scene = square_scene(2, 380);
  scene.robot.name = "Knot & <Ruff> ß";
  ASSERT_TRUE(drawn(scene.picture(), path("plan.svg")));
  EXPECT_EQ(output_of("xmllint --noout " + path("plan.svg") + " 2>&1"), "");
  const std::string svg = contents(path("plan.svg"));
  EXPECT_TRUE(holds(svg, "<title>Knot &amp; &lt;Ruff&gt; ß: forecast on trestle</title>"));
  EXPECT_TRUE(holds(svg, "falls about 1 time in 12"));
  EXPECT_TRUE(holds(svg, "trim −4"));
}

TEST_F(PictureFiles, PdfIsOneLandscapeA4SheetWhoseWordsCanBeFound) {
  const auto scene = square_scene(2, 380);
  ASSERT_TRUE(drawn(scene.picture(), path("plan.pdf")));
  const std::string info = output_of("pdfinfo " + path("plan.pdf"));
  EXPECT_TRUE(holds(info, "A4")) << info;
  EXPECT_TRUE(holds(info, "Pages:           1")) << info;
  const std::string text = output_of("pdftotext -layout " + path("plan.pdf") + " -");
  for (const char* words :
       {"falls about 1 time in 12", "Dunlin", "trim −4", "2026-11-25", "5 falls", "mug", "box",
        "1520 mm", "760 mm", "heading 20°", "drive 380 mm", "turn left 90 deg",
        "scale 1:", "60 of 10 000 sample paths", "edge it can fall from", "Keep a hand at the edge",
        "Nothing here is a safety device"}) {
    EXPECT_TRUE(holds(text, words)) << words << " in\n" << text;
  }
}

TEST_F(PictureFiles, TruingSheetNamesTrimToleranceAndTheDoubtfulRow) {
  const auto scene = true_scene();
  ASSERT_TRUE(drawn(scene.picture(), path("true.pdf")));
  const std::string text = output_of("pdftotext -layout " + path("true.pdf") + " -");
  for (const char* words : {"Nothing to do", "Suggested trim −4", "row 6", "tolerance, ±10 mm/m",
                            "bends left", "bends right", "within ±10 mm/m: 97 %"}) {
    EXPECT_TRUE(holds(text, words)) << words << " in\n" << text;
  }
}

TEST_F(PictureFiles, PngIsA4AtItsStatedResolution) {
  ASSERT_TRUE(drawn(true_scene().picture(), path("true.png")));
  const std::string png = contents(path("true.png"));
  ASSERT_GT(png.size(), 24U);
  // PNG (ISO/IEC 15948): width and height stand big-endian at bytes 16 and 20.
  const auto number = [&](std::size_t at) {
    int n = 0;
    for (std::size_t i = at; i < at + 4; ++i) n = n * 256 + static_cast<unsigned char>(png[i]);
    return n;
  };
  EXPECT_EQ(number(16), 1754);  // 297 mm at 150 dots per inch
  EXPECT_EQ(number(20), 1240);  // 210 mm
}

// The thick closed line of four corners is the table's edge: its size on the paper over its size in
// the room is the stated scale.
TEST(ForecastPicture, TableIsDrawnToTheStatedScale) {
  const auto scene = square_scene(2, 380);
  const std::string svg = bytes_of(picture_of(scene.picture(), PictureKind::kSvg));
  const std::size_t pen = svg.find("stroke-width:2.4;");
  ASSERT_NE(pen, std::string::npos);
  const std::size_t path = svg.find(" d=\"M ", pen);
  ASSERT_NE(path, std::string::npos);
  double x[4], y[4];
  ASSERT_EQ(std::sscanf(svg.c_str() + path, " d=\"M %lf %lf L %lf %lf L %lf %lf L %lf %lf Z", &x[0],
                        &y[0], &x[1], &y[1], &x[2], &y[2], &x[3], &y[3]),
            8);
  const double width_pt = x[1] - x[0];
  const double depth_pt = y[1] - y[2];
  // SVG numbers are written to a 1/1000 of a point or better; the table is several hundred wide.
  constexpr double kWritten = 1e-4;
  EXPECT_NEAR(width_pt / depth_pt, 1520.0 / 760.0, kWritten);
  const double scale = 1520.0 / (width_pt / 72.0 * 25.4);
  EXPECT_NEAR(scale, 9.0, 9.0 * kWritten);  // 1:9 is the largest round scale that fits the sheet
}

TEST_F(PictureFiles, StatedScaleIsTheOneDrawn) {
  ASSERT_TRUE(drawn(square_scene(2, 380).picture(), path("plan.pdf")));
  EXPECT_TRUE(holds(output_of("pdftotext -layout " + path("plan.pdf") + " -"), "scale 1:9 "));
}

TEST_F(PictureFiles, WalledTableIsNamedAWallAndHasNoStrokes) {
  auto scene = square_scene(1, 300);
  const auto strokes = [](const std::string& svg) {
    std::size_t count = 0;
    for (std::size_t at = 0; (at = svg.find("stroke-width:0.8;", at)) != std::string::npos; ++at)
      ++count;
    return count;
  };
  const std::size_t open = strokes(bytes_of(picture_of(scene.picture(), PictureKind::kSvg)));
  scene.table.walled = true;
  EXPECT_GT(open, 100U);
  EXPECT_EQ(strokes(bytes_of(picture_of(scene.picture(), PictureKind::kSvg))), 0U);
}

TEST(ForecastPicture, DrawsAnEmptyListAnUnnamedTableAndNoSamples) {
  internal::Scene scene;
  scene.table.edge = {internal::at_mm(-300, 0), internal::at_mm(300, 0), internal::at_mm(0, 500)};
  scene.forecast.nominal_path = {scene.start};
  EXPECT_TRUE(picture_of(ForecastPicture{scene.robot, Trim{0}, scene.moves, scene.table,
                                         scene.start, scene.forecast, ""},
                         PictureKind::kSvg));
}

TEST(ForecastPicture, LongListsStayOnTheSheet) {
  const auto scene = square_scene(200, 300);
  EXPECT_TRUE(picture_of(scene.picture(), PictureKind::kPdf));
}

TEST_F(PictureFiles, PathSheetNamesTheMovesAndTheLargestDeviation) {
  const std::vector<Point> wish{internal::at_mm(0, 0), internal::at_mm(200, 12),
                                internal::at_mm(400, 0), internal::at_mm(400, 300)};
  const FittedPath fitted = *fit_path(wish, 3);
  ASSERT_TRUE(drawn(PathPicture{wish, fitted, "3 moves are at most 12.0 mm off the path."},
                    path("path.pdf")));
  const std::string text = output_of("pdftotext -layout " + path("path.pdf") + " -");
  for (const char* words : {"3 moves are at most", "12.0 mm off", "farthest off", "drive 400 mm",
                            "turn left 90 deg", "400 mm", "300 mm", "heading 0", "scale 1:"}) {
    EXPECT_TRUE(holds(text, words)) << words << " in\n" << text;
  }
}

}  // namespace
}  // namespace runtrue
