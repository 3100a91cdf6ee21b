#include "remote/learning.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <set>

#include "remote/reading.h"
#include "remote/structure.h"
#include "robot/pulse_reader.h"

namespace runtrue {
namespace {

constexpr double kClocksApart = 0.08;
constexpr double kMostStretch_us = 250;

double length_of(const Train& train) {
  double sum = 0;
  for (const double us : train) sum += us;
  return sum;
}

bool same_code(const robot::Frame& a, const robot::Frame& b) {
  return a.protocol == b.protocol && a.address == b.address && a.command == b.command &&
         a.extended == b.extended;
}

struct Cluster {
  std::vector<const PlacedTrain*> members;
};

bool belongs(const Cluster& cluster, const Train& train) {
  const auto distance = distance_us(cluster.members.front()->us, train);
  return distance && *distance <= kMostDifference_us;
}

std::vector<Cluster> clusters_of(const std::vector<PlacedTrain>& trains) {
  std::vector<Cluster> clusters;
  for (const PlacedTrain& train : trains) {
    const auto found = std::find_if(clusters.begin(), clusters.end(),
                                    [&](const Cluster& c) { return belongs(c, train.us); });
    if (found == clusters.end()) {
      clusters.push_back({{&train}});
    } else {
      found->members.push_back(&train);
    }
  }
  std::stable_sort(clusters.begin(), clusters.end(), [](const Cluster& a, const Cluster& b) {
    return a.members.size() > b.members.size();
  });
  return clusters;
}

Train mean_of(const Cluster& cluster) {
  Train mean(cluster.members.front()->us.size(), 0.0);
  for (const PlacedTrain* train : cluster.members) {
    for (std::size_t i = 0; i < mean.size(); ++i) mean[i] += train->us[i];
  }
  for (double& us : mean) us = std::round(us / static_cast<double>(cluster.members.size()));
  return mean;
}

double median(std::vector<double> values) {
  if (values.empty()) return 0;
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  return *middle;
}

// The code that most frames of a recording bear, if there are enough of them.
std::optional<robot::Frame> code_of(const CaptureReading& reading, int& frames, int& odd) {
  std::optional<robot::Frame> code;
  frames = odd = 0;
  int repeats = 0;
  for (const HeardFrame& heard : reading.frames) {
    if (heard.frame.repeat) {
      ++repeats;
    } else if (!code || same_code(*code, heard.frame)) {
      code = heard.frame;
      ++frames;
    } else {
      ++odd;
    }
  }
  // A held key's repeat frames tell nothing of it, but that it was held.
  if (frames + repeats < kLeastTrains || odd > 0 || frames == 0) return std::nullopt;
  frames += repeats;
  odd = static_cast<int>(reading.refused.size());
  return code;
}

Result<LearnedKey> learn_key(const std::string& name, const std::vector<PlacedTrain>& trains,
                             const CaptureReading& reading) {
  LearnedKey key;
  key.name = name;
  if (const auto code = code_of(reading, key.trains, key.odd_trains)) {
    key.code = code;
    return key;
  }
  const std::vector<Cluster> clusters = clusters_of(trains);
  if (clusters.empty()) {
    return bad_input(fmt::format(
        "key {}: nothing was heard that the other keys don't send too, expected {} presses", name,
        kLeastTrains));
  }
  const std::size_t marks = clusters.front().members.front()->us.size();
  for (const Cluster& cluster : clusters) {
    const bool first = key.forms.empty();
    const bool toggled = key.forms.size() == 1 && cluster.members.size() >= 2 &&
                         cluster.members.front()->us.size() + 4 >= marks &&
                         cluster.members.front()->us.size() <= marks + 4;
    if (!first && !toggled) continue;
    key.forms.push_back(mean_of(cluster));
    key.trains += static_cast<int>(cluster.members.size());
  }
  key.odd_trains = static_cast<int>(trains.size()) - key.trains;
  if (key.trains < kLeastTrains) {
    return bad_input(
        fmt::format("key {}: only {} of {} trains agree, expected {}: press it three "
                    "times, or hold it",
                    name, key.trains, trains.size(), kLeastTrains));
  }
  return key;
}

// Between the nearest trains of two keys; 0 for the same code.
std::optional<double> between(const LearnedKey& a, const LearnedKey& b) {
  if (a.code && b.code && same_code(*a.code, *b.code)) return 0.0;
  std::optional<double> least;
  for (const Train& one : a.forms) {
    for (const Train& other : b.forms) {
      const auto distance = distance_us(one, other);
      if (distance && (!least || *distance < *least)) least = distance;
    }
  }
  return least;
}

// The trains that stand in the recordings of all keys: repeat frames.
std::vector<Train> common_to_all(const std::vector<std::vector<PlacedTrain>>& trains) {
  std::vector<Train> common;
  if (trains.size() < 2) return common;
  for (const Cluster& cluster : clusters_of(trains.front())) {
    const bool everywhere = std::all_of(trains.begin() + 1, trains.end(), [&](const auto& heard) {
      return std::any_of(heard.begin(), heard.end(),
                         [&](const PlacedTrain& train) { return belongs(cluster, train.us); });
    });
    if (everywhere) common.push_back(mean_of(cluster));
  }
  return common;
}

std::vector<PlacedTrain> without(const std::vector<PlacedTrain>& trains,
                                 const std::vector<Train>& common) {
  std::vector<PlacedTrain> rest;
  for (const PlacedTrain& train : trains) {
    const bool is_common = std::any_of(common.begin(), common.end(), [&](const Train& one) {
      const auto distance = distance_us(one, train.us);
      return distance && *distance <= kMostDifference_us;
    });
    if (!is_common) rest.push_back(train);
  }
  return rest;
}

}  // namespace

std::vector<PlacedTrain> trains_of(const Capture& capture, bool inverted) {
  std::vector<PlacedTrain> trains;
  PlacedTrain now;
  double time_us = 0;
  const auto end_train = [&] {
    if (now.us.size() % 2 == 0 && !now.us.empty()) now.us.pop_back();
    if (now.us.size() >= 3) trains.push_back(now);  // fewer tell nothing
    now.us.clear();
  };
  for (const Pulse& pulse : capture.pulses) {
    const bool mark = pulse.mark != inverted;
    const bool ends_in_mark = now.us.size() % 2 == 1;
    if (now.us.empty()) {
      if (mark) now = {{pulse.duration_us}, time_us};
    } else if (mark == ends_in_mark || pulse.duration_us < robot::kSpike_us) {
      now.us.back() += pulse.duration_us;
    } else {
      now.us.push_back(pulse.duration_us);
    }
    if (now.us.size() % 2 == 0 && !now.us.empty() && now.us.back() >= robot::kFrameGap_us) {
      end_train();
    }
    time_us += pulse.duration_us;
  }
  end_train();
  return trains;
}

std::optional<double> distance_us(const Train& a, const Train& b) {
  if (a.size() != b.size() || a.size() < 3) return std::nullopt;
  const double scale = length_of(a) / length_of(b);
  if (std::abs(scale - 1) > kClocksApart) return std::nullopt;
  double largest = 0, stretch = 0;
  for (std::size_t i = 0; i < a.size(); ++i) {
    if (i + 1 < a.size()) {
      largest = std::max(largest, std::abs(a[i] + a[i + 1] - scale * (b[i] + b[i + 1])));
    }
    if (i % 2 == 0) stretch += a[i] - scale * b[i];
  }
  const std::size_t marks = (a.size() + 1) / 2;
  if (std::abs(stretch) > kMostStretch_us * static_cast<double>(marks)) {
    return std::nullopt;
  }
  return largest;
}

Result<LearnedRemote> learn_remote(std::string name, const std::vector<KeyRecording>& recordings) {
  if (recordings.empty()) return bad_input("no key was recorded, expected one or more");
  LearnedRemote remote;
  remote.name = std::move(name);
  std::set<std::string> names;
  std::vector<std::vector<PlacedTrain>> trains;
  std::vector<CaptureReading> readings;
  std::vector<double> periods;
  for (const KeyRecording& recording : recordings) {
    if (recording.name.empty()) return bad_input("a key has no name, expected one");
    if (!names.insert(recording.name).second) {
      return bad_input(fmt::format("key {} is there twice, expected it once", recording.name));
    }
    readings.push_back(read_capture(recording.capture));
    trains.push_back(trains_of(recording.capture, readings.back().inverted));
    for (std::size_t i = 1; i < trains.back().size(); ++i) {
      const double since = trains.back()[i].start_us - trains.back()[i - 1].start_us;
      if (since < kLongestPeriod_us) periods.push_back(since);
    }
  }
  remote.period_us = median(periods);
  const std::vector<Train> common = common_to_all(trains);
  if (!common.empty()) remote.repeat = common.front();
  for (std::size_t i = 0; i < recordings.size(); ++i) {
    RUNTRUE_TRY(LearnedKey key,
                learn_key(recordings[i].name, without(trains[i], common), readings[i]));
    remote.keys.push_back(std::move(key));
  }
  for (std::size_t i = 0; i < remote.keys.size(); ++i) {
    for (std::size_t j = 0; j < i; ++j) {
      const auto apart = between(remote.keys[j], remote.keys[i]);
      if (!apart) continue;
      if (*apart < kLeastMargin_us) {
        return bad_input(fmt::format(
            "keys {} and {} send the same as far as can be told ({:.0f} µs apart, {:.0f} needed), "
            "expected keys that differ",
            remote.keys[j].name, remote.keys[i].name, *apart, kLeastMargin_us));
      }
      remote.margin_us = std::min(*apart, remote.margin_us.value_or(*apart));
    }
  }
  tell_structure(remote);
  return remote;
}

std::optional<KeyHeard> key_of(const LearnedRemote& remote, const Train& train) {
  const double allowed =
      std::min(kMostDifference_us, remote.margin_us.value_or(2 * kMostDifference_us) / 2);
  std::optional<KeyHeard> nearest;
  for (std::size_t i = 0; i < remote.keys.size(); ++i) {
    for (const Train& form : remote.keys[i].forms) {
      const auto distance = distance_us(form, train);
      if (!distance || *distance >= allowed) continue;
      if (!nearest || allowed - *distance > nearest->margin_us) {
        nearest = KeyHeard{i, allowed - *distance};
      }
    }
  }
  return nearest;
}

std::optional<std::size_t> key_of(const LearnedRemote& remote, const robot::Frame& frame) {
  if (frame.repeat) return std::nullopt;
  for (std::size_t i = 0; i < remote.keys.size(); ++i) {
    if (remote.keys[i].code && same_code(*remote.keys[i].code, frame)) return i;
  }
  return std::nullopt;
}

void recognise(const LearnedRemote& remote, const Capture& capture, CaptureReading& reading) {
  for (HeardFrame& heard : reading.frames) {
    if (const auto key = key_of(remote, heard.frame)) heard.key = remote.keys[*key].name;
  }
  for (const PlacedTrain& train : trains_of(capture, reading.inverted)) {
    const auto refused =
        std::find_if(reading.refused.begin(), reading.refused.end(), [&](const RefusedPiece& r) {
          return std::abs(r.start_us - train.start_us) < 1;  // one is rounded to whole µs
        });
    if (refused == reading.refused.end()) continue;
    const auto key = key_of(remote, train.us);
    if (!key) continue;
    HeardFrame heard;
    heard.start_us = refused->start_us;
    heard.key = remote.keys[key->key].name;
    heard.learned = true;
    heard.frame = robot::Frame();
    heard.frame.margin_us = static_cast<std::uint16_t>(key->margin_us);
    reading.frames.push_back(heard);
    reading.refused.erase(refused);
  }
  std::stable_sort(
      reading.frames.begin(), reading.frames.end(),
      [](const HeardFrame& a, const HeardFrame& b) { return a.start_us < b.start_us; });
  std::vector<double> periods;
  for (std::size_t i = 1; i < reading.frames.size(); ++i) {
    HeardFrame& now = reading.frames[i];
    const HeardFrame& before = reading.frames[i - 1];
    const double since = now.start_us - before.start_us;
    if (!now.learned || before.key != now.key || since > kLongestPeriod_us) continue;
    now.since_last_us = since;
    periods.push_back(since);
  }
  if (!periods.empty()) reading.period_us = median(periods);
}

}  // namespace runtrue
