#include "moves/internal/source_lines.h"

#include <fmt/format.h>

#include <algorithm>

namespace runtrue::moves_internal {
namespace {

constexpr std::string_view kByteOrderMark = "\xEF\xBB\xBF";

bool is_rest(char c) { return (static_cast<unsigned char>(c) & 0xC0U) == 0x80U; }

// Bytes of the UTF-8 character that starts the text; 0 if none does [RFC 3629, section 4].
std::size_t character_length(std::string_view text) {
  const auto byte = [&](std::size_t i) {
    return i < text.size() ? static_cast<unsigned char>(text[i]) : 0U;
  };
  const unsigned first = byte(0);
  if (first < 0x80) return 1;
  unsigned low = 0x80, high = 0xBF;  // of the second byte: no overlong form, surrogate or > 10FFFF
  std::size_t length = 0;
  if (first >= 0xC2 && first <= 0xDF) {
    length = 2;
  } else if (first >= 0xE0 && first <= 0xEF) {
    length = 3;
    if (first == 0xE0) low = 0xA0;
    if (first == 0xED) high = 0x9F;
  } else if (first >= 0xF0 && first <= 0xF4) {
    length = 4;
    if (first == 0xF0) low = 0x90;
    if (first == 0xF4) high = 0x8F;
  } else {
    return 0;
  }
  if (byte(1) < low || byte(1) > high) return 0;
  for (std::size_t i = 2; i < length; ++i) {
    if (byte(i) < 0x80 || byte(i) > 0xBF) return 0;
  }
  return length;
}

// Blank, tab, no-break blank (U+00A0) and its narrow kin (U+202F).
bool is_blank(std::string_view character) {
  return character == " " || character == "\t" || character == "\xC2\xA0" ||
         character == "\xE2\x80\xAF";
}

std::string trimmed(std::string_view text) {
  const auto first = text.find_first_not_of(" \t");
  if (first == std::string_view::npos) return {};
  return std::string(text.substr(first, text.find_last_not_of(" \t") - first + 1));
}

Result<std::size_t> checked_length(std::string_view rest, const SourceLine& line, int column) {
  const std::size_t length = character_length(rest);
  if (length == 0) {
    return bad_input(fmt::format("the byte 0x{:02X} is not UTF-8 text, expected a text file saved "
                                 "as UTF-8",
                                 static_cast<unsigned char>(rest[0])),
                     {"", line.number, column});
  }
  const auto first = static_cast<unsigned char>(rest[0]);
  if ((first < 0x20 && first != '\t') || first == 0x7F) {
    return bad_input(
        fmt::format("the control character 0x{:02X} stands here, expected plain text", first),
        {"", line.number, column});
  }
  return length;
}

}  // namespace

std::vector<std::string_view> raw_lines(std::string_view text) {
  if (text.starts_with(kByteOrderMark)) text.remove_prefix(kByteOrderMark.size());
  std::vector<std::string_view> lines;
  while (!text.empty()) {
    const auto end = text.find_first_of("\r\n");
    lines.push_back(text.substr(0, end));
    if (end == std::string_view::npos) break;
    text.remove_prefix(text.substr(end).starts_with("\r\n") ? end + 2 : end + 1);
  }
  return lines;
}

Result<SourceLine> cut_line(std::string_view raw, int number) {
  SourceLine line;
  line.number = number;
  int column = 1;
  std::size_t word_start = 0;
  int word_column = 0;  // 0: between words
  const auto end_word = [&](std::size_t at) {
    if (word_column == 0) return;
    line.words.push_back({raw.substr(word_start, at - word_start), word_column});
    line.end_column = column;
    word_column = 0;
  };
  std::size_t at = 0;
  std::size_t comment_at = std::string_view::npos;
  while (at < raw.size()) {
    RUNTRUE_TRY(const std::size_t length, checked_length(raw.substr(at), line, column));
    const std::string_view character = raw.substr(at, length);
    if (comment_at == std::string_view::npos) {
      if (character == "#") {
        end_word(at);
        comment_at = at + 1;
      } else if (is_blank(character)) {
        end_word(at);
      } else if (word_column == 0) {
        word_start = at;
        word_column = column;
      }
    }
    at += length;
    ++column;
  }
  end_word(at);
  if (comment_at != std::string_view::npos) line.comment = trimmed(raw.substr(comment_at));
  return line;
}

int characters(std::string_view text) {
  return static_cast<int>(
      std::count_if(text.begin(), text.end(), [](char c) { return !is_rest(c); }));
}

std::string lower(std::string_view text) {
  std::string answer(text);
  for (char& c : answer) {
    if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
  }
  return answer;
}

}  // namespace runtrue::moves_internal
