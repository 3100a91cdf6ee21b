#include <fmt/format.h>

#include <algorithm>

#include "moves/internal/line_reader.h"
#include "moves/internal/unroll.h"
#include "moves/move_list.h"
#include "units/spelling.h"

namespace runtrue {
namespace {

using moves_internal::LineReader;
using moves_internal::SourceLine;
using moves_internal::Word;

// Reads the lines one after the other. Blocks that are still open lie on a stack, so that deep
// nesting costs no native stack. After a fault it takes the line for what was most likely meant, so
// that one slip is one fault.
class Reader {
 public:
  CheckedMoves read(std::string_view text) {
    const auto lines = moves_internal::raw_lines(text);
    if (text.size() > kMostBytes || lines.size() > kMostLines) {
      fault(
          {"", kMostLines < lines.size() ? kMostLines + 1 : 1, 1},
          fmt::format("the text has {} lines and {} bytes, expected at most {} lines and {} bytes",
                      lines.size(), text.size(), kMostLines, kMostBytes));
      return {{}, std::move(faults_)};
    }
    int number = 0;
    for (const std::string_view raw : lines) {
      if (faults_.size() >= kMostFaults || gave_up_) break;
      read_line(raw, ++number);
    }
    while (!open_.empty()) close_unfinished();
    if (faults_.size() < kMostFaults && !gave_up_) {
      for (Error& found : moves_internal::unrolling_faults(list_))
        faults_.push_back(std::move(found));
    }
    return {std::move(list_), std::move(faults_)};
  }

 private:
  struct Open {
    bool is_part = false;
    Statement repeat;  // with a Repeat inside, unless it is a part
    Part part;
    int line = 0, column = 0;
    std::string written;    // "4 times", "part petal"
    bool doubtful = false;  // its first line has a fault already
  };

  void fault(Place place, std::string message) {
    faults_.push_back({ErrorKind::kBadInput, std::move(message), std::move(place)});
  }
  // Keeps the fault if there is one; whether there was none.
  template <class T>
  bool kept(const Result<T>& result) {
    if (!result) faults_.push_back(result.error());
    return result.has_value();
  }

  std::vector<Statement>& body() {
    if (open_.empty()) return list_.body;
    Open& block = open_.back();
    return block.is_part ? block.part.body : std::get<Repeat>(block.repeat.what).body;
  }

  void add(const SourceLine& line, std::variant<SingleMove, Repeat, DoPart, Remark> what) {
    body().push_back({std::move(what), line.number, line.comment,
                      line.words.empty() ? 0 : line.words.front().column});
  }

  void read_line(std::string_view raw, int number) {
    const auto line = moves_internal::cut_line(raw, number);
    if (!kept(line)) return;
    if (line->words.empty()) return add(*line, Remark{});
    LineReader reader(*line);
    std::string first = reader.peek();
    const bool is_number = first.find_first_of("0123456789") == 0 ||
                           (first.size() > 1 && first.find_first_of("+-.,") == 0);
    if (is_number) return read_times(*line, reader);
    const bool known = moves_internal::is_language_word(first) && first != "times" &&
                       moves_internal::meant_beginning(first) == first;
    if (!known) {
      const std::string meant = moves_internal::meant_beginning(first);
      fault({"", number, line->words.front().column},
            moves_internal::unknown_move(line->words.front(), meant));
      if (meant == "end") close(line->comment);
      if (meant == "part") open_part(*line, line->words.size() > 1 ? line->words[1] : Word{});
      if (first == "repeat" || first == "loop" || meant == "times") open_repeat(*line, 1);
      return;
    }
    (void)reader.take();
    if (first == "end") return read_end(*line, reader);
    if (first == "part") return read_part(*line, reader);
    if (first == "do") return read_do(*line, reader);
    const auto move = read_move(first, reader);
    if (!kept(move)) return;
    add(*line, *move);
  }

  static Result<SingleMove> read_move(const std::string& first, LineReader& reader) {
    if (first == "drive" || first == "reverse") {
      RUNTRUE_TRY(const Extent extent, reader.extent(first));
      if (auto ok = reader.end(first); !ok) return tl::unexpected(ok.error());
      if (first == "drive") return DriveMove{extent};
      return ReverseMove{extent};
    }
    if (first == "pause") {
      RUNTRUE_TRY(const Duration time, reader.time(first));
      if (auto ok = reader.end(first); !ok) return tl::unexpected(ok.error());
      return PauseMove{time};
    }
    if (first == "at") {
      if (auto ok = reader.keyword("level", first, "at level 160"); !ok)
        return tl::unexpected(ok.error());
      RUNTRUE_TRY(const int level, reader.whole_number("at level", "a level (a whole number)", 1,
                                                       kHighestLevel.value));
      if (auto ok = reader.end("at level"); !ok) return tl::unexpected(ok.error());
      return AtLevel{Level{level}};
    }
    RUNTRUE_TRY(const Side side, reader.side(first));
    const std::string behind = first + (side == Side::kLeft ? " left" : " right");
    if (first == "turn") {
      RUNTRUE_TRY(const TurnExtent extent, reader.turn_extent(behind));
      if (auto ok = reader.end(behind); !ok) return tl::unexpected(ok.error());
      return TurnMove{side, extent};
    }
    RUNTRUE_TRY(const Angle angle, reader.angle(behind));
    if (auto ok = reader.keyword("radius", behind, behind + " 45 deg radius 150 mm"); !ok)
      return tl::unexpected(ok.error());
    RUNTRUE_TRY(const Length radius, reader.length("radius"));
    if (auto ok = reader.end(behind); !ok) return tl::unexpected(ok.error());
    return BendMove{side, angle, radius};
  }

