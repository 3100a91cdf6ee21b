// What stands around a batch of robots, narrowed down to what they can reach.
#pragma once

#include <optional>
#include <vector>

#include "forecast/internal/scene.h"
#include "forecast/internal/sweep.h"

namespace runtrue::internal {

class Around {
 public:
  explicit Around(const Scene& scene);

  // Above 0 where no contact crosses an open edge, and where the outline meets nothing.
  struct Room {
    Lane to_fall, to_bump;
  };

  // For every lane that is going: lowers `near` to the least distance of a contact from the edge on
  // the way from pose 0 to pose 1 (not below what it is where the contact crosses the edge), and
  // says how much room there is left. `meant`: given on the first look alone, the start that was
  // meant, where the robot stands well. Then being off the table or within something from the start
  // counts as well: on the way from there to where the lane really starts it must have crossed a
  // side near one of the two.
  void bound(const Lanes& lanes, const Lane& going, std::optional<Vec> meant, Lane& near,
             Room& room);

 private:
  struct EdgeSide {
    Side side;
    Vec from, to;
    double from_lanes_mm = 0.0;  // no nearer than this to any lane's origin
  };

  void look_at_edge(const Lanes& lanes, const Lane& going, const Bounds& bounds, bool at_the_start,
                    Lane& near, Lane& room);
  void look_at_walls(const Lanes& lanes, const Bounds& bounds, bool at_the_start, Lane& room) const;
  void look_at_things(const Lanes& lanes, const Bounds& bounds, Lane& room) const;

  const Scene& scene_;
  std::vector<Rider> contacts_;
  std::vector<Rider> outline_;  // corners, or its centre
  Rider origin_;
  bool convex_ = true;
  std::vector<EdgeSide> sides_;
  std::vector<Vec> inward_corners_;       // of the edge, where the table takes up more than half
  std::vector<std::vector<Side>> hulls_;  // per thing with corners, sides of its convex hull
};

}  // namespace runtrue::internal
