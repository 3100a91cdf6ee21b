// What the robot's own side takes of its chip, and how fast the chip is simulated: the table of
// docs/porting.md. Sizes are the linked programs'; the rest is measured on a simulated chip while
// it is loaded, keyed, driven by a hand remote, and runs a list.
#include <fmt/format.h>

#include <array>
#include <chrono>
#include <cstdio>
#include <fstream>
#include <string>
#include <vector>

#include "link/practice.h"
#include "link/robot_link.h"
#include "link/serial_port.h"
#include "remote/synthesis.h"
#include "robot/machine.h"
#include "tests/chip/chip_on_line.h"

namespace runtrue {
namespace {

struct Size {
  long flash = 0, ram = 0;
};

// As the chip's own size program counts: flash is code and start values, RAM start values and the
// zeroed.
Size size_of(const std::string& folder, const std::string& program) {
  const std::string command = "avr-size " RUNTRUE_CHIP_PROGRAMS "/" + folder + "/" + program;
  Size size;
  if (FILE* pipe = popen(command.c_str(), "r")) {
    std::array<char, 256> line{};
    long text = 0, data = 0, bss = 0;
    while (std::fgets(line.data(), line.size(), pipe) != nullptr) {
      if (std::sscanf(line.data(), "%ld %ld %ld", &text, &data, &bss) == 3) {
        size = {text + data, data + bss};
      }
    }
    pclose(pipe);
  }
  return size;
}

Result<void> load(SimulatedChip& chip) {
  const Robot robot = default_robot("Whimbrel", Length::from_mm(140));
  RUNTRUE_TRY(const Truing truing, true_robot(robot, {}));
  RUNTRUE_TRY(const auto settings, settings_part(robot, truing.settings));
  std::vector<CompiledMove> list(20);
  for (std::size_t i = 0; i < list.size(); ++i) {
    const int left = i % 2 == 0 ? 128 : -128;
    list[i].command = {{left}, {128}, 300};
  }
  RUNTRUE_TRY(const auto moves, moves_part(list));
  ChipOnLine line(chip);
  RUNTRUE_TRY(const auto port, open_serial_port(line.path()));
  RobotLink link(*port);
  RUNTRUE_TRY(const auto greeted, link.greet());
  (void)greeted;
  for (const auto& [part, bytes] :
       {std::pair(robot::Part::kSettings, settings), std::pair(robot::Part::kMoves, moves),
        std::pair(robot::Part::kKeys, practice_keys())}) {
    if (auto loaded = link.load(part, bytes); !loaded) return loaded;
  }
  return link.leave();
}

// A key of the remote held for two seconds, then a list with another hand's remote heard all along.
Result<void> drive(SimulatedChip& chip) {
  const auto hear = [&chip](const SignalOrder& order, double from_ms) -> Result<void> {
    RUNTRUE_TRY(const Capture signal, make_signal(order));
    double us = (chip.now_ms() + from_ms) * 1000.0;
    for (const auto& pulse : signal.pulses) {
      chip.plan_edge(pulse.mark, static_cast<std::uint64_t>(us * 16.0));
      us += pulse.duration_us;
    }
    return {};
  };
  SignalOrder held{.protocol = robot::Protocol::kRc5, .address = 21, .command = 1, .frames = 18};
  if (auto heard = hear(held, 10); !heard) return heard;
  chip.run_ms(3000);
  for (int i = 0; i < 24; ++i) {
    const SignalOrder other{.address = 3, .command = 9, .frames = 4};
    if (auto heard = hear(other, 100 + i * 600); !heard) return heard;
  }
  chip.press(robot::kKeyGo);
  chip.run_ms(14000);
  return {};
}

int report() {
  SimulatedChip chip(RUNTRUE_FIRMWARE);
  if (auto loaded = load(chip); !loaded) {
    fmt::print(stderr, "{}\n", loaded.error().one_line());
    return 2;
  }
  const double begun_ms = chip.now_ms();
  const auto begun = std::chrono::steady_clock::now();
  if (auto driven = drive(chip); !driven) {
    fmt::print(stderr, "{}\n", driven.error().one_line());
    return 2;
  }
  const double took_s =
      std::chrono::duration<double>(std::chrono::steady_clock::now() - begun).count();
  const double chip_s = (chip.now_ms() - begun_ms) / 1000.0;
  constexpr int kRam = 2560;
  const Size firmware = size_of("firmware", "firmware.elf");
  const long stack = kRam - firmware.ram - chip.untouched_ram();

  fmt::print(
      "| what | flash, bytes | of | RAM without stack, bytes | of |\n| --- | ---: | ---: | ---: | "
      "---: |\n");
  const auto row = [](const char* what, const Size& size, int flash, int ram) {
    fmt::print("| {} | {} | {} | {} | {} |\n", what, size.flash, flash, size.ram, ram);
  };
  row("core without a remote's protocol", size_of("robot", "core_size"), 8192, 600);
  row("core with NEC and RC-5", size_of("robot", "core_remote_size"), 10050, 600);
  row("pulse reader with all decoders", size_of("robot", "decoder_size"), 4096, 300);
  row("the whole firmware", firmware, 16384, 1228);
  fmt::print("\n| measured on the simulated chip | |\n| --- | ---: |\n");
  fmt::print("| deepest stack, bytes | {} |\n", stack);
  fmt::print("| RAM never touched, of {} bytes | {} |\n", kRam, chip.untouched_ram());
  fmt::print("| longest interrupt, from entry to return, µs | {:.1f} |\n",
             chip.longest_interrupt_us());
  fmt::print("| seconds of the chip simulated in one second | {:.1f} |\n", chip_s / took_s);
  return chip.crashed() || firmware.flash == 0 ? 2 : 0;
}

}  // namespace
}  // namespace runtrue

int main() { return runtrue::report(); }
