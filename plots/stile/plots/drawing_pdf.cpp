#include <stile/plots/drawing.hpp>

#include <cairo-pdf.h>
#include <fmt/format.h>
#include <qpdf/qpdf-c.h>

#include <stile/base/errors.hpp>
#include <stile/plots/type.hpp>

namespace stile::plots {
namespace {

using detail::points_per_mm;

struct DestroySurface {
  void operator()(cairo_surface_t* surface) const { cairo_surface_destroy(surface); }
};
struct DestroyContext {
  void operator()(cairo_t* context) const { cairo_destroy(context); }
};

cairo_status_t append(void* text, const unsigned char* data, unsigned length) {
  static_cast<std::string*>(text)->append(data, data + length);
  return CAIRO_STATUS_SUCCESS;
}

void draw(cairo_t* c, const Drawing& d) {
  cairo_save(c);
  cairo_scale(c, points_per_mm, points_per_mm);
  const auto grey = [&](double level) { cairo_set_source_rgb(c, level, level, level); };
  for (const DrawnBox& b : d.boxes) {
    cairo_rectangle(c, b.x_mm, b.y_mm, b.width_mm, b.height_mm);
    grey(b.grey);
    cairo_fill_preserve(c);
    grey(0.0);
    cairo_set_line_width(c, b.frame_mm);
    if (b.frame_mm > 0.0) cairo_stroke(c);
    cairo_new_path(c);
  }
  constexpr double dash[] = {1.2, 1.2};
  for (const DrawnLine& l : d.lines) {
    cairo_set_dash(c, dash, l.dashed ? 2 : 0, 0.0);
    cairo_set_line_width(c, l.width_mm);
    grey(l.grey);
    cairo_move_to(c, l.x1_mm, l.y1_mm);
    cairo_line_to(c, l.x2_mm, l.y2_mm);
    cairo_stroke(c);
  }
  cairo_set_dash(c, dash, 0, 0.0);
  cairo_set_line_width(c, 0.2);
  grey(0.0);
  for (const DrawnCircle& circle : d.circles) {
    cairo_arc(c, circle.x_mm, circle.y_mm, circle.radius_mm, 0.0, 2.0 * G_PI);
    cairo_close_path(c);
    cairo_stroke(c);
  }
  cairo_restore(c);
  for (const DrawnText& t : d.texts) {
    const auto layout = detail::type_layout(t.text, t.style);
    int width = 0;
    pango_layout_get_size(layout.get(), &width, nullptr);
    const double left = t.anchor == Anchor::left ? 0.0 : t.anchor == Anchor::centre ? 0.5 : 1.0;
    grey(t.grey);
    cairo_move_to(c, t.x_mm * points_per_mm - left * width / PANGO_SCALE, t.y_mm * points_per_mm);
    pango_cairo_show_layout_line(c, pango_layout_get_line_readonly(layout.get(), 0));
    cairo_new_path(c);
  }
}

struct CleanUp {
  void operator()(_qpdf_data* data) const { qpdf_cleanup(&data); }
};

/// What cairo cannot say in a PDF: that a print must keep the size. By qpdf's C interface: clang 14 does not read its
/// C++ headers in C++20.
std::string print_unscaled(const std::string& text) {
  const std::unique_ptr<_qpdf_data, CleanUp> pdf(qpdf_init());
  const auto must = [&](QPDF_ERROR_CODE code) {
    if ((code & QPDF_ERRORS) != 0)
      throw Error(
          fmt::format("the PDF cannot be written: {}", qpdf_get_error_full_text(pdf.get(), qpdf_get_error(pdf.get()))));
  };
  must(qpdf_read_memory(pdf.get(), "drawing", text.data(), text.size(), nullptr));
  qpdf_oh_replace_key(pdf.get(), qpdf_get_root(pdf.get()), "/ViewerPreferences",
                      qpdf_oh_parse(pdf.get(), "<< /PrintScaling /None >>"));
  must(qpdf_init_write_memory(pdf.get()));
  qpdf_set_deterministic_ID(pdf.get(), QPDF_TRUE);
  must(qpdf_write(pdf.get()));
  const unsigned char* out = qpdf_get_buffer(pdf.get());
  return std::string(out, out + qpdf_get_buffer_length(pdf.get()));
}

}  // namespace

std::string pdf_text(const std::vector<Drawing>& pages, const std::string& title) {
  if (pages.empty()) throw DomainError("a PDF needs at least one page");
  for (const Drawing& page : pages) {
    if (!(page.width_mm > 0.0 && page.height_mm > 0.0))
      throw DomainError(fmt::format("page of {} x {} mm: legal: above 0", page.width_mm, page.height_mm));
  }
  std::string text;
  const std::unique_ptr<cairo_surface_t, DestroySurface> surface(cairo_pdf_surface_create_for_stream(
      append, &text, pages[0].width_mm * points_per_mm, pages[0].height_mm * points_per_mm));
  cairo_pdf_surface_set_metadata(surface.get(), CAIRO_PDF_METADATA_CREATE_DATE, "2000-01-01T00:00:00Z");
  cairo_pdf_surface_set_metadata(surface.get(), CAIRO_PDF_METADATA_TITLE, detail::one_line(title).c_str());
  const std::unique_ptr<cairo_t, DestroyContext> context(cairo_create(surface.get()));
  for (const Drawing& page : pages) {
    cairo_pdf_surface_set_size(surface.get(), page.width_mm * points_per_mm, page.height_mm * points_per_mm);
    draw(context.get(), page);
    cairo_show_page(context.get());
  }
  cairo_surface_finish(surface.get());
  const cairo_status_t status = cairo_surface_status(surface.get());
  if (status != CAIRO_STATUS_SUCCESS)
    throw Error(fmt::format("the PDF cannot be written: {}", cairo_status_to_string(status)));
  return print_unscaled(text);
}

}  // namespace stile::plots
