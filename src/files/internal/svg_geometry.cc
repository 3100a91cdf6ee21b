#include "files/internal/svg_geometry.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "files/internal/svg_scan.h"
#include "units/spelling.h"

namespace runtrue::internal {
namespace {

SvgSpot operator+(SvgSpot a, SvgSpot b) { return {a.x + b.x, a.y + b.y}; }
SvgSpot operator-(SvgSpot a, SvgSpot b) { return {a.x - b.x, a.y - b.y}; }
SvgSpot operator*(double k, SvgSpot a) { return {k * a.x, k * a.y}; }
double length(SvgSpot a) { return std::hypot(a.x, a.y); }

bool is_relative(char command) { return command >= 'a'; }
char upper(char command) {
  return static_cast<char>(is_relative(command) ? command - 32 : command);
}

// Follows path data, command by command, and notes the points.
class PathReader {
 public:
  PathReader(std::string_view data, double flat_to) : scan_(data), flat_to_(flat_to) {}

  Result<std::vector<SvgSpot>> read() {
    scan_.skip_blanks();
    if (upper(scan_.peek()) != 'M') return scan_.wrong("M, with which a path begins");
    while (!scan_.at_end()) {
      if (auto r = command(); !r) return tl::unexpected(r.error());
      if (points_.size() > kMostSvgPoints) {
        return bad_input(fmt::format("it has more than {} points", kMostSvgPoints));
      }
      scan_.skip_blanks();
    }
    return std::move(points_);
  }

 private:
  // One command letter with all its repetitions.
  Result<void> command() {
    constexpr std::string_view kLetters = "MmLlHhVvCcSsQqTtAaZz";
    if (scan_.peek() == '\0' || kLetters.find(scan_.peek()) == std::string_view::npos) {
      return scan_.wrong("a command: M L H V C S Q T A or Z");
    }
    if (closed_ || (!points_.empty() && upper(scan_.peek()) == 'M')) {
      return scan_.wrong("the path's end: it must be one line drawn without lifting");
    }
    char letter = scan_.take();
    relative_ = is_relative(letter);
    letter = upper(letter);
    if (letter == 'Z') {
      closed_ = true;
      go_to(points_.front());
      return {};
    }
    scan_.skip_blanks();
    for (bool first = true; first || scan_.number_ahead(); first = false) {
      if (auto r = step(letter); !r) return r;
      if (letter == 'M') letter = 'L';  // further pairs are lines
      if (points_.size() > kMostSvgPoints) return {};
      scan_.skip_comma();
    }
    return {};
  }

  Result<void> step(char letter) {
    switch (letter) {
      case 'H':
      case 'V': {
        RUNTRUE_TRY(const double value, number());
        SvgSpot to = at_;
        double& along = letter == 'H' ? to.x : to.y;
        along = relative_ ? along + value : value;
        go_to(to);
        return {};
      }
      case 'C':
      case 'S':
      case 'Q':
      case 'T':
        return curve(letter);
      case 'A':
        return arc();
      default: {
        RUNTRUE_TRY(const SvgSpot to, pair());
        go_to(to);
        return {};
      }
    }
  }

  // Bézier curves; S and T reflect the last control point of a curve of their own kind.
  Result<void> curve(char letter) {
    const bool cubic = letter == 'C' || letter == 'S';
    SvgSpot one = at_;
    if (letter == 'S' || letter == 'T') {
      if (last_kind_ == (cubic ? 'C' : 'Q')) one = at_ + (at_ - last_control_);
    } else {
      RUNTRUE_TRY(one, pair());
      scan_.skip_comma();
    }
    SvgSpot two = one;
    if (cubic) {
      RUNTRUE_TRY(two, pair());
      scan_.skip_comma();
    }
    RUNTRUE_TRY(const SvgSpot end, pair());
    const SvgSpot control = two;
    if (!cubic) {  // raised to a cubic
      two = end + 2.0 / 3.0 * (one - end);
      one = at_ + 2.0 / 3.0 * (one - at_);
    }
    const SvgSpot from = at_;
    // Pieces of a curve lie within |second derivative|/(8·n²) of it.
    const double bend =
        6.0 * std::max(length(from - 2.0 * one + two), length(one - 2.0 * two + end));
    add_pieces(std::sqrt(bend / (8.0 * flat_to_)), [&](double t) {
      const double u = 1.0 - t;
      return u * u * u * from + 3.0 * u * u * t * one + 3.0 * u * t * t * two + t * t * t * end;
    });
    go_to(end);
    last_kind_ = cubic ? 'C' : 'Q';
    last_control_ = control;
    return {};
  }

