#include <stile/coil/ratings.hpp>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <utility>

#include <fmt/format.h>

#include <stile/base/constants.hpp>
#include <stile/base/errors.hpp>
#include <stile/base/roots.hpp>
#include <stile/coil/air.hpp>

namespace stile::coil {

namespace {

constexpr double kelvin = 273.15;
constexpr double stefan_boltzmann = 5.670374419e-8;  // exact by the SI of 2019
constexpr double hottest_c = 300.0;

// Mean over peak envelope power while sending; common practice.
constexpr std::array<std::pair<std::string_view, double>, 8> modes{{{"CW", 0.4},
                                                                    {"SSB", 0.2},
                                                                    {"SSB compressed", 0.4},
                                                                    {"FT8", 1.0},
                                                                    {"FM", 1.0},
                                                                    {"RTTY", 1.0},
                                                                    {"AM", 0.3},
                                                                    {"carrier", 1.0}}};

void check(const Service& s) {
  require(s.current_a_rms >= 0.0 && std::isfinite(s.current_a_rms), "a current must be >= 0 and finite");
  require(s.duty >= 0.0 && s.duty <= 1.0, "a duty must lie between 0 and 1");
  require(s.ambient_c >= -60.0 && s.ambient_c <= 80.0,
          "an ambient temperature must lie between -60 and 80 degrees Celsius");
  require(s.emissivity >= 0.0 && s.emissivity <= 1.0, "an emissivity must lie between 0 and 1");
  require(!s.wire_limit_c || (*s.wire_limit_c >= 0.0 && *s.wire_limit_c <= 600.0),
          "an insulation's limit must lie between 0 and 600 degrees Celsius");
}

/// Voltages between turns side by side, against the air between them.
void rate_turns(CoilRatings& r, const CoilModel& model, const CoilPoint& point, double i_peak, double density) {
  const NodeState* before = nullptr;
  r.breakdown_margin = std::numeric_limits<double>::infinity();
  for (const NodeState& node : point.nodes) {
    if (node.wire_m <= 0.0) continue;
    if (before != nullptr && before->place.section == node.place.section) {
      const Section& s = model.winding.sections[node.place.section];
      const double pitch = s.last_pitch_m > 0.0 ? std::min(s.pitch_m, s.last_pitch_m) : s.pitch_m;
      const double v = i_peak * std::abs(node.voltage_v - before->voltage_v);
      const double gap_m = std::clamp(pitch - model.winding.wire.diameter_m, 1e-6, 0.1);
      const double stands = hf_share * spark_voltage_v_peak(gap_m, density);
      r.turn_voltage_v_peak = std::max(r.turn_voltage_v_peak, v);
      r.turn_breakdown_v_peak = r.turn_breakdown_v_peak == 0.0 ? stands : std::min(r.turn_breakdown_v_peak, stands);
      if (v > 0.0) r.breakdown_margin = std::min(r.breakdown_margin, stands / v);
    }
    before = &node;
  }
}

/// Temperature at which what is given off equals what is lost. The resistance goes with the root of the resistivity.
void rate_heat(CoilRatings& r, const CoilModel& model, const Service& service, double pressure_ratio) {
  const conductor::RoundWire& wire = model.winding.wire;
  const double outer = model.winding.diameter_m + wire.diameter_m;
  const double area = pi * outer * (winding_length_m(model.winding) + wire.diameter_m);
  const double cold = conductor::resistivity_ohm_m(wire.metal, wire.temperature_c);
  const auto lost = [&](double rise) {
    const double hot = conductor::resistivity_ohm_m(wire.metal, service.ambient_c + rise);
    return service.duty * (r.winding_w * std::sqrt(hot / cold) + r.former_w);
  };
  const auto excess = [&](double rise) {
    return area * cylinder_cooling(outer, rise, service.ambient_c, service.emissivity, pressure_ratio).total_w_m2 -
           lost(rise);
  };
  const double least = 1e-6, most = hottest_c - service.ambient_c;
  if (excess(least) >= 0.0) {
    r.temperature_rise_k = 0.0;
  } else if (excess(most) < 0.0) {
    r.temperature_rise_k = most;
    r.warnings.push_back(
        fmt::format("the winding would pass {:.0f} degrees Celsius: the power is too high for this coil", hottest_c));
  } else {
    const Root balance = find_root(excess, least, most, {1e-9 * (lost(most) + 1.0), 200});
    r.temperature_rise_k = balance.x;
    if (balance.status != RootStatus::found) {
      r.temperature_rise_k = most;
      r.warnings.push_back(
          fmt::format("the temperature was not found; {:.0f} degrees Celsius is its limit", hottest_c));
    }
  }
  r.temperature_c = std::min(hottest_c, service.ambient_c + r.temperature_rise_k);  // of which rounding may make more
  const Former& f = model.winding.former;
  if (f.limit_c > 0.0 && r.temperature_c > f.limit_c) {
    r.warnings.push_back(fmt::format("{:.0f} degrees Celsius is above the {} former's limit of {:.0f}", r.temperature_c,
                                     f.name, f.limit_c));
  }
  if (service.wire_limit_c && r.temperature_c > *service.wire_limit_c) {
    r.warnings.push_back(fmt::format("{:.0f} degrees Celsius is above the insulation's limit of {:.0f}",
                                     r.temperature_c, *service.wire_limit_c));
  }
}

}  // namespace

CylinderCooling cylinder_cooling(double diameter_m, double rise_k, double ambient_c, double emissivity,
                                 double pressure_ratio) {
  require(diameter_m > 0.0 && std::isfinite(diameter_m), "a cylinder's diameter must be > 0");
  require(rise_k > 0.0 && rise_k <= 400.0, "a temperature rise must lie above 0, up to 400 K");
  require(ambient_c >= -60.0 && ambient_c <= 80.0,
          "an ambient temperature must lie between -60 and 80 degrees Celsius");
  require(emissivity >= 0.0 && emissivity <= 1.0, "an emissivity must lie between 0 and 1");
  require(pressure_ratio > 0.0 && pressure_ratio <= 2.0, "a pressure over that at sea level must lie above 0, up to 2");
  // Air at the mean of wall and surroundings: Sutherland's laws and the gas law at 1013 hPa (from memory).
  const double ambient = ambient_c + kelvin, wall = ambient + rise_k, film = 0.5 * (ambient + wall);
  const double viscosity = 1.716e-5 * std::pow(film / kelvin, 1.5) * (kelvin + 111.0) / (film + 111.0);
  const double conductivity = 0.0241 * std::pow(film / kelvin, 1.5) * (kelvin + 194.0) / (film + 194.0);
  const double kinematic = viscosity * film / (353.0 * pressure_ratio), prandtl = 0.71;
  const double rayleigh =
      9.80665 / film * rise_k * diameter_m * diameter_m * diameter_m * prandtl / (kinematic * kinematic);
  const double root =
      0.6 + 0.387 * std::pow(rayleigh, 1.0 / 6.0) / std::pow(1.0 + std::pow(0.559 / prandtl, 9.0 / 16.0), 8.0 / 27.0);
  CylinderCooling c;
  c.convection_w_m2k = root * root * conductivity / diameter_m;
  c.radiation_w_m2k = emissivity * stefan_boltzmann * (wall * wall + ambient * ambient) * (wall + ambient);
  c.total_w_m2 = (c.convection_w_m2k + c.radiation_w_m2k) * rise_k;
  return c;
}

double mode_duty(std::string_view mode) {
  std::string names;
  for (const auto& [name, duty] : modes) {
    if (name == mode) return duty;
    names += (names.empty() ? "" : ", ") + std::string(name);
  }
  throw DomainError(fmt::format("no mode is named \"{}\"; there are {}", mode, names));
}

CoilRatings rate(const CoilModel& model, const CoilPoint& point, const Service& service) {
  check(service);
  const double pressure_pa = air_pressure_pa(service.altitude_m);
  const double i_peak = std::sqrt(2.0) * service.current_a_rms, i2 = service.current_a_rms * service.current_a_rms;
  CoilRatings r;
  for (const cdouble& i : point.turn_current_a)
    r.current_a_rms = std::max(r.current_a_rms, service.current_a_rms * std::abs(i));
  for (const double w : point.turn_loss_w) r.winding_w += i2 * w;
  r.former_w = i2 * point.former_loss_ohm;
  rate_heat(r, model, service, pressure_pa / sea_level_pa);
  const double density =
      relative_air_density(pressure_pa, r.temperature_c);  // the air at the turns is as warm as they are
  rate_turns(r, model, point, i_peak, density);

  cdouble lowest_v{}, open_v{};
  bool first = true;
  r.corona_field_v_m_peak = corona_field_v_m_peak(0.5 * model.winding.wire.diameter_m, density);
  for (const NodeState& node : point.nodes) {
    if (first) lowest_v = node.voltage_v;
    first = false;
    open_v = node.voltage_v;
    r.end_voltage_v_peak = std::max(r.end_voltage_v_peak, i_peak * std::abs(node.voltage_v));
    if (node.wire_m <= 0.0) continue;
    const double per_m = i_peak * node.charge_c / node.wire_m;
    r.surface_field_v_m_peak =
        std::max(r.surface_field_v_m_peak, per_m / (pi * eps0_f_m * model.winding.wire.diameter_m));
  }
  // Open turns end where the wire ends and no current flows.
  if (!point.turn_current_a.empty() && std::abs(point.turn_current_a.back()) < 0.5) {
    r.open_end_voltage_v_peak = i_peak * std::abs(open_v - lowest_v);
  }
  if (r.surface_field_v_m_peak > 0.0) {
    r.breakdown_margin = std::min(r.breakdown_margin, r.corona_field_v_m_peak / r.surface_field_v_m_peak);
  }
  if (r.breakdown_margin < 2.0) {
    r.warnings.push_back(fmt::format("breakdown margin of {:.2g}: at least 2 is wanted (damp, dust, sharp ends, HF)",
                                     r.breakdown_margin));
  }
  return r;
}

std::vector<BandRatings> rate_design(const CoilDesign& design, double power_w, const Service& service) {
  require(power_w > 0.0 && std::isfinite(power_w), "a power must be > 0 and finite");
  const CoilModel model = coil_model(design.winding);
  std::vector<BandRatings> bands;
  for (const BandDesign& band : design.bands) {
    BandRatings& r = bands.emplace_back();
    if (!(band.chosen().input_ohm.real() > 0.0)) continue;  // nothing can be accepted
    r.current_a_rms = std::sqrt(power_w / band.chosen().input_ohm.real());
    r.load_voltage_v_peak =
        std::sqrt(2.0) * r.current_a_rms * band.chosen().load_current_a * std::abs(band.target.load_ohm);
    if (!(band.chosen().turns > 0.0)) continue;
    Service at = service;
    at.current_a_rms = r.current_a_rms;
    r.ratings = rate(model, band.coil, at);
  }
  return bands;
}

std::size_t highest_load_voltage(std::span<const BandRatings> bands) {
  require(!bands.empty(), "the highest voltage needs a band");
  const auto highest = std::max_element(bands.begin(), bands.end(), [](const BandRatings& a, const BandRatings& b) {
    return a.load_voltage_v_peak < b.load_voltage_v_peak;
  });
  return static_cast<std::size_t>(highest - bands.begin());
}

std::vector<double> node_voltages_v_peak(const CoilPoint& point, double current_a_rms) {
  require(current_a_rms >= 0.0 && std::isfinite(current_a_rms), "a current must be >= 0 and finite");
  std::vector<double> volts;
  for (const NodeState& node : point.nodes) volts.push_back(std::sqrt(2.0) * current_a_rms * std::abs(node.voltage_v));
  return volts;
}

}  // namespace stile::coil
