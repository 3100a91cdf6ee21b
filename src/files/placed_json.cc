#include "files/placed_json.h"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cmath>
#include <cstdlib>
#include <utility>

#include "files/suggestion.h"
#include "files/text_file.h"
#include "units/spelling.h"

namespace runtrue {
namespace {

constexpr int kDeepest = 64;

void append_utf8(std::string& text, unsigned code) {
  const auto put = [&](unsigned byte) { text += static_cast<char>(byte); };
  if (code < 0x80) {
    put(code);
  } else if (code < 0x800) {
    put(0xC0U | code >> 6U);
    put(0x80U | (code & 0x3FU));
  } else if (code < 0x10000) {
    put(0xE0U | code >> 12U);
    put(0x80U | (code >> 6U & 0x3FU));
    put(0x80U | (code & 0x3FU));
  } else {
    put(0xF0U | code >> 18U);
    put(0x80U | (code >> 12U & 0x3FU));
    put(0x80U | (code >> 6U & 0x3FU));
    put(0x80U | (code & 0x3FU));
  }
}

// RFC 8259, one value and blanks around it.
class Parser {
 public:
  explicit Parser(std::string_view text) : text_(text) {}

  Result<PlacedJson> document() {
    skip_blanks();
    if (at_end()) return wrong("nothing is written here, expected a JSON document");
    RUNTRUE_TRY(PlacedJson value, this->value(0));
    skip_blanks();
    if (!at_end()) return wrong("there is more after the JSON document, expected its end");
    return value;
  }

 private:
  [[nodiscard]] bool at_end() const { return at_ == text_.size(); }
  [[nodiscard]] char now() const { return at_end() ? '\0' : text_[at_]; }

  void step() {
    const auto byte = static_cast<unsigned char>(text_[at_++]);
    if (byte == '\n') {
      ++line_;
      column_ = 1;
    } else if (at_end() || (static_cast<unsigned char>(text_[at_]) & 0xC0U) != 0x80U) {
      ++column_;
    }
  }

  void skip_blanks() {
    while (now() == ' ' || now() == '\t' || now() == '\n' || now() == '\r') {
      if (at_end()) return;
      step();
    }
  }

  [[nodiscard]] tl::unexpected<Error> wrong(std::string message) const {
    return bad_input(std::move(message), {{}, line_, column_});
  }

  [[nodiscard]] std::string here() const {
    if (at_end()) return "the text ends here";
    std::size_t length = 1;
    while (at_ + length < text_.size() &&
           (static_cast<unsigned char>(text_[at_ + length]) & 0xC0U) == 0x80U)
      ++length;
    if (static_cast<unsigned char>(now()) < 0x20) return "a control character stands here";
    return fmt::format("'{}' stands here", text_.substr(at_, length));
  }

  Result<PlacedJson> value(int depth) {
    if (depth > kDeepest) {
      return wrong(fmt::format("is nested too deep, expected at most {} levels", kDeepest));
    }
    PlacedJson placed;
    placed.line = line_;
    placed.column = column_;
    switch (now()) {
      case '{':
        return object(std::move(placed), depth);
      case '[':
        return list(std::move(placed), depth);
      case '"': {
        placed.kind = PlacedJson::Kind::kText;
        RUNTRUE_TRY(placed.text, text());
        return placed;
      }
      case 't':
      case 'f':
      case 'n':
        return word(std::move(placed));
      default:
        return number(std::move(placed));
    }
  }

  Result<PlacedJson> word(PlacedJson placed) {
    for (const std::string_view known : {"true", "false", "null"}) {
      if (text_.substr(at_, known.size()) != known) continue;
      for (std::size_t i = 0; i < known.size(); ++i) step();
      placed.kind = known == "null" ? PlacedJson::Kind::kNull : PlacedJson::Kind::kBoolean;
      placed.boolean = known == "true";
      return placed;
    }
    return wrong(here() + ", expected a value");
  }

  Result<PlacedJson> number(PlacedJson placed) {
    std::size_t length = 0;
    const auto peek = [&]() { return at_ + length < text_.size() ? text_[at_ + length] : '\0'; };
    const auto digits = [&]() {
      const std::size_t before = length;
      while (peek() >= '0' && peek() <= '9') ++length;
      return length - before;
    };
    if (peek() == '-') ++length;
    const bool zero_first = peek() == '0';
    const std::size_t whole = digits();
    if (whole == 0) return wrong(here() + ", expected a value");
    if (zero_first && whole > 1) return wrong("a number begins with 0, expected it without");
    if (peek() == '.') {
      ++length;
      if (digits() == 0) return wrong("a number ends in a point, expected a digit after it");
    }
    if (peek() == 'e' || peek() == 'E') {
      ++length;
      if (peek() == '+' || peek() == '-') ++length;
      if (digits() == 0) return wrong("a number ends in its exponent, expected a digit after it");
    }
    const std::string_view written = text_.substr(at_, length);
    placed.number = std::strtod(std::string(written).c_str(), nullptr);
    if (!std::isfinite(placed.number)) {
      return wrong("a number is too large, expected one up to 1e308");
    }
    placed.kind = PlacedJson::Kind::kNumber;
    for (std::size_t i = 0; i < length; ++i) step();
    return placed;
  }

