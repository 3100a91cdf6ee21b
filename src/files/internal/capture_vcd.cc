#include "files/internal/capture_vcd.h"

#include <fmt/format.h>

#include <charconv>
#include <cstdint>
#include <optional>
#include <string>

#include "files/capture_file.h"
#include "units/spelling.h"

namespace runtrue::internal {
namespace {

struct Word {
  std::string_view text;
  int line = 1;
  int column = 1;
  [[nodiscard]] Place place() const { return {{}, line, column}; }
};

// Words parted by blanks and line ends.
class WordReader {
 public:
  explicit WordReader(std::string_view text) : text_(text) {}

  // The next word, empty at the end of the text.
  Word next() {
    while (at_ < text_.size() && is_blank(text_[at_])) step();
    Word word{{}, line_, column_};
    const std::size_t first = at_;
    while (at_ < text_.size() && !is_blank(text_[at_])) step();
    word.text = text_.substr(first, at_ - first);
    return word;
  }

 private:
  static bool is_blank(char c) {
    return c == ' ' || c == '\t' || c == '\n' || c == '\r' || c == '\f' || c == '\v';
  }
  void step() {
    const char c = text_[at_++];
    if (c == '\n' || (c == '\r' && (at_ == text_.size() || text_[at_] != '\n'))) {
      ++line_;
      column_ = 1;
    } else if ((static_cast<unsigned char>(c) & 0xC0U) != 0x80U) {
      ++column_;
    }
  }

  std::string_view text_;
  std::size_t at_ = 0;
  int line_ = 1;
  int column_ = 1;
};

std::optional<std::uint64_t> whole_number(std::string_view text) {
  std::uint64_t value = 0;
  const auto [end, code] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (code != std::errc() || end != text.data() + text.size()) return std::nullopt;
  return value;
}

// Microseconds of "1ns", "100 us": IEEE 1364-2005, 18.2.3.7.
std::optional<double> timescale_us(std::string_view text) {
  const auto unit_at = text.find_first_not_of("0123456789");
  if (unit_at == std::string_view::npos) return std::nullopt;
  const std::string_view number = text.substr(0, unit_at), unit = text.substr(unit_at);
  if (number != "1" && number != "10" && number != "100") return std::nullopt;
  const auto count = static_cast<double>(*whole_number(number));
  if (unit == "s") return count * 1e6;
  if (unit == "ms") return count * 1e3;
  if (unit == "us") return count;
  if (unit == "ns") return count / 1e3;
  if (unit == "ps") return count / 1e6;
  if (unit == "fs") return count / 1e9;
  return std::nullopt;
}

class VcdReader {
 public:
  explicit VcdReader(std::string_view text) : words_(text) {}

  Result<Capture> read() {
    while (true) {
      const Word word = words_.next();
      if (word.text.empty()) break;
      if (auto good = take(word); !good) return tl::unexpected(std::move(good).error());
    }
    if (!signal_) {
      return bad_input("no signal is declared, expected $var wire 1 NAME of one", {{}, 1, 1});
    }
    if (level_) {
      if (now_us_ > since_us_) {
        put(*level_, now_us_ - since_us_);
      } else {
        put(*level_, kLastLevel_us);
      }
    }
    return std::move(capture_);
  }

 private:
  Result<void> take(const Word& word) {
    switch (word.text.front()) {
      case '$':
        return command(word);
      case '#':
        return time(word);
      case '0':
      case '1':
      case 'x':
      case 'X':
      case 'z':
      case 'Z':
        return change(word, word.text.front(), word.text.substr(1), word);
      case 'b':
      case 'B': {
        const Word id = words_.next();
        if (word.text.size() != 2) {
          return bad_input(
              fmt::format("'{}' is no value of one bit, expected b0 or b1", quotable(word.text)),
              word.place());
        }
        return change(word, word.text[1], id.text, id);
      }
      default:
        return bad_input(fmt::format("'{}' is no part of a VCD file, expected #TIME or a change of "
                                     "the signal",
                                     quotable(word.text)),
                         word.place());
    }
  }

  Result<void> command(const Word& name) {
    if (name.text == "$timescale") return timescale(name);
    if (name.text == "$var") return variable(name);
    // Between these and their $end stand changes of value.
    if (name.text == "$dumpvars" || name.text == "$dumpall" || name.text == "$dumpon" ||
        name.text == "$dumpoff" || name.text == "$end") {
      return {};
    }
    return skip(name);
  }

