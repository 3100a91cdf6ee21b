#include <fmt/format.h>

#include <limits>

#include "moves/move_list.h"

namespace runtrue {
namespace {

std::string number(double value) { return fmt::format("{:.15g}", value); }
std::string text_of(Length length) { return number(length.mm()) + " mm"; }
std::string text_of(Angle angle) { return number(angle.deg()) + " deg"; }
std::string text_of(Duration time) { return number(time.s()) + " s"; }
std::string text_of(Side side) { return side == Side::kLeft ? "left" : "right"; }

std::string text_of(const Extent& extent) {
  RUNTRUE_CHECK(extent.length.has_value() != extent.time.has_value());
  return extent.length ? text_of(*extent.length) : text_of(*extent.time);
}
std::string text_of(const TurnExtent& extent) {
  RUNTRUE_CHECK(extent.angle.has_value() != extent.time.has_value());
  return extent.angle ? text_of(*extent.angle) : text_of(*extent.time);
}

struct MoveWriter {
  std::string operator()(const DriveMove& m) const { return "drive " + text_of(m.extent); }
  std::string operator()(const ReverseMove& m) const { return "reverse " + text_of(m.extent); }
  std::string operator()(const TurnMove& m) const {
    return "turn " + text_of(m.side) + " " + text_of(m.extent);
  }
  std::string operator()(const BendMove& m) const {
    return "bend " + text_of(m.side) + " " + text_of(m.angle) + " radius " + text_of(m.radius);
  }
  std::string operator()(const PauseMove& m) const { return "pause " + text_of(m.time); }
  std::string operator()(const AtLevel& m) const {
    return fmt::format("at level {}", m.level.value);
  }
};

void write_line(std::string& out, int depth, const std::string& words, const std::string& comment) {
  const bool bare = words.empty() && comment.empty();
  if (!bare) out.append(static_cast<std::size_t>(depth) * 2, ' ');
  out += words;
  if (!comment.empty()) out += (words.empty() ? "# " : "  # ") + comment;
  out += '\n';
}

void write_body(std::string& out, int depth, const std::vector<Statement>& body);

void write_statement(std::string& out, int depth, const Statement& statement) {
  if (const auto* repeat = std::get_if<Repeat>(&statement.what)) {
    write_line(out, depth, fmt::format("{} times", repeat->times), statement.comment);
    write_body(out, depth + 1, repeat->body);
    write_line(out, depth, "end", repeat->end_comment);
    return;
  }
  std::string words;
  if (const auto* move = std::get_if<SingleMove>(&statement.what)) words = move_text(*move);
  if (const auto* part = std::get_if<DoPart>(&statement.what)) words = "do " + part->part;
  write_line(out, depth, words, statement.comment);
}

void write_body(std::string& out, int depth, const std::vector<Statement>& body) {
  for (const Statement& statement : body) write_statement(out, depth, statement);
}

}  // namespace

std::string move_text(const SingleMove& move) { return std::visit(MoveWriter{}, move); }

std::string format_moves(const MoveList& list) {
  std::string out;
  auto part = list.parts.begin();
  const auto write_parts_above = [&](std::size_t statement) {
    for (; part != list.parts.end() && part->after <= statement; ++part) {
      write_line(out, 0, "part " + part->name, part->comment);
      write_body(out, 1, part->body);
      write_line(out, 0, "end", part->end_comment);
    }
  };
  for (std::size_t i = 0; i < list.body.size(); ++i) {
    write_parts_above(i);
    write_statement(out, 0, list.body[i]);
  }
  write_parts_above(std::numeric_limits<std::size_t>::max());
  return out;
}

}  // namespace runtrue
