#include "files/remote_answers.h"

#include <string>

namespace runtrue {
namespace {

Json frame_document(const HeardFrame& heard) {
  const robot::Frame& frame = heard.frame;
  Json document{{"protocol", heard.learned ? "learned" : protocol_name(frame.protocol)}};
  if (!frame.repeat && !heard.learned) {
    document["address"] = frame.address;
    document["command"] = frame.command;
    if (has_extended(frame.protocol)) document["extended"] = frame.extended;
    if (has_toggle(frame.protocol)) document["toggle"] = frame.toggle;
  }
  document["repeat"] = frame.repeat;
  if (!heard.key.empty()) document["key"] = heard.key;
  document["start_us"] = exact_number(heard.start_us);
  document["margin_us"] = frame.margin_us;
  if (heard.since_last_us) document["since_last_us"] = exact_number(*heard.since_last_us);
  return document;
}

}  // namespace

Json capture_reading_document(std::string_view file, const CaptureReading& reading) {
  Json frames = Json::array(), refused = Json::array();
  for (const HeardFrame& heard : reading.frames) frames.push_back(frame_document(heard));
  for (const RefusedPiece& piece : reading.refused) {
    refused.push_back({{"start_us", exact_number(piece.start_us)},
                       {"pulses", piece.pulses},
                       {"why", refusal_name(piece.why)},
                       {"because", refusal_text(piece.why)}});
  }
  return {{"file", file},
          {"inverted", reading.inverted},
          {"period_us", reading.period_us ? exact_number(*reading.period_us) : Json(nullptr)},
          {"frames", frames},
          {"refused", refused}};
}

Json learned_document(const LearnedRemote& remote) {
  Json keys = Json::array();
  for (const LearnedKey& key : remote.keys) {
    Json document{{"name", key.name}, {"trains", key.trains}, {"odd_trains", key.odd_trains}};
    if (key.code) {
      document["protocol"] = protocol_name(key.code->protocol);
      document["address"] = key.code->address;
      document["command"] = key.code->command;
    } else {
      document["protocol"] = "learned";
      document["bits"] = key.bits;
    }
    keys.push_back(document);
  }
  return {{"name", remote.name},
          {"coding", word_of(remote.structure.coding)},
          {"bits", remote.structure.bits},
          {"short_repeat", remote.repeat.has_value()},
          {"period_us", exact_number(remote.period_us)},
          {"margin_us", remote.margin_us ? exact_number(*remote.margin_us) : Json(nullptr)},
          {"keys", keys}};
}

Json time_out_document(const HoldCase& c, const TimeOutAdvice& advice) {
  const auto one = [](const TimeOut& t) {
    return Json{{"ticks", t.ticks},
                {"shortest_s", rounded_number(t.shortest_s)},
                {"longest_s", rounded_number(t.longest_s)},
                {"rides_over", t.rides_over},
                {"stutters_per_minute", rounded_number(t.stutters_per_minute)},
                {"mean_run_on_mm", rounded_number(t.mean_run_on_mm)},
                {"farthest_run_on_mm", rounded_number(t.farthest_run_on_mm)}};
  };
  Json choices = Json::array();
  for (const TimeOut& t : advice.choices) choices.push_back(one(t));
  return {{"period_ms", rounded_number(c.period_s * 1000)},
          {"frame_ms", rounded_number(c.frame_s * 1000)},
          {"loss_percent", rounded_number(c.lost * 100)},
          {"tick_ms", rounded_number(c.tick_s * 1000)},
          {"speed_mm_per_s", rounded_number(c.speed_mm_per_s)},
          {"reaction_s", kReaction_s},
          {"choices", choices},
          {"suggested", one(advice.choices[advice.suggested])}};
}

}  // namespace runtrue
