#include <stile/plots/coil_template.hpp>

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include <stile/base/constants.hpp>

namespace stile::plots {
namespace {

std::string mm(double value_m, int decimals = 1) { return fmt::format("{:.{}f}", 1e3 * value_m, decimals); }

/// A scale with a tick each millimetre and figures each ten, across or down.
void ruler(Drawing& d, double x, double y, double length_mm, bool down) {
  const auto line = [&](double from, double across_from, double to, double across_to) {
    d.lines.push_back(down ? DrawnLine{x + across_from, y + from, x + across_to, y + to, 0.15}
                           : DrawnLine{x + from, y + across_from, x + to, y + across_to, 0.15});
  };
  line(0.0, 0.0, length_mm, 0.0);
  for (int i = 0; i <= static_cast<int>(length_mm); ++i) {
    line(i, 0.0, i, i % 10 == 0 ? 4.0 : i % 5 == 0 ? 3.0 : 2.0);
    if (i % 10 == 0)
      d.texts.push_back({down ? x + 4.8 : x + i,
                         down ? y + i + 0.8 : y + 7.0,
                         fmt::format("{}", i),
                         {2.4},
                         down ? Anchor::left : Anchor::centre});
  }
}

struct Sheet {
  double width_mm, height_mm;
};

/// The smallest of A4 to A2, either way up, that holds a drawing; beyond that a sheet as large as needed.
Sheet sheet_for(double width_mm, double height_mm) {
  for (const Sheet& s : {Sheet{210.0, 297.0}, Sheet{297.0, 210.0}, Sheet{297.0, 420.0}, Sheet{420.0, 297.0},
                         Sheet{420.0, 594.0}, Sheet{594.0, 420.0}}) {
    if (width_mm <= s.width_mm && height_mm <= s.height_mm) return s;
  }
  return {std::ceil(width_mm), std::ceil(height_mm)};
}

std::string tap_label(double turn, const std::string& serves) { return fmt::format("{:g}: {}", turn, serves); }

void cross(Drawing& d, double x, double y, double arm) {
  d.lines.push_back({x - arm, y, x + arm, y, 0.15});
  d.lines.push_back({x, y - arm, x, y + arm, 0.15});
}

}  // namespace

Drawing coil_template(const CoilTemplate& coil) {
  const coil::BuildData b = coil::build_data(coil.winding, coil.taps, 0.0);
  const double round = 1e3 * pi * b.former_diameter_m, along = 1e3 * coil::winding_length_m(coil.winding),
               wire = 1e3 * coil.winding.wire.diameter_m, pitch = 1e3 * coil.winding.sections.front().pitch_m;
  constexpr double left = 24.0, top = 66.0, spare = 8.0, bottom = 16.0, edge = 5.0;
  constexpr TypeStyle text_type{3.0}, label_type{2.1};
  constexpr double least_label_mm = 18.0;
  const Sheet page = sheet_for(left + round + 5.0 + least_label_mm + edge, top + along + spare + bottom);
  Drawing d;
  d.width_mm = page.width_mm;
  d.height_mm = page.height_mm;
  const double text_mm = page.width_mm - left - 2.0 * edge;
  const auto text = [&](double at_x, double at_y, const std::string& t, const TypeStyle& style) {
    d.texts.push_back({at_x, at_y, t, style});
  };
  constexpr double ruler_y = 44.0;
  double y = 13.0;
  const auto paragraph = [&](const std::string& t, TypeStyle style) {
    for (const std::string& line : text_lines(t, style, text_mm)) {
      text(left, y, line, style);
      y += 1.35 * style.size_mm;
    }
  };
  paragraph("Winding template: " + coil.title, {4.2, true});
  paragraph(fmt::format("Former {} mm outside, {:g} turns, pitch {} mm, wire {} mm. Surface of the former unrolled at "
                        "1 : 1. Print at 100 % (\"actual size\", no fitting to the page) and check both rulers with a "
                        "steel one.",
                        mm(b.former_diameter_m, 2), coil::total_turns(coil.winding), mm(1e-3 * pitch, 2),
                        mm(coil.winding.wire.diameter_m, 2)),
            text_type);
  paragraph("Cut along the dashed lines and wrap: both long edges meet on the line through the start hole, and each "
            "wire line meets its next turn. A gap of 0.3 mm is the paper's thickness.",
            text_type);
  ruler(d, left, ruler_y, 100.0, false);
  text(left + 104.0, ruler_y + 3.5, "100 mm", text_type);
  ruler(d, 6.0, top, 100.0, true);

  const double right = left + round, low = top + along;
  d.lines.push_back({left, top - spare, left, low + spare, 0.2, true});
  d.lines.push_back({right, top - spare, right, low + spare, 0.2, true});
  d.lines.push_back({left, top - spare, right, top - spare, 0.2, true});
  d.lines.push_back({left, low + spare, right, low + spare, 0.2, true});
  // The wire's path: each turn is one slanted line, cut where the last one ends short of a full turn.
  for (std::size_t n = 0; n + 1 < b.turns.size(); ++n) {
    const coil::BuildMark &from = b.turns[n], &to = b.turns[n + 1];
    const double part = to.place.turn - from.place.turn;
    d.lines.push_back({left, top + 1e3 * from.along_m, left + part * round, top + 1e3 * to.along_m, 0.25});
    if (n % 5 == 0)
      d.texts.push_back({left - 1.5, top + 1e3 * from.along_m + 0.8, from.label, label_type, Anchor::right});
  }
  for (const coil::BuildMark& hole : b.holes) {
    const double hole_x = left + 1e3 * hole.around_m, hole_y = top + 1e3 * hole.along_m;
    d.circles.push_back({hole_x, hole_y, 0.5e3 * b.hole_diameter_m});
    cross(d, hole_x, hole_y, 1.5 + 0.5 * wire);
    text(hole_x + 2.5 + 0.5 * wire, hole_y + (hole.label.rfind("start", 0) == 0 ? -2.0 : 3.6), "hole: " + hole.label,
         {2.4});
  }
  text(left + 26.0, top - 2.0, "-> direction of winding", label_type);
  // Labels beside the right edge, moved apart where taps crowd.
  std::vector<coil::BuildMark> taps = b.taps;
  std::stable_sort(taps.begin(), taps.end(),
                   [](const coil::BuildMark& p, const coil::BuildMark& q) { return p.along_m < q.along_m; });
  for (std::size_t n = 1; n < taps.size();) {  // one label a place
    if (taps[n].place.turn != taps[n - 1].place.turn) {
      ++n;
      continue;
    }
    taps[n - 1].label += "; " + taps[n].label;
    taps.erase(taps.begin() + static_cast<std::ptrdiff_t>(n));
  }
  // Rings that leave their neighbours free where taps follow turn on turn.
  const double ring = std::min(1.2, 0.4 * pitch), arm = std::min(2.0, 0.8 * pitch);
  double free_y = top - spare;
  for (const coil::BuildMark& tap : taps) {
    const double tap_x = left + 1e3 * tap.around_m, tap_y = top + 1e3 * tap.along_m;
    d.circles.push_back({tap_x, tap_y, ring});
    cross(d, tap_x, tap_y, arm);
    const double label_y = std::max(tap_y, free_y);
    d.lines.push_back({tap_x + arm, tap_y, right, tap_y, 0.1, true});
    d.lines.push_back({right, tap_y, right + 4.0, label_y, 0.1});
    free_y = label_y;
    for (const std::string& line :
         text_lines(tap_label(tap.place.turn, tap.label), label_type, page.width_mm - right - 5.0 - edge)) {
      text(right + 5.0, free_y + 0.8, line, label_type);
      free_y += 2.7;
    }
    free_y += 0.6;
  }
  y = d.height_mm - bottom + 5.0;
  paragraph("The finished coil carries high voltage while the transmitter is keyed: insulate it and its taps, touch "
            "nothing then. The cautions stand on the build sheet.",
            {2.6, true});
  paragraph(coil.program + ". Left- or right-handed winding makes no difference to the coil; as drawn, wind in the "
                           "direction of the arrow.",
            {2.3});
  return d;
}

}  // namespace stile::plots
