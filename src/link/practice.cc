#include "link/practice.h"

#include <fmt/format.h>

#include <algorithm>
#include <atomic>
#include <cmath>
#include <mutex>
#include <numbers>
#include <thread>
#include <utility>

#include "link/host_robot.h"
#include "link/internal/rolling.h"
#include "link/pseudo_terminal.h"
#include "link/robot_link.h"
#include "link/serial_port.h"
#include "remote/synthesis.h"

namespace runtrue {
namespace {

constexpr int kMsPerPose = 10;
constexpr int kMsPerStep = static_cast<int>(kRollingStep_s * 1000.0);
constexpr int kRollsOn_ms = 1000;  // at most, once the motors are off

VirtualRobot draw_trueable(Rng& rng, const PracticeOptions& options) {
  VirtualRobotOptions kit;
  kit.name = options.name;
  kit.track_width = options.track_width;
  for (;;) {
    HiddenTruth truth = draw_hidden_truth(rng, kit);
    truth.trim_share = robot::kUsualTrimShare;  // its own machine's, known and of one sign
    VirtualRobot robot(truth);
    const Level usual = truth.robot.level_usual;
    const double least = drift_mm_per_m(robot.true_curvature(usual, robot.true_best_trim(usual)));
    if (std::abs(least) <= kTrued_mm_per_m) return robot;
  }
}

// Till the motors had driven that far or turned that much by the settings.
int milliseconds_for(double amount, double per_s, const Motion& motion) {
  const double seconds = amount / std::max(std::abs(per_s), 1e-3) + motion.lost.s();
  return static_cast<int>(std::lround(1000.0 * std::min(seconds, 60.0)));
}

tl::unexpected<Error> nothing_runs(const std::string& why) {
  return bad_input("nothing runs: " + why);
}

bool has_toggle(robot::Protocol protocol) {
  return protocol >= robot::Protocol::kRc5 && protocol <= robot::Protocol::kRc6A32;
}

}  // namespace

struct Practice::Room {
  Room(const PracticeOptions& options, const Rng& drawn, VirtualRobot robot,
       std::unique_ptr<PseudoTerminal> pty)
      : person(options.person),
        rng(drawn),
        body(std::move(robot)),
        rolling(body.truth()),
        line(std::move(pty)),
        listener([this] {
          while (!ending) {
            const auto bytes = line->take(std::chrono::milliseconds(20));
            if (bytes.empty()) continue;
            const std::lock_guard lock(in_use);
            line->give(machine.answer(bytes));
          }
        }) {}
  ~Room() {
    ending = true;
    listener.join();
  }
  Room(const Room&) = delete;
  Room& operator=(const Room&) = delete;

  BenchPerson person;
  Rng rng;
  VirtualRobot body;
  Rolling rolling;
  HostRobot machine{0};
  int ms = 0;  // since the machine started
  int trials = 0;
  bool toggle = false;
  std::unique_ptr<PseudoTerminal> line;
  std::mutex in_use;  // of the machine
  std::atomic<bool> ending = false;
  std::thread listener;

