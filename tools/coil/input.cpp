#include "coil/input.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/core.h>
#include <fmt/ranges.h>

#include <stile/base/errors.hpp>
#include <stile/coil/air.hpp>
#include <stile/coil/former_share.hpp>
#include <stile/conductor/wire_gauge.hpp>

#include "cli/table.hpp"

namespace stile::tools {
namespace {

bool ends_with(const std::string& text, const std::string& end) {
  return text.size() >= end.size() && text.compare(text.size() - end.size(), end.size(), end) == 0;
}

/// A share from 0 to 1, the end included. @throws ParseError
double whole_share(const Arguments& arguments, const std::string& option, double otherwise) {
  const double value = arguments.quantity(option, Unit::one).value_or(otherwise);
  if (value < 0.0 || value > 1.0)
    throw ParseError({option, 0, 1}, fmt::format("\"{}\": out of range; legal: 0 to 1", *arguments.text(option)));
  return value;
}

/// A length, or a wire gauge: "1mm", "AWG 18". @throws ParseError, DomainError
double read_wire(const std::string& text, const std::string& option, std::size_t column) {
  if (text.rfind("AWG", 0) == 0 || text.rfind("SWG", 0) == 0) return conductor::wire_diameter_m(text);
  const double value = read_sized(text, Unit::metre, {option, 0, column});
  if (value <= 0.0) throw ParseError({option, 0, column}, fmt::format("\"{}\": must be > 0", text));
  return value;
}

}  // namespace

std::vector<Option> winding_options() {
  return {{"--diameter", "D", "diameter of a turn between wire centres, m, at least twice the wire"},
          {"--former", "D", "instead of --diameter: outside of the former, m"},
          {"--pitch", "P", "from turn to turn, wire centre to wire centre, m, above the wire's diameter"},
          {"--last-pitch", "P", "of the last turn, when the pitch grows or shrinks evenly, m; default: as --pitch"},
          {"--wire", "D",
           "diameter of the bare wire or tube, m, > 0; or a gauge, AWG 4/0 to 56, SWG 7/0 to 50, as \"AWG 18\""},
          {"--wall", "T", "wall of a tube, m, below half of --wire; default 0: solid"},
          {"--metal", "NAME",
           fmt::format("{} (not for coils: magnetic); default copper", fmt::join(conductor::metal_names(), ", "))},
          {"--temperature", "T", "of the metal, degrees Celsius, -60 to 300; default 20"},
          {"--material", "NAME",
           "of the former: air, ABS, PMMA, PC, PE, PA6, PP, PS, PVC-U, PTFE, POM, PLA, PETG; default air"},
          {"--field-share", "S",
           "part of the winding's electric field energy inside the former, 0 to 1; default with --material: an upper "
           "bound computed for a rod, or a tube with --former-wall (two measured coils come out 4.5 "
           "and 5.3 % low in resonance with it, within 1.6 % with half of it)"},
          {"--former-wall", "T", "wall of a tube as the former, m, below half its outside; default: a rod"},
          {"--plane", "Z", "a conducting plane across the axis, Z below the first turn, m, above half the wire"},
          {"--soil", "", "the plane is soil: it mirrors the electric field alone (sheet metal mirrors both)"},
          {"--beside", "D",
           "sheet metal beside the coil, parallel to its axis and D from it, m, beyond the wire: a frame, the side of "
           "a box"},
          {"--can", "D",
           "a tube of metal about the coil, its inside diameter, m, at least 1.1 times --diameter; half as wide again "
           "as 20 "
           "turns it takes a third of their inductance and half of their Q"},
          {"--can-length", "L", "between two lids of the can, the coil in the middle, m; default: open and long"},
          {"--near-metal", "NAME", "what plane, sheet or can is of, as --metal, for its loss; default: without loss"}};
}

coil::Winding read_winding(const Arguments& arguments, double turns, const std::optional<coil::Winding>& base) {
  coil::Winding w = base.value_or(coil::plain_winding(1.0, 0.0, 0.0, 0.0));
  const auto needed = [&](const char* option, double present) {
    const auto value = arguments.positive(option, Unit::metre);
    if (!value && !(present > 0.0))
      throw UsageError(fmt::format("{} is missing; legal: a length > 0, as {} 1mm", option, option));
    return value.value_or(present);
  };
  const double former_m = w.diameter_m - w.wire.diameter_m;
  if (const auto wire = arguments.text("--wire")) w.wire.diameter_m = read_wire(*wire, "--wire", 1);
  if (!(w.wire.diameter_m > 0.0)) throw UsageError("--wire is missing; legal: a length > 0 as --wire 1mm, or a gauge");
  const auto diameter = arguments.positive("--diameter", Unit::metre),
             former_given = arguments.positive("--former", Unit::metre);
  if (!diameter && !former_given && !(former_m > 0.0))
    throw UsageError("no diameter is given; legal: --diameter 40mm (between wire centres) or --former 39mm");
  w.diameter_m = diameter ? *diameter : former_given.value_or(former_m) + w.wire.diameter_m;
  coil::Section& section = w.sections.front();
  section.turns = turns;
  section.pitch_m = needed("--pitch", section.pitch_m);
  section.last_pitch_m = arguments.positive("--last-pitch", Unit::metre).value_or(section.last_pitch_m);
  w.wire.wall_m = arguments.positive("--wall", Unit::metre).value_or(w.wire.wall_m);
  if (const auto name = arguments.text("--metal")) w.wire.metal = conductor::metal_by_name(*name);
  w.wire.temperature_c = read_temperature(arguments, "--temperature", w.wire.temperature_c);
  if (const auto name = arguments.text("--material")) {
    w.former = coil::former(*name);
    w.former.field_share =
        *name == "air" || arguments.has("--field-share")
            ? 0.0
            : coil::former_share_bound(w, arguments.positive("--former-wall", Unit::metre).value_or(0.0));
  }
  if (arguments.has("--field-share") && w.former.name == "air")
    throw UsageError("--field-share says nothing in air; legal: beside --material, or with a coil that has a material");
  w.former.field_share = whole_share(arguments, "--field-share", w.former.field_share);
  if (const auto z = arguments.positive("--plane", Unit::metre)) {
    w.plane = coil::Plane{section.start_m - *z, !arguments.has("--soil")};
  }
  if (const auto d = arguments.positive("--beside", Unit::metre)) w.beside = coil::PlaneBeside{*d};
  if (const auto d = arguments.positive("--can", Unit::metre))
    w.can = coil::Can{*d, arguments.positive("--can-length", Unit::metre).value_or(0.0)};
  if (const auto name = arguments.text("--near-metal")) w.near_metal = conductor::metal_by_name(*name);
  coil::check(w);
  return w;
}

std::vector<Option> service_options() {
  return {
      {"--mode", "NAME",
       "for the heat: CW, SSB, SSB compressed, FT8, FM, RTTY, AM or carrier, sending all the time; default carrier"},
      {"--duty", "S", "instead of --mode: mean over peak power, 0 to 1"},
      {"--ambient", "T", "of the air, degrees Celsius, -60 to 80; default 25"},
      {"--altitude", "H", "for breakdown and cooling by air, m, -500 to 11000; default 0"},
      {"--wire-limit", "T",
       "temperature the wire's insulation stands, degrees Celsius, 0 to 600; default: not stated"}};
}

coil::Service read_service(const Arguments& arguments) {
  coil::Service s;
  const auto mode = arguments.text("--mode");
  s.duty = mode ? coil::mode_duty(*mode) : whole_share(arguments, "--duty", 1.0);
  s.ambient_c = read_temperature(arguments, "--ambient", s.ambient_c);
  s.altitude_m = arguments.quantity("--altitude", Unit::metre).value_or(0.0);
  if (arguments.has("--wire-limit")) {
    s.wire_limit_c = read_temperature(arguments, "--wire-limit", 0.0);
    if (!(*s.wire_limit_c >= 0.0 && *s.wire_limit_c <= 600.0)) {
      throw ParseError({"--wire-limit", 0, 1},
                       fmt::format("\"{}\": out of range; legal: 0 to 600", *arguments.text("--wire-limit")));
    }
  }
  coil::air_pressure_pa(s.altitude_m);  // a wrong one is told before the work
  return s;
}

std::vector<double> read_list(const Arguments& arguments, const std::string& option, Unit unit,
                              const std::vector<double>& otherwise) {
  const auto given = arguments.text(option);
  if (!given) return otherwise;
  std::vector<double> list;
  std::size_t column = 1;
  for (const std::string& piece : split(*given, ',')) {
    list.push_back(option == "--wire" ? read_wire(piece, option, column)
                                      : read_sized(piece, unit, {option, 0, column}));
    if (list.back() <= 0.0) throw ParseError({option, 0, column}, fmt::format("\"{}\": must be > 0", piece));
    column += piece.size() + 1;
  }
  return list;
}

double read_mass(const Arguments& arguments, const std::string& option, double otherwise) {
  const auto given = arguments.text(option);
  if (!given) return otherwise;
  const bool kg = ends_with(*given, "kg"), g = !kg && ends_with(*given, "g");
  const double value = read_sized(given->substr(0, given->size() - (kg  ? 2
                                                                    : g ? 1
                                                                        : 0)),
                                  Unit::one, {option, 0, 1}) *
                       (g ? 1e-3 : 1.0);
  if (value <= 0.0)
    throw ParseError({option, 0, 1}, fmt::format("\"{}\": must be > 0; legal: a mass as 120g or 0.12kg", *given));
  return value;
}

double read_temperature(const Arguments& arguments, const std::string& option, double otherwise) {
  const auto given = arguments.text(option);
  if (!given) return otherwise;
  const bool unit = ends_with(*given, "C");
  return read_sized(given->substr(0, given->size() - (unit ? 1 : 0)), Unit::one, {option, 0, 1});
}

}  // namespace stile::tools
