#include <stile/coil/build.hpp>

#include <algorithm>
#include <cmath>
#include <utility>

#include <fmt/format.h>

#include <stile/base/constants.hpp>
#include <stile/base/errors.hpp>

namespace stile::coil {

namespace {

/// Wire from the start of the winding to a place, gaps between sections not counted.
double wire_before(const Winding& winding, const TurnLayout& layout, const WirePlace& place) {
  double length = 0.0;
  for (const TurnLayout::Turn& turn : layout.turns) {
    if (turn.section > place.section) break;
    double part = turn.part;
    if (turn.section == place.section) {
      part = std::min(turn.part, std::max(0.0, place.turn - layout.nodes[turn.first_node].turn));
    }
    length += part * std::hypot(pi * winding.diameter_m, turn.pitch_m);
  }
  return length;
}

BuildMark mark(const Winding& winding, const TurnLayout& layout, std::string label, const WirePlace& place) {
  BuildMark m;
  m.label = std::move(label);
  m.place = place;
  m.along_m = axial_position_m(winding, place) - winding.sections.front().start_m;
  // Every section begins on the same line along the former.
  const double within = place.turn - std::floor(place.turn + 1e-9);
  m.angle_deg = 360.0 * std::max(0.0, within);
  m.around_m = pi * (winding.diameter_m - winding.wire.diameter_m) * std::max(0.0, within);
  m.wire_m = wire_before(winding, layout, place);
  return m;
}

}  // namespace

BuildData build_data(const Winding& winding, const std::vector<std::pair<std::string, WirePlace>>& taps,
                     double lead_m) {
  require(lead_m >= 0.0 && std::isfinite(lead_m), "the spare wire of a lead must be >= 0");
  const TurnLayout layout = turn_layout(winding);
  BuildData b;
  b.former_diameter_m = winding.diameter_m - winding.wire.diameter_m;
  b.outer_diameter_m = winding.diameter_m + winding.wire.diameter_m;
  b.winding_length_m = winding_length_m(winding) + winding.wire.diameter_m;
  b.wire_length_m = wire_length_m(winding);
  b.cut_length_m = b.wire_length_m + 2.0 * lead_m * static_cast<double>(winding.sections.size());
  b.mass_kg = wire_mass_kg(winding) * b.cut_length_m / b.wire_length_m;
  b.helix_angle_deg = std::atan2(winding.sections.front().pitch_m, pi * winding.diameter_m) * 180.0 / pi;
  b.hole_diameter_m = winding.wire.diameter_m + 2e-4;
  for (const TurnLayout::Node& node : layout.nodes) {
    b.turns.push_back(mark(winding, layout, fmt::format("{:g}", node.turn), {node.section, node.turn}));
  }
  for (const auto& [label, place] : taps) b.taps.push_back(mark(winding, layout, label, place));
  for (std::size_t s = 0; s < winding.sections.size(); ++s) {
    const std::string section = winding.sections.size() == 1 ? "" : fmt::format(" of section {}", s + 1);
    b.holes.push_back(mark(winding, layout, "start" + section, {s, 0.0}));
    b.holes.push_back(mark(winding, layout, "end" + section, {s, winding.sections[s].turns}));
  }
  return b;
}

}  // namespace stile::coil
