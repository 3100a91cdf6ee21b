// `runtrue remote read`, `learn`, `write`, `time-out` and `room`.
#include <fmt/format.h>

#include <algorithm>
#include <limits>
#include <optional>
#include <utility>

#include "cli/commands.h"
#include "cli/words.h"
#include "files/capture_file.h"
#include "files/remote_answers.h"
#include "files/remote_json.h"
#include "files/room_json.h"
#include "files/text_file.h"
#include "remote/learning.h"
#include "remote/reading.h"
#include "units/spelling.h"

namespace runtrue {
namespace {

std::string code_words(const robot::Frame& frame) {
  if (frame.repeat) return "the same again";
  std::string text = fmt::format("address {} command {}", frame.address, frame.command);
  if (has_extended(frame.protocol)) text += fmt::format(" extended {}", frame.extended);
  if (has_toggle(frame.protocol)) text += fmt::format(" toggle {}", frame.toggle ? 1 : 0);
  return text;
}

std::string what_words(const HeardFrame& heard) {
  if (heard.learned) return "key " + heard.key;
  return code_words(heard.frame) + (heard.key.empty() ? "" : ": key " + heard.key);
}

std::string reading_words(const std::string& file, const CaptureReading& reading) {
  std::string text = paragraph(fmt::format(
      "{}: {} frame{} read, {} piece{} refused{}{}.", file, reading.frames.size(),
      reading.frames.size() == 1 ? "" : "s", reading.refused.size(),
      reading.refused.size() == 1 ? "" : "s",
      reading.period_us ? fmt::format(", {:.1f} ms from frame to frame", *reading.period_us / 1000)
                        : "",
      reading.inverted ? "; the line is recorded the other way round" : ""));
  std::vector<std::vector<std::string>> rows{{"at ms", "protocol", "what", "margin us"}};
  auto refused = reading.refused.begin();
  const auto refused_up_to = [&](double time_us) {
    for (; refused != reading.refused.end() && refused->start_us < time_us; ++refused) {
      rows.push_back({fmt::format("{:.3f}", refused->start_us / 1000), "refused",
                      std::string(refusal_text(refused->why)), ""});
    }
  };
  for (const HeardFrame& heard : reading.frames) {
    refused_up_to(heard.start_us);
    rows.push_back({fmt::format("{:.3f}", heard.start_us / 1000),
                    heard.learned ? "learned" : std::string(protocol_name(heard.frame.protocol)),
                    what_words(heard), std::to_string(heard.frame.margin_us)});
  }
  refused_up_to(std::numeric_limits<double>::infinity());
  return rows.size() == 1 ? text : text + rows_text(rows);
}

}  // namespace

Result<Answer> run(const RemoteReadArguments& arguments, Inputs& inputs) {
  Answer answer{"", Exit::kNo};
  std::optional<LearnedRemote> remote;
  if (!arguments.remote_file.empty()) {
    RUNTRUE_TRY(const std::string text, read_text(arguments.remote_file));
    RUNTRUE_TRY(remote, read_remote(text, arguments.remote_file));
  }
  Json files = Json::array();
  for (const std::string& file : arguments.capture_files) {
    RUNTRUE_TRY(const Capture capture, inputs.capture(file));
    CaptureReading reading = read_capture(capture);
    if (remote) recognise(*remote, capture, reading);
    if (!reading.frames.empty()) answer.exit = Exit::kDone;
    if (arguments.form == Form::kJson) {
      files.push_back(capture_reading_document(file, reading));
    } else {
      answer.text += (answer.text.empty() ? "" : "\n") + reading_words(file, reading);
    }
  }
  if (arguments.form == Form::kJson) answer.text = document_text({{"files", files}});
  return answer;
}

Result<Answer> run(const RemoteLearnArguments& arguments, Inputs& inputs) {
  std::vector<KeyRecording> recordings;
  for (const std::string& key : arguments.keys) {
    const std::size_t at = key.find('=');
    if (at == 0 || at == std::string::npos || at + 1 == key.size()) {
      return bad_input(fmt::format("'{}', expected a key's name and its capture, as left=left.csv",
                                   quotable(key)),
                       {"KEY=CAPTURE"});
    }
    RUNTRUE_TRY(Capture capture, inputs.capture(key.substr(at + 1)));
    recordings.push_back({key.substr(0, at), std::move(capture)});
  }
  const auto remote = learn_remote(arguments.name, recordings);
  if (!remote) {
    if (arguments.form == Form::kJson) {
      return Answer{document_text({{"learned", false}, {"reason", remote.error().message}}),
                    Exit::kNo};
    }
    return Answer{paragraph("Not learned: " + remote.error().message + "."), Exit::kNo};
  }
  const std::string& output = arguments.output_file;
  if (output == "-") return Answer{write_remote(*remote)};
  if (!output.empty()) {
    if (auto written = write_file(output, write_remote(*remote)); !written) {
      return tl::unexpected(std::move(written).error());
    }
  }
  if (arguments.form == Form::kJson) {
    Json document{{"learned", true}};
    document.update(learned_document(*remote));
    return Answer{document_text(document)};
  }
  Answer answer;
  answer.text = paragraph(fmt::format(
      "{} key{} learned{}{}.", remote->keys.size(), remote->keys.size() == 1 ? "" : "s",
      remote->margin_us ? fmt::format("; the nearest two are {:.0f} us apart", *remote->margin_us)
                        : "",
      remote->period_us > 0
          ? fmt::format("; {:.1f} ms from frame to frame", remote->period_us / 1000)
          : ""));
  std::vector<std::vector<std::string>> rows{{"key", "what", "trains", "odd"}};
  for (const LearnedKey& key : remote->keys) {
    const std::string what =
        key.code ? fmt::format("{} {}", protocol_name(key.code->protocol), code_words(*key.code))
                 : fmt::format("{} {}", word_of(remote->structure.coding), key.bits);
    rows.push_back({key.name, what, std::to_string(key.trains), std::to_string(key.odd_trains)});
  }
  answer.text += rows_text(rows);
  return answer;
}

Result<Answer> run(const RemoteWriteArguments& arguments, Inputs& /*inputs*/) {
  SignalOrder order = arguments.order;
  const bool twins =
      order.protocol == robot::Protocol::kSharp || order.protocol == robot::Protocol::kDenon;
  if (twins && order.frames == 1) order.frames = 2;
  auto signal = make_signal(order);
  if (!signal) return tl::unexpected(std::move(signal).error().in_file("runtrue remote write"));
  std::mt19937_64 random(arguments.seed);
  const Capture heard = distort(*signal, arguments.distortion, random);
  const bool vcd = arguments.output_file.ends_with(".vcd");
  const std::string text = vcd ? write_capture_vcd(heard) : write_capture_csv(heard);
  if (arguments.output_file.empty()) return Answer{text};
  if (auto written = write_file(arguments.output_file, text); !written) {
    return tl::unexpected(std::move(written).error());
  }
  return Answer{arguments.output_file + " was written.\n"};
}

Result<Answer> run(const RemoteTimeOutArguments& arguments, Inputs& /*inputs*/) {
  HoldCase c = hold_case_of(arguments.protocol);
  if (arguments.period_s) c.period_s = *arguments.period_s;
  c.lost = arguments.lost;
  c.tick_s = arguments.tick_s;
  c.speed_mm_per_s = arguments.speed_mm_per_s;
  auto advice = advise_time_out(c);
  if (!advice) return tl::unexpected(std::move(advice).error().in_file("runtrue remote time-out"));
  const TimeOut& best = advice->choices[advice->suggested];
  Answer answer;
  const bool good =
      best.rides_over >= 1 && best.stutters_per_minute <= kBearableStutters_per_minute;
  answer.exit = good ? Exit::kDone : Exit::kNo;
  if (arguments.form == Form::kJson) {
    answer.text = document_text(time_out_document(c, *advice));
    return answer;
  }
  answer.text = paragraph(fmt::format(
      "{}a time-out of {} tick{} ({:.2f} to {:.2f} s): it rides over {} lost frame{}, stutters "
      "{:.2g} times a minute, and runs on by up to {:.0f} mm after a hand decides to let go.",
      good ? "Take " : "None does it well; the nearest is ", best.ticks, best.ticks == 1 ? "" : "s",
      best.shortest_s, best.longest_s, std::max(best.rides_over, 0),
      best.rides_over == 1 ? "" : "s", best.stutters_per_minute, best.farthest_run_on_mm));
  std::vector<std::vector<std::string>> rows{
      {"ticks", "from s", "to s", "rides over", "stutters/min", "run-on mm", "farthest mm"}};
  for (const TimeOut& t : advice->choices) {
    rows.push_back({std::to_string(t.ticks), fmt::format("{:.3f}", t.shortest_s),
                    fmt::format("{:.3f}", t.longest_s), std::to_string(t.rides_over),
                    t.stutters_per_minute < 0.001 ? "under 0.001"
                                                  : fmt::format("{:.3f}", t.stutters_per_minute),
                    fmt::format("{:.0f}", t.mean_run_on_mm),
                    fmt::format("{:.0f}", t.farthest_run_on_mm)});
  }
  answer.text += rows_text(rows);
  answer.text += paragraph(
      "A first drive needs a hand at the table's edge. Local rules come first; nothing here is a "
      "safety device.");
  return answer;
}

Result<Answer> run(const RemoteRoomArguments& arguments, Inputs& /*inputs*/) {
  RUNTRUE_TRY(const std::string text, read_text(arguments.room_file));
  RUNTRUE_TRY(const Room room, read_room(text, arguments.room_file));
  auto plan = plan_room(room.remotes, room.robots, room.time_out_s);
  if (!plan) return tl::unexpected(std::move(plan).error().in_file(arguments.room_file));
  Answer answer;
  for (const Danger& danger : plan->dangers) {
    if (danger.kind == DangerKind::kSameCode) answer.exit = Exit::kNo;
  }
  if (arguments.form == Form::kJson) {
    answer.text = document_text(room_plan_document(room, *plan));
    return answer;
  }
  answer.text = paragraph(fmt::format(
      "{} turn{} for {} robot{}; at most {} of the remotes can be held at once.", plan->turns,
      plan->turns == 1 ? "" : "s", room.robots, room.robots == 1 ? "" : "s", plan->at_once));
  std::vector<std::vector<std::string>> rows{{"remote", "turn"}};
  for (std::size_t i = 0; i < plan->chosen.size(); ++i) {
    rows.push_back({room.remotes[plan->chosen[i]].name, std::to_string(plan->turn[i])});
  }
  answer.text += rows_text(rows);
  for (const Danger& danger : plan->dangers) answer.text += paragraph(danger.sentence);
  return answer;
}

}  // namespace runtrue
