#include <stile/plots/drawing.hpp>

#include <fmt/format.h>

namespace stile::plots {
namespace {

std::string xml(const std::string& text) {
  std::string out;
  for (const char c : text) {
    out += c == '&' ? "&amp;" : c == '<' ? "&lt;" : c == '>' ? "&gt;" : std::string(1, c);
  }
  return out;
}

std::vector<std::string> split(const std::string& text, char separator) {
  std::vector<std::string> parts(1);
  for (const char c : text) {
    if (c == separator) {
      parts.emplace_back();
    } else {
      parts.back() += c;
    }
  }
  return parts;
}

/// UTF-8 as the bytes of a PDF string in Windows-1252 (Latin-1 as far as it is used here).
std::string pdf_string(const std::string& text) {
  std::string out = "(";
  for (std::size_t i = 0; i < text.size(); ++i) {
    const auto c = static_cast<unsigned char>(text[i]);
    if (c == '(' || c == ')' || c == '\\') {
      out += fmt::format("\\{}", text[i]);
    } else if (c < 0x20) {
      out += ' ';
    } else if (c < 0x80) {
      out += text[i];
    } else if ((c & 0xC0U) != 0x80U) {  // the first byte of a letter of several
      const bool latin = (c == 0xC2 || c == 0xC3) && i + 1 < text.size();
      const unsigned code = latin ? ((c & 0x03U) << 6U) | (static_cast<unsigned char>(text[i + 1]) & 0x3FU) : 0U;
      out += code >= 0xA0U ? fmt::format("\\{:03o}", code) : "?";
    }
  }
  return out + ")";
}

/// What is drawn, in millimetres from the lower left.
std::string pdf_content(const Drawing& d) {
  std::string s = fmt::format("{:.6f} 0 0 {:.6f} 0 0 cm 1 J\n", 72.0 / 25.4, 72.0 / 25.4);
  for (const DrawnLine& l : d.lines) {
    s += fmt::format("{:.3f} w {} {:.4f} {:.4f} m {:.4f} {:.4f} l S\n", l.width_mm,
                     l.dashed ? "[1.2 1.2] 0 d" : "[] 0 d", l.x1_mm, d.height_mm - l.y1_mm, l.x2_mm,
                     d.height_mm - l.y2_mm);
  }
  for (const DrawnCircle& c : d.circles) {
    const double k = 0.5522847498 * c.radius_mm, r = c.radius_mm, x = c.x_mm,
                 y = d.height_mm - c.y_mm;  // four Bezier quarters, 3e-4 r
    s += fmt::format("0.2 w [] 0 d {:.4f} {:.4f} m {:.4f} {:.4f} {:.4f} {:.4f} {:.4f} {:.4f} c {:.4f} {:.4f} {:.4f} "
                     "{:.4f} {:.4f} {:.4f} c "
                     "{:.4f} {:.4f} {:.4f} {:.4f} {:.4f} {:.4f} c {:.4f} {:.4f} {:.4f} {:.4f} {:.4f} {:.4f} c S\n",
                     x + r, y, x + r, y + k, x + k, y + r, x, y + r, x - k, y + r, x - r, y + k, x - r, y, x - r, y - k,
                     x - k, y - r, x, y - r, x + k, y - r, x + r, y - k, x + r, y);
  }
  for (const DrawnText& t : d.texts) {
    s += fmt::format("BT /{} {:.3f} Tf {:.4f} {:.4f} Td {} Tj ET\n", t.fixed_width ? "F2" : "F1", t.size_mm, t.x_mm,
                     d.height_mm - t.y_mm, pdf_string(t.text));
  }
  return s;
}

}  // namespace

std::string svg_text(const Drawing& d) {
  std::string s = fmt::format("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
                              "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{0:.3f}mm\" height=\"{1:.3f}mm\" "
                              "viewBox=\"0 0 {0:.3f} {1:.3f}\">\n"
                              "<rect width=\"100%\" height=\"100%\" fill=\"white\"/>\n",
                              d.width_mm, d.height_mm);
  for (const DrawnLine& l : d.lines) {
    s += fmt::format(
        "<line x1=\"{:.4f}\" y1=\"{:.4f}\" x2=\"{:.4f}\" y2=\"{:.4f}\" stroke=\"black\" stroke-width=\"{:.3f}\"{}/>\n",
        l.x1_mm, l.y1_mm, l.x2_mm, l.y2_mm, l.width_mm, l.dashed ? " stroke-dasharray=\"1.2 1.2\"" : "");
  }
  for (const DrawnCircle& c : d.circles) {
    s += fmt::format(
        "<circle cx=\"{:.4f}\" cy=\"{:.4f}\" r=\"{:.4f}\" fill=\"none\" stroke=\"black\" stroke-width=\"0.2\"/>\n",
        c.x_mm, c.y_mm, c.radius_mm);
  }
  for (const DrawnText& t : d.texts) {
    s += fmt::format(
        "<text x=\"{:.4f}\" y=\"{:.4f}\" font-family=\"{}\" font-size=\"{:.3f}\" xml:space=\"preserve\">{}</text>\n",
        t.x_mm, t.y_mm, t.fixed_width ? "monospace" : "sans-serif", t.size_mm, xml(t.text));
  }
  return s + "</svg>\n";
}

std::string pdf_text(const std::vector<Drawing>& pages) {
  // Objects: 1 catalogue, 2 page tree, 3 and 4 type, then page and content for each drawing.
  std::vector<std::string> objects;
  std::string kids;
  for (std::size_t n = 0; n < pages.size(); ++n) kids += fmt::format("{} 0 R ", 5 + 2 * n);
  objects.emplace_back("<< /Type /Catalog /Pages 2 0 R /ViewerPreferences << /PrintScaling /None >> >>");
  objects.push_back(fmt::format("<< /Type /Pages /Kids [ {}] /Count {} >>", kids, pages.size()));
  objects.emplace_back("<< /Type /Font /Subtype /Type1 /BaseFont /Helvetica /Encoding /WinAnsiEncoding >>");
  objects.emplace_back("<< /Type /Font /Subtype /Type1 /BaseFont /Courier /Encoding /WinAnsiEncoding >>");
  for (std::size_t n = 0; n < pages.size(); ++n) {
    objects.push_back(fmt::format(
        "<< /Type /Page /Parent 2 0 R /MediaBox [ 0 0 {:.4f} {:.4f} ] /Resources << /Font << /F1 3 0 R /F2 4 0 R >> >> "
        "/Contents {} 0 R >>",
        pages[n].width_mm * 72.0 / 25.4, pages[n].height_mm * 72.0 / 25.4, 6 + 2 * n));
    const std::string content = pdf_content(pages[n]);
    objects.push_back(fmt::format("<< /Length {} >>\nstream\n{}endstream", content.size(), content));
  }
  std::string s = "%PDF-1.6\n";
  std::string table = fmt::format("xref\n0 {}\n0000000000 65535 f \n", objects.size() + 1);
  for (std::size_t n = 0; n < objects.size(); ++n) {
    table += fmt::format("{:010} 00000 n \n", s.size());
    s += fmt::format("{} 0 obj\n{}\nendobj\n", n + 1, objects[n]);
  }
  return s + table +
         fmt::format("trailer\n<< /Size {} /Root 1 0 R >>\nstartxref\n{}\n%%EOF\n", objects.size() + 1, s.size());
}

std::vector<Drawing> text_pages(const std::string& text) {
  constexpr double size_mm = 3.0, line_mm = 4.1, left_mm = 15.0, top_mm = 18.0, bottom_mm = 283.0;
  std::vector<Drawing> pages(1);
  double y = top_mm;
  for (const std::string& sheet : split(text, '\f')) {
    if (!pages.back().texts.empty()) pages.emplace_back();
    y = top_mm;
    for (const std::string& line : split(sheet, '\n')) {
      if (y > bottom_mm) {
        pages.emplace_back();
        y = top_mm;
      }
      if (!line.empty()) pages.back().texts.push_back({left_mm, y, line, size_mm, true});
      y += line_mm;
    }
  }
  return pages;
}

}  // namespace stile::plots
