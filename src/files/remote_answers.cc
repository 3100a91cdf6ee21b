#include "files/remote_answers.h"

#include <string>

namespace runtrue {
namespace {

Json frame_document(const HeardFrame& heard) {
  const robot::Frame& frame = heard.frame;
  Json document{{"protocol", protocol_name(frame.protocol)}};
  if (!frame.repeat) {
    document["address"] = frame.address;
    document["command"] = frame.command;
    if (has_extended(frame.protocol)) document["extended"] = frame.extended;
    if (has_toggle(frame.protocol)) document["toggle"] = frame.toggle;
  }
  document["repeat"] = frame.repeat;
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

}  // namespace runtrue
