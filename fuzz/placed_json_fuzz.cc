// Any bytes as JSON: refused with one clear line, or the same value that nlohmann's parser reads,
// each part with its place in the text.
#include "files/json_number.h"
#include "files/placed_json.h"
#include "fuzz/claim.h"

namespace runtrue {
namespace {

Json document_of(const PlacedJson& value) {
  RUNTRUE_CHECK(value.line >= 1 && value.column >= 1);
  switch (value.kind) {
    case PlacedJson::Kind::kNull:
      return nullptr;
    case PlacedJson::Kind::kBoolean:
      return value.boolean;
    case PlacedJson::Kind::kNumber:
      return value.number;
    case PlacedJson::Kind::kText:
      return value.text;
    case PlacedJson::Kind::kList:
      break;
    case PlacedJson::Kind::kObject: {
      Json object = Json::object();
      for (const PlacedMember& member : value.members) {
        RUNTRUE_CHECK(member.line >= 1 && member.column >= 1);
        RUNTRUE_CHECK(value.find(member.key) == &member.value);
        object[member.key] = document_of(member.value);
      }
      return object;
    }
  }
  Json list = Json::array();
  for (const PlacedJson& item : value.items) list.push_back(document_of(item));
  return list;
}

void try_text(std::string_view text) {
  const auto value = parse_json(text);
  if (!value) return claim_clear(value.error(), "");
  const Json document = document_of(*value);
  const Json reference = Json::parse(text, nullptr, false);
  RUNTRUE_CHECK(!reference.is_discarded());
  RUNTRUE_CHECK(document == reference);
  const auto again = parse_json(document_text(document));
  RUNTRUE_CHECK(again.has_value());
  RUNTRUE_CHECK(document_of(*again) == document);
}

}  // namespace
}  // namespace runtrue

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  runtrue::try_text(runtrue::text_of(data, size));
  return 0;
}
