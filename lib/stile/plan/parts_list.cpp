#include <stile/plan/parts_list.hpp>

#include <algorithm>
#include <cmath>
#include <set>

#include <fmt/core.h>

#include <stile/base/constants.hpp>
#include <stile/base/errors.hpp>
#include <stile/plan/detail/hand.hpp>
#include <stile/station/wound.hpp>

namespace stile::plan {
namespace {

/// Typical of parts for a few watts. All from memory: weigh your own.
struct Typical {
  double mass_kg, volume_m3;
};
constexpr Typical wound_inductor{25e-3, 40e-6};      // on a former of 20 to 40 mm
constexpr Typical tapped_coil{80e-3, 200e-6};        // with its clip
constexpr Typical fixed_capacitor{2e-3, 1e-6};       // mica or ceramic
constexpr Typical variable_capacitor{60e-3, 80e-6};  // air dielectric, with knob
constexpr Typical relay_with_part{6e-3, 4e-6};
constexpr Typical tuner_board{60e-3, 150e-6};  // control, detector, box
constexpr Typical coil_switch{25e-3, 30e-6};
constexpr Typical core_transformer{30e-3, 25e-6};
constexpr double former_density_kg_m3 = 1200.0, former_wall_m = 2e-3, former_ends_m = 20e-3;

struct CableMass {
  std::string_view name;
  double kg_per_m, diameter_m;
};
constexpr CableMass cable_masses[] = {{"RG-174", 0.012, 2.8e-3},  {"RG-58", 0.037, 5.0e-3},
                                      {"RG-8X", 0.055, 6.1e-3},   {"RG-59", 0.055, 6.1e-3},
                                      {"RG-213", 0.155, 10.3e-3}, {"RG-8/U", 0.155, 10.3e-3}};
constexpr CableMass other_cable{"", 0.04, 5.0e-3};

Part typical(std::string name, int count, const Typical& each) {
  return {std::move(name), count, count * each.mass_kg, count * each.volume_m3, Known::typical};
}

void add_cable(const std::optional<station::NamedCable>& cable, std::vector<Part>& parts) {
  if (!cable) return;
  const auto* coax = std::get_if<network::Cable>(&cable->line.per_metre);
  const CableMass* mass = &other_cable;
  for (const CableMass& known : cable_masses) {
    if (coax != nullptr && coax->name == known.name) mass = &known;
  }
  const double length_m = cable->line.length_m;
  parts.push_back({fmt::format("cable {}, {}", cable->name, print_quantity(length_m, Unit::metre, 3)), 1,
                   mass->kg_per_m * length_m, 0.25 * pi * mass->diameter_m * mass->diameter_m * length_m,
                   Known::typical});
}

void add_tuner(const tuner::Tuner& tuner, std::vector<Part>& parts) {
  const std::size_t switched = tuner.inductors.values_h.size() + tuner.capacitors.values_f.size() +
                               tuner.load_capacitors.values_f.size() + tuner.load_inductors.values_h.size();
  parts.push_back(typical("inductor or capacitor with its relay", static_cast<int>(switched), relay_with_part));
  parts.push_back(typical("control, detector and box", 1, tuner_board));
}

void add_coil(const station::SwitchedCoil& coil, const coil::Winding& winding, int clips, std::vector<Part>& parts) {
  const double outer_m = winding.diameter_m + winding.wire.diameter_m;
  const double length_m = coil::winding_length_m(winding) + winding.wire.diameter_m;
  parts.push_back({fmt::format("coil {}, wire of {:.4g} turns", coil.name, coil::total_turns(winding)), 1,
                   coil::wire_mass_kg(winding), 0.25 * pi * outer_m * outer_m * length_m, Known::computed});
  if (winding.former.name != "air") {
    const double former_m = winding.diameter_m - winding.wire.diameter_m;
    const double wall_m = coil.former_wall_m.value_or(former_wall_m);
    const double bore_m = wall_m > 0.0 ? std::max(0.0, former_m - 2.0 * wall_m) : 0.0;
    parts.push_back(
        {"its former", 1,
         former_density_kg_m3 * 0.25 * pi * (former_m * former_m - bore_m * bore_m) * (length_m + former_ends_m),
         std::nullopt, Known::typical});
  }
  if (clips > 0) parts.push_back(typical("its switch or clip", clips, coil_switch));
  if (coil.trimmer_f > 0.0) parts.push_back(typical("trimmer capacitor", 1, variable_capacitor));
}

/// The parts of fixed matches on all bands.
struct Values {
  std::set<long long> inductors, capacitors;    // distinct values, in steps of 1e-4 of themselves
  int most_inductors = 0, most_capacitors = 0;  // in one setting
};

Values values_of(const Plan& plan, std::size_t arrangement, bool shunt_alone) {
  Values values;
  for (const BandResult& band : plan.bands) {
    for (const ConditionResult& c : band.arrangements[arrangement].conditions) {
      if (!c.possible || c.role == station::Role::accident) continue;
      if (c.setting.feed_turns) continue;  // the elements are one coil's turns, listed as that coil
      int inductors = 0, capacitors = 0;
      for (const network::Element& element : c.setting.elements) {
        if (element.place == network::Place::cascade || (shunt_alone && element.place != network::Place::shunt))
          continue;
        const bool inductor = std::holds_alternative<network::Inductor>(element.part);
        if (!inductor && !std::holds_alternative<network::Capacitor>(element.part)) continue;
        const long long value = std::llround(1e4 * std::log(network::value_si(element.part)));
        (inductor ? values.inductors : values.capacitors).insert(value);
        ++(inductor ? inductors : capacitors);
      }
      values.most_inductors = std::max(values.most_inductors, inductors);
      values.most_capacitors = std::max(values.most_capacitors, capacitors);
    }
  }
  return values;
}

void add_fixed(const station::Arrangement& a, const Values& values, std::vector<Part>& parts) {
  const bool tap = detail::moves_part(a, true), trimmer = detail::moves_part(a, false);
  if (tap && values.most_inductors > 0)
    parts.push_back(typical("tapped coil for all bands", values.most_inductors, tapped_coil));
  else if (!values.inductors.empty())
    parts.push_back(typical("wound inductor", static_cast<int>(values.inductors.size()), wound_inductor));
  if (trimmer && values.most_capacitors > 0)
    parts.push_back(typical("variable capacitor for all bands", values.most_capacitors, variable_capacitor));
  else if (!values.capacitors.empty())
    parts.push_back(typical("capacitor", static_cast<int>(values.capacitors.size()), fixed_capacitor));
}

std::vector<Part> between(const station::Station& station, const Plan& plan, std::size_t n) {
  const station::Arrangement& a = station.arrangements[n];
  std::vector<Part> parts;
  for (const station::StatedPart& p : a.carried)
    parts.push_back({p.name, p.count, p.count * p.mass_kg,
                     p.volume_m3 ? std::optional(p.count * *p.volume_m3) : std::nullopt, Known::stated});
  if (!parts.empty()) return parts;
  if (a.mass_kg) return {{"all between set and antenna", 1, *a.mass_kg, a.volume_m3, Known::stated}};
  const station::KindDescription& kind = station::describe_kind(a.kind);
  add_cable(a.cable_before, parts);
  if (kind.takes_tuner) add_tuner(a.tuner, parts);
  if (kind.takes_coil && plan.windings[n]) add_coil(a.coil, *plan.windings[n], kind.fed_at_tap ? 2 : 1, parts);
  if (a.whip && a.whip->coil) add_coil(*a.whip->coil, station::wound(*a.whip->coil, a.whip->coil->turns), 0, parts);
  if (kind.takes_transformer) parts.push_back(typical("transformer", 1, core_transformer));
  if (kind.takes_parts && !kind.takes_transformer) add_fixed(a, values_of(plan, n, kind.takes_coil), parts);
  add_cable(a.cable_after, parts);
  return parts;
}

}  // namespace

std::string known_name(Known known) {
  switch (known) {
  case Known::stated:
    return "stated";
  case Known::computed:
    return "computed";
  case Known::typical:
    break;
  }
  return "typical";
}

std::vector<PartsList> parts_lists(const station::Station& station, const Plan& plan) {
  require(plan.bands.size() == station.bands.size() && plan.windings.size() == station.arrangements.size(),
          "the plan is of another station");
  std::vector<PartsList> all;
  for (std::size_t n = 0; n < station.arrangements.size(); ++n) {
    PartsList list;
    list.arrangement = n;
    const station::Antenna& antenna = station.antennas[station.arrangements[n].antenna];
    const auto add = [&](const std::string& name, const std::optional<double>& mass_kg,
                         const std::optional<double>& volume_m3) {
      if (mass_kg)
        list.parts.push_back({name, 1, *mass_kg, volume_m3, Known::stated});
      else
        list.no_mass.push_back(name);
    };
    add(antenna.name.empty() ? "antenna" : "antenna " + antenna.name, antenna.mass_kg, antenna.volume_m3);
    if (station.supply) add("battery", station.supply->mass_kg, station.supply->volume_m3);
    for (Part& part : between(station, plan, n)) list.parts.push_back(std::move(part));
    for (const Part& part : list.parts) {
      list.mass_kg += part.mass_kg;
      list.volume_m3 += part.volume_m3.value_or(0.0);
      if (!part.volume_m3) list.no_volume.push_back(part.name);
      list.typical = list.typical || part.known == Known::typical;
    }
    all.push_back(std::move(list));
  }
  return all;
}

}  // namespace stile::plan
