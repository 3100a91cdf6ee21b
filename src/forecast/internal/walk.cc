#include "forecast/internal/walk.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "forecast/internal/around.h"

namespace runtrue::internal {
namespace {

// What may happen to a robot on an arc, as far as bounds can tell.
struct Doubt {
  bool falls, bumps, from_the_start;
};

// What happens to a robot that stands at `pose` on `arc`, the earlier of falling and bumping.
MishapAt first_mishap(const Scene& scene, const Pose& pose, const Arc& arc, Doubt doubt) {
  MishapAt found;
  std::optional<double> fall, bump;
  if (doubt.falls) {
    const bool at_once = doubt.from_the_start && !scene.walled && stands_off(scene, pose);
    fall = at_once ? 0.0 : first_fall(scene, pose, arc);
  }
  if (doubt.bumps) {
    const bool at_once = doubt.from_the_start && overlaps(scene, pose);
    bump = at_once ? 0.0 : first_bump(scene, pose, arc);
  }
  if (!fall && !bump) return found;
  const bool falls = fall && (!bump || *fall <= *bump);
  found.kind = falls ? Mishap::kFalls : Mishap::kBumps;
  found.fraction = falls ? *fall : *bump;
  const Pose there = compose(pose, pose_after(part_of(arc, found.fraction)));
  found.place = {there.x.mm(), there.y.mm()};
  return found;
}

// Everything of one batch while it is on its way.
class Batch {
 public:
  Batch(const Walk& walk, int first, int count) : walk_(walk), first_(first), count_(count) {
    base_.resize(walk.sampler.command_count());
    for (int i = 0; i < count; ++i) {
      const std::size_t n = static_cast<std::size_t>(i);
      chance_[n] = SampleChance(walk.options.seed, first + i);
      const ConstantVector constants = walk.sampler.draw_constants(chance_[n]);
      const Pose start = walk.sampler.draw_start(walk.start, walk.options, chance_[n]);
      for (std::size_t c = 0; c < base_.size(); ++c) {
        const Arc arc = walk.sampler.base_arc(constants, c);
        base_[c].length[n] = arc.length.mm();
        base_[c].turn[n] = arc.turn.rad();
      }
      lanes_.x0[n] = start.x.mm();
      lanes_.y0[n] = start.y.mm();
      lanes_.cos0[n] = std::cos(start.heading.rad());
      lanes_.sin0[n] = std::sin(start.heading.rad());
      heading_[n] = start.heading.rad();
      going_[n] = 1.0;
      if (first + i < walk.options.kept_paths) result_.kept.push_back({start, {}});
    }
  }

  // Carries every sample through move `m`, cut into `parts` equal arcs.
  void carry_through(std::size_t m, int parts, ClearanceCounts& clearance) {
    draw_arcs(walk_.sampler.moves()[m], 1.0 / parts);
    near_.fill(std::numeric_limits<double>::max());
    for (int part = 0; part < parts; ++part) {
      advance(lanes_);
      if (count_going_ > 0) look_around(m, part, parts);
      lanes_.x0 = lanes_.x1;
      lanes_.y0 = lanes_.y1;
      lanes_.cos0 = lanes_.cos1;
      lanes_.sin0 = lanes_.sin1;
      for (std::size_t i = 0; i < kLanes; ++i) heading_[i] += lanes_.turn[i];
    }
    for (int i = 0; i < count_; ++i) {
      const std::size_t n = static_cast<std::size_t>(i);
      if (set_out_[n] == 1.0) clearance.add(m, std::max(near_[n], 0.0));
      if (n < result_.kept.size()) {
        result_.kept[n].arcs.push_back(
            {Length::from_mm(lanes_.length[n] * parts), Angle::from_rad(lanes_.turn[n] * parts)});
      }
    }
    set_out_ = going_;
  }

  BatchResult finish() {
    const Pose& nominal = walk_.nominal_end;
    for (int lane = 0; lane < count_; ++lane) {
      const std::size_t n = static_cast<std::size_t>(lane);
      const std::array<double, 3> off{lanes_.x0[n] - nominal.x.mm(), lanes_.y0[n] - nominal.y.mm(),
                                      heading_[n] - nominal.heading.rad()};
      for (std::size_t i = 0; i < 3; ++i) {
        result_.sums.first[i] += off[i];
        for (std::size_t j = 0; j < 3; ++j) result_.sums.second[3 * i + j] += off[i] * off[j];
      }
      if (first_ + lane < kMostKeptEnds) result_.ends.push_back({lanes_.x0[n], lanes_.y0[n]});
    }
    std::sort(result_.mishaps.begin(), result_.mishaps.end(),
              [](const MishapAt& a, const MishapAt& b) { return a.sample < b.sample; });
    return std::move(result_);
  }

