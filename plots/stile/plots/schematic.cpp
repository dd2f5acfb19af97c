#include <stile/plots/schematic.hpp>

#include <algorithm>
#include <cmath>

#include <fmt/core.h>

#include <stile/base/constants.hpp>
#include <stile/base/quantity.hpp>

namespace stile::plots {
namespace {

constexpr double stroke_mm = 0.3;
constexpr TypeStyle name_type{2.2}, value_type{2.5, true};

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

/// A cable from the left to the right, with its length and kind.
void cable(Drawing& page, double left, double right, double live, const network::TransmissionLine& line) {
  const Pen pen{page, left, live, false};
  const double length = right - left, middle = 0.5 * length, half = std::min(8.0, 0.4 * length);
  pen.line(0.0, 0.0, middle - half, 0.0);
  pen.line(middle + half, 0.0, length, 0.0);
  box(pen, middle - half, middle + half);
  page.texts.push_back({left + middle, live - 7.2, "cable", name_type, Anchor::centre});
  page.texts.push_back({left + middle, live - 4.2, network::value_text(line), name_type, Anchor::centre});
}

/// From the live line on the left to that on the right, by the taps of a coil that stands on the common return.
void autotransformer(Drawing& page, double left, double right, double live, double ground, const Schematic& schematic) {
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
  const auto tap = [&](double from, double turns, double side, const char* of) {
    const double y = height(turns), bend = middle + 12.0 * side, point = middle + 0.4 * side;
    page.lines.push_back({from, live, bend, live, stroke_mm});
    page.lines.push_back({bend, live, bend, y, stroke_mm});
    page.lines.push_back({bend, y, point, y, stroke_mm});
    page.lines.push_back({point + 1.4 * side, y - 0.9, point, y, stroke_mm});
    page.lines.push_back({point + 1.4 * side, y + 0.9, point, y, stroke_mm});
    page.texts.push_back({bend + 1.6 * side, y + (std::abs(y - live) < 3.0 ? -1.6 : 0.9),
                          fmt::format("{} at turn {:g} of {:g}", of, turns, coil.all_turns), name_type,
                          side < 0.0 ? Anchor::right : Anchor::left});
  };
  tap(left, coil.feed_turns, -1.0, "transmitter");
  tap(right, coil.antenna_turns, 1.0, "whip");
  page.texts.push_back({middle + 5.0, ground - 2.0, schematic.tap, name_type});
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

void draw_schematic(Drawing& page, double x, double y, double width, const Schematic& schematic) {
  constexpr double ends_mm = 22.0;  // transmitter and antenna, each
  const double live = y + 12.0, ground = y + 29.0;
  const double room = width - 2.0 * ends_mm;
  const int cables = (schematic.before ? 1 : 0) + (schematic.after ? 1 : 0);
  const int parts = std::max(1, static_cast<int>(schematic.elements.size()));
  const double cable_mm = room / std::max(6, parts + cables);
  const double slot = (room - cables * cable_mm) / parts;
  const auto line = [&](double x1, double y1, double x2, double y2) {
    page.lines.push_back({x1, y1, x2, y2, stroke_mm});
  };
  const auto dot = [&](double at_x, double at_y) { page.boxes.push_back({at_x - 0.6, at_y - 0.6, 1.2, 1.2, 0.0}); };

  // Transmitter and the common return.
  page.boxes.push_back({x, live - 4.0, 16.0, ground - live + 8.0, 1.0, stroke_mm});
  page.texts.push_back({x + 8.0, 0.5 * (live + ground) + 0.8, "transmitter", name_type, Anchor::centre});
  line(x + 16.0, live, x + ends_mm, live);
  line(x + 16.0, ground, x + width - 12.0, ground);

  double at = x + ends_mm;
  if (schematic.before) {
    cable(page, at, at + cable_mm, live, *schematic.before);
    at += cable_mm;
  }
  const double end = x + width - ends_mm - (schematic.after ? cable_mm : 0.0);
  if (schematic.autotransformer) {
    autotransformer(page, at, end, live, ground, schematic);
    at = end;
  }
  for (std::size_t n = 0; n < schematic.elements.size() && !schematic.autotransformer; ++n) {
    const network::Element& element = schematic.elements[n];
    const double middle = at + 0.5 * slot;
    std::string kind = network::kind_name(element.part), value = network::value_text(element.part, 4);
    const bool tapped = schematic.tapped == n;
    if (tapped) kind = schematic.tap;
    if (element.place == network::Place::shunt) {
      line(at, live, at + slot, live);
      dot(middle, live);
      dot(middle, ground);
      symbol({page, middle, live, true}, element.part, ground - live);
      page.texts.push_back({middle + 3.6, 0.5 * (live + ground) - 0.6, value, value_type});
      page.texts.push_back({middle + 3.6, 0.5 * (live + ground) + 2.6, kind, name_type});
    } else {
      symbol({page, at, live, false}, element.part, slot);
      page.texts.push_back({middle, live - 7.2, value, value_type, Anchor::centre});
      page.texts.push_back({middle, live - 4.2, kind, name_type, Anchor::centre});
      if (tapped) {  // an arrow onto the winding
        line(middle, live + 5.0, middle, live + 1.0);
        line(middle - 0.9, live + 2.4, middle, live + 1.0);
        line(middle + 0.9, live + 2.4, middle, live + 1.0);
      }
    }
    at += slot;
  }

  if (schematic.after) {
    line(at, live, end, live);  // past no part
    cable(page, end, end + cable_mm, live, *schematic.after);
    at = end + cable_mm;
  }

  // Antenna: whip above the live line, counterpoise at the other terminal.
  const double mast = x + width - 12.0;
  line(at, live, mast, live);
  line(mast, live, mast, y);
  line(mast - 2.0, y + 3.0, mast, y);
  line(mast + 2.0, y + 3.0, mast, y);
  page.texts.push_back({mast + 1.6, live - 3.0, "whip", name_type});
  line(mast, ground, mast, ground + 3.0);
  line(mast - 4.0, ground + 3.0, mast + 4.0, ground + 3.0);
  page.texts.push_back({mast + 5.0, ground + 0.6, "wires", name_type});
}

}  // namespace stile::plots
