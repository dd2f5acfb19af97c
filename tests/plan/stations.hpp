#pragma once
// Stations made in code: small ones for one question, and random ones.

#include <random>
#include <string>
#include <vector>

#include <stile/load/load.hpp>
#include <stile/station/station.hpp>

namespace stile::plan::test {

inline load::Load constant(const std::string& name, cdouble z_ohm) {
  return {name, "stated", load::ConstantLoad{z_ohm}, {}};
}

inline load::Load modelled(const std::string& name, const load::WhipModel& whip) { return {name, "model", whip, {}}; }

/// The station with one nameless antenna that has these loads, all normal conditions.
inline void set_loads(station::Station& s, const std::vector<load::Load>& loads) {
  s.conditions.clear();
  s.antennas.assign(1, {});
  for (const load::Load& l : loads) {
    s.conditions.push_back({l.name});
    s.antennas.front().loads.push_back({l});
  }
}

inline std::vector<load::Load> loads_of(const station::Station& s) {
  std::vector<load::Load> loads;
  for (const station::AntennaLoad& l : s.antennas.front().loads) loads.push_back(l.load);
  return loads;
}

inline void add_load(station::Station& s, const load::Load& load) {
  std::vector<load::Load> loads = loads_of(s);
  loads.push_back(load);
  set_loads(s, loads);
}

/// A band used at one frequency.
inline station::Band one_frequency(double frequency_hz) {
  return {"band", 0.99 * frequency_hz, 1.01 * frequency_hz, frequency_hz, frequency_hz, frequency_hz};
}

/// 5 W, 50 ohm, SWR limit 2, used at 7.1 MHz; nothing uncertain; no arrangement yet.
inline station::Station bare_station(cdouble z_ohm) {
  station::Station s;
  s.name = "bare";
  s.transmitter.source.power_w = 5.0;
  s.bands = {one_frequency(7.1e6)};
  set_loads(s, {constant("dry", z_ohm)});
  s.uncertainty.q = s.uncertainty.ground = 0.0;
  return s;
}

inline station::Arrangement arrangement(const std::string& name, station::ArrangementKind kind) {
  station::Arrangement a;
  a.name = name;
  a.kind = kind;
  a.parts.stock.inductor_self_capacitance_f = 0.0;
  a.parts.stock.inductor_loss.q = 200.0;
  a.parts.stock.capacitor_loss.q = 1000.0;
  return a;
}

/// An L with `parts` inductors and capacitors in steps of two.
inline station::Arrangement with_tuner(const std::string& name, int parts = 8, double q = 120.0) {
  station::Arrangement a = arrangement(name, station::ArrangementKind::tuner);
  a.tuner.name = name;
  a.tuner.contact_ohm = 0.05;
  a.tuner.inductors.loss.q = q;
  a.tuner.inductors.stray_h = 0.1e-6;
  a.tuner.capacitors.loss.q = 1000.0;
  a.tuner.capacitors.stray_f = 15e-12;
  for (int n = 0; n < parts; ++n) {
    a.tuner.inductors.values_h.push_back(12.8e-6 / (1 << (parts - n)));
    a.tuner.capacitors.values_f.push_back(2560e-12 / (1 << (parts - n)));
  }
  return a;
}

/// 41 mm between wire centres, 1 mm wire at 2 mm. @param turns  0: as many as needed
inline station::SwitchedCoil small_coil(double turns = 0.0) {
  station::SwitchedCoil c;
  c.name = "loading";
  c.winding = coil::plain_winding(1.0, 41e-3, 2e-3, 1e-3);
  c.turns = turns;
  return c;
}

inline station::Arrangement switched(const std::string& name, const station::SwitchedCoil& coil) {
  station::Arrangement a = arrangement(name, station::ArrangementKind::switched_coil);
  a.coil = coil;
  return a;
}

/// In a table of wires: a 3 m whip at 1.2 m with a wire that trails from its foot through these points, over medium dry
/// ground.
/// @param points  TOML, as "[1.2, 0, 0.05], [5, 0, 0.05]"
inline std::string whip_and_trail(const std::string& points) {
  return R"(ground = { relative_permittivity = 15, conductivity = "1 mS/m" }
feed = { gap = "20 mm" }
wire = [ { name = "whip", points = [[0, 0, 1.2], [0, 0, 4.2]], radius = "1.5 mm", metal = "stainless steel" },
         { name = "trail", points = [[0, 0, 1.2], )" +
         points + R"(], radius = "0.5 mm", metal = "copper" } ]
)";
}

inline station::NamedCable line(const std::string& name, const std::string& type, double length_m) {
  return {name, {network::cable(type), length_m}};
}

/// Loads of every kind, with and without fold-back, cables and preferred values; one or three conditions, all kinds of
/// arrangement. A base coil need not be possible.
inline station::Station random_station(unsigned seed) {
  std::mt19937 random(seed);
  const auto uniform = [&](double low, double high) {
    return low + (high - low) * (static_cast<double>(random() & 0xffffffU) / 16777216.0);
  };
  const auto chance = [&] { return (random() & 1U) != 0; };
  station::Station s;
  s.name = "random";
  s.transmitter.source = {{uniform(30.0, 80.0), chance() ? 0.0 : uniform(-10.0, 10.0)}, uniform(1.0, 100.0)};
  s.transmitter.swr_limit = uniform(1.2, 3.0);
  if (chance())
    s.transmitter.foldback = {{1.5, s.transmitter.source.power_w},
                              {uniform(2.0, 4.0), 0.3 * s.transmitter.source.power_w}};
  const double f = uniform(3e6, 20e6);
  s.bands = {{"a", 0.98 * f, 1.02 * f, 0.99 * f, 1.01 * f, f}};
  s.antennas.emplace_back();
  const int conditions = chance() ? 1 : 3;
  for (int n = 0; n < conditions; ++n) {
    const std::string name = "c" + std::to_string(n);
    const cdouble z{uniform(2.0, 120.0), uniform(-900.0, 60.0)};
    if (chance()) {
      add_load(s, constant(name, z));
    } else if (chance()) {
      add_load(s, modelled(name, {uniform(0.5, 5.0), f, uniform(20e-12, 60e-12), uniform(0.0, 1e-6), uniform(5.0, 40.0),
                                  0.4, f}));
    } else {
      const double a = uniform(0.0, 0.5), b = uniform(0.0, 0.5);
      const load::PowerShares shares{a, b, 1.0 - a - b};
      add_load(s, {name,
                   "samples",
                   load::make_sampled_load({0.97 * f, f, 1.03 * f}, {z, z + cdouble(0.0, 5.0), z + cdouble(1.0, 9.0)},
                                           {shares, shares, shares}),
                   {}});
    }
  }
  for (const station::ArrangementKind kind :
       {station::ArrangementKind::tuner, station::ArrangementKind::l_network, station::ArrangementKind::base_coil,
        station::ArrangementKind::straight}) {
    station::Arrangement a = kind == station::ArrangementKind::tuner
                                 ? with_tuner("tuner", 4, uniform(50.0, 300.0))
                                 : arrangement("kind " + std::to_string(static_cast<int>(kind)), kind);
    a.parts.stock.inductor_loss.q = uniform(50.0, 400.0);
    a.parts.stock.inductor_self_capacitance_f = chance() ? 0.0 : 1e-12;
    if (chance()) a.parts.capacitor_series = match::ESeries::e12;
    if (chance()) a.cable_before = line("lead", "RG-174", uniform(0.2, 5.0));
    if (chance()) a.cable_after = line("riser", "RG-58", uniform(0.2, 3.0));
    s.arrangements.push_back(a);
    if (kind == station::ArrangementKind::l_network || kind == station::ArrangementKind::base_coil) {
      a.name += " trimmed";
      a.trim = station::Trim::tap_and_trimmer;
      s.arrangements.push_back(a);
    }
  }
  s.uncertainty.q = uniform(0.0, 0.3);
  s.uncertainty.ground = uniform(0.0, 0.6);
  return s;
}

}  // namespace stile::plan::test
