#include "moves/move_list.h"

#include <fmt/format.h>

#include <algorithm>
#include <unordered_map>

#include "moves/internal/source_lines.h"
#include "moves/internal/unroll.h"

namespace runtrue {
namespace {

using Bodies = std::unordered_map<std::string_view, const std::vector<Statement>*>;

// Each block is unrolled once and then copied, so that the time goes with the moves that come out.
void unroll(const std::vector<Statement>& body, const Bodies& parts, std::vector<FlatMove>& out) {
  for (const Statement& statement : body) {
    if (const auto* move = std::get_if<SingleMove>(&statement.what)) {
      out.push_back({*move, statement.line, statement.column});
    } else if (const auto* repeat = std::get_if<Repeat>(&statement.what)) {
      const auto first = static_cast<std::ptrdiff_t>(out.size());
      unroll(repeat->body, parts, out);
      const std::vector<FlatMove> once(out.begin() + first, out.end());
      if (once.empty()) continue;
      for (int i = 1; i < repeat->times; ++i) out.insert(out.end(), once.begin(), once.end());
    } else if (const auto* part = std::get_if<DoPart>(&statement.what)) {
      unroll(*parts.at(part->part), parts, out);
    }
  }
}

bool same(const std::vector<Statement>& a, const std::vector<Statement>& b);

bool same(const Statement& a, const Statement& b) {
  if (a.comment != b.comment || a.what.index() != b.what.index()) return false;
  if (const auto* move = std::get_if<SingleMove>(&a.what)) {
    return *move == std::get<SingleMove>(b.what);
  }
  if (const auto* repeat = std::get_if<Repeat>(&a.what)) {
    const Repeat& other = std::get<Repeat>(b.what);
    return repeat->times == other.times && repeat->end_comment == other.end_comment &&
           same(repeat->body, other.body);
  }
  if (const auto* part = std::get_if<DoPart>(&a.what)) {
    return part->part == std::get<DoPart>(b.what).part;
  }
  return true;
}

bool same(const std::vector<Statement>& a, const std::vector<Statement>& b) {
  return std::equal(a.begin(), a.end(), b.begin(), b.end(),
                    [](const Statement& x, const Statement& y) { return same(x, y); });
}

}  // namespace

std::string FlatMove::text() const { return move_text(move); }

Result<std::vector<FlatMove>> flatten(const MoveList& list) {
  if (auto faults = moves_internal::unrolling_faults(list); !faults.empty()) {
    return tl::unexpected(std::move(faults.front()));
  }
  Bodies parts;
  for (const Part& part : list.parts) parts.emplace(part.name, &part.body);
  std::vector<FlatMove> moves;
  unroll(list.body, parts, moves);
  return moves;
}

bool same_but_for_places(const MoveList& a, const MoveList& b) {
  const auto same_part = [](const Part& x, const Part& y) {
    return x.name == y.name && x.comment == y.comment && x.end_comment == y.end_comment &&
           x.after == y.after && same(x.body, y.body);
  };
  return same(a.body, b.body) &&
         std::equal(a.parts.begin(), a.parts.end(), b.parts.begin(), b.parts.end(), same_part);
}

std::string source_and_caret(std::string_view text, const Place& place) {
  constexpr int kBefore = 60, kAfter = 40;  // characters shown around the column
  const auto lines = moves_internal::raw_lines(text);
  if (place.line < 1 || static_cast<std::size_t>(place.line) > lines.size()) return {};
  const std::string_view line = lines[static_cast<std::size_t>(place.line) - 1];
  const int column = std::max(place.column, 1);
  std::string shown, blanks;
  int at = 0;  // the column of the character being looked at
  for (std::size_t i = 0; i < line.size(); ++i) {
    if ((static_cast<unsigned char>(line[i]) & 0xC0U) != 0x80U) ++at;
    if (at <= column - kBefore || at > column + kAfter) continue;
    const bool control = static_cast<unsigned char>(line[i]) < 0x20 && line[i] != '\t';
    shown += control ? '?' : line[i];
    if (at < column && (static_cast<unsigned char>(line[i]) & 0xC0U) != 0x80U) {
      blanks += line[i] == '\t' ? '\t' : ' ';
    }
  }
  if (at < column && column - 1 > at) blanks.append(static_cast<std::size_t>(column - 1 - at), ' ');
  return shown + "\n" + blanks + "^\n";
}

}  // namespace runtrue
