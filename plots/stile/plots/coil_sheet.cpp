#include <stile/plots/coil_sheet.hpp>

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include <stile/plots/flow.hpp>

namespace stile::plots {
namespace {

using detail::Flow;

constexpr TypeStyle label_type{2.2}, figure_type{2.5};

std::string mm(double value_m, int decimals = 1) { return fmt::format("{:.{}f}", 1e3 * value_m, decimals); }

std::vector<std::string> mark_row(const coil::BuildMark& m) {
  return {m.label,        fmt::format("{:g}", m.place.turn),
          mm(m.along_m),  fmt::format("{:.0f}", m.angle_deg),
          mm(m.around_m), mm(m.wire_m, 0)};
}

/// Turn and place along the former in pairs of columns side by side.
std::vector<std::vector<std::string>> turn_rows(const std::vector<coil::BuildMark>& turns) {
  constexpr std::size_t across = 6;
  const std::size_t rows = (turns.size() + across - 1) / across;
  std::vector<std::vector<std::string>> table(rows + 1);
  for (std::size_t c = 0; c < across && c * rows < turns.size(); ++c) {
    table[0].insert(table[0].end(), {"Turn", "mm"});
    for (std::size_t r = 0; r < rows && c * rows + r < turns.size(); ++r) {
      const coil::BuildMark& m = turns[c * rows + r];
      table[r + 1].insert(table[r + 1].end(), {m.label, mm(m.along_m)});
    }
  }
  return table;
}

/// Places no nearer to each other than `apart`, within low..high as far as they fit, with the least sum of squares of
/// what they are moved: pool adjacent violators (M. Ayer et al., Annals of Mathematical Statistics 26, 1955) on the
/// places less their distances. `wanted` rises.
std::vector<double> spread(const std::vector<double>& wanted, double apart, double low, double high) {
  struct Pool {
    double sum = 0.0;
    std::size_t count = 0;
    double mean() const { return sum / static_cast<double>(count); }
  };
  std::vector<Pool> pools;
  for (std::size_t n = 0; n < wanted.size(); ++n) {
    pools.push_back({wanted[n] - apart * static_cast<double>(n), 1});
    while (pools.size() > 1 && pools[pools.size() - 2].mean() > pools.back().mean()) {
      pools[pools.size() - 2].sum += pools.back().sum;
      pools[pools.size() - 2].count += pools.back().count;
      pools.pop_back();
    }
  }
  std::vector<double> at;
  const double last = high - apart * (static_cast<double>(wanted.size()) - 1.0);
  for (const Pool& pool : pools) {
    const double place = std::max(low, std::min(last, pool.mean()));
    for (std::size_t k = 0; k < pool.count; ++k) at.push_back(place + apart * static_cast<double>(at.size()));
  }
  return at;
}

/// A line with a short stroke across each end, and its figure in the middle.
void dimension(Drawing& page, double x1, double y1, double x2, double y2, const std::string& figure) {
  const bool down = x1 == x2;
  page.lines.push_back({x1, y1, x2, y2, 0.15});
  for (const auto& [x, y] : {std::pair{x1, y1}, std::pair{x2, y2}})
    page.lines.push_back(down ? DrawnLine{x - 1.5, y, x + 1.5, y, 0.15} : DrawnLine{x, y - 1.5, x, y + 1.5, 0.15});
  if (down) {
    page.texts.push_back({x1 - 1.8, 0.5 * (y1 + y2) + 0.9, figure, figure_type, Anchor::right});
  } else {
    page.texts.push_back({0.5 * (x1 + x2), y1 + 3.6, figure, figure_type, Anchor::centre});
  }
}

/// The coil from the side: the front half of every turn, the former, taps with their turns, and dimensions.
void draw_coil(Flow& flow, const CoilSheet& sheet, const coil::BuildData& b) {
  constexpr double spare_m = 0.01, beside_mm = 13.0;
  const double long_m = b.winding_length_m + 2.0 * spare_m;
  double scale = 0.05;
  for (const double s : {5.0, 2.0, 1.0, 0.5, 0.2, 0.1}) {
    if (1e3 * s * long_m <= Flow::width_mm - beside_mm && 1e3 * s * b.outer_diameter_m <= 70.0) {
      scale = s;
      break;
    }
  }
  const double k = 1e3 * scale;
  const double former = k * b.former_diameter_m, outer = k * b.outer_diameter_m,
               wire = k * sheet.winding.wire.diameter_m;
  const double labels_mm = sheet.taps.empty() ? 3.0 : 12.0;
  const double y = flow.place(labels_mm + outer + 18.0);
  Drawing& page = flow.page();
  const double left = Flow::left_mm + beside_mm, axis = y + labels_mm + 0.5 * outer;
  page.boxes.push_back({left, axis - 0.5 * former, k * long_m, former, 0.94, 0.2});
  const double start = left + k * spare_m + 0.5 * wire;  // the first turn's wire centre
  for (std::size_t n = 0; n + 1 < b.turns.size(); ++n) {
    const double from = start + k * b.turns[n].along_m, part = b.turns[n + 1].place.turn - b.turns[n].place.turn,
                 to = start + k * b.turns[n + 1].along_m;
    // The front half of a full turn; of a part turn as much of it as there is.
    const double seen = std::min(1.0, 2.0 * part), end = from + 0.5 * seen * (to - from) / part;
    page.lines.push_back({from, axis - 0.5 * outer + 0.5 * wire, end,
                          axis - 0.5 * outer + 0.5 * wire + seen * (outer - wire), wire, false, 0.45});
  }
  std::vector<coil::BuildMark> taps = b.taps;
  std::stable_sort(taps.begin(), taps.end(),
                   [](const coil::BuildMark& p, const coil::BuildMark& q) { return p.along_m < q.along_m; });
  std::vector<double> wanted;
  for (const coil::BuildMark& tap : taps) wanted.push_back(start + k * tap.along_m);
  const std::vector<double> at = spread(wanted, 6.0, left + 12.0, Flow::right_mm - 3.0);
  for (std::size_t n = 0; n < taps.size(); ++n) {
    page.texts.push_back({at[n], y + 2.4, fmt::format("{:g}", taps[n].place.turn), figure_type, Anchor::centre});
    page.lines.push_back({at[n], y + 3.4, wanted[n], y + labels_mm - 2.0, 0.15});
    page.lines.push_back({wanted[n], y + labels_mm - 2.0, wanted[n], axis - 0.5 * outer + wire, 0.3});
  }
  if (!taps.empty()) page.texts.push_back({Flow::left_mm, y + 2.4, "tapped at turn", label_type});
  dimension(page, left - 3.0, axis - 0.5 * former, left - 3.0, axis + 0.5 * former, mm(b.former_diameter_m));
  const double below = axis + 0.5 * outer + 3.0;
  dimension(page, start - 0.5 * wire, below, start - 0.5 * wire + k * b.winding_length_m, below,
            fmt::format("{} over the wire", mm(b.winding_length_m)));
  page.texts.push_back(
      {left, below + 10.0,
       fmt::format("Millimetres; drawn at {}. Transmitter's end at the left.",
                   scale >= 1.0 ? fmt::format("{:g} : 1", scale) : fmt::format("1 : {:g}", 1.0 / scale)),
       label_type});
}

}  // namespace

std::vector<std::vector<std::string>> winding_rows(const CoilSheet& sheet) {
  const coil::Winding& w = sheet.winding;
  const coil::BuildData b = coil::build_data(w, sheet.taps, sheet.lead_m);
  const conductor::RoundWire& wire = w.wire;
  return {{"Former", mm(b.former_diameter_m, 2) + " mm outside" + (w.former.name == "air" ? "" : ", " + w.former.name) +
                         ", at least " + mm(b.winding_length_m + 0.02, 0) + " mm long (10 mm to spare at each end)"},
          {"Wire", mm(wire.diameter_m, 2) + " mm " + wire.metal.name + " without insulation" +
                       (wire.wall_m > 0.0 ? ", tube with a wall of " + mm(wire.wall_m, 2) + " mm" : "")},
          {"Turns", fmt::format("{:g}", coil::total_turns(w))},
          {"Pitch", mm(w.sections.front().pitch_m, 2) + " mm from wire centre to wire centre (" +
                        mm(w.sections.front().pitch_m - wire.diameter_m, 2) + " mm between turns)" +
                        (w.sections.front().last_pitch_m > 0.0
                             ? ", evenly changing to " + mm(w.sections.front().last_pitch_m, 2) + " mm"
                             : "")},
          {"Winding", mm(b.winding_length_m) + " mm long over the wire, " + mm(b.outer_diameter_m, 2) +
                          " mm over the wire across"},
          {"Slope", fmt::format("{:.2f} degrees: the wire moves on by one pitch each turn", b.helix_angle_deg)},
          {"Wire to cut", fmt::format("{:.3f} m, {:.1f} g: {:.3f} m on the former and {} mm at each end",
                                      b.cut_length_m, 1e3 * b.mass_kg, b.wire_length_m, mm(sheet.lead_m, 0))}};
}

std::vector<SheetTable> sheet_tables(const CoilSheet& sheet) {
  const coil::BuildData b = coil::build_data(sheet.winding, sheet.taps, sheet.lead_m);
  std::vector<SheetTable> tables = sheet.tables;
  tables.push_back({"Drill plan", {{"Hole", "Turn", "Along, mm", "Round, deg", "Round, mm", "Drill, mm"}}});
  for (const coil::BuildMark& hole : b.holes) {
    tables.back().rows.push_back(mark_row(hole));
    tables.back().rows.back().back() = mm(b.hole_diameter_m, 1);
  }
  if (!b.taps.empty()) {
    tables.push_back({"Taps, from the transmitter's end",
                      {{"Tap", "Turn", "Along, mm", "Round, deg", "Round, mm", "Wire from start, mm"}}});
    for (const coil::BuildMark& tap : b.taps) tables.back().rows.push_back(mark_row(tap));
  }
  tables.push_back(
      {"Turns: mm along the former from the start",
       turn_rows(b.turns),
       {"Along: from the wire's centre at the start hole, parallel to the axis. Round: from the line "
        "through the start hole, in the direction in which the wire leaves it, as degrees and as an arc on "
        "the former's outside."}});
  return tables;
}

std::vector<Drawing> coil_sheet(const CoilSheet& sheet) {
  const coil::BuildData b = coil::build_data(sheet.winding, sheet.taps, sheet.lead_m);
  Flow flow;
  flow.title("Build sheet: " + sheet.title);
  draw_coil(flow, sheet, b);
  std::vector<std::vector<std::string>> winding{{"Winding", ""}};
  for (std::vector<std::string>& row : winding_rows(sheet)) winding.push_back(std::move(row));
  flow.table("", winding);
  for (const SheetCircuit& c : sheet.circuits) {
    const double height = schematic_height_mm(c.circuit, Flow::width_mm);
    flow.keep(12.0 + height);  // the heading stays with its circuit
    flow.heading(c.title);
    const double y = flow.place(height);
    draw_schematic(flow.page(), Flow::left_mm, y, Flow::width_mm, c.circuit);
  }
  for (const SheetTable& table : sheet_tables(sheet)) {
    flow.table(table.title, table.rows);
    for (const std::string& note : table.notes) flow.paragraph(note);
  }
  for (const std::string& warning : sheet.warnings) flow.paragraph("Warning: " + warning + ".");
  flow.heading("Cautions");
  for (const safety::Caution& c : sheet.cautions) flow.paragraph(c.hazard + ": " + c.text + " (" + c.basis + ")");
  return flow.finish(sheet.program);
}

}  // namespace stile::plots
