#include "files/internal/svg_drawing.h"

#include <expat.h>
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <memory>
#include <optional>
#include <string>
#include <type_traits>

#include "files/internal/svg_geometry.h"
#include "files/path_file.h"
#include "units/spelling.h"

namespace runtrue::internal {
namespace {

using Parser = std::unique_ptr<std::remove_pointer_t<XML_Parser>, decltype(&XML_ParserFree)>;

// A line as it stands in the drawing.
struct Drawn {
  std::string id, data;
  bool points = false;  // `data` is a list of points, not of commands
  bool closed = false;
  SvgTransform to_mm;
  Place place;
};

// "svg:path" and "path" are one.
std::string_view local_name(std::string_view name) {
  return name.substr(name.find(':') == std::string_view::npos ? 0 : name.find(':') + 1);
}

class Reader {
 public:
  Reader() : parser_(XML_ParserCreate("UTF-8"), &XML_ParserFree) {
    RUNTRUE_CHECK(parser_ != nullptr);
    XML_SetUserData(parser_.get(), this);
    XML_SetElementHandler(parser_.get(), on_start, on_end);
  }

  Result<std::vector<Drawn>> read(std::string_view text) {
    const auto status =
        XML_Parse(parser_.get(), text.data(), static_cast<int>(text.size()), XML_TRUE);
    if (fault_) return tl::unexpected(*fault_);
    if (status != XML_STATUS_OK) {
      return bad_input(fmt::format("the drawing is not well-formed XML: {}",
                                   XML_ErrorString(XML_GetErrorCode(parser_.get()))),
                       here());
    }
    return std::move(lines_);
  }

 private:
  using Attributes = const XML_Char**;

  static void on_start(void* self, const XML_Char* name, Attributes attributes) {
    static_cast<Reader*>(self)->start(local_name(name), attributes);
  }
  static void on_end(void* self, const XML_Char*) { static_cast<Reader*>(self)->end(); }

  static std::optional<std::string_view> attribute(Attributes attributes, std::string_view name) {
    for (std::size_t i = 0; attributes[i] != nullptr; i += 2) {
      if (name == attributes[i]) return attributes[i + 1];
    }
    return std::nullopt;
  }

  [[nodiscard]] Place here() const {
    return {{},
            static_cast<int>(XML_GetCurrentLineNumber(parser_.get())),
            static_cast<int>(XML_GetCurrentColumnNumber(parser_.get())) + 1};
  }

  void fail(Error error, std::string_view attribute_name) {
    if (fault_) return;
    error.message = fmt::format("{}: {}", attribute_name, error.message);
    error.place = here();
    fault_ = std::move(error);
    XML_StopParser(parser_.get(), XML_FALSE);
  }

  void start(std::string_view name, Attributes attributes) {
    constexpr std::array<std::string_view, 6> kOnlyDefined{"defs", "symbol", "clipPath",
                                                           "mask", "marker", "pattern"};
    const bool defines =
        std::find(kOnlyDefined.begin(), kOnlyDefined.end(), name) != kOnlyDefined.end();
    if (within_.empty() && name != "svg") {
      fail({ErrorKind::kBadInput, fmt::format("expected svg, not '{}'", quotable(name)), {}},
           "the first element");
      return;
    }
    Within inner = within_.empty() ? Within{page(attributes), false} : within_.back();
    inner.only_defined = inner.only_defined || defines;
    if (const auto text = attribute(attributes, "transform")) {
      auto transform = transform_list(*text);
      if (!transform) return fail(std::move(transform).error(), "transform");
      inner.to_mm = inner.to_mm.after(*transform);
    }
    within_.push_back(inner);
    const bool path = name == "path", polygon = name == "polygon";
    if (inner.only_defined || (!path && !polygon && name != "polyline")) return;
    const auto data = attribute(attributes, path ? "d" : "points");
    if (!data) return;  // draws nothing
    lines_.push_back({std::string(attribute(attributes, "id").value_or("")), std::string(*data),
                      !path, polygon, inner.to_mm, here()});
  }

