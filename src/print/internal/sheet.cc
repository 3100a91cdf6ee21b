#include "print/internal/sheet.h"

#include <cairo-pdf.h>
#include <cairo-svg.h>
#include <fmt/format.h>
#include <pango/pangocairo.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <utility>

#ifdef __SANITIZE_ADDRESS__
// Fontconfig keeps its list of fonts for the life of the program; that is no leak of ours.
extern "C" const char* __lsan_default_suppressions();
extern "C" const char* __lsan_default_suppressions() { return "leak:libfontconfig\n"; }
extern "C" const char* __lsan_default_options();
extern "C" const char* __lsan_default_options() { return "print_suppressions=0"; }
#endif

namespace runtrue::internal {
namespace {

cairo_status_t append(void* closure, const unsigned char* data, unsigned int length) {
  static_cast<std::string*>(closure)->append(reinterpret_cast<const char*>(data), length);
  return CAIRO_STATUS_SUCCESS;
}

cairo_surface_t* make_surface(PictureKind kind, std::string& bytes) {
  switch (kind) {
    case PictureKind::kSvg: {
      auto* s =
          cairo_svg_surface_create_for_stream(append, &bytes, kSheetWidth_pt, kSheetHeight_pt);
      cairo_svg_surface_set_document_unit(s, CAIRO_SVG_UNIT_PT);
      return s;
    }
    case PictureKind::kPdf:
      return cairo_pdf_surface_create_for_stream(append, &bytes, kSheetWidth_pt, kSheetHeight_pt);
    case PictureKind::kPng:
      break;
  }
  const double dots_per_mm = kPngDotsPerInch / 25.4;
  return cairo_image_surface_create(CAIRO_FORMAT_RGB24,
                                    static_cast<int>(std::lround(kSheetWidth_mm * dots_per_mm)),
                                    static_cast<int>(std::lround(kSheetHeight_mm * dots_per_mm)));
}

std::string escaped(const std::string& text) {
  std::string out;
  for (const char c : text) {
    if (c == '&')
      out += "&amp;";
    else if (c == '<')
      out += "&lt;";
    else if (c == '>')
      out += "&gt;";
    else if (static_cast<unsigned char>(c) >= 0x20 || c == '\n' || c == '\t')
      out += c;
  }
  return out;
}

PangoLayout* make_layout(cairo_t* cr) {
  PangoLayout* layout = pango_cairo_create_layout(cr);
  PangoContext* context = pango_layout_get_context(layout);
  // Letters stand where their outlines say, whatever the resolution: the three kinds look alike.
  cairo_font_options_t* options = cairo_font_options_create();
  cairo_font_options_set_antialias(options, CAIRO_ANTIALIAS_GRAY);
  cairo_font_options_set_hint_style(options, CAIRO_HINT_STYLE_NONE);
  cairo_font_options_set_hint_metrics(options, CAIRO_HINT_METRICS_OFF);
  pango_cairo_context_set_font_options(context, options);
  cairo_font_options_destroy(options);
  pango_cairo_context_set_resolution(context, 72.0);
  pango_context_set_round_glyph_positions(context, FALSE);
  pango_layout_context_changed(layout);
  return layout;
}

bool is_date(const std::string& text) {
  if (text.size() != 10) return false;
  for (std::size_t i = 0; i < text.size(); ++i) {
    const bool dash = i == 4 || i == 7;
    if (dash ? text[i] != '-' : (text[i] < '0' || text[i] > '9')) return false;
  }
  return true;
}

}  // namespace

Sheet::Sheet(PictureKind kind, std::string title, std::string description,
             const std::string& made_on)
    : kind_(kind),
      title_(std::move(title)),
      description_(std::move(description)),
      surface_(make_surface(kind, bytes_)),
      cr_(cairo_create(surface_.get())),
      layout_(make_layout(cr_.get())) {
  if (kind == PictureKind::kPdf) {
    // Without a date given, a fixed one: the clock must not change the bytes.
    const std::string created = (is_date(made_on) ? made_on : "2000-01-01") + "T00:00:00Z";
    cairo_pdf_surface_set_metadata(surface_.get(), CAIRO_PDF_METADATA_CREATE_DATE, created.c_str());
    cairo_pdf_surface_set_metadata(surface_.get(), CAIRO_PDF_METADATA_TITLE, title_.c_str());
    cairo_pdf_surface_set_metadata(surface_.get(), CAIRO_PDF_METADATA_SUBJECT,
                                   description_.c_str());
  }
  if (kind == PictureKind::kPng) {
    const double scale = kPngDotsPerInch / 72.0;
    cairo_scale(cr_.get(), scale, scale);
  }
  cairo_set_source_rgb(cr_.get(), 1, 1, 1);
  cairo_paint(cr_.get());
  cairo_set_line_join(cr_.get(), CAIRO_LINE_JOIN_ROUND);
  cairo_set_line_cap(cr_.get(), CAIRO_LINE_CAP_ROUND);
}

void Sheet::use(const Pen& pen) {
  cairo_set_source_rgb(cr_.get(), pen.ink.red, pen.ink.green, pen.ink.blue);
  cairo_set_line_width(cr_.get(), pen.width);
  cairo_set_dash(cr_.get(), pen.dashes.data(), static_cast<int>(pen.dashes.size()),
                 pen.dash_offset);
}

void Sheet::trace(const std::vector<Spot>& spots, bool closed) {
  cairo_new_path(cr_.get());
  for (const Spot& s : spots) cairo_line_to(cr_.get(), s.x, s.y);
  if (closed) cairo_close_path(cr_.get());
}

void Sheet::line(const std::vector<Spot>& spots, const Pen& pen, bool closed) {
  if (spots.size() < 2) return;
  use(pen);
  trace(spots, closed);
  cairo_stroke(cr_.get());
}

void Sheet::circle(const Spot& centre, double radius, const Pen& pen) {
  use(pen);
  cairo_new_path(cr_.get());
  cairo_arc(cr_.get(), centre.x, centre.y, radius, 0, 2 * std::numbers::pi);
  cairo_close_path(cr_.get());
  cairo_stroke(cr_.get());
}

void Sheet::fill(const std::vector<Spot>& spots, const Ink& ink) {
  cairo_set_source_rgb(cr_.get(), ink.red, ink.green, ink.blue);
  trace(spots, true);
  cairo_fill(cr_.get());
}

void Sheet::fill_circle(const Spot& centre, double radius, const Ink& ink) {
  cairo_set_source_rgb(cr_.get(), ink.red, ink.green, ink.blue);
  cairo_new_path(cr_.get());
  cairo_arc(cr_.get(), centre.x, centre.y, radius, 0, 2 * std::numbers::pi);
  cairo_fill(cr_.get());
}

void Sheet::hatch(const std::vector<Spot>& outline, double gap, const Pen& pen, bool rising) {
  if (outline.size() < 3) return;
  Box box{outline[0].x, outline[0].y, outline[0].x, outline[0].y};
  for (const Spot& s : outline) {
    box = {std::min(box.left, s.x), std::min(box.top, s.y), std::max(box.right, s.x),
           std::max(box.bottom, s.y)};
  }
  cairo_save(cr_.get());
  trace(outline, true);
  cairo_clip(cr_.get());
  use(pen);
  cairo_new_path(cr_.get());
  // Strokes on a lattice that is fixed to the paper, so that neighbouring areas match.
  const double step = gap * std::numbers::sqrt2;
  const double way = rising ? 1.0 : -1.0;
  const double low = box.left + std::min(way * box.top, way * box.bottom);
  const double high = box.right + std::max(way * box.top, way * box.bottom);
  const int last = static_cast<int>(std::ceil(high / step));
  for (int i = static_cast<int>(std::floor(low / step)); i <= last; ++i) {
    const double c = i * step;
    cairo_move_to(cr_.get(), c - way * box.bottom, box.bottom);
    cairo_line_to(cr_.get(), c - way * box.top, box.top);
  }
  cairo_stroke(cr_.get());
  cairo_restore(cr_.get());
}

void Sheet::set_text(const std::string& text, const TextStyle& style) {
  PangoFontDescription* font = pango_font_description_new();
  pango_font_description_set_family_static(font, "DejaVu Sans");
  pango_font_description_set_absolute_size(font, style.size * PANGO_SCALE);
  if (style.bold) pango_font_description_set_weight(font, PANGO_WEIGHT_BOLD);
  pango_layout_set_font_description(layout_.get(), font);
  pango_font_description_free(font);
  pango_layout_set_width(
      layout_.get(), style.wrap_width > 0 ? static_cast<int>(style.wrap_width * PANGO_SCALE) : -1);
  pango_layout_set_wrap(layout_.get(), PANGO_WRAP_WORD_CHAR);
  pango_layout_set_text(layout_.get(), text.data(), static_cast<int>(text.size()));
  // "97 %" is not torn apart at a line's end.
  PangoAttrList* attributes = pango_attr_list_new();
  for (std::size_t at = text.find(" %"); at != std::string::npos; at = text.find(" %", at + 1)) {
    PangoAttribute* together = pango_attr_allow_breaks_new(FALSE);
    together->start_index = static_cast<guint>(at == 0 ? 0 : at - 1);
    together->end_index = static_cast<guint>(at + 2);
    pango_attr_list_insert(attributes, together);
  }
  pango_layout_set_attributes(layout_.get(), attributes);
  pango_attr_list_unref(attributes);
}

Box Sheet::text_box(const Spot& at, const std::string& text, const TextStyle& style,
                    Anchor anchor) {
  set_text(text, style);
  PangoRectangle logical;
  pango_layout_get_extents(layout_.get(), nullptr, &logical);
  const double width = static_cast<double>(logical.width) / PANGO_SCALE;
  const double height = static_cast<double>(logical.height) / PANGO_SCALE;
  double left = at.x, top = at.y;
  if (anchor == Anchor::kCentre) left -= width / 2;
  if (anchor == Anchor::kUpperRight || anchor == Anchor::kRight) left -= width;
  if (anchor == Anchor::kCentre || anchor == Anchor::kLeft || anchor == Anchor::kRight)
    top -= height / 2;
  return {left, top, left + width, top + height};
}

Box Sheet::text(const Spot& at, const std::string& text, const TextStyle& style, Anchor anchor) {
  const Box box = text_box(at, text, style, anchor);
  cairo_move_to(cr_.get(), box.left, box.top);
  if (style.halo) {
    fill({{box.left - 1, box.top},
          {box.right + 1, box.top},
          {box.right + 1, box.bottom},
          {box.left - 1, box.bottom}},
         kWhite);
    cairo_move_to(cr_.get(), box.left, box.top);
  }
  cairo_set_source_rgb(cr_.get(), style.ink.red, style.ink.green, style.ink.blue);
  pango_cairo_show_layout(cr_.get(), layout_.get());
  return box;
}

void Sheet::turned_text(const Spot& centre, double radians, const std::string& words,
                        const TextStyle& style) {
  cairo_save(cr_.get());
  cairo_translate(cr_.get(), centre.x, centre.y);
  cairo_rotate(cr_.get(), -radians);
  text({0, 0}, words, style, Anchor::kCentre);
  cairo_restore(cr_.get());
}

void Sheet::clip(const Box& box) {
  cairo_save(cr_.get());
  cairo_new_path(cr_.get());
  cairo_rectangle(cr_.get(), box.left, box.top, box.width(), box.height());
  cairo_clip(cr_.get());
}

void Sheet::unclip() { cairo_restore(cr_.get()); }

Result<std::string> Sheet::finish() {
  layout_.reset();
  const cairo_status_t drawn = cairo_status(cr_.get());
  cairo_show_page(cr_.get());
  if (kind_ == PictureKind::kPng)
    cairo_surface_write_to_png_stream(surface_.get(), append, &bytes_);
  cr_.reset();
  cairo_surface_finish(surface_.get());
  const cairo_status_t finished = cairo_surface_status(surface_.get());
  for (const cairo_status_t status : {drawn, finished}) {
    if (status != CAIRO_STATUS_SUCCESS) {
      return failure(ErrorKind::kEnvironment, fmt::format("the picture could not be drawn: {}",
                                                          cairo_status_to_string(status)));
    }
  }
  if (kind_ == PictureKind::kSvg) {
    // Cairo counts its surfaces within a program and writes the count down; the count says nothing.
    const std::string id = "<g id=\"surface";
    if (const std::size_t at = bytes_.find(id); at != std::string::npos) {
      const std::size_t digits = at + id.size();
      bytes_.replace(digits, bytes_.find('"', digits) - digits, "1");
    }
    const std::size_t open = bytes_.find("<svg");
    const std::size_t end = open == std::string::npos ? open : bytes_.find('>', open);
    if (end != std::string::npos) {
      bytes_.insert(end + 1, fmt::format("\n<title>{}</title>\n<desc>{}</desc>", escaped(title_),
                                         escaped(description_)));
    }
  }
  return std::move(bytes_);
}

std::string signed_number(double value, int decimals, bool plus) {
  std::string digits = fmt::format("{:.{}f}", std::fabs(value), decimals);
  const bool zero = digits.find_first_not_of("0.") == std::string::npos;
  if (zero) return digits;
  if (value < 0) return "−" + digits;
  return plus ? "+" + digits : digits;
}

std::string with_true_minus(const std::string& text) {
  std::string out;
  for (std::size_t i = 0; i < text.size(); ++i) {
    const bool starts = i == 0 || text[i - 1] == ' ' || text[i - 1] == '(';
    const bool number = i + 1 < text.size() && text[i + 1] >= '0' && text[i + 1] <= '9';
    out += text[i] == '-' && starts && number ? "−" : std::string(1, text[i]);
  }
  return out;
}

std::string grouped(long long value) {
  std::string digits = fmt::format("{}", value);
  for (int at = static_cast<int>(digits.size()) - 3; at > (value < 0 ? 1 : 0); at -= 3)
    digits.insert(static_cast<std::size_t>(at), " ");
  return digits;
}

}  // namespace runtrue::internal