  // From ends to centre [Svg2, B.2.4], radii made large enough [Svg2, B.2.5].
  Result<void> arc() {
    RUNTRUE_TRY(double rx, number());
    RUNTRUE_TRY(double ry, number());
    RUNTRUE_TRY(const double tilt_deg, number());
    const auto large = scan_.flag();
    if (!large) return scan_.wrong("a flag, 0 or 1");
    scan_.skip_comma();
    const auto positive = scan_.flag();
    if (!positive) return scan_.wrong("a flag, 0 or 1");
    scan_.skip_comma();
    RUNTRUE_TRY(const SvgSpot end, pair());
    const SvgSpot from = at_;
    rx = std::abs(rx);
    ry = std::abs(ry);
    if (length(end - from) == 0.0) return {};
    if (rx == 0.0 || ry == 0.0) {
      go_to(end);
      return {};
    }
    const double tilt = tilt_deg * std::numbers::pi / 180.0;
    const double c = std::cos(tilt), s = std::sin(tilt);
    const SvgSpot half = 0.5 * (from - end);
    const SvgSpot p{(c * half.x + s * half.y) / rx, (-s * half.x + c * half.y) / ry};
    const double far = p.x * p.x + p.y * p.y;  // above 1: the radii are too small
    if (far > 1.0) {
      rx *= std::sqrt(far);
      ry *= std::sqrt(far);
    }
    const double size = std::min(far, 1.0);
    const double off =
        std::sqrt((1.0 - size) / size) * (*large == *positive ? -1.0 : 1.0) * std::sqrt(size / far);
    // On the unit circle, tilted and stretched back afterwards.
    const SvgSpot unit{p.x * std::sqrt(size / far), p.y * std::sqrt(size / far)};
    const SvgSpot centre{off * p.y, -off * p.x};
    const double first = std::atan2(unit.y - centre.y, unit.x - centre.x);
    double sweep = std::atan2(-unit.y - centre.y, -unit.x - centre.x) - first;
    if (*positive && sweep < 0.0) sweep += 2.0 * std::numbers::pi;
    if (!*positive && sweep > 0.0) sweep -= 2.0 * std::numbers::pi;
    const SvgSpot middle = 0.5 * (from + end) + SvgSpot{c * rx * centre.x - s * ry * centre.y,
                                                        s * rx * centre.x + c * ry * centre.y};
    const double bend = std::max(rx, ry) * sweep * sweep;
    add_pieces(std::sqrt(bend / (8.0 * flat_to_)), [&](double t) {
      const SvgSpot on{rx * std::cos(first + t * sweep), ry * std::sin(first + t * sweep)};
      return middle + SvgSpot{c * on.x - s * on.y, s * on.x + c * on.y};
    });
    go_to(end);
    return {};
  }

  // The points between the ends of a curve in `pieces` pieces or more.
  template <class At>
  void add_pieces(double pieces, const At& at) {
    const double most = static_cast<double>(kMostSvgPoints) + 1.0;
    const int n = static_cast<int>(std::clamp(std::ceil(pieces), 1.0, most));
    for (int i = 1; i < n; ++i) points_.push_back(at(static_cast<double>(i) / n));
  }

  void go_to(SvgSpot to) {
    at_ = to;
    points_.push_back(to);
    last_kind_ = ' ';
  }

  Result<double> number() {
    const auto value = scan_.number();
    if (!value) return scan_.wrong("a number");
    scan_.skip_comma();
    return *value;
  }

  Result<SvgSpot> pair() {
    RUNTRUE_TRY(const double x, number());
    const auto y = scan_.number();
    if (!y) return scan_.wrong("a number");
    const SvgSpot read{x, *y};
    return relative_ ? at_ + read : read;
  }

