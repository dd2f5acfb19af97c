#include <stile/plots/schematic.hpp>

#include <algorithm>
#include <cmath>

#include <fmt/core.h>

#include <stile/base/constants.hpp>
#include <stile/base/quantity.hpp>

namespace stile::plots {
namespace {

constexpr double stroke_mm = 0.3;
constexpr TypeStyle name_type{schematic_type_mm}, value_type{2.6, true};
constexpr double line_mm = 3.0;  // from text to text

/// Draws along a line from (0, 0) to (length, 0) that is laid from one point of the page to another, across or down.
struct Pen {
  Drawing& page;
  double x, y;
  bool down;
  void line(double a1, double b1, double a2, double b2, double width = stroke_mm) const {
    page.lines.push_back(down ? DrawnLine{x - b1, y + a1, x - b2, y + a2, width}
                              : DrawnLine{x + a1, y + b1, x + a2, y + b2, width});
  }
};

/// Half circles side by side, each of 12 straight pieces.
void bumps(const Pen& pen, double from, double to) {
  constexpr int count = 4, pieces = 12;
  const double radius = (to - from) / (2.0 * count);
  for (int n = 0; n < count; ++n) {
    const double middle = from + radius * (2 * n + 1);
    for (int k = 0; k < pieces; ++k) {
      const double a = pi * k / pieces, b = pi * (k + 1) / pieces;
      pen.line(middle - radius * std::cos(a), -radius * std::sin(a), middle - radius * std::cos(b),
               -radius * std::sin(b));
    }
  }
}

void box(const Pen& pen, double from, double to) {
  pen.line(from, -1.7, to, -1.7);
  pen.line(from, 1.7, to, 1.7);
  pen.line(from, -1.7, from, 1.7);
  pen.line(to, -1.7, to, 1.7);
}

void symbol(const Pen& pen, const network::Component& part, double length) {
  const double middle = 0.5 * length;
  const bool coil =
      std::holds_alternative<network::Inductor>(part) || std::holds_alternative<network::InductorBank>(part);
  const bool capacitor =
      std::holds_alternative<network::Capacitor>(part) || std::holds_alternative<network::CapacitorBank>(part);
  const double half = capacitor ? 0.6 : std::min(5.0, 0.4 * length);
  pen.line(0.0, 0.0, middle - half, 0.0);
  pen.line(middle + half, 0.0, length, 0.0);
  if (coil) {
    bumps(pen, middle - half, middle + half);
  } else if (capacitor) {
    pen.line(middle - half, -2.2, middle - half, 2.2, 0.5);
    pen.line(middle + half, -2.2, middle + half, 2.2, 0.5);
  } else {
    box(pen, middle - half, middle + half);
  }
}

/// Texts under each other.
struct Words {
  std::vector<DrawnText> lines;  // without a place
  double width_mm = 0.0;
  void add(const std::string& text, const TypeStyle& style) {
    constexpr double most_mm = 27.0;
    for (const std::string& line : text_lines(text, style, most_mm)) {
      lines.push_back({0.0, 0.0, line, style});
      width_mm = std::max(width_mm, text_width_mm(line, style));
    }
  }
  /// @param y  of the first base line
  void put(Drawing& page, double x, double y, Anchor anchor) const {
    for (DrawnText t : lines) {
      t.x_mm = x, t.y_mm = y, t.anchor = anchor;
      page.texts.push_back(std::move(t));
      y += line_mm;
    }
  }
  /// Above a symbol on the live line.
  void put_above(Drawing& page, double middle, double live) const {
    put(page, middle, live - 4.2 - line_mm * static_cast<double>(lines.size() - 1), Anchor::centre);
  }
  double height_mm() const { return line_mm * static_cast<double>(lines.size()); }
};

constexpr double words_aside = 3.6;                     // from the middle of a part across to its words
constexpr double bend_mm = 8.0, words_past_bend = 1.6;  // of an autotransformer's taps

/// What stands between transmitter and antenna, from left to right.
struct Item {
  enum class Kind { part, cable, autotransformer } kind = Kind::part;
  const network::Element* element = nullptr;
  bool tapped = false;
  Words words{}, other{};  // of an autotransformer: of the transmitter's tap, and of the whip's
  double need_mm = 0.0;
};

std::vector<Item> items_of(const Schematic& s) {
  constexpr double aside = 1.6;
  std::vector<Item> items;
  const auto cable = [&](const std::optional<network::TransmissionLine>& line) {
    if (!line) return;
    Item item{Item::Kind::cable};
    item.words.add("cable", name_type);
    item.words.add(network::value_text(*line), name_type);
    item.need_mm = item.words.width_mm + aside;
    items.push_back(std::move(item));
  };
  cable(s.before);
  if (s.autotransformer) {
    Item item{Item::Kind::autotransformer};
    const auto name = [&](Words& words, const char* of, double turns) {
      words.add(of, name_type);
      words.add(fmt::format("at turn {:g}", turns), name_type);
      words.add(fmt::format("of {:g}", s.autotransformer->all_turns), name_type);
    };
    name(item.words, "transmitter", s.autotransformer->feed_turns);
    name(item.other, "whip", s.autotransformer->antenna_turns);
    // Its words may stand under the wires to its neighbours.
    constexpr double under_neighbour = 5.0;
    item.need_mm =
        2.0 * (bend_mm + words_past_bend + std::max(item.words.width_mm, item.other.width_mm) - under_neighbour);
    items.push_back(std::move(item));
  }
  for (std::size_t n = 0; n < s.elements.size() && !s.autotransformer; ++n) {
    Item item{Item::Kind::part, &s.elements[n], s.tapped == n};
    item.words.add(network::value_text(item.element->part, 4), value_type);
    item.words.add(item.tapped ? s.tap : network::kind_name(item.element->part), name_type);
    item.need_mm =
        item.words.width_mm + aside + (item.element->place == network::Place::shunt ? 2.0 * words_aside : 0.0);
    items.push_back(std::move(item));
  }
  cable(s.after);
  return items;
}

constexpr double transmitter_mm = 22.0, antenna_mm = 22.0, link_mm = 7.6;  // the ends of a row

/// Items of each row: as many as fit beside what the row begins and ends with, at least one.
std::vector<std::vector<Item>> rows_of(std::vector<Item> items, double width) {
  std::vector<std::vector<Item>> rows(1);
  double room = width - transmitter_mm;
  for (std::size_t n = 0; n < items.size(); ++n) {
    const double end = n + 1 == items.size() ? antenna_mm : link_mm;
    if (!rows.back().empty() && items[n].need_mm + end > room) {
      rows.emplace_back();
      room = width - link_mm;
    }
    room -= items[n].need_mm;
    rows.back().push_back(std::move(items[n]));
  }
  return rows;
}

void draw_cable(Drawing& page, double left, double right, double live, const Item& item) {
  const Pen pen{page, left, live, false};
  const double length = right - left, middle = 0.5 * length, half = std::min(8.0, 0.4 * length);
  pen.line(0.0, 0.0, middle - half, 0.0);
  pen.line(middle + half, 0.0, length, 0.0);
  box(pen, middle - half, middle + half);
  item.words.put_above(page, left + middle, live);
}

/// From the live line on the left to that on the right, by the taps of a coil that stands on the common return.
void draw_autotransformer(Drawing& page, double left, double right, double live, double ground,
                          const Schematic& schematic, const Item& item) {
  const Autotransformer& coil = *schematic.autotransformer;
  const double middle = 0.5 * (left + right), top = live - 6.0, higher = std::max(coil.feed_turns, coil.antenna_turns);
  const auto height = [&](double turns) {
    const bool end = turns >= coil.all_turns - 1e-9, low = turns < higher;
    return ground + (top - ground) * (low ? 0.4 : end ? 1.0 : 0.75);
  };
  const Pen pen{page, middle, ground, true};
  const double length = top - ground;
  page.boxes.push_back({middle - 0.6, ground - 0.6, 1.2, 1.2, 0.0});
  bumps(pen, 0.0, length);
  const auto tap = [&](double from, double turns, double side, const Words& words) {
    const double y = height(turns), bend = middle + bend_mm * side, point = middle + 0.4 * side;
    page.lines.push_back({from, live, bend, live, stroke_mm});
    page.lines.push_back({bend, live, bend, y, stroke_mm});
    page.lines.push_back({bend, y, point, y, stroke_mm});
    page.lines.push_back({point + 1.4 * side, y - 0.9, point, y, stroke_mm});
    page.lines.push_back({point + 1.4 * side, y + 0.9, point, y, stroke_mm});
    words.put(page, bend + words_past_bend * side, live + 4.0, side < 0.0 ? Anchor::right : Anchor::left);
  };
  tap(left, coil.feed_turns, -1.0, item.words);
  tap(right, coil.antenna_turns, 1.0, item.other);
  page.texts.push_back({middle, ground + 3.6, schematic.tap, name_type, Anchor::centre});
}

void draw_part(Drawing& page, double left, double right, double live, double ground, const Item& item) {
  const network::Component& part = item.element->part;
  const double middle = 0.5 * (left + right);
  const auto line = [&](double x1, double y1, double x2, double y2) {
    page.lines.push_back({x1, y1, x2, y2, stroke_mm});
  };
  if (item.element->place == network::Place::shunt) {
    const double across = middle - 0.5 * item.words.width_mm;  // with the words beside it in the middle
    line(left, live, right, live);
    for (const double y : {live, ground}) page.boxes.push_back({across - 0.6, y - 0.6, 1.2, 1.2, 0.0});
    symbol({page, across, live, true}, part, ground - live);
    item.words.put(page, across + words_aside, 0.5 * (live + ground) - 0.5 * item.words.height_mm() + 2.4,
                   Anchor::left);
    return;
  }
  symbol({page, left, live, false}, part, right - left);
  item.words.put_above(page, middle, live);
  if (item.tapped) {  // an arrow onto the winding
    line(middle, live + 5.0, middle, live + 1.0);
    line(middle - 0.9, live + 2.4, middle, live + 1.0);
    line(middle + 0.9, live + 2.4, middle, live + 1.0);
  }
}

void draw_transmitter(Drawing& page, double x, double live, double ground) {
  page.boxes.push_back({x, live - 4.0, 16.0, ground - live + 8.0, 1.0, stroke_mm});
  page.texts.push_back({x + 8.0, 0.5 * (live + ground) + 0.8, "transmitter", name_type, Anchor::centre});
  for (const double y : {live, ground}) page.lines.push_back({x + 16.0, y, x + transmitter_mm, y, stroke_mm});
}

/// Whip above the live line, counterpoise at the other terminal, from x on.
void draw_antenna(Drawing& page, double x, double top, double live, double ground) {
  const double mast = x + antenna_mm - 12.0;
  const auto line = [&](double x1, double y1, double x2, double y2) {
    page.lines.push_back({x1, y1, x2, y2, stroke_mm});
  };
  line(x, live, mast, live);
  line(mast, live, mast, top);
  line(mast - 2.0, top + 3.0, mast, top);
  line(mast + 2.0, top + 3.0, mast, top);
  page.texts.push_back({mast + 1.6, live - 3.0, "whip", name_type});
  line(x, ground, mast, ground);
  line(mast, ground, mast, ground + 3.0);
  line(mast - 4.0, ground + 3.0, mast + 4.0, ground + 3.0);
  page.texts.push_back({mast + 5.0, ground + 0.6, "wires", name_type});
}

/// The ends of both wires, lettered, where a row breaks off (side 1) or goes on (side -1); x is at the items.
void draw_link(Drawing& page, double x, double side, double live, double ground, std::size_t link) {
  constexpr double wire_mm = 4.0;
  for (const double y : {live, ground}) {
    const char letter = static_cast<char>('a' + 2 * static_cast<char>(link) + (y == ground ? 1 : 0));
    page.lines.push_back({x, y, x + wire_mm * side, y, stroke_mm});
    page.circles.push_back({x + (wire_mm + 1.8) * side, y, 1.8});
    page.texts.push_back({x + (wire_mm + 1.8) * side, y + 0.8, std::string(1, letter), name_type, Anchor::centre});
  }
}

}  // namespace

Schematic schematic_of(const plan::Setting& setting, double all_turns) {
  Schematic s{setting.elements, plan::coil_element(setting), "", std::nullopt};
  if (!s.tapped) return s;
  s.tap = fmt::format("coil, tap {:g} of {:g}", *setting.tap_turns, all_turns);
  if (setting.feed_turns) {
    s.autotransformer = Autotransformer{*setting.feed_turns, *setting.tap_turns, all_turns};
    s.tap = setting.unused == coil::Unused::open ? "coil, rest open" : "coil, rest shorted";
  }
  if (setting.trimmer_f > 0.0) s.tap += ", " + print_quantity(setting.trimmer_f, Unit::farad, 3) + " across";
  return s;
}

Schematic schematic_of(const plan::ConditionResult& condition, double all_turns) {
  Schematic s = schematic_of(condition.setting, all_turns);
  const std::vector<network::Element>& ladder = condition.ladder.elements;
  if (ladder.empty()) return s;
  const auto cable = [](const network::Element& e) {
    const auto* line = std::get_if<network::TransmissionLine>(&e.part);
    return line != nullptr ? std::optional(*line) : std::nullopt;
  };
  s.before = cable(ladder.front());
  // A single cable without any part is the same on either side.
  if (ladder.size() > 1) s.after = cable(ladder.back());
  return s;
}

double schematic_height_mm(const Schematic& schematic, double width) {
  return schematic_row_mm * static_cast<double>(rows_of(items_of(schematic), width).size());
}

void draw_schematic(Drawing& page, double x, double y, double width, const Schematic& schematic) {
  const std::vector<std::vector<Item>> rows = rows_of(items_of(schematic), width);
  for (std::size_t r = 0; r < rows.size(); ++r) {
    const bool first = r == 0, last = r + 1 == rows.size();
    const double top = y + schematic_row_mm * static_cast<double>(r), live = top + 12.0, ground = top + 29.0;
    double at = x + (first ? transmitter_mm : link_mm);
    const double end = x + width - (last ? antenna_mm : link_mm);
    if (first)
      draw_transmitter(page, x, live, ground);
    else
      draw_link(page, at, -1.0, live, ground, r - 1);
    page.lines.push_back({at, ground, end, ground, stroke_mm});
    double need = 0.0;
    for (const Item& item : rows[r]) need += item.need_mm;
    for (const Item& item : rows[r]) {
      const double right = at + item.need_mm +
                           (end - x - (first ? transmitter_mm : link_mm) - need) / static_cast<double>(rows[r].size());
      if (item.kind == Item::Kind::cable)
        draw_cable(page, at, right, live, item);
      else if (item.kind == Item::Kind::autotransformer)
        draw_autotransformer(page, at, right, live, ground, schematic, item);
      else
        draw_part(page, at, right, live, ground, item);
      at = right;
    }
    page.lines.push_back({at, live, end, live, stroke_mm});  // past no part
    if (last)
      draw_antenna(page, end, top, live, ground);
    else
      draw_link(page, end, 1.0, live, ground, r);
  }
}

}  // namespace stile::plots