  Result<unsigned> four_hex_digits() {
    unsigned code = 0;
    for (int i = 0; i < 4; ++i) {
      const char c = now();
      const int digit = c >= '0' && c <= '9'   ? c - '0'
                        : c >= 'a' && c <= 'f' ? c - 'a' + 10
                        : c >= 'A' && c <= 'F' ? c - 'A' + 10
                                               : -1;
      if (digit < 0) return wrong(here() + ", expected four hexadecimal digits after \\u");
      code = code * 16 + static_cast<unsigned>(digit);
      step();
    }
    return code;
  }

  Result<void> escape(std::string& out) {
    step();  // the backslash
    const char c = now();
    static constexpr std::string_view kLetters = "\"\\/bfnrt";
    static constexpr std::string_view kMeaning = "\"\\/\b\f\n\r\t";
    if (const auto which = kLetters.find(c); !at_end() && which != std::string_view::npos) {
      step();
      out += kMeaning[which];
      return {};
    }
    if (c != 'u') return wrong(here() + " after a backslash, expected one of \"\\/bfnrtu");
    step();
    RUNTRUE_TRY(unsigned code, four_hex_digits());
    if (code >= 0xD800 && code < 0xDC00 && text_.substr(at_, 2) == "\\u") {
      step();
      step();
      RUNTRUE_TRY(const unsigned low, four_hex_digits());
      if (low < 0xDC00 || low > 0xDFFF) return wrong("half a character stands here, expected both");
      code = 0x10000 + ((code - 0xD800) << 10U) + (low - 0xDC00);
    }
    if (code >= 0xD800 && code < 0xE000)
      return wrong("half a character stands here, expected both");
    if (code == 0) return wrong("a zero character stands in a text, expected none");
    append_utf8(out, code);
    return {};
  }

  Result<std::string> text() {
    std::string out;
    step();  // the opening quote
    while (now() != '"') {
      if (at_end()) return wrong("the text ends within quotes, expected a closing '\"'");
      if (static_cast<unsigned char>(now()) < 0x20) {
        return wrong(
            "a line break or control character stands within quotes, expected \\n or such");
      }
      if (now() == '\\') {
        if (auto r = escape(out); !r) return tl::unexpected(std::move(r).error());
      } else {
        out += now();
        step();
      }
    }
    step();
    return out;
  }

  Result<PlacedJson> list(PlacedJson placed, int depth) {
    placed.kind = PlacedJson::Kind::kList;
    step();
    skip_blanks();
    if (now() == ']') {
      step();
      return placed;
    }
    while (true) {
      skip_blanks();
      RUNTRUE_TRY(PlacedJson item, value(depth + 1));
      placed.items.push_back(std::move(item));
      skip_blanks();
      if (now() == ']') {
        step();
        return placed;
      }
      if (now() != ',') return wrong(here() + ", expected ',' or ']'");
      step();
    }
  }

  Result<PlacedJson> object(PlacedJson placed, int depth) {
    placed.kind = PlacedJson::Kind::kObject;
    step();
    skip_blanks();
    if (now() == '}') {
      step();
      return placed;
    }
    while (true) {
      skip_blanks();
      if (now() != '"') return wrong(here() + ", expected a key in quotes");
      PlacedMember member;
      member.line = line_;
      member.column = column_;
      RUNTRUE_TRY(member.key, text());
      if (placed.find(member.key) != nullptr) {
        return bad_input(fmt::format("'{}' is there twice, expected it once", quotable(member.key)),
                         {{}, member.line, member.column});
      }
      skip_blanks();
      if (now() != ':') return wrong(here() + ", expected ':'");
      step();
      skip_blanks();
      RUNTRUE_TRY(member.value, value(depth + 1));
      placed.members.push_back(std::move(member));
      skip_blanks();
      if (now() == '}') {
        step();
        return placed;
      }
      if (now() != ',') return wrong(here() + ", expected ',' or '}'");
      step();
    }
  }

