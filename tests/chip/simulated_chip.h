// The built firmware on a simulated chip: its pins, ADC, serial line and memory from outside, and
// its motor outputs read back.
//
// Simulated time is the chip's cycles; nothing here waits. What the simulator can't show: a line
// whose baud rate is off, bouncing contacts, the entry jitter of a real part. In fast PWM up to
// ICR1 it does not time the pins' edges, so duties are taken from what sets them: the compare
// registers and the bits that connect them to the pins.
#pragma once

#include <array>
#include <cstdint>
#include <functional>
#include <memory>
#include <string>
#include <vector>

namespace runtrue {

constexpr std::uint64_t kCyclesPerMs = 16000;

// What the motors are set to from `cycle` on; -16384..16384 each.
struct MotorSetting {
  std::uint64_t cycle = 0;
  int left = 0;
  int right = 0;
};

class SimulatedChip {
 public:
  using Memory = std::array<std::uint8_t, 1024>;

  // Starts the firmware with that EEPROM (a new chip's: all 0xFF). Ends the program where the file
  // can't be read: a test has nothing to say then.
  explicit SimulatedChip(const std::string& elf, const Memory* eeprom = nullptr);
  ~SimulatedChip();
  SimulatedChip(const SimulatedChip&) = delete;
  SimulatedChip& operator=(const SimulatedChip&) = delete;

  void run_ms(double ms);
  [[nodiscard]] std::uint64_t cycle() const;
  [[nodiscard]] double now_ms() const { return static_cast<double>(cycle()) / kCyclesPerMs; }
  // The program ran wild, or sleeps for ever.
  [[nodiscard]] bool crashed() const { return crashed_; }

  // Bits of robot/machine.h's keys.
  void hold_keys(std::uint8_t keys);
  void press(std::uint8_t key);
  void set_trim_mv(unsigned mv);
  void set_battery_mv(unsigned mv);  // of the cells, before the board's divider
  void plug(bool cable);
  // An edge of the receiver at a time to come, on the cycle.
  void plan_edge(bool mark, std::uint64_t cycle);
  // A byte on the line, at once; what the chip has sent since it was last taken.
  void send(std::uint8_t byte);
  [[nodiscard]] std::vector<std::uint8_t> take_sent();

  [[nodiscard]] Memory eeprom() const;
  // Told the memory behind every byte that is written: the simulator takes no time for one, where a
  // chip takes 3.4 ms, so this is finer than looking every millisecond.
  void watch_eeprom(std::function<void(const Memory&)> told) { eeprom_told_ = std::move(told); }
  // Every change of the motors' settings since the start.
  [[nodiscard]] const std::vector<MotorSetting>& motors() const { return motors_; }
  [[nodiscard]] MotorSetting motors_now() const;
  void write_vcd(const std::string& path) const;  // IEEE 1364, microseconds

  // The least RAM that was never written between the variables and the stack, and the longest time
  // an interrupt took from entry to return, both since the start.
  [[nodiscard]] int untouched_ram() const;
  [[nodiscard]] double longest_interrupt_us() const;

  struct Parts;  // of the simulator's own types

 private:
  void note_motors();

  std::unique_ptr<Parts> parts_;
  std::vector<MotorSetting> motors_;
  std::vector<std::uint8_t> sent_;
  std::function<void(const Memory&)> eeprom_told_;
  bool crashed_ = false;
};

// Reads back what write_vcd wrote: signals left_duty and right_duty, two's complement of 16 bits.
[[nodiscard]] std::vector<MotorSetting> read_motor_vcd(const std::string& path);

}  // namespace runtrue
