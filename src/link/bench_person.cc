#include "link/bench_person.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace runtrue {
namespace {

constexpr int kLongEnough_ms = 60000;  // the hand takes the robot away long before
constexpr double kPi = std::numbers::pi;

Blunder draw_blunder(Rng& rng, double probability, bool can_slip_sign) {
  if (!happens(rng, probability)) return Blunder::kNone;
  const int which = whole(rng, can_slip_sign ? 0 : 1, 2);
  return which == 0 ? Blunder::kWrongSign : which == 1 ? Blunder::kBumped : Blunder::kDigitSlip;
}

// A number noted wrongly by a digit: ten or a hundred too much or too little, never to the other
// side of zero.
double slip_digit(double noted, Rng& rng) {
  const double step = std::abs(noted) >= 100.0 && happens(rng, 0.5) ? 100.0 : 10.0;
  const double size =
      std::abs(noted) + (std::abs(noted) > step && happens(rng, 0.5) ? -step : step);
  return std::copysign(size, noted);
}

double read_tape(double true_mm, const BenchPerson& person, Rng& rng) {
  return std::round(normal(rng, true_mm, person.tape_sd_mm));
}

double read_turn(double turned_deg, const BenchPerson& person, Rng& rng) {
  const double step = person.turn_noted_to_deg;
  return std::round(normal(rng, turned_deg, person.turn_read_sd_deg) / step) * step;
}

void note_common(Run& run, const VirtualRobot& robot, const BenchPerson& person, Level level,
                 Trim trim) {
  run.level = level;
  run.trim = trim;
  if (person.notes_battery) run.battery_v = std::round(robot.battery_v() * 20.0) / 20.0;
}

// Where along the tape and how far to the robot's left.
struct OnTape {
  double along_mm = 0.0;
  double left_mm = 0.0;
};

OnTape on_tape(const Pose& placed, const Pose& way, bool back) {
  const Pose there = compose(placed, way);
  return {back ? -there.x.mm() : there.x.mm(), there.y.mm()};
}

// What a straight run left on the floor: every place on the way, seen from the start mark.
struct Track {
  std::vector<OnTape> places;
  bool started = false;
};

bool off_the_strip(const OnTape& place, const BenchPerson& person, double last_line_mm) {
  return place.along_mm >= last_line_mm || place.along_mm < -50.0 ||
         std::abs(place.left_mm) >= person.strip_half_width_mm;
}

Track lay_track(VirtualRobot& robot, const BenchPerson& person, Level level, Trim trim,
                double last_line_mm, Blunder blunder, Rng& rng) {
  const Pose placed = set_down(person, rng);
  const bool back = level.value < 0;
  DriveExtras extras;
  if (blunder == Blunder::kBumped) {
    const double heading_deg = uniform(rng, 4.0, 12.0) * (happens(rng, 0.5) ? 1.0 : -1.0);
    extras.bumps.push_back(
        {last_line_mm * uniform(rng, 0.2, 0.8), Angle::from_deg(heading_deg).rad()});
  }
  extras.taken_away = [&](const Pose& way) {
    return off_the_strip(on_tape(placed, way, back), person, last_line_mm);
  };
  const DrivenPath path = robot.drive({level, level, kLongEnough_ms}, trim, rng, extras);
  Track track;
  track.started = path.started;
  for (const TimedPose& p : path.poses) track.places.push_back(on_tape(placed, p.pose, back));
  return track;
}

// Sideways place where the track first crosses a line, between two noted places.
std::optional<double> crossing_mm(const Track& track, double line_mm) {
  for (std::size_t i = 1; i < track.places.size(); ++i) {
    const OnTape& a = track.places[i - 1];
    const OnTape& b = track.places[i];
    if (a.along_mm < line_mm && b.along_mm >= line_mm) {
      const double part = (line_mm - a.along_mm) / (b.along_mm - a.along_mm);
      return a.left_mm + part * (b.left_mm - a.left_mm);
    }
  }
  return std::nullopt;
}

// The end reading: at the line, or where the robot left the strip before it.
std::optional<LineReading> read_end(const Track& track, double line_mm, const BenchPerson& person,
                                    Rng& rng) {
  if (const auto left_mm = crossing_mm(track, line_mm)) {
    return LineReading{Length::from_mm(line_mm), Length::from_mm(read_tape(*left_mm, person, rng))};
  }
  const OnTape& last = track.places.back();
  const double along_mm = read_tape(last.along_mm, person, rng);
  const double left_mm = read_tape(last.left_mm, person, rng);
  // Left the strip more beside than in front: nothing a tape along the strip could read.
  if (along_mm <= 0.0 || std::abs(left_mm) > along_mm) return std::nullopt;
  return LineReading{Length::from_mm(along_mm), Length::from_mm(left_mm)};
}

// Both readings into the run; false where there is none of the end.
bool read_two_lines(Run& run, const Track& track, Length half, Length end,
                    const BenchPerson& person, Rng& rng) {
  const auto half_mm = crossing_mm(track, half.mm());
  if (half_mm) run.half = LineReading{half, Length::from_mm(read_tape(*half_mm, person, rng))};
  run.end = read_end(track, end.mm(), person, rng);
  if (!run.end) return false;
  if (run.half && run.end->line <= half) run.half.reset();
  return true;
}

void spoil_reading(LineReading& reading, Blunder blunder, Rng& rng) {
  double noted_mm = reading.sideways.mm();
  if (blunder == Blunder::kWrongSign) noted_mm = -noted_mm;
  if (blunder == Blunder::kDigitSlip) noted_mm = slip_digit(noted_mm, rng);
  if (std::abs(noted_mm) < reading.line.mm()) reading.sideways = Length::from_mm(noted_mm);
}

// One of the readings is spoiled, the end one twice as often as not when there are two.
void spoil(Run& run, Blunder blunder, Rng& rng) {
  const bool half = run.half && happens(rng, 1.0 / 3.0);
  spoil_reading(half ? *run.half : *run.end, blunder, rng);
}

}  // namespace

