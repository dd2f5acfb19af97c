#include <stile/plan/detail/switched_coil.hpp>

#include <algorithm>
#include <cmath>
#include <tuple>

#include <fmt/core.h>

#include <stile/base/constants.hpp>
#include <stile/base/errors.hpp>
#include <stile/coil/design.hpp>
#include <stile/plan/detail/settings.hpp>
#include <stile/station/wound.hpp>

namespace stile::plan::detail {
namespace {

constexpr double slope_step = 1e-3;  // of the frequency, for the slope of a susceptance

cdouble parallel(cdouble a, cdouble b) { return a * b / (a + b); }

}  // namespace

double resonating_turns(const station::Arrangement& arrangement, const station::Station& station) {
  const station::SwitchedCoil& coil = arrangement.coil;
  coil::BandTarget most{"", 0.0, {}, 0.0, 0.0};
  double most_h = -network::infinite;
  for (const station::Band& band : station.bands) {
    const bool stated = std::any_of(coil.taps.begin(), coil.taps.end(),
                                    [&](const station::StatedTap& t) { return t.band == band.name; });
    for (const station::AntennaLoad& l : station.antennas[arrangement.antenna].loads) {
      if (stated) continue;
      const cdouble z = behind_cable(arrangement, band.design_hz, load::load_impedance(l.load, band.design_hz));
      // A part across wants the branch to be inductive by up to half the transmitter's resistance.
      const cdouble wanted = z - cdouble{0.0, 0.5 * station.transmitter.source.z_ohm.real()};
      const double needed_h = -wanted.imag() / (two_pi * band.design_hz);
      if (needed_h > most_h) most_h = needed_h, most = {band.name, band.design_hz, wanted, 0.0, 0.0};
    }
  }
  double turns = 1.0;
  for (const station::StatedTap& tap : coil.taps) turns = std::max(turns, tap.turns);
  if (most_h <= 0.0) return turns;
  coil::DesignRequest request;
  request.winding = station::wound(coil, 0.0);
  request.bands = {most};
  request.most_turns = most_turns;
  request.lead_inductance_h = coil.lead_inductance_h;
  return std::max(turns, coil::total_turns(coil::design_coil(request).winding));
}

bool same_coil(const station::Arrangement& a, const station::Arrangement& b) {
  // A coil without stated turns is wound for the load behind the cable.
  const bool cables = a.cable_after.has_value() || b.cable_after.has_value();
  if (a.kind != b.kind || (a.coil.turns == 0.0 && (cables || a.antenna != b.antenna))) return false;
  const auto section = [](const coil::Section& s) { return std::tie(s.start_m, s.turns, s.pitch_m, s.last_pitch_m); };
  const auto tap = [](const station::StatedTap& t) { return std::tie(t.band, t.turns); };
  const auto equal = [](const auto& x, const auto& y, const auto& parts) {
    return std::equal(x.begin(), x.end(), y.begin(), y.end(),
                      [&](const auto& p, const auto& q) { return parts(p) == parts(q); });
  };
  const auto coil = [](const station::SwitchedCoil& c) {
    const coil::Winding& w = c.winding;
    return std::tie(c.turns, c.tap_step_turns, c.switch_ohm, c.lead_inductance_h, w.diameter_m, w.wire.diameter_m,
                    w.wire.wall_m, w.wire.metal.resistivity_20c_ohm_m, w.wire.metal.temperature_coefficient_per_k,
                    w.wire.temperature_c, w.former.relative_permittivity, w.former.loss_tangent, w.former.field_share,
                    c.former_wall_m, w.plane, w.beside, w.can);
  };
  const auto near_ohm_m = [](const station::SwitchedCoil& c) {
    return c.winding.near_metal ? c.winding.near_metal->resistivity_20c_ohm_m : 0.0;
  };
  return coil(a.coil) == coil(b.coil) && equal(a.coil.winding.sections, b.coil.winding.sections, section) &&
         equal(a.coil.taps, b.coil.taps, tap) && near_ohm_m(a.coil) == near_ohm_m(b.coil);
}

CoilTaps::CoilTaps(const station::SwitchedCoil& coil, const coil::CoilModel& model, const station::Band& band,
                   const std::vector<double>& frequencies_hz)
    : model_(model), switch_ohm_(coil.switch_ohm), turns_(coil::solve_turns(model, band.design_hz)) {
  const double all = coil::total_turns(model.winding);
  for (int i = 0; i * coil.tap_step_turns < all - 1e-9; ++i) tap_turns_.push_back(i * coil.tap_step_turns);
  tap_turns_.push_back(all);
  for (const station::StatedTap& tap : coil.taps) {
    if (tap.band == band.name) tap_turns_.push_back(tap.turns);
  }
  std::sort(tap_turns_.begin(), tap_turns_.end());
  tap_turns_.erase(std::unique(tap_turns_.begin(), tap_turns_.end()), tap_turns_.end());
  std::vector<double> all_hz{band.use_low_hz, band.design_hz, band.use_high_hz, band.design_hz * (1.0 + slope_step)};
  all_hz.insert(all_hz.end(), frequencies_hz.begin(), frequencies_hz.end());
  std::sort(all_hz.begin(), all_hz.end());
  all_hz.erase(std::unique(all_hz.begin(), all_hz.end()), all_hz.end());
  for (const double f : all_hz) tables_.emplace_back(f, at(f));
}

/// Impedances between all taps with the first at ground.
coil::SquareMatrix<cdouble> CoilTaps::at(double frequency_hz) const {
  std::vector<coil::WirePlace> places;
  for (const double turn : tap_turns_) places.push_back({0, turn});
  const double ratio = frequency_hz / turns_.frequency_hz;
  const bool near = ratio > 0.85 && ratio < 1.15;
  return coil::place_impedance_ohm(model_,
                                   near ? coil::shifted(turns_, frequency_hz) : coil::solve_turns(model_, frequency_hz),
                                   places, places.front());
}

cdouble CoilTaps::impedance_ohm(std::size_t tap, coil::Unused unused, double frequency_hz) const {
  require(tap < tap_turns_.size(), "there is no such tap");
  const auto known = std::lower_bound(tables_.begin(), tables_.end(), frequency_hz,
                                      [](const auto& table, double f) { return table.first < f; });
  const bool computed_before = known != tables_.end() && known->first == frequency_hz;
  const coil::SquareMatrix<cdouble> computed = computed_before ? coil::SquareMatrix<cdouble>{} : at(frequency_hz);
  const coil::SquareMatrix<cdouble>& z = computed_before ? known->second : computed;
  const std::size_t end = tap_turns_.size() - 1;
  cdouble seen = z(tap, tap);
  if (unused == coil::Unused::shorted && tap != end && tap != 0) {
    const cdouble across = z(tap, tap) - z(tap, end);
    seen -= across * across / (z(tap, tap) + z(end, end) - 2.0 * z(tap, end) + switch_ohm_);
  }
  return {0.5 * (coil::practical_loss.low + coil::practical_loss.high) * seen.real(), seen.imag()};
}

CoilOnBand::CoilOnBand(const station::Arrangement& arrangement, const CoilTaps& taps, const station::Band& band)
    : coil_(arrangement.coil), stock_(arrangement.parts.stock), taps_(taps), band_(band) {
  for (const station::StatedTap& tap : coil_.taps) {
    if (tap.band == band.name) stated_ = tap;
  }
  for (const coil::Unused unused : {coil::Unused::open, coil::Unused::shorted}) {
    for (std::size_t tap = 0; tap < taps.turns().size(); ++tap)
      own_f_[unused == coil::Unused::shorted].push_back(self_capacitance_f(tap, unused));
  }
}

/// Of the turns in use, from the slope of their susceptance at the design frequency: a susceptance w C - 1/(w L) at two
/// frequencies gives its C.
double CoilOnBand::self_capacitance_f(std::size_t tap, coil::Unused unused) const {
  if (tap == 0) return 0.0;
  const auto slope_term = [&](double f) { return (1.0 / taps_.impedance_ohm(tap, unused, f)).imag() * two_pi * f; };
  const double f = band_.design_hz, beside = f * (1.0 + slope_step);
  return std::max(0.0, (slope_term(beside) - slope_term(f)) / (two_pi * two_pi * (beside * beside - f * f)));
}

coil::Unused CoilOnBand::unused(const match::Choice& position) const {
  return position.part == 0 ? coil::Unused::open : coil::Unused::shorted;
}

double CoilOnBand::trimmer_f(const match::Choice& position) const {
  return coil_.trimmer_f * static_cast<double>(position.trimmer) / static_cast<double>(trimmer_positions - 1);
}

match::PartList CoilOnBand::positions(const std::vector<double>& frequencies_hz, const Corner& corner) const {
  match::PartList list;
  const std::optional<coil::Unused> wanted = stated_ ? stated_->unused : coil_.unused;
  const std::size_t trimmers = coil_.trimmer_f > 0.0 ? trimmer_positions : 1, frequencies = frequencies_hz.size();
  std::vector<cdouble> across_ohm;  // trimmers, by position from 1 on and frequency
  for (std::size_t trimmer = 1; trimmer < trimmers; ++trimmer) {
    for (const double f : frequencies_hz)
      across_ohm.push_back(
          network::impedance(network::Capacitor{trimmer_f({{}, {}, 0, 0, trimmer}), stock_.capacitor_loss}, f));
  }
  std::vector<cdouble> turns_ohm(frequencies);
  for (const std::size_t part_number : {0U, 1U}) {
    const coil::Unused unused_turns = part_number == 0 ? coil::Unused::open : coil::Unused::shorted;
    if ((wanted && *wanted != unused_turns) || (left_ && *left_ != unused_turns)) continue;
    for (std::size_t tap = 0; tap < taps_.turns().size(); ++tap) {
      if (stated_ && taps_.turns()[tap] != stated_->turns) continue;
      if (tap == 0) {
        list.choices.push_back({std::nullopt, {}, part_number, 0, 0});
        continue;
      }
      if (!stated_ && taps_.impedance_ohm(tap, unused_turns, band_.design_hz).imag() <= 0.0) break;
      for (std::size_t f = 0; f < frequencies; ++f)
        turns_ohm[f] = taps_.impedance_ohm(tap, unused_turns, frequencies_hz[f]);
      for (std::size_t trimmer = 0; trimmer < trimmers; ++trimmer) {
        match::Choice& choice = list.choices.emplace_back(match::Choice{std::nullopt, {}, part_number, tap, trimmer});
        choice.z_ohm.reserve(frequencies);
        for (std::size_t f = 0; f < frequencies; ++f) {
          const cdouble z_ohm =
              trimmer > 0 ? parallel(turns_ohm[f], across_ohm[(trimmer - 1) * frequencies + f]) : turns_ohm[f];
          network::Component wound = part(choice, z_ohm, frequencies_hz[f], corner);
          choice.z_ohm.push_back(network::impedance(wound, frequencies_hz[f]));
          if (f == 0) choice.element = network::Element{"", network::Place::series, std::move(wound), coil_.rating};
        }
      }
    }
  }
  return list;
}

/// With contacts and leads, as an inductor where it is one.
network::Component CoilOnBand::part(const match::Choice& position, cdouble with_trimmer_ohm, double frequency_hz,
                                    const Corner& corner) const {
  const double omega = two_pi * frequency_hz;
  const cdouble z = with_trimmer_ohm + cdouble{coil_.contact_ohm + corner.contact_ohm, omega * coil_.lead_inductance_h};
  const double across_f = own_f_[unused(position) == coil::Unused::shorted][position.tap] + trimmer_f(position);
  const cdouble inner = 1.0 / (1.0 / z - cdouble{0.0, omega * across_f});
  if (!(inner.imag() > 0.0 && inner.real() > 0.0)) return network::FixedImpedance{z};
  const conductor::RoundWire& wire = coil_.winding.wire;
  const double q = corner.q * temperature_factor(corner, wire.temperature_c, wire.metal.temperature_coefficient_per_k);
  return network::Inductor{inner.imag() / omega, {q * inner.imag() / inner.real(), frequency_hz, 0.0, 0.0}, across_f};
}

std::optional<network::Element> CoilOnBand::element(const match::Choice& position, double frequency_hz,
                                                    const Corner& corner) const {
  if (position.tap == 0) return std::nullopt;
  const double trimmer = trimmer_f(position);
  cdouble z = taps_.impedance_ohm(position.tap, unused(position), frequency_hz);
  if (trimmer > 0.0)
    z = parallel(z, network::impedance(network::Capacitor{trimmer, stock_.capacitor_loss}, frequency_hz));
  const bool all = position.tap + 1 == taps_.turns().size();
  std::string label = fmt::format("coil (turn {:g}", turns(position));
  if (!all) label += unused(position) == coil::Unused::open ? ", rest open" : ", rest shorted";
  if (trimmer > 0.0) label += fmt::format(", {} across", print_quantity(trimmer, Unit::farad, 3));
  label += ")";
  return network::Element{std::move(label), network::Place::series, part(position, z, frequency_hz, corner),
                          coil_.rating};
}

}  // namespace stile::plan::detail
