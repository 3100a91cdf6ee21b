#include "cli/practice_session.h"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cmath>

#include "cli/practice_words.h"
#include "cli/words.h"
#include "files/run_json.h"
#include "files/suggestion.h"
#include "moves/press_list.h"
#include "truing/words.h"
#include "units/typed.h"

namespace runtrue {
namespace {

static_assert(static_cast<int>(robot::Press::kRight) == static_cast<int>(Press::kRight) &&
                  static_cast<int>(robot::Press::kLeft) == static_cast<int>(Press::kLeft) &&
                  static_cast<int>(robot::Press::kBack) == static_cast<int>(Press::kBack),
              "keys of the robot and of the list are in the same order");

// The next word and what follows it.
struct Split {
  std::string_view word, rest;
};
Split split(std::string_view text) {
  const auto first = text.find_first_not_of(" \t\r");
  if (first == std::string_view::npos) return {};
  text.remove_prefix(first);
  const auto end = text.find_first_of(" \t\r");
  if (end == std::string_view::npos) return {text, {}};
  const auto next = text.find_first_not_of(" \t\r", end);
  return {text.substr(0, end), next == std::string_view::npos ? "" : text.substr(next)};
}

std::string_view trimmed(std::string_view text) {
  while (!text.empty() && std::string_view(" \t\r").find(text.back()) != std::string_view::npos) {
    text.remove_suffix(1);
  }
  return text;
}

Result<int> whole_of(std::string_view text, int lowest, int highest) {
  int value = 0;
  const auto [stopped, code] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (code != std::errc() || stopped != text.data() + text.size() || value < lowest ||
      value > highest) {
    return bad_input(
        fmt::format("'{}', expected a whole number from {} to {}", text, lowest, highest));
  }
  return value;
}

Result<Duration> time_of(std::string_view text) {
  RUNTRUE_TRY(const Duration time, typed_duration(text));
  if (time < Duration::from_ms(50) || time > Duration::from_s(60)) {
    return bad_input(fmt::format("'{}' is out of range, expected 0.05 to 60 s", text));
  }
  return time;
}

}  // namespace

struct PracticeSession::Word {
  std::string_view word, values, what;
  Result<std::string> (PracticeSession::*does)(std::string_view);
};

const std::vector<PracticeSession::Word>& PracticeSession::words() {
  using S = PracticeSession;
  static const std::vector<Word> all{
      {"advise", "", "what to do next, by the runs noted so far", &S::advise},
      {"run", "", "makes the advised run and sets its trim", &S::run_advised},
      {"trim", "N", "sets the trim", &S::set_trim},
      {"level", "N", "sets the level of the runs below", &S::set_level},
      {"lines", "HALF END", "lays the two tape lines, 600 mm and 1200 mm at first", &S::set_lines},
      {"straight", "", "runs it straight over the lines", &S::run_straight},
      {"left", "TIME", "turns it left on the spot, as in: left 1 s", &S::run_left},
      {"right", "TIME", "the same to the right", &S::run_right},
      {"note", "VALUES", "notes the last run: mm at each line, + left; or degrees, or the way",
       &S::note},
      {"forget", "", "takes the run back that was noted last", &S::forget},
      {"runs", "", "the runs that are noted", &S::list_runs},
      {"moves", "LIST", "loads a list, as in: moves drive 300 mm; turn left 90 deg",
       &S::load_moves},
      {"press", "KEYS", "arrow keys on the robot, as in: press forward left", &S::press},
      {"clear", "", "go held for two seconds: clears the presses", &S::clear},
      {"go", "", "the go key: the next trial that is loaded, else presses, else the list", &S::go},
      {"hold", "HOW TIME", "holds a key of its remote, as in: hold drive 1.5 s", &S::hold},
      {"charge", "", "fresh cells; runs to be noted have them anyway", &S::charge},
      {"score", "", "how true it is, told by its hidden motors", &S::score},
      {"help", "", "these words", &S::help},
      {"end", "", "ends with the score", &S::end},
  };
  return all;
}

Result<PracticeSession> PracticeSession::begin(const PracticeOptions& options) {
  RUNTRUE_TRY(auto practice, Practice::begin(options));
  return PracticeSession(std::move(practice));
}

std::string PracticeSession::welcome() const {
  return paragraph(
      fmt::format("{} stands at the start mark of a tape. It is new: nobody knows how "
                  "its motors differ. Its cable is {}, for `runtrue load` and "
                  "`runtrue log` from another terminal. `help` lists what can be "
                  "typed, `run` makes the advised run.",
                  practice_->robot().name, practice_->port()));
}

Result<std::string> PracticeSession::take(std::string_view line) {
  const auto [word, rest] = split(line.substr(0, line.find('#')));
  if (word.empty()) return std::string();
  for (const Word& known : words()) {
    if (known.word != word) continue;
    if (known.values.empty() && !rest.empty()) {
      return bad_input(fmt::format("'{}' is one too many, expected `{}` alone", rest, word));
    }
    return (this->*known.does)(trimmed(rest));
  }
  std::vector<std::string_view> known;
  for (const Word& w : words()) known.push_back(w.word);
  return bad_input(fmt::format("'{}' is no word here, expected one that `help` lists{}", word,
                               did_you_mean(word, known)));
}

Result<Truing> PracticeSession::truing() const { return true_robot(practice_->robot(), noted_); }

Result<DriveSettings> PracticeSession::settings() const {
  RUNTRUE_TRY(Truing told, truing());
  told.settings.trim = trim_;
  return std::move(told.settings);
}

Result<std::string> PracticeSession::advise(std::string_view) {
  RUNTRUE_TRY(const Truing told, truing());
  std::string text = paragraph(sentence_of(practice_->robot(), told));
  for (const DoubtfulRun& doubtful : told.doubtful_runs) {
    text += paragraph(fmt::format("Run {} fits badly: it {}.", doubtful.row, doubtful.because));
  }
  return text;
}

Result<std::string> PracticeSession::set_trim(std::string_view rest) {
  const auto [lowest, highest] = practice_->robot().trim_range;
  RUNTRUE_TRY(trim_.value, whole_of(rest, lowest.value, highest.value));
  return std::string();
}

Result<std::string> PracticeSession::set_level(std::string_view rest) {
  const int full = practice_->robot().level_full.value;
  RUNTRUE_TRY(const int level, whole_of(rest, -full, full));
  if (level == 0) return bad_input("'0' stands still, expected a level to run at");
  level_ = Level{level};
  return std::string();
}

Result<std::string> PracticeSession::set_lines(std::string_view rest) {
  const auto [first, second] = split(rest);
  RUNTRUE_TRY(const Length half, typed_length(first));
  RUNTRUE_TRY(const Length end, typed_length(trimmed(second)));
  if (half < Length::from_mm(100) || end <= half || end > Length::from_m(10)) {
    return bad_input(
        fmt::format("'{}', expected a line at 100 mm or more and one behind it, up to 10 m", rest));
  }
  half_line_ = half;
  line_ = end;
  return std::string();
}

Result<std::string> PracticeSession::make(const NextRun& run) {
  RUNTRUE_TRY(const DriveSettings with, settings());
  RUNTRUE_TRY(const PracticeRun made, practice_->make(run, with));
  read_ = made.as_read;
  if (!made.path.started) return paragraph("It did not get going: the level is too low.");
  if (!read_) return paragraph("It left the floor beside the tape: nothing can be read.");
  return plan_of(made.path, read_) +
         paragraph(fmt::format("{}, at trim {}. Note it: {}.", reading_words(*read_),
                               run.trim.value, noting_words(*read_)));
}

Result<std::string> PracticeSession::run_advised(std::string_view) {
  RUNTRUE_TRY(const Truing told, truing());
  if (!told.next_run) return advise({});
  if (told.next_run->kind == RunKind::kStraight) trim_ = told.next_run->trim;
  RUNTRUE_TRY(const std::string text, make(*told.next_run));
  return paragraph(next_run_words(*told.next_run)) + text;
}

Result<std::string> PracticeSession::run_straight(std::string_view) {
  NextRun run;
  run.level = level_;
  run.trim = trim_;
  run.half_line = half_line_;
  run.line = line_;
  return make(run);
}

Result<std::string> PracticeSession::run_left(std::string_view rest) { return turn(rest, true); }
Result<std::string> PracticeSession::run_right(std::string_view rest) { return turn(rest, false); }

Result<std::string> PracticeSession::turn(std::string_view rest, bool to_the_left) {
  NextRun run;
  run.kind = RunKind::kTurn;
  RUNTRUE_TRY(run.time, time_of(rest));
  run.level = Level{std::abs(level_.value)};
  run.trim = trim_;
  run.to_the_left = to_the_left;
  return make(run);
}

Result<std::string> PracticeSession::note(std::string_view rest) {
  if (!read_) return bad_input("there is no run to note, expected one made before");
  Run run = *read_;
  std::vector<double> values;
  for (Split next = split(rest); !next.word.empty(); next = split(next.rest)) {
    RUNTRUE_TRY(const double value, typed_number(next.word));
    values.push_back(value);
  }
  const std::size_t expected = run.half ? 2 : 1;
  if (values.size() != expected) {
    return bad_input(fmt::format("'{}', expected {} as in `{}`", rest,
                                 expected == 2 ? "two numbers" : "one number", noting_words(run)));
  }
  if (run.turned) {
    run.turned = Angle::from_deg(values[0]);
  } else if (run.distance) {
    run.distance = Length::from_mm(values[0]);
  } else {
    run.end->sideways = Length::from_mm(values.back());
    if (run.half) run.half->sideways = Length::from_mm(values.front());
  }
  if (auto good = check_run(run, practice_->robot()); !good) {
    return tl::unexpected(std::move(good).error());
  }
  run.row = static_cast<int>(noted_.size()) + 1;
  noted_.push_back(run);
  read_.reset();
  return advise({});
}

Result<std::string> PracticeSession::forget(std::string_view) {
  if (noted_.empty()) return bad_input("no run is noted, expected one to forget");
  noted_.pop_back();
  return advise({});
}

Result<std::string> PracticeSession::list_runs(std::string_view) {
  if (noted_.empty()) return paragraph("No run is noted yet.");
  std::vector<std::vector<std::string>> rows{{"run", "level", "trim", "what was noted"}};
  for (const Run& run : noted_) {
    rows.push_back({std::to_string(run.row), std::to_string(run.level.value),
                    std::to_string(run.trim.value), reading_words(run)});
  }
  return rows_text(rows);
}

Result<std::string> PracticeSession::load_moves(std::string_view rest) {
  std::string text(rest);
  std::replace(text.begin(), text.end(), ';', '\n');
  RUNTRUE_TRY(const MoveList list, parse_moves(text, ""));
  RUNTRUE_TRY(const auto flat, flatten(list));
  RUNTRUE_TRY(const DriveSettings with, settings());
  const Robot& robot = practice_->robot();
  RUNTRUE_TRY(auto compiled, compile_moves(flat, robot, with));
  PracticeLoad parts;
  RUNTRUE_TRY(parts.settings, settings_part(robot, with));
  RUNTRUE_TRY(parts.moves, moves_part(compiled));
  if (auto loaded = practice_->load(parts); !loaded) {
    return tl::unexpected(std::move(loaded).error());
  }
  list_ = std::move(compiled);
  return paragraph(
      fmt::format("Loaded with trim {}: {} moves. `go` runs them.", trim_.value, list_.size()));
}

Result<std::string> PracticeSession::press(std::string_view rest) {
  RUNTRUE_TRY(const auto presses, parse_presses(rest, ""));
  RUNTRUE_TRY(const DriveSettings with, settings());
  PracticeLoad parts;
  RUNTRUE_TRY(parts.settings, settings_part(practice_->robot(), with));
  if (auto loaded = practice_->load(parts); !loaded) {
    return tl::unexpected(std::move(loaded).error());
  }
  for (const Press key : presses) practice_->press(static_cast<robot::Press>(key));
  return paragraph(fmt::format("Keyed in with trim {}. `go` runs what is kept.", trim_.value));
}

Result<std::string> PracticeSession::clear(std::string_view) {
  practice_->start_over();
  return std::string();
}

Result<std::string> PracticeSession::go(std::string_view) {
  RUNTRUE_TRY(const PracticeRun run, practice_->go());
  if (run.logged.kind == robot::RunKind::kTrial) {
    NextRun asked;
    const bool turn = (run.logged.left < 0) != (run.logged.right < 0);
    asked.kind = turn ? RunKind::kTurn : RunKind::kStraight;
    asked.level = Level{turn ? std::abs(run.logged.left) : run.logged.left};
    asked.trim = Trim{run.logged.trim};
    asked.half_line = half_line_;
    asked.line = line_;
    if (turn) asked.time = Duration::from_ms(run.logged.on_ms);
    read_ = practice_->read(run, asked);
    if (!read_) return plan_of(run.path) + paragraph("Nothing can be read of it.");
    return plan_of(run.path, read_) +
           paragraph(fmt::format("That was trial {} at trim {}. {}. Note it: {}.",
                                 run.logged.index + 1, run.logged.trim, reading_words(*read_),
                                 noting_words(*read_)));
  }
  std::string text = plan_of(run.path);
  text += paragraph(fmt::format("It stands {}.", stand_words(run.path.end())));
  if (run.logged.kind == robot::RunKind::kMoveList && !list_.empty()) {
    RUNTRUE_TRY(const DriveSettings with, settings());
    Pose likely;
    for (const CompiledMove& move : list_) {
      likely =
          compose(likely, pose_after(arc_of(with.mean, practice_->robot(), move.command, trim_)));
    }
    text += paragraph(fmt::format("By its settings it was to stand {}.", stand_words(likely)));
  }
  return text;
}

Result<std::string> PracticeSession::hold(std::string_view rest) {
  const auto [how, time] = split(rest);
  constexpr std::pair<std::string_view, robot::Motion> kWays[] = {
      {"drive", robot::Motion::kDrive},        {"reverse", robot::Motion::kReverse},
      {"left", robot::Motion::kTurnLeft},      {"right", robot::Motion::kTurnRight},
      {"bend-left", robot::Motion::kBendLeft}, {"bend-right", robot::Motion::kBendRight}};
  const auto* way = std::find_if(std::begin(kWays), std::end(kWays),
                                 [how = how](const auto& w) { return w.first == how; });
  if (way == std::end(kWays)) {
    return bad_input(
        fmt::format("'{}', expected drive, reverse, left, right, bend-left or bend-right", how));
  }
  RUNTRUE_TRY(const Duration held, time_of(trimmed(time)));
  RUNTRUE_TRY(const DriveSettings with, settings());
  PracticeLoad parts;
  RUNTRUE_TRY(parts.settings, settings_part(practice_->robot(), with));
  parts.keys = practice_keys();
  if (auto loaded = practice_->load(parts); !loaded) {
    return tl::unexpected(std::move(loaded).error());
  }
  RUNTRUE_TRY(const PracticeRun run, practice_->hold(way->second, held));
  return plan_of(run.path) +
         paragraph(fmt::format("Motors on for {:.2f} s, {:.0f} ms of it after the key was let go. "
                               "It stands {}.",
                               run.motors_on.s(), run.run_on.ms(), stand_words(run.path.end())));
}

Result<std::string> PracticeSession::charge(std::string_view) {
  practice_->charge();
  return std::string();
}

Result<std::string> PracticeSession::score(std::string_view) {
  RUNTRUE_TRY(const DriveSettings with, settings());
  return score_words(practice_->score(with), static_cast<int>(noted_.size()));
}

Result<std::string> PracticeSession::help(std::string_view) {
  std::vector<std::vector<std::string>> rows;
  for (const Word& w : words()) {
    rows.push_back({fmt::format("{}{}{}", w.word, w.values.empty() ? "" : " ", w.values),
                    std::string(w.what)});
  }
  return rows_text(rows);
}

Result<std::string> PracticeSession::end(std::string_view) {
  ended_ = true;
  return std::string();
}

Result<PracticeEnd> PracticeSession::outcome() const {
  RUNTRUE_TRY(const DriveSettings with, settings());
  const PracticeScore score = practice_->score(with);
  PracticeEnd end;
  end.trued = std::abs(score.drift_mm_per_m) <= kTrued_mm_per_m;
  end.words = score_words(score, static_cast<int>(noted_.size()));
  Json document = score_document(practice_->robot().name, score);
  document["runs"] = Json::array();
  for (const Run& run : noted_) document["runs"].push_back(run_document(run));
  end.document = document_text(document);
  return end;
}

}  // namespace runtrue
