#include <stile/plan/detail/switched_coil.hpp>

#include <algorithm>
#include <cmath>
#include <tuple>

#include <fmt/core.h>

#include <stile/base/constants.hpp>
#include <stile/base/errors.hpp>
#include <stile/coil/design.hpp>
#include <stile/station/wound.hpp>

namespace stile::plan::detail {
namespace {

constexpr double slope_step = 1e-3;  // of the frequency, for the slope of a susceptance

cdouble parallel(cdouble a, cdouble b) { return a * b / (a + b); }

/// Capacitance that, across an impedance, gives a reactance (its own loss aside); below 0: none does.
double capacitance_across(cdouble z_ohm, double reactance_ohm, double omega) {
  const cdouble y = 1.0 / z_ohm;
  const double g = y.real(), root = 1.0 - 4.0 * reactance_ohm * reactance_ohm * g * g;
  if (!(reactance_ohm > 0.0) || root < 0.0) return -1.0;
  return ((-1.0 - std::sqrt(root)) / (2.0 * reactance_ohm) - y.imag()) / omega;
}

/// Series reactance of a branch of resistance r at which the part across brings it to the transmitter's resistance.
double branch_reactance(double r_ohm, double transmitter_ohm, double sign) {
  return r_ohm > 0.0 && r_ohm < transmitter_ohm ? sign * std::sqrt(r_ohm * (transmitter_ohm - r_ohm)) : 0.0;
}

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
    : coil_(arrangement.coil), stock_(arrangement.parts.stock), inductor_rating_(arrangement.parts.inductor_rating),
      capacitor_rating_(arrangement.parts.capacitor_rating), capacitor_series_(arrangement.parts.capacitor_series),
      taps_(taps), band_(band) {
  for (const station::StatedTap& tap : coil_.taps) {
    if (tap.band == band.name) stated_ = tap;
  }
}

std::vector<network::Element> CoilOnBand::elements(const CoilSetting& s, double frequency_hz, double q) const {
  std::vector<network::Element> list;
  if (s.shunt) {
    list.push_back(*s.shunt);
    if (auto* coil = std::get_if<network::Inductor>(&list.back().part)) coil->loss = corner_loss(coil->loss, {q, 1.0});
  }
  if (s.tap == 0) return list;
  const double omega = two_pi * frequency_hz;
  cdouble z = taps_.impedance_ohm(s.tap, s.unused, frequency_hz);
  if (s.trimmer_f > 0.0)
    z = parallel(z, network::impedance(network::Capacitor{s.trimmer_f, stock_.capacitor_loss}, frequency_hz));
  z += cdouble{coil_.contact_ohm, omega * coil_.lead_inductance_h};
  const double across_f = s.self_capacitance_f + s.trimmer_f;
  const cdouble inner = 1.0 / (1.0 / z - cdouble{0.0, omega * across_f});
  const bool all = s.tap + 1 == taps_.turns().size();
  std::string label = fmt::format("coil (turn {:g}", taps_.turns()[s.tap]);
  if (!all) label += s.unused == coil::Unused::open ? ", rest open" : ", rest shorted";
  if (s.trimmer_f > 0.0) label += fmt::format(", {} across", print_quantity(s.trimmer_f, Unit::farad, 3));
  label += ")";
  network::Component part = network::FixedImpedance{z};
  if (inner.imag() > 0.0 && inner.real() > 0.0)
    part = network::Inductor{inner.imag() / omega, {q * inner.imag() / inner.real(), frequency_hz, 0.0, 0.0}, across_f};
  list.push_back({std::move(label), network::Place::series, std::move(part), coil_.rating});
  return list;
}

CoilSetting CoilOnBand::setting(std::size_t tap, coil::Unused unused, double trimmer_f) const {
  CoilSetting s{tap, unused, trimmer_f, 0.0, {}};
  if (tap == 0) return s;
  // A susceptance w C - 1/(w L) at two frequencies gives its C.
  const auto slope_term = [&](double f) { return (1.0 / taps_.impedance_ohm(tap, unused, f)).imag() * two_pi * f; };
  const double f = band_.design_hz, beside = f * (1.0 + slope_step);
  s.self_capacitance_f =
      std::max(0.0, (slope_term(beside) - slope_term(f)) / (two_pi * two_pi * (beside * beside - f * f)));
  return s;
}

double CoilOnBand::trimmer_for(std::size_t tap, coil::Unused unused, double reactance_ohm) const {
  const double omega = two_pi * band_.design_hz;
  const double c = capacitance_across(taps_.impedance_ohm(tap, unused, band_.design_hz),
                                      reactance_ohm - omega * coil_.lead_inductance_h, omega);
  return std::min(coil_.trimmer_f, std::max(0.0, c));
}

/// Taps on both sides of a wanted reactance of the whole branch (wanted: of the branch, from its resistance).
std::vector<std::size_t> CoilOnBand::taps_for(coil::Unused unused, double transmitter_ohm, double sign,
                                              cdouble target_ohm, double q) const {
  std::vector<std::size_t> found;
  double before = 0.0;
  for (std::size_t tap = 0; tap < taps_.turns().size(); ++tap) {
    cdouble z = target_ohm;
    if (tap > 0) {
      const cdouble coil = taps_.impedance_ohm(tap, unused, band_.design_hz);
      if (coil.imag() <= 0.0) break;  // from here on a resonator
      z += cdouble{coil.real() / q + coil_.contact_ohm,
                   coil.imag() + two_pi * band_.design_hz * coil_.lead_inductance_h};
    }
    const double off = z.imag() - branch_reactance(z.real(), transmitter_ohm, sign);
    if (tap > 0 && before < 0.0 && off >= 0.0) found.insert(found.end(), {tap - 1, tap});
    before = off;
  }
  if (found.empty() && before < 0.0) found.push_back(taps_.turns().size() - 1);
  return found;
}

std::optional<CoilSetting> CoilOnBand::choose(const station::Arrangement& arrangement,
                                              const station::Transmitter& transmitter, const station::Antenna& antenna,
                                              const Corner& corner) const {
  const Goals goal = goals(arrangement, antenna, band_, corner);
  const double transmitter_ohm = transmitter.source.z_ohm.real(), omega = two_pi * band_.design_hz;
  std::optional<CoilSetting> best;
  MatchRank best_rank{true, network::infinite};
  const auto try_one = [&](const CoilSetting& s) {
    const auto whole_at = [&](double f) { return whole_ladder(arrangement, elements(s, f, corner.q)); };
    const MatchRank rank = match_rank(whole_at, transmitter, goal, band_, corner);
    if (rank < best_rank) best_rank = rank, best = s;
  };
  /// Alone, and with the part across that takes away what susceptance is left.
  const auto try_steps = [&](CoilSetting s, cdouble target) {
    try_one(s);
    cdouble branch = target;
    for (const network::Element& e : elements(s, band_.design_hz, corner.q))
      branch += network::impedance(e.part, band_.design_hz);
    const double b = (1.0 / branch).imag();
    if (b > 0.0 && coil_.shunt_coil) {
      s.shunt = network::Element{"L1", network::Place::shunt,
                                 network::Inductor{1.0 / (omega * b), stock_.inductor_loss, 0.0}, inductor_rating_};
    } else if (b < 0.0 && coil_.shunt_capacitor) {
      const double c = capacitor_series_ ? match::e_series_nearest(*capacitor_series_, -b / omega) : -b / omega;
      s.shunt = network::Element{"C1", network::Place::shunt, network::Capacitor{c, stock_.capacitor_loss},
                                 capacitor_rating_};
    } else {
      return;
    }
    try_one(s);
  };

  std::vector<coil::Unused> treatments{coil::Unused::open, coil::Unused::shorted};
  const std::optional<coil::Unused> wanted = stated_ ? stated_->unused : coil_.unused;
  if (wanted) treatments = {*wanted};
  for (const cdouble& whip : goal.targets_ohm) {
    const cdouble target = behind_cable(arrangement, band_.design_hz, whip);
    for (const coil::Unused unused : treatments) {
      for (const double sign : {0.0, 1.0, -1.0}) {
        std::vector<std::size_t> taps = taps_for(unused, transmitter_ohm, sign, target, corner.q);
        if (stated_) {
          const auto at = std::find(taps_.turns().begin(), taps_.turns().end(), stated_->turns);
          taps = {static_cast<std::size_t>(at - taps_.turns().begin())};
        } else if (target.imag() >= 0.0) {
          taps.push_back(0);
        }
        for (const std::size_t tap : taps) {
          try_steps(setting(tap, unused, 0.0), target);
          if (tap == 0 || coil_.trimmer_f == 0.0) continue;
          const double r =
              target.real() + taps_.impedance_ohm(tap, unused, band_.design_hz).real() / corner.q + coil_.contact_ohm;
          const double c = trimmer_for(tap, unused, branch_reactance(r, transmitter_ohm, sign) - target.imag());
          if (c > 0.0) try_steps(setting(tap, unused, c), target);
        }
      }
    }
  }
  return best;
}

}  // namespace stile::plan::detail
