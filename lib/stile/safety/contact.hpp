#pragma once
// Touching what carries RF: voltage before, current during; and the gap that a voltage jumps at an altitude.

#include <string>
#include <vector>

#include <stile/safety/body.hpp>
#include <stile/safety/exposure.hpp>

namespace stile::safety {

/// One place of the antenna that somebody who stands by may touch.
struct Contact {
  std::string where;  ///< "whip, 10 cm above the feed", "above the coil on \"whip\"", "the end of \"counterpoise\""
  wire::Vec3 point_m;
  double open_v_rms = 0.0;     ///< between conductor and hand just before they touch: what jumps the last gap
  double short_a_rms = 0.0;    ///< without any impedance between conductor and hand
  double contact_a_rms = 0.0;  ///< through the stated impedance of the hand
};

struct Contacts {
  std::string condition;
  double frequency_hz = 0.0, power_w = 0.0;
  double terminal_v_peak = 0.0;  ///< across the terminals, untouched
  double hand_ohm = 0.0;
  std::vector<Contact> places;
  std::vector<std::string> left_out;  ///< what could not be computed, and why
};

/// A second person, of muscle-like tissue, stands or crouches half a metre beside the place with soles of 50 pF on the soil and
/// reaches for it; the antenna is solved with him, at the same power into it as untouched (a tuner that follows). Places
/// higher than 2.1 m are out of reach. Whips above the feed and above each coil; the free ends of wires.
///
/// @param hand_ohm  >= 0
/// @throws DomainError  hand_ohm or power out of range
/// Accuracy: indicative; the path through a body is a guess within a factor of two.
Contacts contacts(const ExposureCase& one, double hand_ohm, const ExposureOptions& options);

/// The same with another power into the antenna.
/// @throws DomainError  a power not above 0
Contacts at_power(Contacts contacts, double to_w);

/// The currents through the stated impedance beside every published level of contact current of the standards that count, both
/// groups, each with the voltage open.
std::vector<BodyRow> contact_rows(const Contacts& contacts, const ExposureOptions& options);

/// The highest of the voltages told, V peak: across the terminals and at the places.
double highest_v_peak(const Contacts& contacts);

/// Pressure of the standard atmosphere, Pa.
/// @param altitude_m  -500..11000
/// Accuracy: 1e-4 of the tabled values.
/// Source: ISO 2533:1975, troposphere (formula from memory, values checked).
double air_pressure_pa(double altitude_m);

/// Peak voltage that breaks an even gap between smooth plates in air at 20 C, V: 24.36 kV x + 6.72 kV sqrt(x), x the gap in
/// cm times the density relative to 1013 hPa. Points and edges break far sooner, and at HF no more than 0.8 of it counts.
/// @param gap_m  1e-4..0.1  @param pressure_pa  > 0
/// Source: Kuffel, Zaengl, Kuffel, High Voltage Engineering Fundamentals (from memory).
/// For users of the library.
double gap_breakdown_v_peak(double gap_m, double pressure_pa);

/// The widest such gap that a peak voltage jumps, m; 0 below 327 V peak, where no gap in air breaks down.
/// @param v_peak >= 0  @param pressure_pa  > 0
/// Source: the inverse; 327 V the measured minimum of air (Paschen; read second-hand).
double gap_jumped_m(double v_peak, double pressure_pa);
inline constexpr double least_breakdown_v_peak = 327.0;

/// The gap that an HF voltage must be taken to jump: the one that 1/0.8 of it jumps, so 0 below 262 V peak.
/// @param v_peak >= 0  @param pressure_pa  > 0
/// Source: 0.8, IEC 60664-4 (from memory).
double hf_gap_jumped_m(double v_peak, double pressure_pa);

}  // namespace stile::safety
