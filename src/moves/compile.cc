#include "moves/compile.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>

namespace runtrue {
namespace {

// The lowest level outside the dead band; above every level there is for a band beyond all sense.
int lowest_working(double dead_band) {
  return static_cast<int>(std::floor(std::clamp(dead_band, 0.0, 1e6))) + 1;
}

class Compiler {
 public:
  Compiler(const Robot& robot, const DriveSettings& settings)
      : robot_(robot),
        settings_(settings),
        lowest_(lowest_working(settings.of(Constant::kDeadBand))),
        level_(robot.level_usual.value) {}

  // The command of one move, or none for a change of level.
  Result<std::optional<CompiledMove>> compile(const FlatMove& move) {
    move_ = &move;
    if (const auto* at = std::get_if<AtLevel>(&move.move)) {
      level_ = at->level.value;
      if (auto good = check_level(fmt::format("level {}", level_)); !good) {
        return tl::unexpected(std::move(good).error());
      }
      return std::nullopt;
    }
    if (!std::holds_alternative<PauseMove>(move.move)) {
      if (auto good = check_level(fmt::format("the usual level {}", level_)); !good) {
        return tl::unexpected(std::move(good).error());
      }
    }
    RUNTRUE_TRY(const WheelCommand command,
                std::visit([this](const auto& m) { return command_of(m); }, move.move));
    return CompiledMove{move.text(), move.line, command, untrued(), asked(command)};
  }

 private:
  tl::unexpected<Error> fault(std::string message) const {
    return bad_input(std::move(message), {"", move_->line, move_->column});
  }

  Result<void> check_level(const std::string& what) const {
    const int full = robot_.level_full.value;
    if (lowest_ > full) {
      return fault(
          fmt::format("the dead band of {:.0f} levels covers all levels up to {}, expected "
                      "other settings",
                      settings_.of(Constant::kDeadBand), full));
    }
    if (level_ > full) {
      return fault(
          fmt::format("{} is beyond the full level, expected {} to {}", what, lowest_, full));
    }
    if (level_ < lowest_) {
      return fault(
          fmt::format("{} is within the dead band, where the wheels stand still, expected "
                      "{} to {}",
                      what, lowest_, full));
    }
    return {};
  }

  Motion motion(int left, int right) const {
    return motion_of(settings_.mean, robot_, {{left}, {right}, 0}, settings_.trim);
  }

  // The command at these levels for so long, to the nearest millisecond.
  Result<WheelCommand> timed(int left, int right, Duration time) const {
    const double ms = std::round(time.ms());
    if (!(ms <= kLongestTime.ms())) {
      return fault(fmt::format("this takes {:.0f} s at level {}, expected at most {:.0f} s",
                               time.s(), level_, kLongestTime.s()));
    }
    if (ms < 1.0) {
      return fault(
          fmt::format("this takes under half a millisecond at level {}, expected at least "
                      "1 ms",
                      level_));
    }
    return WheelCommand{{left}, {right}, static_cast<int>(ms)};
  }

  Result<WheelCommand> straight(int level, const Extent& extent) const {
    RUNTRUE_CHECK(extent.length.has_value() != extent.time.has_value());
    if (extent.time) return timed(level, level, *extent.time);
    const Motion m = motion(level, level);
    return timed(level, level,
                 m.lost + Duration::from_s(extent.length->mm() / std::abs(m.speed.mm_per_s())));
  }
  Result<WheelCommand> command_of(const DriveMove& m) const { return straight(level_, m.extent); }
  Result<WheelCommand> command_of(const ReverseMove& m) const {
    return straight(-level_, m.extent);
  }

  Result<WheelCommand> command_of(const TurnMove& turn) const {
    RUNTRUE_CHECK(turn.extent.angle.has_value() != turn.extent.time.has_value());
    const int right = turn.side == Side::kLeft ? level_ : -level_;
    if (turn.extent.time) return timed(-right, right, *turn.extent.time);
    const Motion m = motion(-right, right);
    return timed(-right, right, m.lost + time_to_turn(turn.extent.angle.value(), m));
  }

  static Duration time_to_turn(Angle angle, const Motion& m) {
    return Duration::from_s(angle.rad() / std::abs(m.turn_rate.rad_per_s()));
  }

