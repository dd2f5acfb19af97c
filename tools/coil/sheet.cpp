#include "coil/sheet.hpp"

#include <algorithm>
#include <cmath>
#include <filesystem>

#include <fmt/format.h>

#include <stile/plots/coil_template.hpp>

#include "cli/cautions.hpp"
#include "cli/command_line.hpp"
#include "cli/output.hpp"
#include "cli/table.hpp"

namespace stile::tools {
namespace {

constexpr std::size_t columns = 98;

std::string mm(double value_m, int decimals = 1) { return fmt::format("{:.{}f}", 1e3 * value_m, decimals); }

std::string ending(const std::string& file) {
  std::string text = std::filesystem::path(file).extension().string();
  std::transform(text.begin(), text.end(), text.begin(),
                 [](char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c; });
  return text;
}

std::vector<std::string> mark_row(const coil::BuildMark& m) {
  return {m.label,        fmt::format("{:g}", m.place.turn),
          mm(m.along_m),  fmt::format("{:.0f}", m.angle_deg),
          mm(m.around_m), mm(m.wire_m, 0)};
}

/// Turn and place along the former in columns side by side.
std::string turns_table(const std::vector<coil::BuildMark>& turns) {
  constexpr std::size_t across = 6;
  const std::size_t rows = (turns.size() + across - 1) / across;
  std::string text;
  for (std::size_t r = 0; r < rows; ++r) {
    std::string line;
    for (std::size_t c = 0; c < across && c * rows + r < turns.size(); ++c) {
      const coil::BuildMark& m = turns[c * rows + r];
      line += fmt::format("{:>5}: {:>6}   ", m.label, mm(m.along_m));
    }
    while (!line.empty() && line.back() == ' ') line.pop_back();
    text += line + "\n";
  }
  return text;
}

}  // namespace

std::string build_sheet_text(const CoilSheet& sheet) {
  const coil::Winding& w = sheet.winding;
  const coil::BuildData b = coil::build_data(w, sheet.taps, sheet.lead_m);
  std::string text = "BUILD SHEET  " + sheet.title + "\n\n";
  const conductor::RoundWire& wire = w.wire;
  text += aligned(
      {{"Former", mm(b.former_diameter_m, 2) + " mm outside" + (w.former.name == "air" ? "" : ", " + w.former.name) +
                      ", at least " + mm(b.winding_length_m + 0.02, 0) + " mm long (10 mm to spare at each end)"},
       {"Wire", mm(wire.diameter_m, 2) + " mm " + wire.metal.name + " without insulation" +
                    (wire.wall_m > 0.0 ? ", tube with a wall of " + mm(wire.wall_m, 2) + " mm" : "")},
       {"Turns", fmt::format("{:g}", coil::total_turns(w))},
       {"Pitch", mm(w.sections.front().pitch_m, 2) + " mm from wire centre to wire centre (" +
                     mm(w.sections.front().pitch_m - wire.diameter_m, 2) + " mm between turns)" +
                     (w.sections.front().last_pitch_m > 0.0
                          ? ", evenly changing to " + mm(w.sections.front().last_pitch_m, 2) + " mm"
                          : "")},
       {"Winding",
        mm(b.winding_length_m) + " mm long over the wire, " + mm(b.outer_diameter_m, 2) + " mm over the wire across"},
       {"Slope", fmt::format("{:.2f} degrees: the wire moves on by one pitch each turn", b.helix_angle_deg)},
       {"Wire to cut", fmt::format("{:.3f} m, {:.1f} g: {:.3f} m on the former and {} mm at each end", b.cut_length_m,
                                   1e3 * b.mass_kg, b.wire_length_m, mm(sheet.lead_m, 0))}});
  if (!sheet.tables.empty()) text += "\n" + sheet.tables;

  std::vector<std::vector<std::string>> rows{{"Hole", "Turn", "Along, mm", "Round, deg", "Round, mm", "Drill, mm"}};
  for (const coil::BuildMark& hole : b.holes) {
    rows.push_back(mark_row(hole));
    rows.back().back() = mm(b.hole_diameter_m, 1);
  }
  text += "\nDrill plan\n" + aligned(rows);
  if (!b.taps.empty()) {
    rows = {{"Tap", "Turn", "Along, mm", "Round, deg", "Round, mm", "Wire from start, mm"}};
    for (const coil::BuildMark& tap : b.taps) rows.push_back(mark_row(tap));
    text += "\nTaps, from the transmitter's end\n" + aligned(rows);
  }
  text += "\nTurns: mm along the former from the start\n" + turns_table(b.turns) + "\n";
  text += wrapped("Along: from the wire's centre at the start hole, parallel to the axis. Round: from the line through "
                  "the start hole, in the direction in "
                  "which the wire leaves it, as degrees and as an arc on the former's outside.",
                  0, columns);
  for (const std::string& warning : sheet.warnings) text += wrapped("Warning: " + warning + ".", 0, columns);
  text += "\nCautions\n";
  for (const safety::Caution& c : sheet.cautions)
    text += wrapped(c.hazard + ": " + c.text + " (" + c.basis + ")", 2, columns);
  return text;
}

void check_sheet_file(const std::string& option, const std::string& file, const std::vector<std::string>& endings) {
  if (std::find(endings.begin(), endings.end(), ending(file)) != endings.end()) return;
  std::string legal;
  for (const std::string& e : endings) legal += " FILE" + e;
  throw UsageError(fmt::format("{} \"{}\": no such kind of file; legal:{}", option, file, legal));
}

void add_build_sheet(const CoilSheet& sheet, const std::string& file, Outputs& outputs) {
  const std::string text = build_sheet_text(sheet);
  outputs.add(file, ending(file) == ".pdf" ? plots::pdf_text(plots::text_pages(text)) : text);
}

void add_template(const CoilSheet& sheet, const std::string& file, Outputs& outputs) {
  const plots::Drawing drawing =
      plots::coil_template({sheet.title, sheet.winding, sheet.taps, version_text("stile-coil")});
  outputs.add(file, ending(file) == ".pdf" ? plots::pdf_text({drawing}) : plots::svg_text(drawing));
}

}  // namespace stile::tools
