#include "tests/chip/simulated_chip.h"

#include <algorithm>
#include <bitset>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <fstream>
#include <sstream>

#include "robot/machine.h"

extern "C" {
#include <simavr/avr_adc.h>
#include <simavr/avr_eeprom.h>
#include <simavr/avr_ioport.h>
#include <simavr/avr_timer.h>
#include <simavr/avr_uart.h>
#include <simavr/sim_avr.h>
#include <simavr/sim_elf.h>
#include <simavr/sim_io.h>
}

namespace runtrue {
namespace {

// Registers of the ATmega32U4, by its data sheet's summary: data addresses.
constexpr int kTccr1a = 0x80, kOcr1a = 0x88, kOcr1b = 0x8A, kPortB = 0x25, kDdrB = 0x24,
              kEecr = 0x3F;
constexpr int kRamFirst = 0x100, kRamEnd = 0xB00;
constexpr std::uint8_t kUntouched = 0xC5;
constexpr unsigned kSupply_mv = 5000;
constexpr int kVectors = 43;

// Where firmware/board.h has things.
struct BoardPin {
  char port;
  int bit;
};
constexpr BoardPin kKeyPins[] = {{'F', 4}, {'F', 5}, {'F', 6}, {'F', 7}, {'E', 6}};
constexpr int kTrimChannel = 0, kBatteryChannel = 1;
constexpr unsigned kBatteryFull_mv = 10000;

}  // namespace

struct SimulatedChip::Parts {
  avr_t* avr = nullptr;
  avr_irq_t* uart_in = nullptr;
  SimulatedChip* chip = nullptr;
  int ram_used = 0;                                   // end of the variables, from kRamFirst
  std::vector<std::pair<std::uint64_t, bool>> edges;  // to come, ascending
  std::array<std::uint64_t, kVectors> entered{};
  std::uint64_t longest_interrupt = 0;

  avr_irq_t* pin(BoardPin p) const {
    return avr_io_getirq(avr, AVR_IOCTL_IOPORT_GETIRQ(static_cast<unsigned>(p.port)), p.bit);
  }
  void drive(BoardPin p, bool high) const { avr_raise_irq(pin(p), high ? 1 : 0); }

