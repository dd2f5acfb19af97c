#include <stile/plots/drawing.hpp>

#include <sstream>

#include <fmt/format.h>
#include <pugixml.hpp>

#include <stile/plots/type.hpp>

namespace stile::plots {
namespace {

void set(pugi::xml_node node, const char* name, double value, int decimals = 4) {
  node.append_attribute(name) = fmt::format("{:.{}f}", value, decimals).c_str();
}

std::string colour(double grey) {
  const int level = static_cast<int>(255.0 * grey + 0.5);
  return fmt::format("#{0:02x}{0:02x}{0:02x}", level);
}

}  // namespace

std::string svg_text(const Drawing& d) {
  pugi::xml_document document;
  pugi::xml_node svg = document.append_child("svg");
  svg.append_attribute("xmlns") = "http://www.w3.org/2000/svg";
  svg.append_attribute("width") = fmt::format("{:.3f}mm", d.width_mm).c_str();
  svg.append_attribute("height") = fmt::format("{:.3f}mm", d.height_mm).c_str();
  svg.append_attribute("viewBox") = fmt::format("0 0 {:.3f} {:.3f}", d.width_mm, d.height_mm).c_str();
  pugi::xml_node paper = svg.append_child("rect");
  paper.append_attribute("width") = "100%";
  paper.append_attribute("height") = "100%";
  paper.append_attribute("fill") = "white";
  for (const DrawnBox& b : d.boxes) {
    pugi::xml_node node = svg.append_child("rect");
    set(node, "x", b.x_mm);
    set(node, "y", b.y_mm);
    set(node, "width", b.width_mm);
    set(node, "height", b.height_mm);
    node.append_attribute("fill") = colour(b.grey).c_str();
    if (b.frame_mm > 0.0) {
      node.append_attribute("stroke") = "black";
      set(node, "stroke-width", b.frame_mm, 3);
    }
  }
  for (const DrawnLine& l : d.lines) {
    pugi::xml_node node = svg.append_child("line");
    set(node, "x1", l.x1_mm);
    set(node, "y1", l.y1_mm);
    set(node, "x2", l.x2_mm);
    set(node, "y2", l.y2_mm);
    node.append_attribute("stroke") = colour(l.grey).c_str();
    set(node, "stroke-width", l.width_mm, 3);
    if (l.dashed) node.append_attribute("stroke-dasharray") = "1.2 1.2";
  }
  for (const DrawnCircle& c : d.circles) {
    pugi::xml_node node = svg.append_child("circle");
    set(node, "cx", c.x_mm);
    set(node, "cy", c.y_mm);
    set(node, "r", c.radius_mm);
    node.append_attribute("fill") = "none";
    node.append_attribute("stroke") = "black";
    node.append_attribute("stroke-width") = "0.2";
  }
  for (const DrawnText& t : d.texts) {
    pugi::xml_node node = svg.append_child("text");
    set(node, "x", t.x_mm);
    set(node, "y", t.y_mm);
    node.append_attribute("font-family") =
        t.style.fixed_width ? "DejaVu Sans Mono, monospace" : "DejaVu Sans, sans-serif";
    set(node, "font-size", t.style.size_mm, 3);
    if (t.style.bold) node.append_attribute("font-weight") = "bold";
    if (t.anchor != Anchor::left) node.append_attribute("text-anchor") = t.anchor == Anchor::centre ? "middle" : "end";
    if (t.grey > 0.0) node.append_attribute("fill") = colour(t.grey).c_str();
    node.append_attribute("xml:space") = "preserve";
    node.text() = detail::one_line(t.text).c_str();
  }
  std::ostringstream out;
  document.save(out, "", pugi::format_default, pugi::encoding_utf8);
  return out.str();
}

}  // namespace stile::plots