std::optional<NotedRun> run_two_lines(VirtualRobot& robot, const BenchPerson& person, Level level,
                                      Trim trim, Length half, Length end, Rng& rng) {
  NotedRun noted;
  noted.blunder = draw_blunder(rng, person.blunder_probability, true);
  note_common(noted.run, robot, person, level, trim);
  const Track track = lay_track(robot, person, level, trim, end.mm(), noted.blunder, rng);
  if (!track.started) return std::nullopt;
  if (!read_two_lines(noted.run, track, half, end, person, rng)) return std::nullopt;
  spoil(noted.run, noted.blunder, rng);
  return noted;
}

std::optional<NotedRun> run_one_line(VirtualRobot& robot, const BenchPerson& person, Level level,
                                     Trim trim, Length end, Rng& rng) {
  NotedRun noted;
  noted.blunder = draw_blunder(rng, person.blunder_probability, true);
  note_common(noted.run, robot, person, level, trim);
  const Track track = lay_track(robot, person, level, trim, end.mm(), noted.blunder, rng);
  if (!track.started) return std::nullopt;
  noted.run.end = read_end(track, end.mm(), person, rng);
  if (!noted.run.end) return std::nullopt;
  spoil(noted.run, noted.blunder, rng);
  return noted;
}

std::optional<NotedRun> run_timed(VirtualRobot& robot, const BenchPerson& person, Level level,
                                  Trim trim, Duration time, Rng& rng) {
  NotedRun noted;
  noted.blunder = draw_blunder(rng, person.blunder_probability, false);
  note_common(noted.run, robot, person, level, trim);
  const int milliseconds = static_cast<int>(std::lround(time.ms()));
  const double placed_mm = normal(rng, 0.0, person.placed_sideways_sd_mm);
  const DrivenPath path = robot.drive({level, level, milliseconds}, trim, rng);
  if (!path.started) return std::nullopt;
  double way_mm = std::hypot(path.end().x.mm(), path.end().y.mm()) + placed_mm;
  if (noted.blunder == Blunder::kBumped) way_mm *= uniform(rng, 0.7, 0.9);  // held up for a moment
  double noted_mm = read_tape(way_mm, person, rng);
  if (noted.blunder == Blunder::kDigitSlip) noted_mm = slip_digit(noted_mm, rng);
  if (noted_mm < 1.0) return std::nullopt;
  noted.run.time = Duration::from_ms(milliseconds);
  noted.run.distance = Length::from_mm(noted_mm);
  return noted;
}

std::optional<NotedRun> run_turn(VirtualRobot& robot, const BenchPerson& person, Level level,
                                 Trim trim, Duration time, bool to_the_left, Rng& rng) {
  NotedRun noted;
  noted.run.kind = RunKind::kTurn;
  noted.blunder = draw_blunder(rng, person.blunder_probability, true);
  note_common(noted.run, robot, person, level, trim);
  const int milliseconds = static_cast<int>(std::lround(time.ms()));
  const int side = to_the_left ? 1 : -1;
  const WheelCommand command{{-side * level.value}, {side * level.value}, milliseconds};
  const DrivenPath path = robot.drive(command, trim, rng);
  if (!path.started) return std::nullopt;
  double turned_deg = path.end().heading.rad() * 180.0 / kPi;
  if (noted.blunder == Blunder::kBumped) turned_deg *= uniform(rng, 0.6, 0.85);
  double noted_deg = read_turn(turned_deg, person, rng);
  if (noted.blunder == Blunder::kWrongSign) noted_deg = -noted_deg;
  if (noted.blunder == Blunder::kDigitSlip) noted_deg = slip_digit(noted_deg, rng);
  noted.run.time = Duration::from_ms(milliseconds);
  noted.run.turned = Angle::from_deg(noted_deg);
  return noted;
}

Pose set_down(const BenchPerson& person, Rng& rng) {
  const double aim_deg = normal(rng, 0.0, person.aim_sd_deg);
  const double sideways_mm = normal(rng, 0.0, person.placed_sideways_sd_mm);
  return {Length(), Length::from_mm(sideways_mm), Angle::from_deg(aim_deg)};
}

std::optional<Run> read_run(const DrivenPath& path, const NextRun& asked, const BenchPerson& person,
                            Rng& rng) {
  if (!path.started) return std::nullopt;
  Run run;
  run.kind = asked.kind;
  run.level = asked.level;
  run.trim = asked.trim;
  if (asked.time > Duration()) run.time = asked.time;
  const Pose& start = path.poses.front().pose;
  if (asked.kind == RunKind::kTurn) {
    const double turned_deg = (path.end().heading - start.heading).rad() * 180.0 / kPi;
    run.turned = Angle::from_deg(read_turn(turned_deg, person, rng));
    return run;
  }
  if (run.time) {
    const double noted_mm =
        read_tape(std::hypot(path.end().x.mm(), path.end().y.mm()), person, rng);
    if (noted_mm < 1.0) return std::nullopt;
    run.distance = Length::from_mm(noted_mm);
    return run;
  }
  Track track;
  for (const TimedPose& p : path.poses) {
    track.places.push_back(on_tape(Pose(), p.pose, asked.level.value < 0));
    if (off_the_strip(track.places.back(), person, asked.line.mm())) break;
  }
  if (!read_two_lines(run, track, asked.half_line, asked.line, person, rng)) return std::nullopt;
  return run;
}

}  // namespace runtrue
