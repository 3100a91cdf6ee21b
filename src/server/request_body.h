// What the handlers share in reading the body of a request.
#pragma once

#include <optional>
#include <string>

#include "files/placed_json.h"
#include "record/record.h"
#include "units/result.h"

namespace runtrue {

// The body as an object; an empty body is the empty object.
[[nodiscard]] Result<PlacedJson> body_object(const std::string& body);

// Takes out of the body of a change what is not part of the description: the optional `"based_on"`,
// the change that its writer saw last, which is answered; and the `"id"` that a description bears
// when it is read, which must be that of the address.
[[nodiscard]] Result<std::optional<ChangeNumber>> take_based_on(PlacedJson& body, RecordId id);

// The error with the name of the field of `body` it speaks of as its place ("press.step_mm"), if it
// speaks of one: the name that the message begins with, or the one that stands at its line and
// column.
[[nodiscard]] Error with_field(Error error, const PlacedJson& body);

}  // namespace runtrue
