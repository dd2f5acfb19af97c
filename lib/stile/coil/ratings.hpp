#pragma once
// What a coil stands: voltage between turns and at open ends, heat, temperature.

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include <stile/coil/analysis.hpp>
#include <stile/coil/design.hpp>

namespace stile::coil {

struct Service {
  double current_a_rms = 0.0;  ///< at the terminal while transmitting
  double duty = 1.0;           ///< mean over peak power of the mode and of sending against listening, 0 to 1
  double ambient_c = 25.0;
  double altitude_m = 0.0;  ///< as air_pressure_pa
  double emissivity = 0.9;  ///< of the winding's outside, 0 to 1 (paint, enamel, plastic 0.9; bright copper 0.05)
  std::optional<double> wire_limit_c;  ///< of the insulation, 0 to 600; nothing: not stated
};

struct CoilRatings {
  double current_a_rms = 0.0;              ///< largest in any turn
  double turn_voltage_v_peak = 0.0;        ///< largest between neighbouring turns
  double turn_breakdown_v_peak = 0.0;      ///< of the air between them at HF, insulation not counted
  double end_voltage_v_peak = 0.0;         ///< largest to ground
  double open_end_voltage_v_peak = 0.0;    ///< from `from` to the far end of open turns; 0: none are open
  double surface_field_v_m_peak = 0.0;     ///< largest mean field at the wire's surface
  double corona_field_v_m_peak = 0.0;      ///< at which air at that wire begins to glow
  double breakdown_margin = 0.0;           ///< smaller of breakdown/turn voltage and corona/surface field
  double winding_w = 0.0, former_w = 0.0;  ///< while transmitting, before duty; switches and contacts not counted
  double temperature_c = 0.0;              ///< of the winding after a long time, at the duty
  double temperature_rise_k = 0.0;
  std::vector<std::string> warnings;
};

/// Air has the pressure of the altitude; between the turns and at the wire it is as warm as the winding.
/// @throws DomainError  a value outside its range
/// Accuracy: arithmetic 1e-9. Model: spark gap of even fields, hf_share of spark_voltage_v_peak (less was seen between
/// thin wires: want a margin of 2 or more, common practice); temperature of a closed cylinder in still air, even all
/// along (hot spots of shorted turns run hotter). Practice: 20 % on the rise.
CoilRatings rate(const CoilModel& model, const CoilPoint& point, const Service& service);

/// What one band of a designed coil stands.
struct BandRatings {
  double current_a_rms = 0.0;          ///< at the base with the whole power accepted; 0 where nothing has a resistance
  double load_voltage_v_peak = 0.0;    ///< across the load, likewise; from the load's current, not the base's
  std::optional<CoilRatings> ratings;  ///< nothing when the coil is bypassed
};

/// Every band of a design, at its chosen tap.
/// @param service  its current is replaced
/// @throws DomainError  power not > 0; as rate()
std::vector<BandRatings> rate_design(const CoilDesign& design, double power_w, const Service& service);

/// The band with the highest voltage across its load; the first of equals.
/// @throws DomainError  no band
std::size_t highest_load_voltage(std::span<const BandRatings> bands);

/// Peak voltage to ground of each of a point's nodes, V. @throws DomainError  current below 0
std::vector<double> node_voltages_v_peak(const CoilPoint& point, double current_a_rms);

/// Heat given off by the outside of a horizontal cylinder in still air, W/m2: convection and radiation.
struct CylinderCooling {
  double convection_w_m2k = 0.0, radiation_w_m2k = 0.0;
  double total_w_m2 = 0.0;
};
/// @param rise_k  > 0, up to 400
/// @param pressure_ratio  of the air over that at sea level, above 0, to 2
/// Accuracy: against computed rows whose air has other properties convection 1.2 %, radiation 0.1 %, the sum 1 %
/// (test_ratings.cpp); the correlation itself 15 % or so.
/// Source: Churchill and Chu 1975, horizontal cylinder (from memory); Stefan-Boltzmann.
CylinderCooling cylinder_cooling(double diameter_m, double rise_k, double ambient_c, double emissivity,
                                 double pressure_ratio = 1.0);

/// Mean over peak envelope power, for Service::duty, transmitting all the time (common practice): "CW" 0.4, "SSB" 0.2,
/// "SSB compressed" 0.4, "FT8" 1, "FM" 1, "RTTY" 1, "AM" 0.3, "carrier" 1. Multiply by the share of time spent sending.
/// @throws DomainError  no such mode (the message lists those there are)
double mode_duty(std::string_view mode);

}  // namespace stile::coil
