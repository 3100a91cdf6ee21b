// The commands of `runtrue remote`, their arguments and help.
#include <fmt/format.h>

#include <charconv>
#include <string_view>
#include <vector>

#include "cli/command_tree.h"
#include "cli/tree_parts.h"
#include "files/suggestion.h"
#include "remote/reading.h"
#include "units/typed.h"

namespace runtrue {
namespace {

constexpr int kMost = 10'000;  // captures in one call

Result<robot::Protocol> read_protocol(const std::string& text) {
  if (const auto protocol = protocol_named(text)) return *protocol;
  std::vector<std::string_view> names;
  std::string all;
  for (int i = 0; i < robot::kProtocols; ++i) {
    names.push_back(protocol_name(static_cast<robot::Protocol>(i)));
    all += (i == 0 ? "" : " ") + std::string(names.back());
  }
  return bad_input(fmt::format("'{}', expected one of {}{}", text, all, did_you_mean(text, names)));
}

// Decimal, or hexadecimal with 0x.
Result<std::uint32_t> read_field(const std::string& text) {
  const bool hex = text.starts_with("0x") || text.starts_with("0X");
  std::uint32_t value = 0;
  const char* end = text.data() + text.size();
  const auto [stopped, code] =
      std::from_chars(text.data() + (hex ? 2 : 0), end, value, hex ? 16 : 10);
  if (code != std::errc() || stopped != end || value > 0xFFFFFF) {
    return bad_input(fmt::format("'{}', expected a whole number, as 64 or 0x40", text));
  }
  return value;
}

Result<int> read_count(const std::string& text) {
  RUNTRUE_TRY(const std::uint32_t value, read_field(text));
  if (value > 10'000) return bad_input(fmt::format("'{}', expected at most 10000", text));
  return static_cast<int>(value);
}

Result<double> read_within(const std::string& text, double low, double high, double unit) {
  RUNTRUE_TRY(const double value, typed_number(text));
  if (value < low || value > high) {
    return bad_input(fmt::format("{} is out of range, expected {} to {}", text, low, high));
  }
  return value * unit;
}

Result<double> read_clock(const std::string& text) { return read_within(text, -8, 8, 0.01); }
Result<double> read_stretch(const std::string& text) { return read_within(text, -200, 200, 1); }
Result<double> read_jitter(const std::string& text) { return read_within(text, 0, 150, 1); }
Result<double> read_loss(const std::string& text) { return read_within(text, 0, 90, 0.01); }
Result<double> read_tick(const std::string& text) { return read_within(text, 1, 1000, 0.001); }
Result<double> read_speed(const std::string& text) { return read_within(text, 1, 5000, 1); }
Result<std::optional<double>> read_period(const std::string& text) {
  RUNTRUE_TRY(const double ms, read_within(text, 10, 1000, 0.001));
  return std::optional<double>(ms);
}

Result<std::string> read_signal_file(const std::string& text) {
  if (text.ends_with(".csv") || text.ends_with(".vcd")) return text;
  return bad_input(fmt::format("'{}', expected a name that ends in .csv or .vcd", text));
}

}  // namespace

void CommandTree::add_remote() {
  CLI::App* remote = app_.add_subcommand(
      "remote", "Reads, learns and writes what hand remotes send; advises on time-outs. ");
  remote->require_subcommand(0, 1);  // so that a file may be named like a command
  remote->footer("`runtrue remote read --help` and so on say more.\n");
  add_remote_read(remote);
  add_remote_learn(remote);
  add_remote_write(remote);
  add_remote_time_out(remote);
  add_remote_room(remote);
}

void CommandTree::add_remote_read(CLI::App* remote) {
  CLI::App* app = remote->add_subcommand(
      "read",
      "Says which keys of hand remotes captures hold. For each frame: protocol, address, command, "
      "when, and by how much its widths are clear of the borders; for what was refused, why.");
  app->add_option("CAPTURE", remote_read_.capture_files,
                  "a receiver's line: CSV level,duration_us (1 = mark), or VCD with one signal")
      ->required()
      ->expected(1, kMost);
  app->add_option("--remote", remote_read_.remote_file,
                  "a learned remote: its keys are named, and read where no protocol is known")
      ->option_text("REMOTE.json");
  add_json(app, remote_read_.form);
  app->footer(
      "Examples:\n"
      "  runtrue remote read left.csv right.csv stop.csv\n"
      "  runtrue remote read line.vcd --json\n"
      "  runtrue remote read line.csv --remote grey.json\n"
      "\n"
      "Exit 1: no frame was read. Hand remotes are bought products, used as their makers\n"
      "say; nothing here is a safety device.\n");
}

void CommandTree::add_remote_learn(CLI::App* remote) {
  CLI::App* app = remote->add_subcommand(
      "learn",
      "Learns a remote from captures of its keys. Press each key three times, or hold it, while it "
      "is recorded.");
  app->add_option("KEY=CAPTURE", remote_learn_.keys, "a key's name and the capture of its presses")
      ->required()
      ->expected(1, kMost);
  app->add_option("--name", remote_learn_.name, "of the remote")->option_text("NAME");
  app->add_option("--output", remote_learn_.output_file, "save what was learned (-: print it)")
      ->option_text("REMOTE.json");
  add_json(app, remote_learn_.form);
  app->footer(
      "Example:\n"
      "  runtrue remote learn left=left.csv stop=stop.csv --name grey --output grey.json\n"
      "\n"
      "Exit 1: a key's presses don't repeat, or two keys can't be told apart.\n");
}

void CommandTree::add_remote_write(CLI::App* remote) {
  CLI::App* app = remote->add_subcommand("write",
                                         "Writes a test signal: what a remote would send, as a "
                                         "capture. With the faults of a clock and "
                                         "a receiver, if asked for.");
  add_value(app, "PROTOCOL", "", "as `runtrue remote read` names it: nec rc5 rc6-mode0 ...",
            read_protocol, remote_write_.order.protocol)
      ->required();
  add_value(app, "--address", "A", "decimal, or hexadecimal as 0x40 (0)", read_field,
            remote_write_.order.address);
  add_value(app, "--command", "C", "likewise (0)", read_field, remote_write_.order.command);
  add_value(app, "--extended", "E", "the third field, where the protocol has one (0)", read_field,
            remote_write_.order.extended);
  app->add_flag("--toggle", remote_write_.order.toggle, "the toggle bit is 1");
  add_value(app, "--frames", "N", "whole frames, a period apart (1; 2 where a twin confirms)",
            read_count, remote_write_.order.frames);
  add_value(app, "--repeats", "N", "then so many repeat frames without address (0)", read_count,
            remote_write_.order.repeat_frames);
  add_value(app, "--clock", "PERCENT", "the sender is so much slow (0)", read_clock,
            remote_write_.distortion.clock_error);
  add_value(app, "--stretch", "US", "marks are so much longer, spaces shorter (0)", read_stretch,
            remote_write_.distortion.stretch_us);
  add_value(app, "--jitter", "US", "ends of marks move by up to so much (0)", read_jitter,
            remote_write_.distortion.jitter_us);
  add_value(app, "--seed", "S", "the same seed gives the same jitter (1)", read_seed,
            remote_write_.seed);
  add_value(app, "--output", "FILE", "a name in .csv or .vcd (CSV on standard output)",
            read_signal_file, remote_write_.output_file);
  app->footer(
      "Examples:\n"
      "  runtrue remote write nec --address 0x40 --command 25 --repeats 3\n"
      "  runtrue remote write rc5 --address 5 --command 53 --frames 4 --output key.vcd\n");
}

void CommandTree::add_remote_time_out(CLI::App* remote) {
  CLI::App* app = remote->add_subcommand(
      "time-out",
      "Weighs time-outs of a held key: stutters against running on. The robot stops where no frame "
      "came for the time-out.");
  add_value(app, "PROTOCOL", "", "as `runtrue remote read` names it: nec rc5 rc6-mode0 ...",
            read_protocol, remote_time_out_.protocol)
      ->required();
  add_value(app, "--period", "MS", "from frame to frame as measured (the protocol's)", read_period,
            remote_time_out_.period_s);
  add_value(app, "--loss", "PERCENT", "frames lost, each by itself (1)", read_loss,
            remote_time_out_.lost);
  add_value(app, "--tick", "MS", "of the robot's clock (250)", read_tick, remote_time_out_.tick_s);
  add_value(app, "--speed", "MM", "the robot's, mm in a second (200)", read_speed,
            remote_time_out_.speed_mm_per_s);
  add_json(app, remote_time_out_.form);
  app->footer(
      "Example:\n"
      "  runtrue remote time-out nec --loss 5 --tick 125 --speed 250\n"
      "\n"
      "Exit 1: none rides over a lost frame and stutters at most once a minute. Nothing here\n"
      "is a safety device: keep a hand at the table's edge on a first drive.\n");
}

void CommandTree::add_remote_room(CLI::App* remote) {
  CLI::App* app = remote->add_subcommand(
      "room",
      "Plans several remotes in a room. It gives them out, says who could drive or drown whom, and "
      "parts them into the fewest turns.");
  app->add_option("ROOM.json", remote_room_.room_file, "the remotes, and how many robots there are")
      ->required();
  add_json(app, remote_room_.form);
  app->footer(
      "Example:\n"
      "  runtrue remote room club.json\n"
      "\n"
      "Exit 1: two of the remotes given out send the same code. Nothing here is a safety\n"
      "device.\n");
}

}  // namespace runtrue
