// `runtrue remote read`.
#include <fmt/format.h>

#include <limits>

#include "cli/commands.h"
#include "cli/words.h"
#include "files/remote_answers.h"
#include "remote/reading.h"

namespace runtrue {
namespace {

std::string code_words(const robot::Frame& frame) {
  if (frame.repeat) return "the same again";
  std::string text = fmt::format("address {} command {}", frame.address, frame.command);
  if (has_extended(frame.protocol)) text += fmt::format(" extended {}", frame.extended);
  if (has_toggle(frame.protocol)) text += fmt::format(" toggle {}", frame.toggle ? 1 : 0);
  return text;
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
                    std::string(protocol_name(heard.frame.protocol)), code_words(heard.frame),
                    std::to_string(heard.frame.margin_us)});
  }
  refused_up_to(std::numeric_limits<double>::infinity());
  return rows.size() == 1 ? text : text + rows_text(rows);
}

}  // namespace

Result<Answer> run(const RemoteReadArguments& arguments, Inputs& inputs) {
  Answer answer{"", Exit::kNo};
  Json files = Json::array();
  for (const std::string& file : arguments.capture_files) {
    RUNTRUE_TRY(const Capture capture, inputs.capture(file));
    const CaptureReading reading = read_capture(capture);
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

}  // namespace runtrue