  Result<WheelCommand> command_of(const PauseMove& pause) const { return timed(0, 0, pause.time); }
  Result<WheelCommand> command_of(const AtLevel&) const { return WheelCommand{}; }

  // The two levels of a bend by their sum, 2·level to within 1, and their difference, right − left,
  // which has the sum's parity.
  struct Pair {
    int sum, difference;
    [[nodiscard]] int left() const { return (sum - difference) / 2; }
    [[nodiscard]] int right() const { return (sum + difference) / 2; }
  };
  [[nodiscard]] double curvature_per_mm(const Pair& pair) const {
    const Motion m = motion(pair.left(), pair.right());
    return m.turn_rate.rad_per_s() / m.speed.mm_per_s();
  }
  // The largest difference that keeps the inner wheel out of the dead band and the outer one within
  // the full level; below 0 where there is none.
  [[nodiscard]] int largest_difference(int sum) const {
    return std::min(2 * robot_.level_full.value - sum, sum - 2 * lowest_);
  }
  // The pair of that sum nearest to the curvature. Curvature goes with the difference in a straight
  // line as long as both wheels work: w/v = k0 + h·difference/(2v).
  [[nodiscard]] std::optional<Pair> nearest_pair(int sum, double wanted_per_mm) const {
    const bool left = wanted_per_mm > 0.0;
    const double straight_per_mm =
        straight_curvature(settings_.mean, robot_, Level{sum / 2}, settings_.trim).per_mm();
    const double speed_mm_per_s = (motion(sum / 2, sum / 2).speed.mm_per_s() +
                                   motion((sum + 1) / 2, (sum + 1) / 2).speed.mm_per_s()) /
                                  2.0;
    const double gain =
        std::exp(settings_.of(left ? Constant::kLogTurnGainLeft : Constant::kLogTurnGainRight));
    const double exact = 2.0 * speed_mm_per_s * (wanted_per_mm - straight_per_mm) / gain;
    const int odd = sum % 2;
    const double rounded = 2.0 * std::round((exact - odd) / 2.0) + odd;
    if (!(std::abs(rounded) <= largest_difference(sum))) return std::nullopt;
    const Pair pair{sum, static_cast<int>(rounded)};
    if (left ? pair.difference <= 0 : pair.difference >= 0) return std::nullopt;
    return pair;
  }

  Result<WheelCommand> command_of(const BendMove& bend) const {
    const double sign = bend.side == Side::kLeft ? 1.0 : -1.0;
    const double wanted_per_mm = sign / bend.radius.mm();
    const std::array<int, 3> sums{2 * level_, 2 * level_ - 1, 2 * level_ + 1};
    std::optional<Pair> best;
    double best_error = 0.0, tightest_per_mm = 0.0, widest_per_mm = 0.0;
    for (const int sum : sums) {
      const int largest = largest_difference(sum);
      const int smallest = sum % 2 == 0 ? 2 : 1;
      if (largest < smallest) continue;
      const auto of_difference = [&](int difference) {
        return sign * curvature_per_mm({sum, sign > 0.0 ? difference : -difference});
      };
      tightest_per_mm = std::max(tightest_per_mm, of_difference(largest));
      widest_per_mm = widest_per_mm == 0.0 ? of_difference(smallest)
                                           : std::min(widest_per_mm, of_difference(smallest));
      const auto pair = nearest_pair(sum, wanted_per_mm);
      if (!pair) continue;
      const double error = std::abs(curvature_per_mm(*pair) - wanted_per_mm);
      if (best && error >= best_error) continue;
      best = pair;
      best_error = error;
    }
    if (!best && sign * wanted_per_mm > tightest_per_mm) return too_tight(bend, tightest_per_mm);
    const double got_per_mm = best ? sign * curvature_per_mm(*best) : widest_per_mm;
    if (!best ||
        std::abs(1.0 / got_per_mm - bend.radius.mm()) > kRadiusTolerance_ratio * bend.radius.mm()) {
      return too_coarse(bend, got_per_mm);
    }
    const Motion m = motion(best->left(), best->right());
    return timed(best->left(), best->right(), m.lost + time_to_turn(bend.angle, m));
  }

