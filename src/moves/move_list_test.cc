#include "moves/move_list.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <fstream>
#include <sstream>

namespace runtrue {
namespace {

// The first fault as a person sees it, or what the list is in its fixed form.
std::string read(std::string_view text) {
  const auto list = parse_moves(text, "a.moves");
  return list ? format_moves(*list) : list.error().one_line();
}

struct Case {
  std::string_view text;
  std::string_view answer;
};

TEST(ParseMoves, ReadsEveryMoveAndWritesItInOneForm) {
  for (const auto& [text, answer] : {
           // drive, reverse
           Case{"drive 300 mm", "drive 300 mm\n"},
           {"drive 30 cm", "drive 300 mm\n"},
           {"drive 1.5 m", "drive 1500 mm\n"},
           {"drive 3 in", "drive 76.2 mm\n"},
           {"drive 2,5 cm", "drive 25 mm\n"},
           {"drive 0,125 m", "drive 125 mm\n"},
           {"drive 300mm", "drive 300 mm\n"},
           {"drive 1.5 s", "drive 1.5 s\n"},
           {"reverse 250 ms", "reverse 0.25 s\n"},
           {"drive 2.3 m", "drive 2300 mm\n"},
           {"drive .5 m", "drive 500 mm\n"},
           // turn
           {"turn left 90 deg", "turn left 90 deg\n"},
           {"turn right 33.3 deg", "turn right 33.3 deg\n"},
           {"turn right 0.4 s", "turn right 0.4 s\n"},
           // bend
           {"bend right 45 deg radius 150 mm", "bend right 45 deg radius 150 mm\n"},
           {"bend left 720 deg radius 15 cm", "bend left 720 deg radius 150 mm\n"},
           // pause, level
           {"pause 1 s", "pause 1 s\n"},
           {"at level 160", "at level 160\n"},
           // blocks
           {"4 times\ndrive 1 cm\nend", "4 times\n  drive 10 mm\nend\n"},
           {"2 times\n3 times\npause 1 s\nend\nend\n",
            "2 times\n  3 times\n    pause 1 s\n  end\nend\n"},
           {"4 times\nend", "4 times\nend\n"},
           {"part petal\ndrive 1 m\nend\ndo petal", "part petal\n  drive 1000 mm\nend\ndo petal\n"},
           {"do petal\npart petal\nend", "do petal\npart petal\nend\n"},
           {"part Blüte\nend\ndo Blüte", "part Blüte\nend\ndo Blüte\n"},
           // letters, blanks, line ends, byte order mark
           {"Drive 300 MM\nTURN Left 90 Deg", "drive 300 mm\nturn left 90 deg\n"},
           {"\xEF\xBB\xBF"
            "drive 1 m\r\nturn left 90 deg\r\n",
            "drive 1000 mm\nturn left 90 deg\n"},
           {"\tdrive\t300\tmm \t", "drive 300 mm\n"},
           {"drive\xC2\xA0"
            "300\xC2\xA0mm",
            "drive 300 mm\n"},
           {"drive 1 m\rpause 1 s\r", "drive 1000 mm\npause 1 s\n"},
           // nothing
           {"", ""},
           {"\n\n", "\n\n"},
           // comments
           {"# round the mug, ß and µ", "# round the mug, ß and µ\n"},
           {"drive 1 m#short", "drive 1000 mm  # short\n"},
           {"#", "\n"},
           {"##  x", "# #  x\n"},
           {"part p # a\n # b\nend # c\n2 times # d\n\ndo p # e\nend # f",
            "part p  # a\n  # b\nend  # c\n2 times  # d\n\n  do p  # e\nend  # f\n"},
           {"# top\npart p\nend\n# middle\ndo p\n# last",
            "# top\npart p\nend\n# middle\ndo p\n# last\n"},
       }) {
    EXPECT_EQ(read(text), answer) << text;
  }
}

TEST(ParseMoves, SaysWhereAndWhatWasExpected) {
  for (
      const auto& [text, answer] : {
          // the beginning of a line
          Case{"trun left 90 deg", "a.moves:1:1: 'trun' is not a move; did you mean 'turn'?"},
          {"\n  jump 3 m",
           "a.moves:2:3: 'jump' is not a move, expected drive, reverse, turn, bend, pause, at, do, "
           "part, end or a number of times"},
          {"forward 30 cm", "a.moves:1:1: 'forward' is not a move; did you mean 'drive'?"},
          {"left 90 deg", "a.moves:1:1: 'left' is not a move; did you mean 'turn left'?"},
          {"repeat 4\nend",
           "a.moves:1:1: 'repeat' is not a move, expected how often first, as in '4 times'"},
          {"times 4\nend",
           "a.moves:1:1: nothing says how many times, expected a whole number first, as in '4 "
           "times'"},
          // numbers and units
          {"drive",
           "a.moves:1:6: nothing follows 'drive', expected a length or a time, as in 300 "
           "mm or 1.5 s"},
          {"drive 300",
           "a.moves:1:10: 300 has no unit, expected mm, cm, m or in for a length, s "
           "or ms for a time"},
          {"drive far",
           "a.moves:1:7: 'far' is not a number, expected a length or a time, as in "
           "300 mm or 1.5 s"},
          {"drive nan mm",
           "a.moves:1:7: 'nan' is not a number, expected a length or a time, as "
           "in 300 mm or 1.5 s"},
          {"drive 1.2.3 mm",
           "a.moves:1:7: '1.2.3' is not a number, expected a length or a time, "
           "as in 300 mm or 1.5 s"},
          {"drive 1,500 mm",
           "a.moves:1:7: '1,500' can be read in two ways, expected 1.500 or 1500"},
          {"drive 3 ft",
           "a.moves:1:9: 'ft' is not a unit, expected mm, cm, m or in for a length, "
           "s or ms for a time"},
          {"drive 3 seconds", "a.moves:1:9: 'seconds' is not a unit here; did you mean 's'?"},
          {"turn left 90°", "a.moves:1:13: '°' is not a unit here; did you mean 'deg'?"},
          {"drive 1e3 mm",
           "a.moves:1:8: 'e3' is not a unit, expected mm, cm, m or in for a "
           "length, s or ms for a time"},
          {"drive 90 deg",
           "a.moves:1:10: 'deg' does not fit 'drive', expected mm, cm, m or in "
           "for a length, s or ms for a time"},
          {"turn left 9 cm",
           "a.moves:1:13: 'cm' does not fit 'turn left', expected deg for an "
           "angle, s or ms for a time"},
          {"pause 3 mm", "a.moves:1:9: 'mm' does not fit 'pause', expected s or ms"},
          {"drive -300 mm",
           "a.moves:1:7: -300 mm is less than nothing, expected a number above "
           "0; to go backward write 'reverse'"},
          {"turn left -90 deg",
           "a.moves:1:11: -90 deg is less than nothing, expected a number "
           "above 0; for the other side write 'right'"},
          {"drive 0 mm", "a.moves:1:7: 0 mm is too little, expected 0.1 mm to 100 m"},
          {"drive 101 m", "a.moves:1:7: 101 m is too much, expected 0.1 mm to 100 m"},
          {"turn left 1000000 deg",
           "a.moves:1:11: 1000000 deg is too much, expected 0.01 deg to 36000 deg"},
          {"pause 0,5 ms", "a.moves:1:7: 0,5 ms is too little, expected 1 ms to 3600 s"},
          {"drive 3 mm now",
           "a.moves:1:12: 'now' is too much behind 'drive', expected the end of "
           "the line or a # comment"},
          // turn, bend
          {"turn", "a.moves:1:5: nothing follows 'turn', expected left or right"},
          {"turn 90 deg left",
           "a.moves:1:6: '90' is not a side, expected left or right behind 'turn'"},
          {"turn lfet 90 deg", "a.moves:1:6: 'lfet' is not a side; did you mean 'left'?"},
          {"bend left 45 deg",
           "a.moves:1:17: nothing follows 'bend left', expected 'radius', as "
           "in 'bend left 45 deg radius 150 mm'"},
          {"bend left 45 deg raduis 9 cm",
           "a.moves:1:18: 'raduis' is not a word of a move; did you mean 'radius'?"},
          {"bend left 45 deg of 9 cm",
           "a.moves:1:18: 'of' stands here, expected 'radius', as in "
           "'bend left 45 deg radius 150 mm'"},
          {"bend left 1 s radius 9 cm", "a.moves:1:13: 's' does not fit 'bend left', expected deg"},
          // at level
          {"at 160", "a.moves:1:4: '160' stands here, expected 'level', as in 'at level 160'"},
          {"at level",
           "a.moves:1:9: nothing follows 'at level', expected a level (a whole "
           "number), 1 to 65535"},
          {"at level -100",
           "a.moves:1:10: '-100' is not a level (a whole number), expected 1 to 65535"},
          {"at level 0", "a.moves:1:10: '0' is not a level (a whole number), expected 1 to 65535"},
          {"at level 99.5",
           "a.moves:1:10: '99.5' is not a level (a whole number), expected 1 to 65535"},
          // blocks
          {"0 times\nend", "a.moves:1:1: '0' is not a number of times, expected 1 to 10000"},
          {"-3 times\nend", "a.moves:1:1: '-3' is not a number of times, expected 1 to 10000"},
          {"99999999999 times\nend",
           "a.moves:1:1: '99999999999' is not a number of times, expected 1 to 10000"},
          {"4 tmies\nend", "a.moves:1:3: 'tmies' is not a word of a move; did you mean 'times'?"},
          {"4", "a.moves:1:2: nothing follows '4', expected 'times', as in '4 times'"},
          {"drive 1 m\n4 times\ndrive 1 m",
           "a.moves:2:1: '4 times' has no 'end', expected one below it"},
          {"drive 1 m\nend",
           "a.moves:2:1: this 'end' ends nothing, expected 'part NAME' or 'N times' above it"},
          {"4 times\nend end",
           "a.moves:2:5: 'end' is too much behind 'end', expected the end of the line or a # "
           "comment"},
          // parts
          {"part",
           "a.moves:1:5: nothing follows 'part', expected the name of a part, as in 'part "
           "petal'"},
          {"part end\nend",
           "a.moves:1:6: 'end' is a word of the language, expected another name for the part"},
          {"2 times\npart p\nend\nend",
           "a.moves:2:1: a part begins inside '2 times' of line 1, expected its 'end' first"},
          {"part p\nend\npart p\nend",
           "a.moves:3:6: part 'p' is defined a second time, expected "
           "another name than that of line 1"},
          {"part petal\nend\ndo pedal",
           "a.moves:3:4: no part is called 'pedal'; did you mean 'petal'?"},
          {"part petal\nend\ndo Petal",
           "a.moves:3:4: no part is called 'Petal'; did you mean 'petal'?"},
          {"do it", "a.moves:1:4: no part is called 'it', expected 'part it' somewhere"},
          {"part a1\nend\npart b2\nend\ndo mug",
           "a.moves:5:4: no part is called 'mug', expected a1, b2"},
          {"part p\ndo p\nend",
           "a.moves:2:4: part 'p' does itself, so the list would never end; "
           "expected another part"},
          {"part p\n2 times\ndo q\nend\nend\npart q\ndo p\nend\ndo p",
           "a.moves:7:4: part 'p' is done by part 'q', which it does itself, so the list would "
           "never end; expected another part"},
          // too many moves
          {"10000 times\n2 times\ndrive 1 m\nend\nend",
           "a.moves:1:1: here the list grows beyond 10000 moves, expected at most that many"},
          {"part p\n9999 times\npause 1 s\nend\nend\ndo p\n# two more\npause 1 s\npause 1 s",
           "a.moves:9:1: here the list grows beyond 10000 moves, expected at most that many"},
          // bytes
          {"drive 1 m\npause \xFF 1 s",
           "a.moves:2:7: the byte 0xFF is not UTF-8 text, expected a text file saved as UTF-8"},
          {"# \xED\xA0\x80",
           "a.moves:1:3: the byte 0xED is not UTF-8 text, expected a text file saved as UTF-8"},
          {std::string_view("drive \0", 7),
           "a.moves:1:7: the control character 0x00 stands here, expected plain text"},
      }) {
    EXPECT_EQ(read(text), answer) << text;
  }
}

std::string all_faults(std::string_view text) {
  std::string lines;
  const CheckedMoves checked = check_moves(text, "");
  for (const Error& fault : checked.faults) {
    lines += fault.one_line().substr(0, fault.one_line().find(' ')) + " ";
  }
  return lines;
}

TEST(CheckMoves, OneSlipIsOneFaultAndReadingGoesOn) {
  EXPECT_EQ(all_faults("drive 1\nturn left\ndrive 1 m\nbend\n"), "1:8: 2:10: 4:5: ");
  EXPECT_EQ(all_faults("4 tims\ndrive 1 m\nend"), "1:3: ");
  EXPECT_EQ(all_faults("x times\ndrive 1 m\n"), "1:1: ");
  EXPECT_EQ(all_faults("prat petal\ndrive 1 m\nend\ndo petal"), "1:1: ");
  EXPECT_EQ(all_faults("2 times\ndrive 1 m\nedn"), "3:1: ");
  EXPECT_EQ(all_faults("part p now\nend\ndo p"), "1:8: ");
  EXPECT_EQ(all_faults("part left\nend\npart right\nend"), "1:6: 3:6: ");
  EXPECT_EQ(all_faults("do q\npart p\ndo p\nend\ndrive 1 ft"), "1:4: 3:4: 5:9: ");
  EXPECT_EQ(all_faults("drive 1 m"), "");
}

TEST(CheckMoves, AtMostAHundredFaultsAreKept) {
  std::string text;
  for (int i = 0; i < 1000; ++i) text += "what\n";
  EXPECT_EQ(check_moves(text, "").faults.size(), kMostFaults);
}

TEST(ParseMoves, TextsFarBeyondAnythingMeantGetOneMessage) {
  const std::string lines(1000000, '\n');
  EXPECT_EQ(read(lines),
            "a.moves:20001:1: the text has 1000000 lines and 1000000 bytes, expected at most 20000 "
            "lines and 1048576 bytes");
  std::string deep;
  for (int i = 0; i < 19000; ++i) deep += "2 times\n";
  EXPECT_EQ(read(deep),
            "a.moves:51:1: blocks stand inside blocks more than 50 deep, expected fewer");
  const std::string word(1000000, 'x');
  EXPECT_EQ(read(word),
            "a.moves:1:1: 'xxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxx...' is not a move, expected "
            "drive, reverse, turn, bend, pause, at, do, part, end or a number of times");
  EXPECT_EQ(read("part " + word + "\nend"),
            "a.moves:1:6: 'xxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxx...' is too long for a name, "
            "expected at most 40 characters");
}

TEST(ParseMoves, LongChainsOfPartsAreRefusedWithThePlace) {
  std::string chain;
  for (int i = 0; i < 5000; ++i)
    chain += "part p" + std::to_string(i) + "\ndo p" + std::to_string(i + 1) + "\nend\n";
  chain += "part p5000\nend\ndo p0\n";
  EXPECT_EQ(read(chain), "a.moves:149:4: parts do parts more than 50 deep, expected fewer");
  std::string back = "part p0\nend\n";
  for (int i = 1; i < 5000; ++i)
    back += "part p" + std::to_string(i) + "\ndo p" + std::to_string(i - 1) + "\nend\n";
  EXPECT_EQ(read(back), "a.moves:154:4: parts do parts more than 50 deep, expected fewer");
}

std::string flat(std::string_view text) {
  const auto list = parse_moves(text, "");
  if (!list) return list.error().one_line();
  std::string out;
  const std::vector<FlatMove> moves = flatten(*list).value();
  for (const FlatMove& move : moves) {
    out += std::to_string(move.line) + " " + move.text() + "; ";
  }
  return out;
}

TEST(Flatten, UnrollsBlocksAndPartsAndKeepsTheLines) {
  EXPECT_EQ(
      flat("part p\n  drive 1 m\n  turn left 90 deg\nend\n2 times\n  do p # again\n  pause 1 "
           "s\nend\n# end\nat level 9"),
      "2 drive 1000 mm; 3 turn left 90 deg; 7 pause 1 s; 2 drive 1000 mm; 3 turn left 90 deg; "
      "7 pause 1 s; 10 at level 9; ");
  EXPECT_EQ(flat("10000 times\n10000 times\n10000 times\n# nothing\nend\nend\nend"), "");
}

TEST(Flatten, RefusesListsMadeByHandThatCannotBeUnrolled) {
  MoveList list;
  list.body.push_back({Repeat{0, {}, {}}, 7, "", 3});
  EXPECT_EQ(flatten(list).error().one_line(),
            "7:3: 0 times can't be done, expected 1 to 10000 times");
  list.body[0].what = DoPart{"p", 5};
  EXPECT_EQ(flatten(list).error().one_line(),
            "7:5: no part is called 'p', expected 'part p' somewhere");
}

TEST(SourceAndCaret, ShowTheLineAndPointAtTheColumn) {
  const auto shown = [](std::string_view text) {
    return source_and_caret(text, parse_moves(text, "").error().place);
  };
  EXPECT_EQ(shown("drive 1 m\n\tturn lfet 90 deg\r\n"), "\tturn lfet 90 deg\n\t     ^\n");
  EXPECT_EQ(shown("drive 3"), "drive 3\n       ^\n");
  EXPECT_EQ(shown("# ü\nturn ß"), "turn ß\n     ^\n");
  EXPECT_EQ(source_and_caret("drive 1 m", {"", 2, 1}), "");
}

// Any list within the ranges of the language.
Statement any_move() {
  const auto length = [] { return Length::from_mm(*rc::gen::inRange(1, 1000000) / 10.0); };
  const auto angle = [] { return Angle::from_deg(*rc::gen::inRange(1, 3600000) / 100.0); };
  const auto time = [] { return Duration::from_s(*rc::gen::inRange(1, 3600000) / 1000.0); };
  const Side side = *rc::gen::element(Side::kLeft, Side::kRight);
  const bool timed = *rc::gen::arbitrary<bool>();
  Extent extent;
  TurnExtent turn;
  if (timed) {
    extent.time = turn.time = time();
  } else {
    extent.length = length();
    turn.angle = angle();
  }
  Statement statement;
  switch (*rc::gen::inRange(0, 6)) {
    case 0:
      statement.what = DriveMove{extent};
      break;
    case 1:
      statement.what = ReverseMove{extent};
      break;
    case 2:
      statement.what = TurnMove{side, turn};
      break;
    case 3:
      statement.what = BendMove{side, angle(), length()};
      break;
    case 4:
      statement.what = PauseMove{time()};
      break;
    default:
      statement.what = AtLevel{Level{*rc::gen::inRange(1, 65536)}};
      break;
  }
  return statement;
}

std::string any_comment() {
  return *rc::gen::element<std::string>("", "", "to the mug", "# ü  µ", "end", "4 times");
}

std::vector<Statement> any_body(int deepest, int part_count) {
  std::vector<Statement> body;
  const int size = *rc::gen::inRange(0, 4);
  for (int i = 0; i < size; ++i) {
    Statement statement;
    const int kind = *rc::gen::inRange(0, 5);
    if (kind == 0 && deepest > 0) {
      statement.what =
          Repeat{*rc::gen::inRange(1, 5), any_body(deepest - 1, part_count), any_comment()};
    } else if (kind == 1 && part_count > 0) {
      statement.what = DoPart{"p" + std::to_string(*rc::gen::inRange(0, part_count))};
    } else if (kind == 2) {
      statement.what = Remark{};
    } else {
      statement = any_move();
    }
    statement.comment = any_comment();
    body.push_back(std::move(statement));
  }
  return body;
}

RC_GTEST_PROP(FormatMoves, ReadingWhatWasWrittenGivesTheSameList, ()) {
  MoveList list;
  const int parts = *rc::gen::inRange(0, 4);
  list.body = any_body(3, parts);
  std::size_t after = 0;
  for (int i = 0; i < parts; ++i) {
    after = *rc::gen::inRange<std::size_t>(after, list.body.size() + 1);
    list.parts.push_back(
        {"p" + std::to_string(i), any_body(2, i), 0, 0, any_comment(), any_comment(), after});
  }
  const std::string text = format_moves(list);
  const auto read = parse_moves(text, "x");
  RC_ASSERT(read.has_value());
  RC_ASSERT(same_but_for_places(*read, list));
  RC_ASSERT(format_moves(*read) == text);
}

TEST(SameButForPlaces, TellsListsApart) {
  const auto same = [](std::string_view a, std::string_view b) {
    return same_but_for_places(parse_moves(a, "").value(), parse_moves(b, "").value());
  };
  EXPECT_TRUE(same("drive 1 m", "  DRIVE 100 cm"));
  EXPECT_FALSE(same("drive 1 m", "reverse 1 m"));
  EXPECT_FALSE(same("drive 1 m", "drive 1 s"));
  EXPECT_FALSE(same("drive 1 m", "drive 1 m # far"));
  EXPECT_FALSE(same("2 times\nend", "3 times\nend"));
  EXPECT_FALSE(same("2 times\nend", "2 times\nend # x"));
  EXPECT_FALSE(same("part p\nend", "part q\nend"));
  EXPECT_FALSE(same("\n", ""));
}

}  // namespace
}  // namespace runtrue