  // One thing that is done with the robot, from where it is set down on; the machine is in use.
  struct Doing {
    PracticeRun run;
    int begun_ms = 0, on_ms = 0;
    bool powered = false;
  };
  Doing set_it_down() {
    Doing doing;
    doing.begun_ms = ms;
    rolling.put_down(set_down(person, rng));
    doing.run.path.poses.push_back({0.0, rolling.pose()});
    return doing;
  }
  // A millisecond, of the machine and of the wheels.
  void pass(Doing& doing) {
    machine.pass(1);
    ++ms;
    const robot::Duties duties = machine.machine().duties();
    const bool on = duties.left != 0 || duties.right != 0;
    if (on && !doing.powered) rolling.begin(rng);
    if (rolling.set(duties, body.battery())) doing.run.path.started = true;
    doing.powered = on;
    if (on) ++doing.on_ms;
    const int since = ms - doing.begun_ms;
    if (since % kMsPerStep == 0) rolling.step();
    if (since % kMsPerPose == 0) note(doing);
  }
  void note(Doing& doing) const {
    doing.run.path.poses.push_back({(ms - doing.begun_ms) / 1000.0, rolling.pose()});
  }
  PracticeRun stand_still(Doing& doing) {
    for (int i = 0; i < kRollsOn_ms && !rolling.stands(); ++i) pass(doing);
    note(doing);
    doing.run.motors_on = Duration::from_ms(doing.on_ms);
    body.drain(doing.on_ms / 1000.0);
    return std::move(doing.run);
  }
  int finished_trials() {
    const std::lock_guard lock(in_use);
    return machine.machine().next_trial();
  }
  // The robot's own clock, which wraps around.
  static std::uint32_t clock_us(const Doing& doing, double since_us) {
    return static_cast<std::uint32_t>(doing.begun_ms) * 1000U +
           static_cast<std::uint32_t>(since_us);
  }
  // The key that does that, if one is loaded.
  std::optional<robot::MappedKey> key_for(robot::Motion motion) {
    const robot::Store& store = machine.machine().store();
    for (std::uint8_t i = 0; i < store.items(robot::Part::kKeys); ++i) {
      robot::MappedKey key{};
      store.item(robot::Part::kKeys, i, &key);
      if (key.motion == motion) return key;
    }
    return std::nullopt;
  }
};

Practice::Practice(std::unique_ptr<Room> room) : room_(std::move(room)) {}
Practice::~Practice() = default;

Result<std::unique_ptr<Practice>> Practice::begin(const PracticeOptions& options) {
  RUNTRUE_TRY(auto line, PseudoTerminal::open());
  Rng rng(options.seed);
  VirtualRobot body = draw_trueable(rng, options);
  auto room = std::make_unique<Room>(options, rng, std::move(body), std::move(line));
  return std::unique_ptr<Practice>(new Practice(std::move(room)));
}

const Robot& Practice::robot() const { return room_->body.robot(); }
const std::string& Practice::port() const { return room_->line->path(); }
void Practice::charge() { room_->body.charge(); }

Result<void> Practice::load(const PracticeLoad& parts) {
  RUNTRUE_TRY(const auto port, open_serial_port(room_->line->path()));
  RobotLink link(*port);
  if (auto greeted = link.greet(); !greeted) return tl::unexpected(std::move(greeted).error());
  const std::pair<robot::Part, const PartBytes*> all[] = {{robot::Part::kSettings, &parts.settings},
                                                          {robot::Part::kMoves, &parts.moves},
                                                          {robot::Part::kTrials, &parts.trials},
                                                          {robot::Part::kKeys, &parts.keys}};
  for (const auto& [part, bytes] : all) {
    if (bytes->empty()) continue;
    if (auto loaded = link.load(part, *bytes); !loaded) return loaded;
  }
  return link.leave();
}

void Practice::press(robot::Press press) {
  const std::lock_guard lock(room_->in_use);
  constexpr std::uint8_t kKeys[] = {robot::kKeyForward, robot::kKeyBack, robot::kKeyLeft,
                                    robot::kKeyRight};
  room_->machine.press(kKeys[static_cast<std::size_t>(press)]);
}

void Practice::start_over() {
  const std::lock_guard lock(room_->in_use);
  room_->machine.sensed.keys = robot::kKeyGo;
  room_->machine.pass(robot::kClearHold_ms + 2 * robot::kKeySteady_ms);
  room_->machine.sensed.keys = 0;
  room_->machine.pass(2 * robot::kKeySteady_ms);
}

Result<PracticeRun> Practice::go() {
  Room& room = *room_;
  const std::lock_guard lock(room.in_use);
  robot::Machine& machine = room.machine.machine();
  if (machine.mode() == robot::Mode::kNoSettings) return nothing_runs("it was not loaded yet");
  if (machine.mode() == robot::Mode::kLoading) return nothing_runs("it is being loaded");
  Room::Doing doing = room.set_it_down();
  room.machine.press(robot::kKeyGo);
  if (machine.mode() != robot::Mode::kRunning) {
    return nothing_runs("no trial is left, and neither presses nor a list are kept");
  }
  while (machine.mode() == robot::Mode::kRunning) room.pass(doing);
  PracticeRun run = room.stand_still(doing);
  if (!machine.log().entry(static_cast<std::uint8_t>(machine.log().count() - 1), run.logged)) {
    return failure(ErrorKind::kEnvironment, "the robot's log can't be read");
  }
  if (run.logged.kind == robot::RunKind::kTrial) ++room.trials;
  return run;
}

std::optional<Run> Practice::read(const PracticeRun& run, const NextRun& asked) {
  return read_run(run.path, asked, room_->person, room_->rng);
}

Result<PracticeRun> Practice::make(const NextRun& run, const DriveSettings& settings) {
  PracticeLoad parts;
  RUNTRUE_TRY(parts.settings, settings_part(robot(), settings));
  RUNTRUE_TRY(parts.trials, trials_part(robot(), settings, {&run, 1}));
  if (auto loaded = load(parts); !loaded) return tl::unexpected(std::move(loaded).error());
  // The same trial as before is taken for the one that is finished.
  if (room_->finished_trials() != 0) start_over();
  charge();
  RUNTRUE_TRY(PracticeRun made, go());
  made.as_read = read(made, run);
  return made;
}

Result<PracticeRun> Practice::hold(robot::Motion motion, Duration time) {
  if (time < Duration::from_ms(50) || time > Duration::from_s(60)) {
    return bad_input(
        fmt::format("a key held for {:g} s, expected between 0.05 and 60 s", time.s()));
  }
  Room& room = *room_;
  const std::lock_guard lock(room.in_use);
  robot::Machine& machine = room.machine.machine();
  const bool drives = motion >= robot::Motion::kDrive && motion <= robot::Motion::kBendRight;
  const auto key = drives ? room.key_for(motion) : std::nullopt;
  if (!key) return nothing_runs("no key of the remote that is loaded drives like that");
  if (machine.mode() == robot::Mode::kLoading) return nothing_runs("it is being loaded");

  SignalOrder order;
  order.protocol = key->protocol;
  order.address = key->address;
  order.command = key->command & 0xFFFFFFU;
  order.extended = key->command >> 24;
  order.toggle = has_toggle(key->protocol) && (room.toggle = !room.toggle);
  const int frames =
      static_cast<int>(time.us() / nominal_period_us(key->protocol)) + 1;  // begun while it is held
  const bool repeats =
      machine.settings().repeat_period_us != 0 && key->protocol <= robot::Protocol::kNec32;
  order.frames = repeats ? 1 : frames;
  order.repeat_frames = repeats ? frames - 1 : 0;
  RUNTRUE_TRY(const Capture signal, make_signal(order));

  Room::Doing doing = room.set_it_down();
  const double let_go_ms = time.ms() + signal.pulses.front().duration_us / 1000.0;
  double edge_us = 0.0;
  int off_ms = 0;
  std::size_t next = 0;
  const int longest_ms = static_cast<int>(let_go_ms) + 2 * machine.settings().hold_timeout_ms + 100;
  for (int i = 0; i < longest_ms; ++i) {
    for (; next < signal.pulses.size() && edge_us <= (i + 1) * 1000.0; ++next) {
      machine.edge(signal.pulses[next].mark, room.clock_us(doing, edge_us));
      edge_us += signal.pulses[next].duration_us;
    }
    room.pass(doing);
    machine.silence(room.clock_us(doing, (i + 1) * 1000.0));
    if (doing.powered) off_ms = i + 1;
  }
  PracticeRun run = room.stand_still(doing);
  run.run_on = Duration::from_ms(std::max(off_ms - let_go_ms, 0.0));
  return run;
}

PracticeScore Practice::score(const DriveSettings& settings) const {
  const VirtualRobot body(room_->body.truth());
  const Level usual = body.robot().level_usual;
  PracticeScore score;
  score.trim = settings.trim;
  score.best_trim = body.true_best_trim(usual);
  score.drift_mm_per_m = drift_mm_per_m(body.true_curvature(usual, score.trim));
  score.least_mm_per_m = drift_mm_per_m(body.true_curvature(usual, score.best_trim));
  score.trials = room_->trials;

  HiddenTruth truth = body.truth();
  truth.chance = {0.0, 0.0, 0.0, 0.0};
  Rng none(0);
  const auto drive = [&](WheelCommand command) {
    const Motion motion = motion_of(settings.mean, truth.robot, command, settings.trim);
    const bool turn = command.left.value != command.right.value;
    command.milliseconds =
        turn ? milliseconds_for(2.0 * std::numbers::pi, motion.turn_rate.rad_per_s(), motion)
             : milliseconds_for(1000.0, motion.speed.mm_per_s(), motion);
    return VirtualRobot(truth).drive(command, settings.trim, none).end();
  };
  const Pose metre = drive({usual, usual, 0});
  score.metre_error_mm = std::hypot(metre.x.mm(), metre.y.mm()) - 1000.0;
  const Level back{-usual.value};
  score.left_error_deg = drive({back, usual, 0}).heading.deg() - 360.0;
  score.right_error_deg = -drive({usual, back, 0}).heading.deg() - 360.0;
  return score;
}

PartBytes practice_keys() {
  // Ours; RC-5, since its frames are all whole ones.
  constexpr std::uint16_t kAddress = 21;
  PartBytes bytes{robot::kPartVersion};
  std::uint32_t command = 1;
  for (const auto motion :
       {robot::Motion::kDrive, robot::Motion::kReverse, robot::Motion::kTurnLeft,
        robot::Motion::kTurnRight, robot::Motion::kBendLeft, robot::Motion::kBendRight,
        robot::Motion::kStop}) {
    const robot::MappedKey key{command++, kAddress, robot::Protocol::kRc5, motion};
    const auto* first = reinterpret_cast<const std::uint8_t*>(&key);
    bytes.insert(bytes.end(), first, first + sizeof key);
  }
  return bytes;
}

}  // namespace runtrue