  std::string_view text_;
  std::size_t at_ = 0;
  int line_ = 1;
  int column_ = 1;
};

const char* name_of(PlacedJson::Kind kind) {
  switch (kind) {
    case PlacedJson::Kind::kNull:
      return "null";
    case PlacedJson::Kind::kBoolean:
      return "true or false";
    case PlacedJson::Kind::kNumber:
      return "a number";
    case PlacedJson::Kind::kText:
      return "a text";
    case PlacedJson::Kind::kList:
      return "a list";
    case PlacedJson::Kind::kObject:
      return "an object";
  }
  return "";
}

}  // namespace

const PlacedJson* PlacedJson::find(std::string_view key) const {
  for (const PlacedMember& member : members) {
    if (member.key == key) return &member.value;
  }
  return nullptr;
}

Result<PlacedJson> parse_json(std::string_view text) {
  text = without_mark(text);
  if (auto good = check_text(text); !good) return tl::unexpected(std::move(good).error());
  return Parser(text).document();
}

Place place_of_named(const PlacedJson& root, std::string_view message) {
  const PlacedJson* here = &root;
  std::size_t at = 0;
  while (at < message.size()) {
    if (message[at] == '.') {
      ++at;
    } else if (message[at] == '[') {
      std::size_t index = 0;
      const char* first = message.data() + at + 1;
      const auto [end, code] = std::from_chars(first, message.data() + message.size(), index);
      if (code != std::errc() || index >= here->items.size()) break;
      here = &here->items[index];
      at = static_cast<std::size_t>(end - message.data()) + 1;
    } else {
      const std::size_t end = std::min(message.find_first_of(".[ ,:", at), message.size());
      const PlacedJson* next = here->find(message.substr(at, end - at));
      if (next == nullptr) break;
      here = next;
      at = end;
      if (at < message.size() && message[at] != '.' && message[at] != '[') break;
    }
  }
  return here->place();
}

ObjectReader::ObjectReader(const PlacedJson& value, std::string_view what) : value_(value) {
  if (value.kind != PlacedJson::Kind::kObject) {
    fail({ErrorKind::kBadInput,
          fmt::format("{} stands here, expected {}", name_of(value.kind), what), value.place()});
  }
}

const PlacedJson* ObjectReader::any(std::string_view key, Need need) {
  asked_.emplace_back(key);
  const PlacedJson* found = value_.find(key);
  if (found == nullptr && need == Need::kRequired) {
    fail({ErrorKind::kBadInput, fmt::format("'{}' is missing, expected it here", key),
          value_.place()});
  }
  return found;
}

const PlacedJson* ObjectReader::of_kind(std::string_view key, Need need, PlacedJson::Kind kind,
                                        std::string_view expected) {
  const PlacedJson* found = any(key, need);
  if (found == nullptr || found->kind == kind) return found;
  fail({ErrorKind::kBadInput,
        fmt::format("{} is {}, expected {}", key, name_of(found->kind), expected), found->place()});
  return nullptr;
}

std::optional<double> ObjectReader::number(std::string_view key, Need need) {
  const PlacedJson* found = of_kind(key, need, PlacedJson::Kind::kNumber, "a number");
  if (found == nullptr) return std::nullopt;
  return found->number;
}

std::optional<std::int64_t> ObjectReader::whole_number(std::string_view key, Need need) {
  const PlacedJson* found = of_kind(key, need, PlacedJson::Kind::kNumber, "a whole number");
  if (found == nullptr) return std::nullopt;
  constexpr double kLargest = 9007199254740992.0;  // 2^53
  if (found->number != std::floor(found->number) || std::abs(found->number) > kLargest) {
    fail({ErrorKind::kBadInput,
          fmt::format("{} is {:g}, expected a whole number", key, found->number), found->place()});
    return std::nullopt;
  }
  return static_cast<std::int64_t>(found->number);
}

std::optional<std::string> ObjectReader::text(std::string_view key, Need need) {
  const PlacedJson* found = of_kind(key, need, PlacedJson::Kind::kText, "a text");
  if (found == nullptr) return std::nullopt;
  return found->text;
}

std::optional<bool> ObjectReader::boolean(std::string_view key, Need need) {
  const PlacedJson* found = of_kind(key, need, PlacedJson::Kind::kBoolean, "true or false");
  if (found == nullptr) return std::nullopt;
  return found->boolean;
}

const PlacedJson* ObjectReader::list(std::string_view key, Need need) {
  return of_kind(key, need, PlacedJson::Kind::kList, "a list");
}

const PlacedJson* ObjectReader::object(std::string_view key, Need need) {
  return of_kind(key, need, PlacedJson::Kind::kObject, "an object");
}

void ObjectReader::fail(Error error) {
  if (!error_) error_ = std::move(error);
}

Result<void> ObjectReader::finish() {
  for (const PlacedMember& member : value_.members) {
    if (std::find(asked_.begin(), asked_.end(), member.key) != asked_.end()) continue;
    const std::vector<std::string_view> known(asked_.begin(), asked_.end());
    return bad_input(fmt::format("'{}' is not known here, expected one of the keys of the format{}",
                                 quotable(member.key), did_you_mean(member.key, known)),
                     {{}, member.line, member.column});
  }
  if (error_) return tl::unexpected(*error_);
  return {};
}

}  // namespace runtrue
