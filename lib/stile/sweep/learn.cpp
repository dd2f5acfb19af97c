#include <stile/sweep/learn.hpp>

#include <algorithm>
#include <cmath>

#include <stile/base/constants.hpp>
#include <stile/base/table.hpp>
#include <stile/network/waves.hpp>

namespace stile::sweep {
namespace {

void positive(const Uncertain& v, const char* what) {
  require(std::isfinite(v.value) && v.value > 0.0 && !(v.uncertainty < 0.0), what);
}

}  // namespace

Uncertain within(double value, double relative) {
  require(relative >= 0.0 && std::isfinite(value), "a value must be finite and its relative error >= 0");
  return {value, relative * std::abs(value)};
}

FeedLoss loss_from_feed_resistance(const Uncertain& feed_ohm, const Uncertain& radiation_ohm,
                                   const Uncertain& known_ohm) {
  positive(feed_ohm, "the feed resistance must be > 0, its uncertainty >= 0");
  positive(radiation_ohm, "the radiation resistance must be > 0, its uncertainty >= 0");
  require(known_ohm.value >= 0.0 && known_ohm.uncertainty >= 0.0, "the known losses must be >= 0");
  FeedLoss result;
  result.loss_ohm.value = feed_ohm.value - radiation_ohm.value - known_ohm.value;
  result.loss_ohm.uncertainty =
      std::hypot(feed_ohm.uncertainty, std::hypot(radiation_ohm.uncertainty, known_ohm.uncertainty));
  result.efficiency.value = radiation_ohm.value / feed_ohm.value;
  result.efficiency.uncertainty = result.efficiency.value * std::hypot(radiation_ohm.uncertainty / radiation_ohm.value,
                                                                       feed_ohm.uncertainty / feed_ohm.value);
  result.contradiction = result.loss_ohm.value < -result.loss_ohm.uncertainty;
  return result;
}

Width width_from_swr(double low_hz, double high_hz, double swr_edge, double least_swr, bool high_resistance,
                     bool parallel) {
  require(low_hz > 0.0 && high_hz > low_hz && std::isfinite(high_hz), "frequencies must be > 0 and rising");
  require(least_swr >= 1.0 && swr_edge > least_swr && std::isfinite(swr_edge),
          "the SWR at the edges must be above the least, which is at least 1");
  // R over R0, or of a parallel circuit G over 1/R0: its |G| is that of the dual series circuit.
  const double r = high_resistance != parallel ? least_swr : 1.0 / least_swr;
  const double g = network::reflection_abs_from_swr(swr_edge), g2 = g * g;
  const double x = std::sqrt((g2 * (r + 1.0) * (r + 1.0) - (r - 1.0) * (r - 1.0)) / (1.0 - g2));
  Width width;
  width.resonance_hz = std::sqrt(low_hz * high_hz);
  // X = R Q (f/f0 - f0/f) at both edges alike.
  const double q = x / r / (high_hz / width.resonance_hz - width.resonance_hz / high_hz);
  width.q = q;
  width.half_power_hz = width.resonance_hz / q;
  return width;
}

Uncertain resistance_from_width(const Uncertain& inductance_h, const Uncertain& half_power_hz) {
  positive(inductance_h, "the inductance must be > 0");
  positive(half_power_hz, "the width must be > 0");
  const double r = two_pi * inductance_h.value * half_power_hz.value;
  return {r, r * std::hypot(inductance_h.uncertainty / inductance_h.value,
                            half_power_hz.uncertainty / half_power_hz.value)};
}

Uncertain shunt_resistance_from_width(const Uncertain& capacitance_f, const Uncertain& half_power_hz) {
  positive(capacitance_f, "the capacitance must be > 0");
  positive(half_power_hz, "the width must be > 0");
  const double r = 1.0 / (two_pi * capacitance_f.value * half_power_hz.value);
  return {r, r * std::hypot(capacitance_f.uncertainty / capacitance_f.value,
                            half_power_hz.uncertainty / half_power_hz.value)};
}

CoilFromResonances coil_from_resonances(const Uncertain& first_hz, const Uncertain& first_f, const Uncertain& second_hz,
                                        const Uncertain& second_f) {
  positive(first_hz, "resonances must be > 0");
  positive(second_hz, "resonances must be > 0");
  require(first_f.value >= 0.0 && second_f.value >= 0.0 && first_f.uncertainty >= 0.0 && second_f.uncertainty >= 0.0,
          "capacitors must be >= 0");
  require((first_f.value < second_f.value && first_hz.value > second_hz.value) ||
              (first_f.value > second_f.value && first_hz.value < second_hz.value),
          "the larger capacitor must have the lower resonance");
  const double a = 1.0 / std::pow(two_pi * first_hz.value, 2), b = 1.0 / std::pow(two_pi * second_hz.value, 2);
  const double dc = second_f.value - first_f.value, l = (b - a) / dc, own = a / l - first_f.value;
  const double da = 2.0 * a * first_hz.uncertainty / first_hz.value,
               db = 2.0 * b * second_hz.uncertainty / second_hz.value;
  CoilFromResonances result;
  result.inductance_h.value = l;
  result.inductance_h.uncertainty =
      std::hypot(std::hypot(da, db) / std::abs(dc), l / dc * std::hypot(first_f.uncertainty, second_f.uncertainty));
  result.self_capacitance_f.value = own;
  // own = a dc / (b - a) - C1: derivatives to a, b, C1, C2.
  const double to_a = dc * b / std::pow(b - a, 2), to_b = -dc * a / std::pow(b - a, 2);
  const double to_c1 = -a / (b - a) - 1.0, to_c2 = a / (b - a);
  result.self_capacitance_f.uncertainty = std::hypot(
      std::hypot(to_a * da, to_b * db), std::hypot(to_c1 * first_f.uncertainty, to_c2 * second_f.uncertainty));
  return result;
}

Uncertain q_from_width(const Uncertain& resonance_hz, const Uncertain& half_power_hz) {
  positive(resonance_hz, "the resonance must be > 0");
  positive(half_power_hz, "the width must be > 0");
  const double q = resonance_hz.value / half_power_hz.value;
  return {q, q * std::hypot(resonance_hz.uncertainty / resonance_hz.value,
                            half_power_hz.uncertainty / half_power_hz.value)};
}

double two_port_loss_db(const network::ScatteringMatrix& s, double series_ohm) {
  require(s.z_ref1.imag() == 0.0 && s.z_ref2.imag() == 0.0, "the references must be real");
  require(series_ohm >= 0.0 && std::isfinite(series_ohm), "the series resistance must be finite and >= 0");
  const double enters = 1.0 - std::norm(s.s11), leaves = std::norm(s.s21) * (1.0 + series_ohm / s.z_ref2.real());
  require(enters > 0.0 && leaves > 0.0, "|S11| must be below 1 and S21 not 0");
  return 10.0 * std::log10(enters / leaves);
}

std::vector<TwoPortLoss> two_port_losses(const Sweep& sweep, double series_ohm) {
  if (sweep.ports != 2) throw Error(sweep.file + ": the loss of a two-port needs two ports");
  std::vector<TwoPortLoss> losses;
  for (std::size_t i = 0; i < sweep.frequency_hz.size(); ++i) {
    const network::ScatteringMatrix s = scattering(sweep, i);
    if (std::abs(s.s11) >= 1.0 || s.s21 == 0.0) continue;
    losses.push_back({sweep.frequency_hz[i], two_port_loss_db(s, series_ohm)});
  }
  return losses;
}

FeedLoss loss_at(const OnePort& sweep, double frequency_hz, const Uncertain& radiation_ohm,
                 const Uncertain& known_ohm) {
  const auto& f = sweep.frequency_hz;
  require(!f.empty() && frequency_hz >= f.front() && frequency_hz <= f.back(), "the frequency is outside the sweep");
  const auto above = static_cast<std::size_t>(std::lower_bound(f.begin(), f.end(), frequency_hz) - f.begin());
  double r = sweep.z_ohm[above].real(), u = sweep.uncertainty_ohm[above];
  if (f[above] != frequency_hz) {
    const double share = (frequency_hz - f[above - 1]) / (f[above] - f[above - 1]);
    r = sweep.z_ohm[above - 1].real() + share * (r - sweep.z_ohm[above - 1].real());
    u = std::max(u, sweep.uncertainty_ohm[above - 1]);
  }
  return loss_from_feed_resistance({r, 2.0 * u}, radiation_ohm, known_ohm);
}

double tuner_loss_from_swr_db(double swr_half, double swr_double) {
  require(swr_half > 1.0 && swr_double > 1.0 && std::isfinite(swr_half) && std::isfinite(swr_double),
          "both SWR must be above 1 and finite");
  return 5.0 * std::log10((swr_half + 1.0) * (swr_double + 1.0) / (9.0 * (swr_half - 1.0) * (swr_double - 1.0)));
}

Uncertain tuner_loss_from_swr_db(const Uncertain& swr_half, const Uncertain& swr_double) {
  Uncertain loss{tuner_loss_from_swr_db(swr_half.value, swr_double.value), 0.0};
  // d/dS of ln((S+1)/(S-1)) is -2/(S^2-1).
  const auto part = [](const Uncertain& s) { return 2.0 * s.uncertainty / (s.value * s.value - 1.0); };
  loss.uncertainty = 5.0 / std::log(10.0) * std::hypot(part(swr_half), part(swr_double));
  return loss;
}

std::string_view relay_state_name(RelayState state) {
  switch (state) {
  case RelayState::works:
    return "works";
  case RelayState::no_change:
    return "does not switch";
  case RelayState::open:
    return "open";
  case RelayState::other_value:
    break;
  }
  return "another value";
}

std::vector<RelayVerdict> judge_relays(bool capacitors, cdouble base_ohm, const std::vector<RelayReading>& readings,
                                       double frequency_hz, double uncertainty_ohm, double tolerance) {
  require(frequency_hz > 0.0 && std::isfinite(frequency_hz), "the frequency must be > 0");
  require(uncertainty_ohm >= 0.0 && tolerance > 0.0, "the uncertainty must be >= 0 and the tolerance > 0");
  require(!capacitors || base_ohm != 0.0, "a bank of capacitors across cannot be read on a short circuit");
  const double w = two_pi * frequency_hz;
  std::vector<RelayVerdict> verdicts;
  for (const RelayReading& reading : readings) {
    require(reading.expected > 0.0, "the expected value must be > 0");
    require(!capacitors || reading.z_ohm != 0.0, "a reading of 0 ohm");
    RelayVerdict v;
    double step = 0.0, error = 0.0;
    if (capacitors) {
      const cdouble y0 = 1.0 / base_ohm, y = 1.0 / reading.z_ohm;
      step = (y - y0).imag() / w;
      error = uncertainty_ohm * std::hypot(std::norm(y0), std::norm(y)) / w;
    } else {
      step = (reading.z_ohm - base_ohm).imag() / w;
      error = uncertainty_ohm * std::sqrt(2.0) / w;
    }
    v.value = {step, 2.0 * error};
    if (!capacitors && std::abs(reading.z_ohm) > 10.0 * w * reading.expected &&
        std::abs(reading.z_ohm) > 10.0 * std::abs(base_ohm)) {
      v.state = RelayState::open;
    } else if (std::abs(step) <= reading.expected / 3.0 &&
               std::abs(step) <= std::max(3.0 * error, 0.1 * reading.expected)) {
      v.state = RelayState::no_change;
    } else if (std::abs(step - reading.expected) > tolerance * reading.expected + v.value.uncertainty) {
      v.state = RelayState::other_value;
    }
    verdicts.push_back(v);
  }
  return verdicts;
}

RelayTable read_relays(std::string_view text, const std::string& file) {
  const Table table = read_table(text, file);
  RelayTable result;
  result.capacitors = table.has_column("capacitance_f");
  const bool mega = table.has_column("frequency_mhz");
  const char* expected = result.capacitors ? "capacitance_f" : "inductance_h";
  if (result.capacitors == table.has_column("inductance_h"))
    throw ParseError(table.heading.front().where, "one of inductance_h and capacitance_f is needed");
  if (table.rows.size() < 2) throw ParseError(table.heading.front().where, "a base row and one row a relay are needed");
  for (std::size_t row = 0; row < table.rows.size(); ++row) {
    const auto fail = [&](std::string_view column, const char* message) {
      throw ParseError(table.rows[row][table.column(column)].where, message);
    };
    const double f = mega ? 1e6 * table.number(row, "frequency_mhz") : table.number(row, "frequency_hz");
    if (f <= 0.0) fail(mega ? "frequency_mhz" : "frequency_hz", "a frequency must be > 0");
    if (row > 0 && f != result.frequency_hz)
      fail(mega ? "frequency_mhz" : "frequency_hz", "all readings of a bank must be at one frequency");
    const cdouble z(table.number(row, "r_ohm"), table.number(row, "x_ohm"));
    if (row == 0) {
      if (!table.text(row, expected).empty())
        fail(expected, "the first row is the base reading, nothing switched: leave this empty");
      result.frequency_hz = f;
      result.base_ohm = z;
      continue;
    }
    const double value = table.number(row, expected);
    if (value <= 0.0) fail(expected, "must be > 0");
    result.readings.push_back({value, z});
    result.names.push_back(table.has_column("relay") ? table.text(row, "relay") : "relay " + std::to_string(row));
  }
  return result;
}

}  // namespace stile::sweep