  void set_out() { set_out_ = going_; }

 private:
  struct LaneArcs {
    Lane length{}, turn{};
  };

  void draw_arcs(const PlannedMove& move, double share) {
    const LaneArcs& base = base_[move.command];
    for (int i = 0; i < count_; ++i) {
      const std::size_t n = static_cast<std::size_t>(i);
      const Arc arc = walk_.sampler.with_chance(
          {Length::from_mm(base.length[n]), Angle::from_rad(base.turn[n])}, move.kind, chance_[n]);
      lanes_.length[n] = arc.length.mm() * share;
      lanes_.turn[n] = arc.turn.rad() * share;
    }
  }

  // Looks for falls and bumps on the way just advanced over: by bounds first, exactly where those
  // leave a doubt.
  void look_around(std::size_t m, int part, int parts) {
    const bool at_the_start = m == 0 && part == 0;
    std::optional<Vec> meant;
    if (at_the_start) meant = Vec{walk_.start.x.mm(), walk_.start.y.mm()};
    around_.bound(lanes_, going_, meant, near_, room_);
    for (int i = 0; i < count_; ++i) {
      const std::size_t n = static_cast<std::size_t>(i);
      const Doubt doubt{room_.to_fall[n] <= 0.0, room_.to_bump[n] <= 0.0, at_the_start};
      if (going_[n] != 1.0 || !(doubt.falls || doubt.bumps)) continue;
      const Pose pose{Length::from_mm(lanes_.x0[n]), Length::from_mm(lanes_.y0[n]),
                      Angle::from_rad(heading_[n])};
      const Arc arc{Length::from_mm(lanes_.length[n]), Angle::from_rad(lanes_.turn[n])};
      MishapAt mishap = first_mishap(walk_.scene, pose, arc, doubt);
      if (mishap.kind == Mishap::kNone) continue;
      if (mishap.kind == Mishap::kFalls) near_[n] = 0.0;
      mishap.sample = first_ + i;
      mishap.move = static_cast<int>(m);
      mishap.fraction = (part + mishap.fraction) / parts;
      result_.mishaps.push_back(mishap);
      going_[n] = 0.0;
      --count_going_;
    }
  }

  const Walk& walk_;
  int first_, count_, count_going_ = count_;
  Around around_{walk_.scene};
  Around::Room room_;
  std::array<SampleChance, kLanes> chance_;
  std::vector<LaneArcs> base_;  // by distinct command
  Lanes lanes_;
  Lane heading_{}, going_{}, set_out_{}, near_{};
  BatchResult result_;
};

}  // namespace

void ClearanceCounts::add(std::size_t move, double clearance_mm) {
  const double step = std::min(std::sqrt(clearance_mm) * kStepsPerRoot, kSteps - 1.0);
  ++counts_[move * kSteps + static_cast<std::size_t>(step)];
}

void ClearanceCounts::add(const ClearanceCounts& other) {
  for (std::size_t i = 0; i < counts_.size(); ++i) counts_[i] += other.counts_[i];
}

Length ClearanceCounts::quantile(std::size_t move, double part) const {
  const std::uint32_t* counts = counts_.data() + move * kSteps;
  double total = 0.0;
  for (std::size_t i = 0; i < kSteps; ++i) total += counts[i];
  double left = part * total;
  for (std::size_t i = 0; i < kSteps; ++i) {
    if (counts[i] > 0 && left <= counts[i]) {
      if (i == 0) return {};  // the first step is a hundredth of a millimetre
      const double root = (static_cast<double>(i) + left / counts[i]) / kStepsPerRoot;
      return Length::from_mm(root * root);
    }
    left -= counts[i];
  }
  return {};
}

BatchResult walk_batch(const Walk& walk, int first, int count, ClearanceCounts& clearance) {
  Batch batch(walk, first, count);
  batch.set_out();
  const std::vector<int>& parts = walk.sampler.parts();
  for (std::size_t m = 0; m < parts.size(); ++m) batch.carry_through(m, parts[m], clearance);
  return batch.finish();
}

}  // namespace runtrue::internal
