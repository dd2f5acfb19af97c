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
      d.texts.push_back({down ? x + 4.8 : x + i - 1.2, down ? y + i + 0.8 : y + 7.0, fmt::format("{}", i), 2.4, false});
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

/// A label in lines of at most `letters`, cut between words where there are any.
std::vector<std::string> lines_of(std::string label, std::size_t letters) {
  std::vector<std::string> lines;
  while (label.size() > letters) {
    const std::size_t blank = label.rfind(' ', letters);
    const std::size_t cut = blank == std::string::npos || blank == 0 ? letters : blank;
    lines.push_back(label.substr(0, cut));
    label.erase(0, label[cut] == ' ' ? cut + 1 : cut);
  }
  lines.push_back(label);
  return lines;
}

void cross(Drawing& d, double x, double y, double arm) {
  d.lines.push_back({x - arm, y, x + arm, y, 0.15});
  d.lines.push_back({x, y - arm, x, y + arm, 0.15});
}

}  // namespace

Drawing coil_template(const CoilTemplate& coil) {
  const coil::BuildData b = coil::build_data(coil.winding, coil.taps, 0.0);
  const double round = 1e3 * pi * b.former_diameter_m, along = 1e3 * coil::winding_length_m(coil.winding),
               wire = 1e3 * coil.winding.wire.diameter_m;
  constexpr double left = 24.0, top = 62.0, spare = 8.0, bottom = 14.0, label_size = 2.1;
  constexpr double letter_mm = 0.46 * label_size, least_label_mm = 20.0;
  const Sheet page = sheet_for(left + round + least_label_mm, top + along + spare + bottom);
  Drawing d;
  d.width_mm = page.width_mm;
  d.height_mm = page.height_mm;
  const auto text = [&](double x, double y, const std::string& t, double size = 3.0) {
    d.texts.push_back({x, y, t, size, false});
  };
  text(15.0, 14.0, "Winding template: " + coil.title, 4.2);
  text(
      15.0, 20.0,
      fmt::format("Former {} mm outside, {:g} turns, pitch {} mm, wire {} mm. Surface of the former unrolled at 1 : 1.",
                  mm(b.former_diameter_m, 2), coil::total_turns(coil.winding),
                  mm(coil.winding.sections.front().pitch_m, 2), mm(coil.winding.wire.diameter_m, 2)));
  text(15.0, 25.0, "Print at 100 % (\"actual size\", no fitting to the page) and check both rulers with a steel one.");
  text(15.0, 30.0,
       "Cut along the dashed lines and wrap: both long edges meet on the line through the start hole, and each wire "
       "line");
  text(15.0, 34.0, "meets its next turn. A gap of 0.3 mm is the paper's thickness.");
  ruler(d, left, 39.0, 100.0, false);
  text(left + 106.0, 42.5, "100 mm", 3.0);
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
    if (n % 5 == 0) text(left - 6.0, top + 1e3 * from.along_m + 0.9, from.label, label_size);
  }
  for (const coil::BuildMark& hole : b.holes) {
    const double x = left + 1e3 * hole.around_m, y = top + 1e3 * hole.along_m;
    d.circles.push_back({x, y, 0.5e3 * b.hole_diameter_m});
    cross(d, x, y, 1.5 + 0.5 * wire);
    text(x + 2.5 + 0.5 * wire, y + (hole.label.rfind("start", 0) == 0 ? -2.0 : 3.6), "hole: " + hole.label, 2.4);
  }
  text(left + 26.0, top - 2.0, "-> direction of winding", label_size);
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
  double free_y = top - spare;
  for (const coil::BuildMark& tap : taps) {
    const double x = left + 1e3 * tap.around_m, y = top + 1e3 * tap.along_m;
    d.circles.push_back({x, y, 1.2});
    cross(d, x, y, 2.0);
    const double label_y = std::max(y, free_y);
    d.lines.push_back({x + 2.0, y, right, y, 0.1, true});
    d.lines.push_back({right, y, right + 4.0, label_y, 0.1});
    const auto fits = static_cast<std::size_t>((page.width_mm - right - 8.0) / letter_mm);
    free_y = label_y;
    for (const std::string& line : lines_of(fmt::format("{:g}: {}", tap.place.turn, tap.label), fits)) {
      text(right + 5.0, free_y + 0.9, line, label_size);
      free_y += 2.6;
    }
    free_y += 0.6;
  }
  text(left, d.height_mm - 8.0,
       coil.program + ". Left- or right-handed winding makes no difference to the coil; as drawn, wind "
                      "in the direction of the arrow.",
       2.4);
  return d;
}

}  // namespace stile::plots