  Result<void> skip(const Word& name) {
    while (true) {
      const Word word = words_.next();
      if (word.text == "$end") return {};
      if (word.text.empty()) return not_closed(name);
    }
  }

  static tl::unexpected<Error> not_closed(const Word& name) {
    return bad_input(fmt::format("{} is not closed, expected $end", quotable(name.text)),
                     name.place());
  }

  Result<void> timescale(const Word& name) {
    std::string written;
    Word first;
    while (true) {
      const Word word = words_.next();
      if (word.text == "$end") break;
      if (word.text.empty()) return not_closed(name);
      if (written.empty()) first = word;
      written += word.text;
    }
    const auto scale = timescale_us(written);
    if (!scale) {
      return bad_input(fmt::format("the timescale is '{}', expected 1, 10 or 100 of s, ms, us, ns, "
                                   "ps or fs",
                                   quotable(written)),
                       written.empty() ? name.place() : first.place());
    }
    scale_us_ = scale;
    return {};
  }

  // $var TYPE SIZE ID NAME [RANGE] $end
  Result<void> variable(const Word& name) {
    const Word type = words_.next(), size = words_.next(), id = words_.next();
    for (const Word& word : {type, size, id}) {
      if (word.text.empty()) return not_closed(name);
      if (word.text == "$end") {
        return bad_input("the signal's declaration is too short, expected $var wire 1 ID NAME $end",
                         name.place());
      }
    }
    if (signal_ && *signal_ != id.text) {
      return bad_input("a second signal is declared, expected one: the receiver's line alone",
                       name.place());
    }
    if (size.text != "1") {
      return bad_input(fmt::format("the signal has {} bits, expected 1", quotable(size.text)),
                       size.place());
    }
    if (type.text == "real" || type.text == "realtime") {
      return bad_input("the signal is a real number, expected a wire of 1 bit", type.place());
    }
    signal_ = std::string(id.text);
    return skip(name);
  }

  Result<void> time(const Word& word) {
    const auto ticks = whole_number(word.text.substr(1));
    if (!ticks) {
      return bad_input(
          fmt::format("'{}', expected a whole number behind the #", quotable(word.text)),
          word.place());
    }
    if (!scale_us_) {
      return bad_input("no timescale was told before the first time, expected $timescale 1 us $end",
                       word.place());
    }
    const double time_us = static_cast<double>(*ticks) * *scale_us_;
    if (time_us > kLongestCapture_us) {
      return bad_input("this is later than 11 days, expected a shorter recording", word.place());
    }
    if (time_us < now_us_) {
      return bad_input(fmt::format("'{}' goes back in time, expected a later one than before",
                                   quotable(word.text)),
                       word.place());
    }
    now_us_ = time_us;
    return {};
  }

  Result<void> change(const Word& word, char value, std::string_view id, const Word& id_word) {
    if (!signal_ || id != *signal_) {
      return bad_input(fmt::format("'{}' is a change of a signal that was not declared, expected "
                                   "one by $var",
                                   quotable(word.text)),
                       id.empty() || id_word.text.empty() ? word.place() : id_word.place());
    }
    if (value != '0' && value != '1') {
      if (value == 'x' || value == 'X' || value == 'z' || value == 'Z') return {};
      return bad_input(
          fmt::format("'{}' is no value of one bit, expected 0 or 1", quotable(word.text)),
          word.place());
    }
    const bool mark = value == '0';
    if (!level_) {
      level_ = mark;  // and was so from time 0 on
    } else if (*level_ != mark) {
      put(*level_, now_us_ - since_us_);
      level_ = mark;
      since_us_ = now_us_;
    }
    return {};
  }

  // A level that lasted no time was never there.
  void put(bool mark, double duration_us) {
    if (duration_us <= 0) return;
    if (!capture_.pulses.empty() && capture_.pulses.back().mark == mark) {
      capture_.pulses.back().duration_us += duration_us;
    } else {
      capture_.pulses.push_back({mark, duration_us});
    }
  }

  WordReader words_;
  Capture capture_;
  std::optional<double> scale_us_;
  std::optional<std::string> signal_;
  std::optional<bool> level_;
  double since_us_ = 0;
  double now_us_ = 0;
};

}  // namespace

Result<Capture> read_vcd(std::string_view text) { return VcdReader(text).read(); }

}  // namespace runtrue::internal