  static avr_cycle_count_t next_edge(avr_t*, avr_cycle_count_t, void* self) {
    auto& parts = *static_cast<Parts*>(self);
    const bool mark = parts.edges.front().second;
    parts.edges.erase(parts.edges.begin());
    parts.drive({'C', 7}, !mark);
    return parts.edges.empty() ? 0 : parts.edges.front().first;
  }
};

SimulatedChip::SimulatedChip(const std::string& elf, const Memory* eeprom)
    : parts_(std::make_unique<Parts>()) {
  elf_firmware_t firmware;
  std::memset(&firmware, 0, sizeof firmware);
  if (elf_read_firmware(elf.c_str(), &firmware) != 0) {
    std::fprintf(stderr, "%s: can't be read\n", elf.c_str());
    std::abort();
  }
  avr_t* avr = avr_make_mcu_by_name("atmega32u4");
  parts_->avr = avr;
  parts_->chip = this;
  avr_init(avr);
  avr->log = LOG_ERROR;
  firmware.frequency = 16000000;
  avr->frequency = 16000000;
  avr->vcc = avr->avcc = avr->aref = kSupply_mv;
  avr_load_firmware(avr, &firmware);
  parts_->ram_used = static_cast<int>(firmware.datasize + firmware.bsssize);
  avr->sleep = [](avr_t*, avr_cycle_count_t) {};  // as fast as it goes
  std::memset(avr->data + kRamFirst + parts_->ram_used, kUntouched,
              static_cast<std::size_t>(kRamEnd - kRamFirst - parts_->ram_used));

  Memory fresh;
  fresh.fill(0xFF);
  avr_eeprom_desc_t desc;
  desc.ee = const_cast<std::uint8_t*>((eeprom != nullptr ? *eeprom : fresh).data());
  desc.offset = 0;
  desc.size = fresh.size();
  avr_ioctl(avr, AVR_IOCTL_EEPROM_SET, &desc);

  std::uint32_t flags = 0;
  avr_ioctl(avr, AVR_IOCTL_UART_GET_FLAGS('1'), &flags);
  flags &= ~static_cast<std::uint32_t>(AVR_UART_FLAG_STDIO | AVR_UART_FLAG_POLL_SLEEP);
  avr_ioctl(avr, AVR_IOCTL_UART_SET_FLAGS('1'), &flags);
  parts_->uart_in = avr_io_getirq(avr, AVR_IOCTL_UART_GETIRQ('1'), UART_IRQ_INPUT);
  avr_irq_register_notify(
      avr_io_getirq(avr, AVR_IOCTL_UART_GETIRQ('1'), UART_IRQ_OUTPUT),
      [](avr_irq_t*, std::uint32_t value, void* self) {
        static_cast<SimulatedChip*>(self)->sent_.push_back(static_cast<std::uint8_t>(value));
      },
      this);
  for (const int address : {kTccr1a, kOcr1a, kOcr1b, kPortB, kDdrB}) {
    avr_irq_register_notify(
        avr_iomem_getirq(avr, static_cast<avr_io_addr_t>(address), nullptr, AVR_IOMEM_IRQ_ALL),
        [](avr_irq_t*, std::uint32_t, void* self) {
          // The register changes behind this call; it is looked at a cycle later.
          auto* chip = static_cast<SimulatedChip*>(self);
          avr_cycle_timer_register(
              chip->parts_->avr, 1,
              [](avr_t*, avr_cycle_count_t, void* later) -> avr_cycle_count_t {
                static_cast<SimulatedChip*>(later)->note_motors();
                return 0;
              },
              chip);
        },
        this);
  }
  avr_irq_register_notify(
      avr_iomem_getirq(avr, static_cast<avr_io_addr_t>(kEecr), nullptr, AVR_IOMEM_IRQ_ALL),
      [](avr_irq_t*, std::uint32_t, void* self) {
        const auto* chip = static_cast<SimulatedChip*>(self);
        if (chip->eeprom_told_) chip->eeprom_told_(chip->eeprom());
      },
      this);
  for (int vector = 1; vector < kVectors; ++vector) {
    avr_irq_t* irq = avr_get_interrupt_irq(avr, static_cast<std::uint8_t>(vector));
    if (irq == nullptr) continue;
    avr_irq_register_notify(
        irq + AVR_INT_IRQ_RUNNING,
        [](avr_irq_t*, std::uint32_t running, void* self) {
          auto& parts = *static_cast<Parts*>(self);
          if (running != 0) {
            parts.entered[0] = parts.avr->cycle;
          } else {
            parts.longest_interrupt =
                std::max(parts.longest_interrupt, parts.avr->cycle - parts.entered[0]);
          }
        },
        parts_.get());
  }
  hold_keys(0);
  parts_->drive({'C', 7}, true);
  plug(false);
  set_trim_mv(kSupply_mv / 2);
  set_battery_mv(4800);
}

SimulatedChip::~SimulatedChip() {
  avr_terminate(parts_->avr);
  std::free(parts_->avr);
}

std::uint64_t SimulatedChip::cycle() const { return parts_->avr->cycle; }

void SimulatedChip::run_ms(double ms) {
  const std::uint64_t until = cycle() + static_cast<std::uint64_t>(ms * kCyclesPerMs);
  while (!crashed_ && parts_->avr->cycle < until) {
    const int state = avr_run(parts_->avr);
    crashed_ = state == cpu_Done || state == cpu_Crashed;
  }
}

void SimulatedChip::hold_keys(std::uint8_t keys) {
  for (int i = 0; i < 5; ++i) parts_->drive(kKeyPins[i], (keys >> i & 1) == 0);
}

void SimulatedChip::press(std::uint8_t key) {
  hold_keys(key);
  run_ms(50);
  hold_keys(0);
  run_ms(30);
}

void SimulatedChip::set_trim_mv(unsigned mv) {
  avr_raise_irq(avr_io_getirq(parts_->avr, AVR_IOCTL_ADC_GETIRQ, kTrimChannel), mv);
}
void SimulatedChip::set_battery_mv(unsigned mv) {
  avr_raise_irq(avr_io_getirq(parts_->avr, AVR_IOCTL_ADC_GETIRQ, kBatteryChannel),
                mv * kSupply_mv / kBatteryFull_mv);
}
void SimulatedChip::plug(bool cable) { parts_->drive({'D', 4}, cable); }

void SimulatedChip::plan_edge(bool mark, std::uint64_t at) {
  const bool idle = parts_->edges.empty();
  parts_->edges.emplace_back(at, mark);
  if (idle) avr_cycle_timer_register(parts_->avr, at - cycle(), Parts::next_edge, parts_.get());
}

void SimulatedChip::send(std::uint8_t byte) { avr_raise_irq(parts_->uart_in, byte); }

std::vector<std::uint8_t> SimulatedChip::take_sent() {
  std::vector<std::uint8_t> taken;
  taken.swap(sent_);
  return taken;
}

SimulatedChip::Memory SimulatedChip::eeprom() const {
  Memory bytes{};
  avr_eeprom_desc_t desc;
  desc.ee = nullptr;
  desc.offset = 0;
  desc.size = bytes.size();
  avr_ioctl(parts_->avr, AVR_IOCTL_EEPROM_GET, &desc);
  if (desc.ee != nullptr) std::memcpy(bytes.data(), desc.ee, bytes.size());
  return bytes;
}

MotorSetting SimulatedChip::motors_now() const {
  const std::uint8_t* data = parts_->avr->data;
  const auto duty = [&](int compare, int connect_bits, int pwm_bit, int back_bit) {
    const bool connected = (data[kTccr1a] & connect_bits) == (connect_bits & 0xAA) &&
                           (data[kDdrB] >> pwm_bit & 1) != 0;
    const int size = connected ? (data[compare] | data[compare + 1] << 8) + 1 : 0;
    return (data[kPortB] >> back_bit & 1) != 0 ? -size : size;
  };
  return {cycle(), duty(kOcr1a, 0xC0, 5, 4), duty(kOcr1b, 0x30, 6, 7)};
}

void SimulatedChip::note_motors() {
  const MotorSetting now = motors_now();
  const MotorSetting last = motors_.empty() ? MotorSetting() : motors_.back();
  if (now.left != last.left || now.right != last.right) motors_.push_back(now);
}

void SimulatedChip::write_vcd(const std::string& path) const {
  std::ofstream file(path);
  const auto binary = [](int duty) {
    return std::bitset<16>(static_cast<unsigned long>(duty) & 0xFFFFU).to_string();
  };
  file << "$timescale 1 us $end\n$scope module robot $end\n"
          "$var wire 16 l left_duty $end\n$var wire 16 r right_duty $end\n"
          "$upscope $end\n$enddefinitions $end\n";
  const auto put = [&](const MotorSetting& s) {
    file << "#" << s.cycle / 16 << "\nb" << binary(s.left) << " l\nb" << binary(s.right) << " r\n";
  };
  put({});
  for (const MotorSetting& setting : motors_) put(setting);
  put(motors_now());
}

int SimulatedChip::untouched_ram() const {
  const std::uint8_t* first = parts_->avr->data + kRamFirst + parts_->ram_used;
  const std::uint8_t* end = parts_->avr->data + kRamEnd;
  return static_cast<int>(
      std::find_if(first, end, [](std::uint8_t byte) { return byte != kUntouched; }) - first);
}

double SimulatedChip::longest_interrupt_us() const {
  return static_cast<double>(parts_->longest_interrupt) / 16.0;
}

std::vector<MotorSetting> read_motor_vcd(const std::string& path) {
  std::ifstream file(path);
  std::vector<MotorSetting> settings;
  for (std::string word; file >> word;) {
    if (word[0] == '#') {
      MotorSetting next = settings.empty() ? MotorSetting() : settings.back();
      next.cycle = std::stoull(word.substr(1)) * 16;
      settings.push_back(next);
    } else if (word[0] == 'b' && word.size() == 17 && !settings.empty()) {
      const auto value = static_cast<std::int16_t>(std::bitset<16>(word.substr(1)).to_ulong());
      file >> word;
      (word == "l" ? settings.back().left : settings.back().right) = value;
    }
  }
  return settings;
}

}  // namespace runtrue

// The simulator keeps what it once took till the program ends.
extern "C" const char* __lsan_default_suppressions() { return "leak:libsimavr"; }
