#include "cli/words.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace runtrue {
namespace {

constexpr std::size_t kWidth = 80;

// Characters, not bytes: names may bear any letter.
std::size_t width_of(std::string_view text) {
  return static_cast<std::size_t>(std::count_if(text.begin(), text.end(), [](char c) {
    return (static_cast<unsigned char>(c) & 0xC0U) != 0x80U;
  }));
}

bool is_number(std::string_view text) {
  return text.empty() || text.find_first_not_of("+-.0123456789 <>%") == std::string_view::npos;
}

}  // namespace

std::string paragraph(std::string_view text, std::size_t indent) {
  std::string out;
  std::size_t used = 0;  // characters in the line, 0: it has no word yet
  while (!text.empty()) {
    const std::size_t end = std::min(text.find(' '), text.size());
    const std::string_view word = text.substr(0, end);
    text.remove_prefix(std::min(end + 1, text.size()));
    if (word.empty()) continue;
    const std::size_t width = width_of(word);
    if (used > 0 && used + 1 + width < kWidth) {
      out += ' ';
      used += 1 + width;
    } else {
      if (used > 0) out += '\n';
      out += std::string(indent, ' ');
      used = indent + width;
    }
    out += word;
  }
  if (!out.empty()) out += '\n';
  return out;
}

std::string rows_text(const std::vector<std::vector<std::string>>& rows) {
  std::vector<std::size_t> widths;
  std::vector<bool> numbers;
  for (std::size_t row = 0; row < rows.size(); ++row) {
    for (std::size_t i = 0; i < rows[row].size(); ++i) {
      if (i == widths.size()) {
        widths.push_back(0);
        numbers.push_back(i > 0);
      }
      widths[i] = std::max(widths[i], width_of(rows[row][i]));
      // The first row may be a heading.
      if (row > 0 && !is_number(rows[row][i])) numbers[i] = false;
    }
  }
  std::string out;
  for (const auto& row : rows) {
    std::string line;
    for (std::size_t i = 0; i < row.size(); ++i) {
      const std::string fill(widths[i] - width_of(row[i]), ' ');
      line += "  " + (numbers[i] ? fill + row[i] : row[i] + fill);
    }
    line.erase(line.find_last_not_of(' ') + 1);
    out += line + '\n';
  }
  return out;
}

std::string percent_words(double probability) {
  if (probability > 0.99) return "over 99 %";
  if (probability < 0.01) return "under 1 %";
  return fmt::format("{:.0f} %", std::floor(100.0 * probability));  // never more than is known
}

std::string side_words(double mm) {
  if (std::abs(mm) < 0.5) return "0";
  return fmt::format("{:.0f} to the {}", std::abs(mm), mm > 0.0 ? "left" : "right");
}

std::string assumed_words(const DriveSettings& settings) {
  if (settings.assumed.empty()) return "";
  std::string names;
  for (const Constant constant : settings.assumed) {
    if (!names.empty()) names += ", ";
    names += text_of(constant).key;
  }
  return paragraph(fmt::format(
      "No run tells of these yet, so they are assumed, with room for error: {}.", names));
}

}  // namespace runtrue
