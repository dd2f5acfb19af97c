#pragma once
// Measures a drawn chart in its SVG: whether entries of its legend are told apart without colour, and whether labels
// lie on anything.

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdio>
#include <filesystem>
#include <map>
#include <sstream>
#include <string>
#include <vector>

#include <catch2/catch.hpp>
#include <fmt/core.h>
#include <pugixml.hpp>

#include <stile/plots/drawing.hpp>

namespace chart_measure {

struct At {
  double x = 0.0, y = 0.0;
};

struct Box {
  double left = 1e300, top = 1e300, right = -1e300, bottom = -1e300;
  void take(At p) {
    left = std::min(left, p.x);
    right = std::max(right, p.x);
    top = std::min(top, p.y);
    bottom = std::max(bottom, p.y);
  }
};

inline bool overlap(const Box& a, const Box& b) {
  return a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom;
}

inline bool inside(const Box& a, const Box& b) {
  return a.left >= b.left && a.right <= b.right && a.top >= b.top && a.bottom <= b.bottom;
}

using Colour = std::array<double, 3>;  // sRGB, 0..1

struct Text {
  std::string text;
  Box box;
  double size = 0.0;
  At base;
  bool from_left = false;  // starts at its place, level
  bool level = true;
};

/// A line, a mark or a filled area.
struct Shape {
  std::string form;  // all but the colour: "line 1 0.3", "mark gpPt4", "fill"
  Colour colour{};
  Box box;
  At first, last;
  std::vector<std::vector<At>> pieces;  // of a line
};

struct Picture {
  double width = 0.0, height = 0.0;
  std::vector<Text> texts;
  std::vector<Shape> shapes;
  std::vector<std::size_t> texts_before;  // of each shape: how many texts were drawn before it
};

inline std::vector<double> numbers(const std::string& text) {
  std::vector<double> all;
  std::string plain = text;
  for (char& c : plain) {
    if (std::string("0123456789.-").find(c) == std::string::npos) c = ' ';
  }
  std::istringstream in(plain);
  for (double x; in >> x;) all.push_back(x);
  return all;
}

inline Colour colour_of(const std::string& text) {
  if (text.rfind("rgb", 0) == 0) {
    const std::vector<double> n = numbers(text.substr(3));
    return {n.at(0) / 255.0, n.at(1) / 255.0, n.at(2) / 255.0};
  }
  if (text.size() == 7 && text[0] == '#') {
    const auto part = [&](std::size_t at) { return std::stoi(text.substr(at, 2), nullptr, 16) / 255.0; };
    return {part(1), part(3), part(5)};
  }
  if (text == "white") return {1.0, 1.0, 1.0};
  INFO(text);
  REQUIRE((text == "black" || text == "none"));
  return {0.0, 0.0, 0.0};
}

/// The colour of a line, its own or of a group that it stands in.
inline std::string line_colour(const pugi::xml_node& node) {
  for (pugi::xml_node at = node; at; at = at.parent()) {
    const std::string stroke = at.attribute("stroke").value();
    if (!stroke.empty() && stroke != "currentColor") return stroke;
    if (at.attribute("color")) return at.attribute("color").value();
  }
  return "black";
}

/// The strokes of a path.
inline std::vector<std::vector<At>> pieces_of(const std::string& path) {
  std::vector<std::vector<At>> pieces;
  for (std::size_t at = path.find('M'); at != path.npos;) {
    const std::size_t next = path.find('M', at + 1);
    const std::vector<double> p = numbers(path.substr(at, next - at));
    at = next;
    pieces.emplace_back();
    for (std::size_t n = 0; n + 1 < p.size(); n += 2) pieces.back().push_back({p[n], p[n + 1]});
  }
  return pieces;
}

/// "hatch rising 6 falling 6": slanting strokes of a path of many pieces; empty when it is something else.
inline std::string hatch_of(const std::string& path) {
  std::size_t rising = 0, falling = 0, others = 0;
  for (std::size_t at = path.find('M'); at != path.npos;) {
    const std::size_t next = path.find('M', at + 1);
    const std::vector<double> p = numbers(path.substr(at, next - at));
    at = next;
    if (p.size() < 4) continue;  // a place without a stroke
    const double dx = p[2] - p[0], dy = p[3] - p[1];
    const bool slanting = p.size() == 4 && std::abs(std::abs(dx) - std::abs(dy)) <= 0.05 && dx != 0.0;
    ++(!slanting ? others : dx * dy < 0.0 ? rising : falling);
  }
  if (others > 0 || rising + falling < 2) return "";
  return "hatch rising " + std::to_string(rising) + " falling " + std::to_string(falling);
}

/// Lengths of a dash pattern over its longest, so that the width of the line does not matter; "1" is solid.
inline std::string dash_of(const std::string& text) {
  const std::vector<double> n = numbers(text);
  if (n.empty()) return "line solid";
  std::string form = "line";
  for (const double x : n) {
    std::array<char, 16> part{};
    std::snprintf(part.data(), part.size(), " %.1f", x / n.front());
    form += part.data();
  }
  return form;
}

/// Letters reach 0.76 of the type size above the base line and 0.24 below it in DejaVu Sans (b and p, read from the
/// type).
inline Box text_box(const pugi::xml_node& node, const std::string& text, double size) {
  const double width = stile::plots::text_width_mm(text, {size, false, false});
  const std::string anchor = node.attribute("text-anchor").value();
  const double left = anchor == "end" ? -width : anchor == "middle" ? -0.5 * width : 0.0;
  const std::vector<double> place = numbers(node.attribute("transform").value());
  const double turn = place.size() > 2 ? place[2] * std::acos(-1.0) / 180.0 : 0.0;
  Box box;
  for (const At corner :
       {At{left, -0.76 * size}, At{left + width, 0.24 * size}, At{left, 0.24 * size}, At{left + width, -0.76 * size}}) {
    box.take({place.at(0) + corner.x * std::cos(turn) - corner.y * std::sin(turn),
              place.at(1) + corner.x * std::sin(turn) + corner.y * std::cos(turn)});
  }
  return box;
}

inline void read(const pugi::xml_node& node, Picture& picture) {
  const std::string name = node.name();
  if (name == "defs" || name == "title" || name == "desc") return;
  const auto add = [&](std::string form, const std::string& colour, const std::vector<double>& places) {
    Shape shape{std::move(form), colour_of(colour), {}, {}, {}, {}};
    for (std::size_t n = 0; n + 1 < places.size(); n += 2) shape.box.take({places[n], places[n + 1]});
    shape.first = {places.at(0), places.at(1)};
    shape.last = {places.at(places.size() - 2), places.back()};
    picture.shapes.push_back(std::move(shape));
    picture.texts_before.push_back(picture.texts.size());
  };
  if (name == "text") {
    const pugi::xml_node place = node.parent();
    std::string text = node.text().get();
    for (const pugi::xml_node part : node.children("tspan")) text += part.text().get();
    const double size = place.attribute("font-size").as_double();
    REQUIRE(size > 0.0);
    const std::vector<double> at = numbers(place.attribute("transform").value());
    picture.texts.push_back({text,
                             text_box(place, text, size),
                             size,
                             {at.at(0), at.at(1)},
                             at.size() == 2 && place.attribute("text-anchor").value() == std::string("start"),
                             at.size() == 2});
    return;
  }
  if (name == "path" && node.attribute("d")) {
    const std::string hatch = hatch_of(node.attribute("d").value());
    add(hatch.empty() ? dash_of(node.attribute("stroke-dasharray").value()) : hatch, line_colour(node),
        numbers(node.attribute("d").value()));
    picture.shapes.back().pieces = pieces_of(node.attribute("d").value());
  }
  if (name == "polygon") {
    const std::string fill = node.attribute("fill").value();
    const bool pattern = fill.rfind("url", 0) == 0;
    add(pattern ? "pattern" : "fill", pattern ? line_colour(node) : fill, numbers(node.attribute("points").value()));
  }
  if (name == "use") {
    const std::vector<double> place = numbers(node.attribute("transform").value());
    add(std::string("mark ") + node.attribute("xlink:href").value(), node.attribute("color").value(),
        {place.at(0), place.at(1)});
    // A mark reaches from its place as far as it is scaled; its own drawing is two units wide.
    for (const double side : {-1.0, 1.0})
      picture.shapes.back().box.take({place.at(0) + side * place.at(2), place.at(1) + side * place.at(2)});
  }
  for (const pugi::xml_node child : node.children()) read(child, picture);
}

inline Picture picture_of(const std::filesystem::path& file) {
  pugi::xml_document document;
  REQUIRE(document.load_file(file.c_str(), pugi::parse_default | pugi::parse_ws_pcdata_single));
  const pugi::xml_node svg = document.child("svg");
  Picture picture;
  picture.width = svg.attribute("width").as_double();
  picture.height = svg.attribute("height").as_double();
  REQUIRE(picture.width > 100.0);
  for (const pugi::xml_node child : svg.children()) read(child, picture);
  return picture;
}

/// The look of a legend's entry: what is drawn left of its text.
struct Look {
  std::string name, form;
  std::vector<Colour> colours;
};

inline std::vector<Look> legend_of(const Picture& picture) {
  // Legend::size_pt and sample_pt in pixels of 1/96 inch; a sample's centre lies 24 pixels before its text.
  constexpr double type = 10.0, sample = 40.0, half = 5.5;
  std::vector<Look> looks;
  for (const Text& t : picture.texts) {
    if (!t.from_left || std::abs(t.size - type) > 0.01) continue;
    const double middle = t.base.y - 0.25 * type;
    const Box zone{t.base.x - sample - 1.0, middle - half, t.base.x - 2.0, middle + half};
    std::map<std::string, std::size_t> forms;
    Look look{t.text, "", {}};
    bool sampled = false;  // a name beside a point of a chart has no sample at the legend's place
    for (const Shape& shape : picture.shapes) {
      if (!inside(shape.box, zone)) continue;
      std::string form = shape.form;
      const At centre{0.5 * (shape.box.left + shape.box.right), 0.5 * (shape.box.top + shape.box.bottom)};
      sampled = sampled || (std::abs(centre.x - (t.base.x - 24.0)) < 0.1 && std::abs(centre.y - middle) < 0.3);
      const double dx = shape.last.x - shape.first.x, dy = shape.last.y - shape.first.y;
      if (form == "line solid" && shape.box.bottom - shape.box.top > 1.0 && std::hypot(dx, dy) < 1e-6) form = "frame";
      ++forms[form];
      if (form != "frame") look.colours.push_back(shape.colour);
    }
    for (const auto& [form, count] : forms) look.form += form + (count > 1 ? " x" + std::to_string(count) : "") + "; ";
    if (sampled) looks.push_back(std::move(look));
  }
  return looks;
}

inline double linear(double c) { return c <= 0.04045 ? c / 12.92 : std::pow((c + 0.055) / 1.055, 2.4); }

inline Colour linear_of(const Colour& c) { return {linear(c[0]), linear(c[1]), linear(c[2])}; }

/// CIE 1976 L*, a*, b* of linear sRGB. Source: IEC 61966-2-1:1999 and CIE 15:2004, white D65.
inline std::array<double, 3> lab(const Colour& rgb) {
  const auto f = [](double t) { return t > 0.008856 ? std::cbrt(t) : 7.787 * t + 16.0 / 116.0; };
  const double x = f((0.4124 * rgb[0] + 0.3576 * rgb[1] + 0.1805 * rgb[2]) / 0.9505);
  const double y = f(0.2126 * rgb[0] + 0.7152 * rgb[1] + 0.0722 * rgb[2]);
  const double z = f((0.0193 * rgb[0] + 0.1192 * rgb[1] + 0.9505 * rgb[2]) / 1.0890);
  return {116.0 * y - 16.0, 500.0 * (x - y), 200.0 * (y - z)};
}

using Matrix = std::array<std::array<double, 3>, 3>;

/// Protanopia, deuteranopia and tritanopia, on linear RGB: G. M. Machado, M. M. Oliveira, L. A. F. Fernandes, "A
/// Physiologically-based Model for Simulation of Color Vision Deficiency", IEEE Transactions on Visualization and
/// Computer Graphics 15(6), 2009, 1291-1298, the matrices of severity 1.0 (read second-hand).
inline constexpr std::array<Matrix, 3> deficiencies{
    {{{{0.152286, 1.052583, -0.204868}, {0.114503, 0.786281, 0.099216}, {-0.003882, -0.048116, 1.051998}}},
     {{{0.367322, 0.860646, -0.227968}, {0.280085, 0.672501, 0.047413}, {-0.011820, 0.042940, 0.968881}}},
     {{{1.255528, -0.076749, -0.178779}, {-0.078411, 0.930809, 0.147602}, {0.004733, 0.691367, 0.303900}}}}};

/// The least difference between two colours in grey (of L*) and in the three deficiencies (of L*, a*, b*: CIE 1976).
inline double least_difference(const Colour& one, const Colour& two) {
  const Colour a = linear_of(one), b = linear_of(two);
  double least = std::abs(lab(a)[0] - lab(b)[0]);
  for (const Matrix& m : deficiencies) {
    const auto seen = [&](const Colour& c) {
      Colour out{};
      for (std::size_t i = 0; i < 3; ++i)
        out[i] = std::clamp(m[i][0] * c[0] + m[i][1] * c[1] + m[i][2] * c[2], 0.0, 1.0);
      return lab(out);
    };
    const auto p = seen(a), q = seen(b);
    least = std::min(least, std::hypot(p[0] - q[0], p[1] - q[1], p[2] - q[2]));
  }
  return least;
}

/// Six times what an eye just sees of colours side by side (about 2.3: M. Mahy, L. Van Eycken, A. Oosterlinck, Color
/// Research & Application 19(2), 1994, 105-121, from memory): they stand apart here, and are printed.
inline constexpr double contrast = 14.0;

inline bool alike(const Look& a, const Look& b) {
  if (a.form != b.form) return false;
  for (std::size_t n = 0; n < std::min(a.colours.size(), b.colours.size()); ++n) {
    if (least_difference(a.colours[n], b.colours[n]) >= contrast) return false;
  }
  return true;
}

/// Any two entries of the legend differ in grey and in three colour vision deficiencies, or by form.
/// @return  how many pairs there are
inline std::size_t check_legend(const std::filesystem::path& file) {
  const std::vector<Look> looks = legend_of(picture_of(file));
  std::size_t pairs = 0;
  for (std::size_t a = 0; a < looks.size(); ++a) {
    for (std::size_t b = a + 1; b < looks.size(); ++b) {
      ++pairs;
      INFO(file.filename().string() << ": \"" << looks[a].name << "\" (" << looks[a].form << ") and \"" << looks[b].name
                                    << "\"");
      CHECK(!alike(looks[a], looks[b]));
    }
  }
  return pairs;
}

/// Labels lie on no other label, under no box, and inside the page.
/// @return  how many there are
inline std::size_t check_labels(const std::filesystem::path& file) {
  const Picture picture = picture_of(file);
  const Box page{0.0, 0.0, picture.width, picture.height};
  for (std::size_t a = 0; a < picture.texts.size(); ++a) {
    const Text& one = picture.texts[a];
    if (one.text.empty()) continue;
    INFO(file.filename().string() << ": \"" << one.text << "\" at " << one.base.x << ", " << one.base.y);
    CHECK(inside(one.box, page));
    for (std::size_t b = a + 1; b < picture.texts.size(); ++b) {
      if (picture.texts[b].text.empty()) continue;
      INFO("and \"" << picture.texts[b].text << "\"");
      CHECK(!overlap(one.box, picture.texts[b].box));
    }
    for (std::size_t s = 0; s < picture.shapes.size(); ++s) {
      if (picture.shapes[s].form != "fill" || picture.texts_before[s] <= a) continue;
      INFO("under a box at " << picture.shapes[s].box.left << ", " << picture.shapes[s].box.top);
      CHECK(!overlap(one.box, picture.shapes[s].box));
    }
  }
  return picture.texts.size();
}

/// Whether the straight line from a to b enters a box (Liang and Barsky's clipping, ACM Trans. Graphics 3(1), 1984).
inline bool enters(At a, At b, const Box& box) {
  double from = 0.0, to = 1.0;
  const auto clip = [&](double step, double room) {
    if (step == 0.0) return room > 0.0;
    (step < 0.0 ? from : to) = step < 0.0 ? std::max(from, room / step) : std::min(to, room / step);
    return from < to;
  };
  const double dx = b.x - a.x, dy = b.y - a.y;
  return clip(-dx, a.x - box.left) && clip(dx, box.right - a.x) && clip(-dy, a.y - box.top) &&
         clip(dy, box.bottom - a.y);
}

/// What strikes a label through: "the mark at 3, 4", "the line at 3, 4"; empty: nothing. What lies under the label's
/// own white ground does not. Marks count that reach into the letters' body, and lines that are dark: grid lines,
/// separators, circles of resistance and whatever else is as light as #808080 are not seen, nor are hatches, images,
/// and lines that only graze a label.
inline std::string strike_of(const Picture& picture, std::size_t label) {
  constexpr double light = 53.0, graze = 0.12;  // L*; of the type size
  const Text& text = picture.texts[label];
  Box body = text.box;
  body.left += graze * text.size, body.right -= graze * text.size;
  body.top += graze * text.size, body.bottom -= 0.24 * text.size;  // a figure ends at the base line
  if (!text.level) body.bottom = text.box.bottom - graze * text.size;
  const At middle{0.5 * (body.left + body.right), 0.5 * (body.top + body.bottom)};
  std::string found;
  for (std::size_t s = 0; s < picture.shapes.size(); ++s) {
    const Shape& shape = picture.shapes[s];
    if (shape.form == "fill" && picture.texts_before[s] <= label && lab(linear_of(shape.colour))[0] > 99.0 &&
        middle.x > shape.box.left && middle.x < shape.box.right && middle.y > shape.box.top &&
        middle.y < shape.box.bottom)
      found.clear();
    const std::string at = fmt::format(" at {:.1f}, {:.1f}", shape.box.left, shape.box.top);
    if (shape.form.rfind("mark", 0) == 0 && overlap(body, shape.box)) found = "the mark" + at;
    if (shape.form.rfind("line", 0) != 0 || lab(linear_of(shape.colour))[0] > light) continue;
    for (const std::vector<At>& piece : shape.pieces) {
      for (std::size_t n = 1; n < piece.size(); ++n) {
        if (enters(piece[n - 1], piece[n], body)) found = "the line" + at;
      }
    }
  }
  return found;
}

/// No label is struck through by a mark or a line.
inline void check_strikes(const std::filesystem::path& file) {
  const Picture picture = picture_of(file);
  for (std::size_t n = 0; n < picture.texts.size(); ++n) {
    if (picture.texts[n].text.empty()) continue;
    INFO(file.filename().string() << ": \"" << picture.texts[n].text << "\" at " << picture.texts[n].base.x << ", "
                                  << picture.texts[n].base.y);
    CHECK(strike_of(picture, n) == "");
  }
}

/// All of it, of one chart.
inline void check_chart(const std::filesystem::path& file) {
  check_legend(file);
  CHECK(check_labels(file) > 5);
  check_strikes(file);
}

}  // namespace chart_measure