  void read_times(const SourceLine& line, LineReader& reader) {
    const auto times = reader.whole_number("", "a number of times", 1, kMostMoves);
    bool good = kept(times);
    if (good) {
      const std::string number(line.words[0].text);
      good =
          kept(reader.keyword("times", number, "4 times")) && kept(reader.end(number + " times"));
    }
    open_repeat(line, good ? *times : 1);
  }

  void open_repeat(const SourceLine& line, int times) {
    Open block;
    block.repeat = {Repeat{times, {}, {}}, line.number, line.comment, line.words[0].column};
    block.written = quotable(line.words[0].text);
    if (line.words.size() > 1) block.written += " " + quotable(line.words[1].text);
    open(line, std::move(block));
  }

  void read_part(const SourceLine& line, LineReader& reader) {
    const auto name = reader.name("part");
    if (kept(name)) (void)kept(reader.end(fmt::format("part {}", name->text)));
    open_part(line, name ? *name : Word{});
  }

  void open_part(const SourceLine& line, const Word& name) {
    if (!open_.empty()) {
      fault({"", line.number, line.words[0].column},
            fmt::format("a part begins inside '{}' of line {}, expected its 'end' first",
                        open_.back().written, open_.back().line));
    }
    Open block;
    block.is_part = true;
    block.part.name = std::string(name.text);
    block.part.line = line.number;
    block.part.column = name.column;
    block.part.comment = line.comment;
    block.part.after = list_.body.size();
    block.written = "part " + quotable(name.text);
    open(line, std::move(block));
  }

  void open(const SourceLine& line, Open block) {
    block.doubtful = !faults_.empty() && faults_.back().place.line == line.number;
    block.line = line.number;
    block.column = line.words[0].column;
    if (open_.size() == kDeepestBlocks) {
      fault({"", block.line, block.column},
            fmt::format("blocks stand inside blocks more than {} deep, expected fewer",
                        kDeepestBlocks));
      gave_up_ = true;
      open_.clear();
      return;
    }
    open_.push_back(std::move(block));
  }

  void read_end(const SourceLine& line, LineReader& reader) {
    (void)kept(reader.end("end"));
    if (open_.empty()) {
      fault({"", line.number, line.words[0].column},
            "this 'end' ends nothing, expected 'part NAME' or 'N times' above it");
      return;
    }
    close(line.comment);
  }

  void read_do(const SourceLine& line, LineReader& reader) {
    const auto name = reader.name("do");
    if (!kept(name) || !kept(reader.end(fmt::format("do {}", name->text)))) return;
    add(line, DoPart{std::string(name->text), name->column});
  }

  void close(const std::string& end_comment) {
    if (open_.empty()) return;
    Open block = std::move(open_.back());
    open_.pop_back();
    if (block.is_part) {
      block.part.end_comment = end_comment;
      if (!block.part.name.empty()) list_.parts.push_back(std::move(block.part));
      return;
    }
    std::get<Repeat>(block.repeat.what).end_comment = end_comment;
    body().push_back(std::move(block.repeat));
  }

  void close_unfinished() {
    const Open& block = open_.back();
    if (!block.doubtful) {
      fault({"", block.line, block.column},
            fmt::format("'{}' has no 'end', expected one below it", block.written));
    }
    close({});
  }

  MoveList list_;
  std::vector<Open> open_;
  std::vector<Error> faults_;
  bool gave_up_ = false;
};

bool is_before(const Error& a, const Error& b) {
  return std::pair(a.place.line, a.place.column) < std::pair(b.place.line, b.place.column);
}

}  // namespace

CheckedMoves check_moves(std::string_view text, std::string_view file_name) {
  CheckedMoves checked = Reader().read(text);
  std::stable_sort(checked.faults.begin(), checked.faults.end(), is_before);
  if (checked.faults.size() > kMostFaults) checked.faults.resize(kMostFaults);
  for (Error& fault : checked.faults) fault.place.file = file_name;
  return checked;
}

Result<MoveList> parse_moves(std::string_view text, std::string_view file_name) {
  CheckedMoves checked = check_moves(text, file_name);
  if (!checked.faults.empty()) return tl::unexpected(std::move(checked.faults.front()));
  return std::move(checked.list);
}

}  // namespace runtrue