  // The library may call on for the element that it was stopped in.
  void end() {
    if (!fault_) within_.pop_back();
  }

  // What the drawing's own units are in mm, and y up from its lower edge.
  SvgTransform page(Attributes attributes) {
    const auto size = [&](const char* name) -> std::optional<double> {
      const auto text = attribute(attributes, name);
      if (!text) return std::nullopt;
      auto length = length_mm(*text);
      if (length) return *length;
      fail(std::move(length).error(), name);
      return std::nullopt;
    };
    const std::optional<double> width = size("width"), height = size("height");
    const auto box_text = attribute(attributes, "viewBox");
    if (!box_text) return {kPx_mm, 0, 0, -kPx_mm, 0, height.value_or(0.0)};
    const auto box = view_box(*box_text);
    if (!box) {
      fail(box.error(), "viewBox");
      return {};
    }
    // One scale for both directions, so that all of it fits.
    double scale = kPx_mm;
    if (width) scale = *width / box->width;
    if (height) scale = width ? std::min(scale, *height / box->height) : *height / box->height;
    return {scale, 0, 0, -scale, -box->x * scale, (box->y + box->height) * scale};
  }

  struct Within {
    SvgTransform to_mm;
    bool only_defined = false;
  };
  Parser parser_;
  std::vector<Within> within_;
  std::vector<Drawn> lines_;
  std::optional<Error> fault_;
};

Result<std::vector<Point>> points_of(const Drawn& line) {
  const auto in_place = [&](Error error) {
    error.message = fmt::format("{}: {}", line.points ? "points" : "d", error.message);
    error.place = line.place;
    return tl::unexpected(std::move(error));
  };
  const double growth = line.to_mm.most_growth();
  // A transform onto a line, or one that no drawing is made with.
  if (!(std::abs(line.to_mm.area_growth()) > 1e-12 * growth * growth) || !std::isfinite(growth)) {
    return bad_input("the transforms of this line leave it no size, expected some", line.place);
  }
  auto spots =
      line.points ? point_list(line.data) : path_data_points(line.data, kFlatTo_mm / growth);
  if (!spots) return in_place(std::move(spots).error());
  if (line.closed && !spots->empty()) spots->push_back(spots->front());
  std::vector<Point> points;
  for (const SvgSpot spot : *spots) {
    const SvgSpot p = line.to_mm(spot);
    points.push_back({Length::from_mm(p.x), Length::from_mm(p.y)});
  }
  return points;
}

}  // namespace

Result<std::vector<Point>> line_of_drawing(std::string_view text, std::string_view id) {
  RUNTRUE_TRY(const std::vector<Drawn> lines, Reader().read(text));
  std::vector<const Drawn*> chosen;
  std::string ids;
  for (const Drawn& line : lines) {
    if (id.empty() || line.id == id) chosen.push_back(&line);
    if (!line.id.empty()) ids += (ids.empty() ? "" : ", ") + line.id;
  }
  if (chosen.size() == 1) return points_of(*chosen.front());
  if (lines.empty()) {
    return bad_input("the drawing has no line, expected a path, polyline or polygon");
  }
  if (!chosen.empty() && !id.empty()) {
    return bad_input(
        fmt::format("there are {} lines of the id '{}', expected one", chosen.size(), quotable(id)),
        chosen[1]->place);
  }
  const std::string known =
      ids.empty() ? "none of them has an id" : "ids are " + quotable(ids, 200);
  if (id.empty()) {
    return bad_input(fmt::format("there are {} lines, expected one, or the id of one of them; {}",
                                 lines.size(), known),
                     lines[1].place);
  }
  return bad_input(fmt::format("no line has the id '{}'; {}", quotable(id), known));
}

}  // namespace runtrue::internal
