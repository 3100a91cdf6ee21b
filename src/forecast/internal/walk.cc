#include "forecast/internal/walk.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace runtrue::internal {
namespace {

// What happens to a robot that stands at `pose` on `arc`, the earlier of falling and bumping.
MishapAt first_mishap(const Scene& scene, const Pose& pose, const Arc& arc, bool at_the_start) {
  MishapAt found;
  std::optional<double> fall, bump;
  if (at_the_start && !scene.walled && stands_off(scene, pose)) fall = 0.0;
  if (at_the_start && overlaps(scene, pose)) bump = 0.0;
  if (!fall) fall = first_fall(scene, pose, arc);
  if (!bump) bump = first_bump(scene, pose, arc);
  if (!fall && !bump) return found;
  const bool falls = fall && (!bump || *fall <= *bump);
  found.kind = falls ? Mishap::kFalls : Mishap::kBumps;
  found.fraction = falls ? *fall : *bump;
  const Pose there = compose(pose, pose_after(part_of(arc, found.fraction)));
  found.place = {there.x.mm(), there.y.mm()};
  return found;
}

double clearance_mm(const Scene& scene, const Pose& pose, const Arc& arc) {
  constexpr double kStep_mm = 5.0;
  const double way_mm =
      std::abs(arc.length.mm()) + std::abs(arc.turn.rad()) * scene.contact_reach_mm;
  const int steps = static_cast<int>(std::ceil(way_mm / kStep_mm));
  double least_mm = std::numeric_limits<double>::infinity();
  for (int i = 0; i <= steps; ++i) {
    const Pose there = compose(pose, pose_after(part_of(arc, i / std::max(1.0, 1.0 * steps))));
    for (const Vec contact : scene.contacts) {
      least_mm = std::min(
          least_mm, distance_to_sides(vec_of(point_in(there, point_of(contact))), scene.edge));
    }
  }
  return least_mm;
}

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
  BatchResult result;
  const std::vector<PlannedMove>& moves = walk.sampler.moves();
  std::vector<Arc> base(walk.sampler.command_count());
  for (int sample = first; sample < first + count; ++sample) {
    SampleChance chance(walk.options.seed, sample);
    const ConstantVector constants = walk.sampler.draw_constants(chance);
    Pose pose = walk.sampler.draw_start(walk.start, walk.options, chance);
    for (std::size_t c = 0; c < base.size(); ++c) base[c] = walk.sampler.base_arc(constants, c);
    KeptSample kept{pose, {}};
    bool going = true;
    for (std::size_t m = 0; m < moves.size(); ++m) {
      const Arc arc = walk.sampler.with_chance(base[moves[m].command], moves[m].kind, chance);
      if (going) {
        MishapAt mishap = first_mishap(walk.scene, pose, arc, m == 0);
        clearance.add(m, mishap.kind == Mishap::kFalls ? 0.0 : clearance_mm(walk.scene, pose, arc));
        if (mishap.kind != Mishap::kNone) {
          going = false;
          mishap.sample = sample;
          mishap.move = static_cast<int>(m);
          result.mishaps.push_back(mishap);
        }
      }
      kept.arcs.push_back(arc);
      pose = compose(pose, pose_after(arc));
    }
    const std::array<double, 3> off{(pose.x - walk.nominal_end.x).mm(),
                                    (pose.y - walk.nominal_end.y).mm(),
                                    (pose.heading - walk.nominal_end.heading).rad()};
    for (std::size_t i = 0; i < 3; ++i) {
      result.sums.first[i] += off[i];
      for (std::size_t j = 0; j < 3; ++j) result.sums.second[3 * i + j] += off[i] * off[j];
    }
    if (sample < kMostKeptEnds) result.ends.push_back({pose.x.mm(), pose.y.mm()});
    if (sample < walk.options.kept_paths) result.kept.push_back(std::move(kept));
  }
  return result;
}

}  // namespace runtrue::internal
