// What stands around a batch of robots, narrowed down to what they can reach.
#pragma once

#include <vector>

#include "forecast/internal/scene.h"
#include "forecast/internal/sweep.h"

namespace runtrue::internal {

class Around {
 public:
  explicit Around(const Scene& scene);

  // Above 0 where no contact crosses an open side, and where the outline meets nothing.
  struct Room {
    FloatLane to_fall, to_bump;
  };

  // For every lane whose `near` is above -kFar, and which stands well at its start: lowers `near`
  // to the least distance of a contact from the edge on the way from pose 0 to pose 1 (0 or less
  // where a contact crosses it), and says how much room there is left.
  void bound(const Lanes& lanes, FloatLane& near, Room& room);

 private:
  struct EdgeLine {
    Side side;
    Vec from, to;  // about origin_
  };

  void look_at_edge(const Bounds& bounds, FloatLane& near, FloatLane& room);
  void look_at_walls(const Bounds& bounds, const FloatLane& near, FloatLane& room);
  void look_at_things(const Bounds& bounds, FloatLane& room);
  void sort_by_gap(const Bounds& bounds, float reach);

  const Scene& scene_;
  Vec origin_;  // the middle of the table
  double extent_mm_ = 0.0;
  float contact_reach_, outline_reach_;
  bool whole_lines_ = false;  // the table is convex
  std::vector<Rider> contacts_;
  std::vector<Rider> outline_;  // corners, or its centre
  Rider middle_;                // the robots' origin
  std::vector<EdgeLine> lines_;
  std::vector<Side> sides_;               // of the batch, nearest first
  std::vector<std::vector<Side>> hulls_;  // per thing with corners, sides of its convex hull
  Flock flock_;
};

}  // namespace runtrue::internal
