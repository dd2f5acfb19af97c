#include <stile/coil/winding.hpp>

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include <stile/base/constants.hpp>
#include <stile/base/errors.hpp>

namespace stile::coil {

namespace {

const std::vector<Former>& formers() {
  // Permittivity and loss tangent at 10 MHz (1 MHz where marked) from a plastics table posted in a forum, original
  // handbook unknown. Printed plastics: upper ends of Picha et al., Processes 10(9), 2022, 1881 and of Res. Agr. Eng.
  // 69, 2023, 28-35, since colour and print decide. Limits: public tables of long-term use; PLA kept below its glass
  // point.
  static const std::vector<Former> list{
      {"air", 1.0, 0.0, 0.0, 0.0},      {"ABS", 2.8, 0.007, 0.0, 85.0},   {"PMMA", 2.9, 0.033, 0.0, 90.0},
      {"PC", 3.1, 0.011, 0.0, 120.0},   {"PE", 2.3, 0.0001, 0.0, 75.0},   {"PA6", 4.0, 0.020, 0.0, 80.0},
      {"PP", 2.25, 0.0005, 0.0, 100.0},  // 1 MHz
      {"PS", 2.5, 0.0004, 0.0, 75.0},    // 1 MHz, upper end
      {"PVC-U", 3.0, 0.02, 0.0, 60.0},   // 1 MHz, upper end, from memory
      {"PTFE", 2.1, 0.0002, 0.0, 0.0},   // 1 MHz; limit not stated
      {"POM", 3.7, 0.005, 0.0, 0.0},     // 1 MHz; limit not stated
      {"PLA", 3.48, 0.043, 0.0, 50.0},  {"PETG", 3.48, 0.043, 0.0, 70.0},
  };
  return list;
}

constexpr double least_turns = 0.01, most_turns = 2000.0;  // the matrices of more take gigabytes
constexpr double finest_pitch = 1e-6, coarsest_pitch = 1e3;
constexpr double thinnest_wire = 1e-8;  // of the diameter of a turn
constexpr double room_c = 20.0;
constexpr double least_diameter_m = 1e-5, most_diameter_m = 1e4;

bool positive(double x) { return std::isfinite(x) && x > 0.0; }

/// Rings of a section, the last of which may be a part turn.
std::size_t ring_count(const Section& section) { return static_cast<std::size_t>(std::ceil(section.turns - 1e-9)); }

double ring_pitch(const Section& section, std::size_t ring) {
  const std::size_t n = ring_count(section);
  if (section.last_pitch_m == 0.0 || n < 2) return section.pitch_m;
  const double step = (section.last_pitch_m - section.pitch_m) / static_cast<double>(n - 1);
  return section.pitch_m + step * static_cast<double>(ring);
}

double ring_part(const Section& section, std::size_t ring) {
  return std::min(1.0, section.turns - static_cast<double>(ring));
}

double section_length(const Section& section) {
  double length = 0.0;
  for (std::size_t i = 0; i < ring_count(section); ++i) length += ring_pitch(section, i) * ring_part(section, i);
  return length;
}

void check_section(const Section& s, double diameter_m, double wire_m) {
  if (!(s.turns >= least_turns && s.turns <= most_turns)) {
    throw DomainError(fmt::format("a coil of {} turns: legal is {} to {}", s.turns, least_turns, most_turns));
  }
  if (!std::isfinite(s.start_m)) throw DomainError("the start of a section must be finite");
  const double last = s.last_pitch_m == 0.0 ? s.pitch_m : s.last_pitch_m;
  for (const double pitch : {s.pitch_m, last}) {
    if (!positive(pitch)) throw DomainError(fmt::format("a pitch of {} m: it must be > 0", pitch));
    if (pitch < finest_pitch * diameter_m || pitch > coarsest_pitch * diameter_m) {
      throw DomainError(fmt::format("a pitch of {} m on turns of {} m: legal is {} to {} times their diameter", pitch,
                                    diameter_m, finest_pitch, coarsest_pitch));
    }
    if (pitch <= wire_m) {
      throw DomainError(
          fmt::format("turns overlap: wire of {} m at a pitch of {} m; the pitch must exceed the wire", wire_m, pitch));
    }
  }
}

void check_near_metal(const Winding& w) {
  if (int{w.plane.has_value()} + int{w.beside.has_value()} + int{w.can.has_value()} > 1)
    throw DomainError("a plane across the axis, a plane beside the coil and a can: legal is one of them");
  const double radius = 0.5 * w.diameter_m, outside = radius + 0.5 * w.wire.diameter_m;
  if (w.beside && !(w.beside->axis_m > outside && std::isfinite(w.beside->axis_m))) {
    throw DomainError(fmt::format("a plane {} m beside the axis: legal is above {} m, the outside of the wire",
                                  w.beside->axis_m, outside));
  }
  if (w.can) {
    const double least = 2.0 * std::max(1.1 * radius, outside);
    if (!(w.can->diameter_m > least && std::isfinite(w.can->diameter_m))) {
      throw DomainError(
          fmt::format("a can of {} m inside: legal is above {} m, a tenth of the radius from the turns and "
                      "beyond the wire",
                      w.can->diameter_m, least));
    }
    const Section& last = w.sections.back();
    const double long_m = last.start_m + section_length(last) - w.sections.front().start_m + w.wire.diameter_m;
    if (w.can->length_m != 0.0 && !(w.can->length_m > long_m && std::isfinite(w.can->length_m))) {
      throw DomainError(fmt::format("a can {} m long: legal is 0 (open, long) or above {} m, the winding over its wire",
                                    w.can->length_m, long_m));
    }
  }
  if (!w.near_metal) return;
  if (!w.beside && !w.can && !(w.plane && w.plane->mirrors_magnetic))
    throw DomainError(
        "a metal near the coil without a plane or can of it; legal: with a plane of sheet metal, or a can");
  conductor::resistivity_ohm_m(*w.near_metal, room_c);
  if (w.near_metal->magnetic) {
    throw DomainError(fmt::format("{} near a coil: the model knows no magnetic metal; legal: one that is not, or "
                                  "metal without loss",
                                  w.near_metal->name));
  }
}

}  // namespace

Former former(std::string_view name) {
  std::string names;
  for (const Former& f : formers()) {
    if (f.name == name) return f;
    names += (names.empty() ? "" : ", ") + f.name;
  }
  throw DomainError(fmt::format("no former is named \"{}\"; there are {}", name, names));
}

Winding plain_winding(double turns, double diameter_m, double pitch_m, double wire_diameter_m) {
  Winding winding;
  winding.diameter_m = diameter_m;
  winding.wire.diameter_m = wire_diameter_m;
  winding.sections.push_back({0.0, turns, pitch_m, 0.0});
  return winding;
}

void check(const Winding& winding) {
  const conductor::RoundWire& wire = winding.wire;
  if (!positive(wire.diameter_m)) throw DomainError(fmt::format("a wire of {} m: it must be > 0", wire.diameter_m));
  if (!(wire.wall_m >= 0.0 && wire.wall_m < 0.5 * wire.diameter_m)) {
    throw DomainError(
        fmt::format("a tube's wall of {} m: legal is 0 (solid) to below half of {} m", wire.wall_m, wire.diameter_m));
  }
  conductor::resistivity_ohm_m(wire.metal, wire.temperature_c);
  if (wire.metal.magnetic) {
    throw DomainError(
        fmt::format("a coil of {}: the model knows no magnetic metal; legal: one that is not", wire.metal.name));
  }
  if (!(winding.diameter_m >= least_diameter_m && winding.diameter_m <= most_diameter_m)) {
    throw DomainError(fmt::format("a coil of {} m diameter: legal is {} to {} m", winding.diameter_m, least_diameter_m,
                                  most_diameter_m));
  }
  if (wire.diameter_m < thinnest_wire * winding.diameter_m) {
    throw DomainError(fmt::format("a wire of {} m on turns of {} m: legal is {} to 0.5 times their diameter",
                                  wire.diameter_m, winding.diameter_m, thinnest_wire));
  }
  if (winding.diameter_m < 2.0 * wire.diameter_m) {
    throw DomainError(fmt::format("a former of {} m is thinner than the wire of {} m wound on it",
                                  winding.diameter_m - wire.diameter_m, wire.diameter_m));
  }
  const Former& f = winding.former;
  if (!(f.relative_permittivity >= 1.0 && std::isfinite(f.relative_permittivity)) ||
      !(f.loss_tangent >= 0.0 && std::isfinite(f.loss_tangent)) || !(f.field_share >= 0.0 && f.field_share <= 1.0)) {
    throw DomainError("a former needs a permittivity >= 1, a loss tangent >= 0 and a field share from 0 to 1");
  }
  if (winding.sections.empty()) throw DomainError("a coil without turns: at least one section is needed");
  for (std::size_t i = 0; i < winding.sections.size(); ++i) {
    const Section& s = winding.sections[i];
    check_section(s, winding.diameter_m, wire.diameter_m);
    if (i == 0) continue;
    const Section& before = winding.sections[i - 1];
    const double end = before.start_m + section_length(before);
    if (s.start_m - end <= wire.diameter_m) {
      throw DomainError(fmt::format("sections {} and {} overlap: the gap of {} m must exceed the wire of {} m", i,
                                    i + 1, s.start_m - end, wire.diameter_m));
    }
  }
  if (total_turns(winding) > most_turns) {
    throw DomainError(fmt::format("{} turns in all: legal is up to {}", total_turns(winding), most_turns));
  }
  check_near_metal(winding);
  if (winding.plane && !(winding.sections.front().start_m - winding.plane->z_m > 0.5 * wire.diameter_m)) {
    throw DomainError(fmt::format("a plane at {} m: it must lie below the first turn's wire", winding.plane->z_m));
  }
}

TurnLayout turn_layout(const Winding& winding) {
  check(winding);
  TurnLayout layout;
  for (std::size_t s = 0; s < winding.sections.size(); ++s) {
    const Section& section = winding.sections[s];
    const std::size_t n = ring_count(section);
    double z = section.start_m, half_before = 0.0;
    for (std::size_t i = 0; i < n; ++i) {
      const double pitch = ring_pitch(section, i), part = ring_part(section, i);
      layout.nodes.push_back({s, static_cast<double>(i), z, z, half_before + 0.5 * part});
      layout.turns.push_back({s, z + 0.5 * pitch, pitch, part, layout.nodes.size() - 1});
      half_before = 0.5 * part;
      z += pitch * part;
    }
    // The end of a part turn still has its neighbour a whole pitch away.
    layout.nodes.push_back({s, section.turns, z, layout.nodes.back().z_m + ring_pitch(section, n - 1), half_before});
  }
  return layout;
}

double axial_position_m(const Winding& winding, const WirePlace& place) {
  if (place.section >= winding.sections.size()) {
    throw DomainError(
        fmt::format("there is no section {}: the winding has {}", place.section + 1, winding.sections.size()));
  }
  const Section& section = winding.sections[place.section];
  if (!(place.turn >= 0.0 && place.turn <= section.turns + 1e-9)) {
    throw DomainError(fmt::format("turn {} is not on the section: legal is 0 to {}", place.turn, section.turns));
  }
  double z = section.start_m;
  for (std::size_t i = 0; i < ring_count(section) && static_cast<double>(i) < place.turn; ++i) {
    z += ring_pitch(section, i) * std::min(1.0, place.turn - static_cast<double>(i));
  }
  return z;
}

double total_turns(const Winding& winding) {
  double turns = 0.0;
  for (const Section& s : winding.sections) turns += s.turns;
  return turns;
}

double wire_length_m(const Winding& winding) {
  double length = 0.0;
  for (const TurnLayout::Turn& t : turn_layout(winding).turns) {
    length += t.part * std::hypot(pi * winding.diameter_m, t.pitch_m);
  }
  return length;
}

double wire_mass_kg(const Winding& winding) {
  const conductor::RoundWire& wire = winding.wire;
  const double bore = wire.wall_m > 0.0 ? wire.diameter_m - 2.0 * wire.wall_m : 0.0;
  const double area = 0.25 * pi * (wire.diameter_m * wire.diameter_m - bore * bore);
  return wire_length_m(winding) * area * wire.metal.density_kg_m3;
}

double winding_length_m(const Winding& winding) {
  check(winding);
  const Section& last = winding.sections.back();
  return last.start_m + section_length(last) - winding.sections.front().start_m;
}

}  // namespace stile::coil