  tl::unexpected<Error> too_tight(const BendMove& bend, double tightest_per_mm) const {
    if (!(tightest_per_mm > 0.0)) {
      return fault(
          fmt::format("level {} leaves no room for two different levels, expected one well "
                      "between {} and {} for a bend",
                      level_, lowest_, robot_.level_full.value));
    }
    return fault(
        fmt::format("radius {:g} mm is too tight at level {}, expected at least {:.0f} mm: "
                    "the inner wheel needs level {}, the outer one has {}",
                    bend.radius.mm(), level_, std::ceil(1.0 / tightest_per_mm), lowest_,
                    robot_.level_full.value));
  }
  tl::unexpected<Error> too_coarse(const BendMove& bend, double got_per_mm) const {
    if (!(got_per_mm > 0.0)) {
      return fault(
          fmt::format("radius {:g} mm is too wide: this robot bends more than that by "
                      "itself at level {}, expected a tighter bend",
                      bend.radius.mm(), level_));
    }
    return fault(
        fmt::format("whole levels around {} give a radius of {:.0f} mm and none nearer to "
                    "{:g} mm, expected a radius they meet within a tenth",
                    level_, 1.0 / got_per_mm, bend.radius.mm()));
  }

  [[nodiscard]] Arc asked(const WheelCommand& command) const {
    const auto signed_turn = [](Angle angle, Side side) {
      return side == Side::kLeft ? angle : -angle;
    };
    const SingleMove& move = move_->move;
    if (const auto* m = std::get_if<DriveMove>(&move); m && m->extent.length) {
      return {*m->extent.length, {}};
    }
    if (const auto* m = std::get_if<ReverseMove>(&move); m && m->extent.length) {
      return {-*m->extent.length, {}};
    }
    if (const auto* m = std::get_if<TurnMove>(&move); m && m->extent.angle) {
      return {{}, signed_turn(*m->extent.angle, m->side)};
    }
    if (const auto* m = std::get_if<BendMove>(&move)) {
      return {m->radius * m->angle.rad(), signed_turn(m->angle, m->side)};
    }
    return arc_of(settings_.mean, robot_, command, settings_.trim);
  }

  // Why the forecast of this move is less sure.
  [[nodiscard]] std::string untrued() const {
    std::string why;
    const auto add = [&](const std::string& reason) { why += (why.empty() ? "" : "; ") + reason; };
    const auto assumed = [&](Constant c) {
      return std::count(settings_.assumed.begin(), settings_.assumed.end(), c) > 0;
    };
    const auto trued = [&](int level) {
      const auto& levels = settings_.trued_levels;
      return std::count(levels.begin(), levels.end(), Level{level}) > 0;
    };
    const SingleMove& move = move_->move;
    if (std::holds_alternative<PauseMove>(move)) return why;
    const auto* turn = std::get_if<TurnMove>(&move);
    const auto* reverse = std::get_if<ReverseMove>(&move);
    const bool known = turn ? trued(level_) || trued(-level_) : trued(reverse ? -level_ : level_);
    if (!known) {
      const bool other_way = trued(reverse ? level_ : -level_);
      const char* way = !other_way ? "" : reverse ? " in reverse" : " forward";
      add(fmt::format("level {} was never measured{}", level_, way));
    }
    if (turn && assumed(turn->side == Side::kLeft ? Constant::kLogTurnGainLeft
                                                  : Constant::kLogTurnGainRight)) {
      add(fmt::format("a {} turn was never measured",
                      turn->side == Side::kLeft ? "left" : "right"));
    }
    const auto* drive = std::get_if<DriveMove>(&move);
    const bool by_length = (drive && drive->extent.length) || (reverse && reverse->extent.length);
    if ((by_length || std::holds_alternative<BendMove>(move)) && assumed(Constant::kLogSpeedGain)) {
      add("its speed was never measured");
    }
    return why;
  }

  const Robot& robot_;
  const DriveSettings& settings_;
  int lowest_;                      // the lowest level outside the dead band
  int level_;                       // the current one
  const FlatMove* move_ = nullptr;  // the one being compiled
};

}  // namespace

Result<std::vector<CompiledMove>> compile_moves(const std::vector<FlatMove>& moves,
                                                const Robot& robot, const DriveSettings& settings) {
  Compiler compiler(robot, settings);
  std::vector<CompiledMove> commands;
  for (const FlatMove& move : moves) {
    RUNTRUE_TRY(auto command, compiler.compile(move));
    if (command) commands.push_back(std::move(*command));
  }
  return commands;
}

}  // namespace runtrue
