// Learning a remote that no published protocol describes, and telling its keys apart.
//
// Each key is recorded while it is pressed three times or held. A recording is cut into trains at
// silences of 7 ms. A key whose trains a decoder reads is kept as its code; of any other the trains
// themselves are kept, averaged over those that agree.
//
// Two trains are compared by what a receiver leaves unchanged: the times from one start of a mark
// to the next and from one end of a mark to the next, after scaling one to the length of the other
// (clocks up to 8 % apart). Their distance is the largest difference of any such time; trains with
// unlike numbers of marks have none. The least distance between the trains of two keys is the
// remote's margin: a train is taken for a key's where it lies within half of it (and within
// kMostDifference_us).
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "remote/capture.h"
#include "remote/reading.h"
#include "robot/frame.h"
#include "units/result.h"

namespace runtrue {

// A receiver may move an edge by 158 µs, a recorder by 50 [Tsop38].
inline constexpr double kMostDifference_us = 210;
// Keys nearer than twice that can't be told apart.
inline constexpr double kLeastMargin_us = 420;
inline constexpr int kLeastTrains = 3;

using Train = std::vector<double>;  // marks and spaces in turn, µs; the first and last are marks

struct PlacedTrain {
  Train us;
  double start_us = 0;
};

// All trains of a recording, the last with or without a silence after it; spikes below 80 µs are
// taken as not there.
[[nodiscard]] std::vector<PlacedTrain> trains_of(const Capture& capture, bool inverted);

// Nothing where they have unlike numbers of marks, or their lengths are more than 8 % apart.
[[nodiscard]] std::optional<double> distance_us(const Train& a, const Train& b);

enum class Coding { kUnknown, kPulseDistance, kPulseWidth, kBiphase };

// How the trains of a remote are made, as far as it can be told.
struct Structure {
  Coding coding = Coding::kUnknown;
  std::optional<double> header_mark_us, header_space_us;
  double unit_us = 0;  // the shortest mark
  int bits = 0;
};

struct LearnedKey {
  std::string name;
  std::optional<robot::Frame> code;  // where a decoder reads it
  std::vector<Train> forms;          // else its trains: one, or two where a bit toggles
  std::string bits;    // of the first form, as told by the structure; | a longer pause
  int trains = 0;      // that agreed
  int odd_trains = 0;  // that did not
};

struct LearnedRemote {
  std::string name;
  std::vector<LearnedKey> keys;
  Structure structure;
  std::optional<Train> repeat;  // a short train that follows any key's while it is held
  double period_us = 0;         // start to start while a key is held, 0 where none was
  // The least distance between trains of two keys; nothing where no two are alike in their number
  // of marks.
  std::optional<double> margin_us;
};

struct KeyRecording {
  std::string name;
  Capture capture;
};

// Errors (bad input): no key, a name twice or empty; a key with fewer than kLeastTrains trains that
// agree; two keys of the same code or nearer than kLeastMargin_us. The message names the keys.
[[nodiscard]] Result<LearnedRemote> learn_remote(std::string name,
                                                 const std::vector<KeyRecording>& recordings);

struct KeyHeard {
  std::size_t key = 0;   // place among the remote's keys
  double margin_us = 0;  // how much nearer than allowed it lies
};

// Which key's train it is.
[[nodiscard]] std::optional<KeyHeard> key_of(const LearnedRemote& remote, const Train& train);
// Which key's code it is.
[[nodiscard]] std::optional<std::size_t> key_of(const LearnedRemote& remote,
                                                const robot::Frame& frame);

// Names the keys in what was read, and reads the trains that no decoder does.
void recognise(const LearnedRemote& remote, const Capture& capture, CaptureReading& reading);

[[nodiscard]] std::string_view word_of(Coding coding);

}  // namespace runtrue
