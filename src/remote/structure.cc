#include "remote/structure.h"

#include <algorithm>
#include <cmath>

namespace runtrue {
namespace {

// Lengths of one kind, told apart where one is more than 1.35 times the next shorter.
struct Lengths {
  std::vector<double> sorted;
  std::vector<double> steps;  // the shortest of each group

  explicit Lengths(std::vector<double> all) : sorted(std::move(all)) {
    std::sort(sorted.begin(), sorted.end());
    for (const double us : sorted) {
      if (steps.empty() || us > 1.35 * last_) steps.push_back(us);
      last_ = us;
    }
  }
  [[nodiscard]] std::size_t group_of(double us) const {
    std::size_t group = 0;
    while (group + 1 < steps.size() && us >= steps[group + 1]) ++group;
    return group;
  }
  [[nodiscard]] double middle() const { return sorted.empty() ? 0 : sorted[sorted.size() / 2]; }

 private:
  double last_ = 0;
};

std::string biphase_bits(const Train& train, std::size_t first, double half) {
  std::string halves;
  for (std::size_t i = first; i < train.size(); ++i) {
    const auto count = static_cast<std::size_t>(std::lround(train[i] / half));
    if (count < 1 || count > 2) return "";
    halves.append(count, i % 2 == 0 ? '1' : '0');
  }
  for (const bool space_first : {false, true}) {
    std::string all = space_first ? "0" + halves : halves;
    if (all.size() % 2 == 1) all += '0';
    std::string bits;
    for (std::size_t i = 0; i < all.size(); i += 2) {
      if (all[i] == all[i + 1]) break;
      bits += all[i] == '0' ? '1' : '0';
    }
    if (2 * bits.size() == all.size()) return bits;
  }
  return "";
}

std::string bits_of(const Train& train, std::size_t first, const Structure& structure,
                    const Lengths& mark, const Lengths& space) {
  if (structure.coding == Coding::kBiphase) return biphase_bits(train, first, structure.unit_us);
  const bool by_space = structure.coding == Coding::kPulseDistance;
  if (!by_space && structure.coding != Coding::kPulseWidth) return "";
  std::string bits;
  for (std::size_t i = by_space ? first + 1 : first; i < train.size(); i += 2) {
    const std::size_t group = (by_space ? space : mark).group_of(train[i]);
    bits += group == 0 ? '0' : group == 1 ? '1' : '|';
  }
  return bits;
}

}  // namespace

void tell_structure(LearnedRemote& remote) {
  std::vector<double> marks, spaces;
  std::vector<const Train*> forms;
  for (const LearnedKey& key : remote.keys) {
    for (const Train& form : key.forms) forms.push_back(&form);
  }
  if (forms.empty()) return;
  Structure& structure = remote.structure;
  const Train& first = *forms.front();
  std::vector<double> inner;
  for (std::size_t i = 2; i < first.size(); i += 2) inner.push_back(first[i]);
  const bool header = first[0] > 1.6 * *std::max_element(inner.begin(), inner.end());
  const std::size_t begin = header ? 2 : 0;
  if (header) {
    structure.header_mark_us = first[0];
    structure.header_space_us = first[1];
  }
  for (const Train* form : forms) {
    for (std::size_t i = begin; i < form->size(); ++i) {
      (i % 2 == 0 ? marks : spaces).push_back((*form)[i]);
    }
  }
  const Lengths mark(marks), space(spaces);
  structure.unit_us = mark.steps.front();
  const bool spaces_of_two = space.steps.size() >= 2 && space.steps.size() <= 3;
  if (mark.steps.size() == 1 && spaces_of_two) {
    structure.coding = Coding::kPulseDistance;
  } else if (mark.steps.size() == 2 && space.steps.size() == 1) {
    structure.coding = Coding::kPulseWidth;
  } else if (mark.steps.size() == 2 && space.steps.size() == 2) {
    structure.coding = Coding::kBiphase;
    structure.unit_us = (mark.steps.front() + space.steps.front()) / 2;
  }
  for (LearnedKey& key : remote.keys) {
    if (!key.forms.empty()) key.bits = bits_of(key.forms.front(), begin, structure, mark, space);
    if (!key.forms.empty() && key.bits.empty()) structure.coding = Coding::kUnknown;
  }
  for (const LearnedKey& key : remote.keys) {
    const auto bits = static_cast<int>(
        std::count_if(key.bits.begin(), key.bits.end(), [](char c) { return c != '|'; }));
    structure.bits = std::max(structure.bits, bits);
  }
}

std::string_view word_of(Coding coding) {
  switch (coding) {
    case Coding::kUnknown:
      return "unknown";
    case Coding::kPulseDistance:
      return "pulse-distance";
    case Coding::kPulseWidth:
      return "pulse-width";
    case Coding::kBiphase:
      return "biphase";
  }
  return "";
}

}  // namespace runtrue
