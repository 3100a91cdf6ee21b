#include "forecast/internal/walk.h"

#include <algorithm>
#include <cmath>
#include <numeric>

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
    const bool at_once = doubt.from_the_start && scene.any_open && stands_off(scene, pose);
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
  Batch(const Walk& walk, int first, int count)
      : walk_(walk),
        first_(first),
        count_(count),
        flock_(walk.sampler, walk.start, walk.options, first),
        room_at_start_(least_room(walk.scene, walk.start)) {
    const double reach = std::max(walk.scene.contact_reach_mm, walk.scene.outline_reach_mm);
    for (int i = 0; i < count; ++i) {
      const std::size_t n = static_cast<std::size_t>(i);
      const Pose start = flock_.pose(n);
      const double dx = (start.x - walk.start.x).mm(), dy = (start.y - walk.start.y).mm();
      shift_[n] = std::sqrt(dx * dx + dy * dy) +
                  std::abs((start.heading - walk.start.heading).rad()) * reach;
      going_[n] = 1.0F;
      if (first + i < walk.options.kept_paths) result_.kept.push_back({start, {}});
    }
    set_out_ = going_;
  }

  // Carries every sample through move `m`, cut into `parts` equal arcs; a clearance from `limit` on
  // counts as that.
  void carry_through(std::size_t m, int parts, float limit, ClearanceCounts& clearance) {
    flock_.draw_move(m, 1.0 / parts);
    near_.fill(limit);
    for (int part = 0; part < parts; ++part) {
      advance(flock_.lanes);
      if (count_going_ > 0) look_around(m, part, parts);
      flock_.step();
    }
    clearance.add(m, set_out_, near_);
    for (std::size_t n = 0; n < result_.kept.size(); ++n) {
      const Arc arc = flock_.arc(n);
      result_.kept[n].arcs.push_back({arc.length * parts, arc.turn * parts});
    }
    set_out_ = going_;
  }

  BatchResult finish() {
    const Pose& nominal = walk_.nominal_end;
    for (int lane = 0; lane < count_; ++lane) {
      const std::size_t n = static_cast<std::size_t>(lane);
      const Pose end = flock_.pose(n);
      const std::array<double, 3> off{(end.x - nominal.x).mm(), (end.y - nominal.y).mm(),
                                      (end.heading - nominal.heading).rad()};
      for (std::size_t i = 0; i < 3; ++i) {
        result_.sums.first[i] += off[i];
        for (std::size_t j = 0; j < 3; ++j) result_.sums.second[3 * i + j] += off[i] * off[j];
      }
      if (first_ + lane < kMostKeptEnds) result_.ends.push_back({end.x.mm(), end.y.mm()});
    }
    std::sort(result_.mishaps.begin(), result_.mishaps.end(),
              [](const MishapAt& a, const MishapAt& b) { return a.sample < b.sample; });
    return std::move(result_);
  }

 private:
  // Looks for falls and bumps on the way just advanced over: by bounds first, exactly where those
  // leave a doubt.
  void look_around(std::size_t m, int part, int parts) {
    const bool at_the_start = m == 0 && part == 0;
    for (std::size_t i = 0; i < kLanes; ++i) {
      nearest_[i] = going_[i] == 1.0F ? near_[i] : -kFar;
    }
    around_.bound(flock_.lanes, nearest_, room_);
    for (int i = 0; i < count_; ++i) {
      const std::size_t n = static_cast<std::size_t>(i);
      if (going_[n] != 1.0F) continue;
      near_[n] = nearest_[n];
      const bool from_the_start = at_the_start && shift_[n] >= room_at_start_;
      const Doubt doubt{room_.to_fall[n] <= 0.0F || from_the_start,
                        room_.to_bump[n] <= 0.0F || from_the_start, from_the_start};
      if (!doubt.falls && !doubt.bumps) continue;
      MishapAt mishap = first_mishap(walk_.scene, flock_.pose(n), flock_.arc(n), doubt);
      if (mishap.kind == Mishap::kNone) continue;
      if (mishap.kind == Mishap::kFalls) near_[n] = 0.0F;
      mishap.sample = first_ + i;
      mishap.move = static_cast<int>(m);
      mishap.fraction = (part + mishap.fraction) / parts;
      result_.mishaps.push_back(mishap);
      going_[n] = 0.0F;
      --count_going_;
    }
  }

  const Walk& walk_;
  int first_, count_, count_going_ = count_;
  Around around_{walk_.scene};
  Around::Room room_;
  Travellers flock_;
  FloatLane going_{}, set_out_{}, near_{}, nearest_{};
  Lane shift_{};  // no point of the robot is set down farther than this from where it was meant
  double room_at_start_;
  BatchResult result_;
};

}  // namespace

void ClearanceCounts::add(std::size_t move, const FloatLane& counts, const FloatLane& clearance) {
  std::array<std::uint32_t, kLanes> step;
  for (std::size_t i = 0; i < kLanes; ++i) {
    const float root = std::sqrt(clearance[i] > 0.0F ? clearance[i] : 0.0F) * kStepsPerRoot;
    step[i] = static_cast<std::uint32_t>(static_cast<std::int32_t>(std::min(root, kSteps - 1.0F)));
  }
  for (std::size_t i = 0; i < kLanes; ++i) {
    if (counts[i] == 1.0F) ++counts_[move * kSteps + step[i]];
  }
}

void ClearanceCounts::add(const ClearanceCounts& other) {
  for (std::size_t i = 0; i < counts_.size(); ++i) counts_[i] += other.counts_[i];
}

std::uint64_t ClearanceCounts::total(std::size_t move) const {
  const auto from = counts_.begin() + static_cast<std::ptrdiff_t>(move * kSteps);
  return std::accumulate(from, from + static_cast<std::ptrdiff_t>(kSteps), std::uint64_t{0});
}

Length ClearanceCounts::quantile(std::size_t move, double part) const {
  const std::uint32_t* counts = counts_.data() + move * kSteps;
  double left = part * static_cast<double>(total(move));
  for (std::size_t i = 0; i < kSteps; ++i) {
    if (counts[i] > 0 && left <= counts[i]) {
      if (i == 0) return {};  // the first step is a hundredth of a millimetre
      const double root =
          (static_cast<double>(i) + left / counts[i]) / static_cast<double>(kStepsPerRoot);
      return Length::from_mm(root * root);
    }
    left -= counts[i];
  }
  return {};
}

BatchResult walk_batch(const Walk& walk, int first, int count, const std::vector<float>& limits,
                       ClearanceCounts& clearance) {
  Batch batch(walk, first, count);
  const std::vector<int>& parts = walk.sampler.parts();
  for (std::size_t m = 0; m < parts.size(); ++m) {
    batch.carry_through(m, parts[m], limits.empty() ? kFar : limits[m], clearance);
  }
  return batch.finish();
}

}  // namespace runtrue::internal