  SvgScan scan_;
  double flat_to_;
  bool relative_ = false, closed_ = false;
  SvgSpot at_, last_control_;
  char last_kind_ = ' ';  // C or Q behind a curve of that kind
  std::vector<SvgSpot> points_;
};

Result<SvgTransform> one_transform(std::string_view name, const std::vector<double>& v) {
  const auto rad = [](double deg) { return deg * std::numbers::pi / 180.0; };
  const std::size_t n = v.size();
  if (name == "matrix" && n == 6) return SvgTransform{v[0], v[1], v[2], v[3], v[4], v[5]};
  if (name == "translate" && (n == 1 || n == 2)) {
    return SvgTransform{1, 0, 0, 1, v[0], n == 2 ? v[1] : 0.0};
  }
  if (name == "scale" && (n == 1 || n == 2)) {
    return SvgTransform{v[0], 0, 0, n == 2 ? v[1] : v[0], 0, 0};
  }
  if (name == "rotate" && (n == 1 || n == 3)) {
    const double c = std::cos(rad(v[0])), s = std::sin(rad(v[0]));
    const SvgTransform turn{c, s, -s, c, 0, 0};
    if (n == 1) return turn;
    return SvgTransform{1, 0, 0, 1, v[1], v[2]}.after(turn).after({1, 0, 0, 1, -v[1], -v[2]});
  }
  if (name == "skewX" && n == 1) return SvgTransform{1, 0, std::tan(rad(v[0])), 1, 0, 0};
  if (name == "skewY" && n == 1) return SvgTransform{1, std::tan(rad(v[0])), 0, 1, 0, 0};
  return bad_input(
      fmt::format("'{}' with {} numbers is no transform, expected matrix, translate, scale, "
                  "rotate, skewX or skewY",
                  quotable(name), n));
}

}  // namespace

SvgTransform SvgTransform::after(const SvgTransform& inner) const {
  return {a * inner.a + c * inner.b, b * inner.a + d * inner.b,     a * inner.c + c * inner.d,
          b * inner.c + d * inner.d, a * inner.e + c * inner.f + e, b * inner.e + d * inner.f + f};
}

double SvgTransform::most_growth() const {
  const double sum = (a * a + b * b + c * c + d * d) / 2.0;
  return std::sqrt(sum + std::sqrt(std::max(0.0, sum * sum - area_growth() * area_growth())));
}

Result<std::vector<SvgSpot>> path_data_points(std::string_view data, double flat_to) {
  return PathReader(data, flat_to).read();
}

Result<std::vector<SvgSpot>> point_list(std::string_view data) {
  SvgScan scan(data);
  std::vector<SvgSpot> points;
  scan.skip_blanks();
  while (!scan.at_end()) {
    const auto x = scan.number();
    if (!x) return scan.wrong("a number");
    scan.skip_comma();
    const auto y = scan.number();
    if (!y) return scan.wrong("a number");
    scan.skip_comma();
    points.push_back({*x, *y});
    if (points.size() > kMostSvgPoints) {
      return bad_input(fmt::format("it has more than {} points", kMostSvgPoints));
    }
  }
  return points;
}

Result<SvgTransform> transform_list(std::string_view text) {
  SvgScan scan(text);
  SvgTransform all;
  scan.skip_blanks();
  while (!scan.at_end()) {
    const std::string_view name = scan.word();
    scan.skip_blanks();
    if (scan.peek() != '(') return scan.wrong("a transform such as translate(10 20)");
    scan.take();
    std::vector<double> values;
    scan.skip_blanks();
    while (scan.peek() != ')') {
      const auto value = scan.number();
      if (!value) return scan.wrong("a number or ')'");
      values.push_back(*value);
      scan.skip_comma();
    }
    scan.take();
    RUNTRUE_TRY(const SvgTransform one, one_transform(name, values));
    all = all.after(one);
    scan.skip_comma();
  }
  return all;
}

Result<SvgViewBox> view_box(std::string_view text) {
  SvgScan scan(text);
  std::array<double, 4> numbers{};
  scan.skip_blanks();
  for (double& n : numbers) {
    const auto value = scan.number();
    if (!value) return scan.wrong("four numbers");
    n = *value;
    scan.skip_comma();
  }
  if (!scan.at_end()) return scan.wrong("four numbers and no more");
  if (numbers[2] <= 0.0 || numbers[3] <= 0.0) {
    return bad_input(
        fmt::format("its size is {:g} by {:g}, expected more than 0", numbers[2], numbers[3]));
  }
  return SvgViewBox{numbers[0], numbers[1], numbers[2], numbers[3]};
}

Result<std::optional<double>> length_mm(std::string_view text) {
  SvgScan scan(text);
  scan.skip_blanks();
  const auto value = scan.number();
  if (!value || *value < 0.0) return scan.wrong("a length such as 210mm");
  if (scan.peek() == '%') return std::optional<double>();
  const std::string_view unit = scan.word();
  scan.skip_blanks();
  const std::pair<std::string_view, double> kUnits[] = {
      {"", kPx_mm}, {"px", kPx_mm},      {"mm", 1.0},        {"cm", 10.0},
      {"in", 25.4}, {"pt", 25.4 / 72.0}, {"pc", 25.4 / 6.0}, {"Q", 0.25},
  };
  for (const auto& [name, mm] : kUnits) {
    if (name == unit && scan.at_end()) return std::optional<double>(*value * mm);
  }
  return bad_input(
      fmt::format("'{}' is no length, expected mm, cm, in, pt, pc, Q or px", quotable(text)));
}

}  // namespace runtrue::internal
