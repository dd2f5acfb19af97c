#pragma once
// What is plausible for each quantity of a station, of its wires and tuners, and of a command line: one table. A value
// outside is refused at its place with the question whether the unit was meant: `former = 40` is forty metres, `low =
// "3.5 kHz"` is not an amateur band.

#include <string>
#include <string_view>

#include <stile/base/quantity.hpp>
#include <stile/wire/ground.hpp>

namespace stile::station {

struct Plausible {
  std::string_view what;  ///< for the message, behind "for": "a coil's former"
  Unit unit = Unit::one;
  double least = 0.0, most = 0.0;  ///< both are legal
  bool zero = false;               ///< 0 is legal as well: there is none
};

/// Whether a value is one of them. @param value  SI
bool within(double value, const Plausible& range);

/// What is legal in place of a value outside, and which unit may have been meant: "500 um to 500 mm; was a unit meant,
/// such as "8 mm"? (a bare number is in m)". @param value  SI
std::string legal_instead(double value, const Plausible& range);

/// Common practice with a wide margin, so that a slip of a prefix or a missing unit falls outside and nothing that
/// somebody would build does.
namespace plausible {

inline constexpr bool or_none = true;

// Transmitter and bands.
inline constexpr Plausible band_frequency{"a band", Unit::hertz, 100e3, 300e6};
inline constexpr Plausible reference_frequency{"the frequency of a stated value", Unit::hertz, 10.0, 10e9};
inline constexpr Plausible transmitter_power{"a transmitter", Unit::watt, 1e-3, 2e3};
inline constexpr Plausible swr{"an SWR", Unit::one, 1.0, 1e3};
inline constexpr Plausible transmitter_impedance{"a transmitter's impedance", Unit::ohm, 1.0, 10e3};

// Loads.
inline constexpr Plausible load_impedance{"a load's impedance", Unit::ohm, 1e-3, 10e6, or_none};
inline constexpr Plausible radiation_resistance{"a radiation resistance", Unit::ohm, 1e-6, 10e3};
inline constexpr Plausible antenna_resistance{"a resistance of an antenna", Unit::ohm, 1e-6, 10e3, or_none};
inline constexpr Plausible antenna_capacitance{"an antenna's capacitance", Unit::farad, 0.1e-12, 100e-9};
inline constexpr Plausible antenna_inductance{"an antenna's inductance", Unit::henry, 1e-9, 1e-3, or_none};

// Conditions, paths and what is carried.
inline constexpr Plausible share_of_time{"a share of the time", Unit::one, 1e-6, 100.0};
inline constexpr Plausible stay{"how long a condition lasts", Unit::second, 0.1, 1e6};
inline constexpr Plausible elevation{"an elevation", Unit::degree, 0.0, 90.0};
inline constexpr Plausible path_distance{"the distance of the other station", Unit::metre, 1e3, 10e6};
inline constexpr Plausible layer_height{"the height of a reflecting layer", Unit::metre, 50e3, 1000e3};
inline constexpr Plausible mass{"the mass of what is carried", Unit::kilogram, 1e-3, 100.0};
inline constexpr Plausible person_mass{"the mass of a person", Unit::kilogram, 10.0, 300.0};
inline constexpr Plausible hand_contact{"the impedance of a touch", Unit::ohm, 0.0, 100e3};
inline constexpr Plausible altitude{"an altitude", Unit::metre, -500.0, 11000.0};
inline constexpr Plausible half_width{"half of the width on which somebody stands", Unit::metre, 0.01, 1.0};
inline constexpr Plausible gust{"gusts over the mean wind", Unit::one, 1.0, 3.0};
inline constexpr Plausible pole_length{"the length of a pole", Unit::metre, 0.1, 30.0};
inline constexpr Plausible pole_diameter{"the diameter of a pole", Unit::metre, 1e-3, 0.5};
inline constexpr Plausible audible{"what can be heard", Unit::decibel, 0.0, 20.0};
inline constexpr Plausible added_contact{"what contacts add", Unit::ohm, 0.0, 1e3};
inline constexpr Plausible relative{"a relative uncertainty", Unit::one, 0.0, 0.999999};
inline constexpr Plausible relative_length{"the uncertainty of lengths", Unit::one, 0.0, 0.2};

// Battery, mode, and what a set and a tuner draw.
inline constexpr Plausible battery_capacity_ah{"a battery's capacity in Ah", Unit::one, 0.05, 500.0};
inline constexpr Plausible battery_rate_h{"the discharge time of a stated capacity in hours", Unit::one, 0.05, 200.0};
inline constexpr Plausible peukert_exponent{"a Peukert exponent", Unit::one, 1.0, 1.8};
inline constexpr Plausible battery_temperature_c{"a battery's temperature in degrees Celsius", Unit::one, -20.0, 50.0};
inline constexpr Plausible battery_cut_off{"where a set on 12 V switches off", Unit::volt, 9.0, 13.0};
inline constexpr Plausible set_current{"the current of a set", Unit::ampere, 1e-3, 100.0};
inline constexpr Plausible tuner_current{"the current of a tuner", Unit::ampere, 1e-6, 20.0, or_none};
inline constexpr Plausible tune_time{"the time of a tuning", Unit::second, 1e-3, 300.0, or_none};
inline constexpr Plausible tunes_an_hour{"tunings an hour", Unit::one, 0.0, 3600.0};
inline constexpr Plausible tune_carrier{"the share of the transmit current while tuning", Unit::one, 0.0, 1.0};
inline constexpr Plausible mode_tune{"a tune carrier", Unit::second, 0.1, 1800.0, or_none};
inline constexpr Plausible mode_tune_every{"from one tune carrier to the next", Unit::second, 1.0, 86400.0};
inline constexpr Plausible tune_power{"a power to tune with", Unit::watt, 1e-3, 2e3};
inline constexpr Plausible talk_share{"the share of the time in which one talks", Unit::one, 1e-4, 1.0};
inline constexpr Plausible over{"the length of an over", Unit::second, 0.1, 36e3};

// Contacts, and what a hand takes.
inline constexpr Plausible contact_margin{"what contacts have to spare", Unit::decibel, -40.0, 80.0};
inline constexpr Plausible contact_spread{"the spread of contacts", Unit::decibel, 0.5, 40.0};
inline constexpr Plausible hand_time{"what a hand takes at the whip", Unit::second, 0.1, 3600.0};
inline constexpr Plausible part_size{"the size of a part", Unit::metre, 0.5e-3, 5.0};
inline constexpr Plausible part_count{"a number of parts", Unit::one, 1.0, 1000.0};

// Cables.
inline constexpr Plausible cable_length{"a cable", Unit::metre, 1e-3, 50.0};
inline constexpr Plausible cable_impedance{"a cable's impedance", Unit::ohm, 5.0, 2e3};
inline constexpr Plausible velocity_factor{"a velocity factor", Unit::one, 0.05, 1.0};
inline constexpr Plausible attenuation{"a cable's loss", Unit::decibel, 1e-4, 1e3};
inline constexpr Plausible attenuation_length{"the length that a loss is stated for", Unit::metre, 0.01, 2e3};

// Parts.
inline constexpr Plausible inductance{"an inductor", Unit::henry, 0.1e-9, 10e-3};
inline constexpr Plausible capacitance{"a capacitor", Unit::farad, 0.01e-12, 10e-6};
inline constexpr Plausible stray_inductance{"a stray inductance", Unit::henry, 1e-12, 100e-6, or_none};
inline constexpr Plausible stray_capacitance{"a stray capacitance", Unit::farad, 1e-16, 10e-9, or_none};
inline constexpr Plausible turns_ratio{"a turns ratio", Unit::one, 0.02, 50.0};
inline constexpr Plausible part_q{"a Q", Unit::one, 0.1, 1e6};
inline constexpr Plausible loss_tangent{"a loss tangent", Unit::one, 1e-9, 1.0, or_none};
inline constexpr Plausible loss_resistance{"a resistance of a part or a contact", Unit::ohm, 1e-6, 1e3, or_none};
inline constexpr Plausible rated_voltage{"a rated voltage", Unit::volt, 0.1, 200e3};
inline constexpr Plausible rated_current{"a rated current", Unit::ampere, 1e-3, 1e3};
inline constexpr Plausible rated_power{"a rated power", Unit::watt, 1e-4, 10e3};

// Wound coils.
inline constexpr Plausible coil_diameter{"a coil's diameter", Unit::metre, 0.3e-3, 1.0};
inline constexpr Plausible coil_wire{"the wire of a coil", Unit::metre, 20e-6, 20e-3};
inline constexpr Plausible coil_pitch{"the pitch of a coil", Unit::metre, 20e-6, 0.2};
inline constexpr Plausible former_wall{"the wall of a former", Unit::metre, 0.1e-3, 0.1};
inline constexpr Plausible near_coil{"how near metal is to a coil", Unit::metre, 0.5e-3, 10.0};
inline constexpr Plausible tube_wall{"the wall of a tube", Unit::metre, 10e-6, 10e-3, or_none};
inline constexpr Plausible temperature_c{"a temperature in degrees Celsius", Unit::one, -80.0, 200.0};

// Wires and the ground below them.
inline constexpr Plausible coordinate{"a coordinate (of its magnitude)", Unit::metre, 0.0, 500.0};
inline constexpr Plausible share_of_whip{"a place on the whip as a share of its length", Unit::one, 0.02, 0.98};
inline constexpr Plausible wire_length{"the length of a wire", Unit::metre, 0.01, 500.0};
inline constexpr Plausible spare_length{"wire that is doubled back or coiled", Unit::metre, 1e-3, 200.0, or_none};
inline constexpr Plausible drop_distance{"how far out a wire comes down", Unit::metre, 1e-3, 200.0};
inline constexpr Plausible lying_height{"the height of a trailing wire", Unit::metre, 0.1e-3, 5.0};
inline constexpr Plausible direction_degrees{"a direction in degrees", Unit::one, -360.0, 360.0};
inline constexpr Plausible lean_degrees{"a lean in degrees", Unit::one, 0.0, 80.0};
inline constexpr Plausible wire_radius{"the radius of a wire", Unit::metre, 5e-6, 0.2};
inline constexpr Plausible wire_conductivity{"the conductivity of a metal", Unit::siemens_per_metre, 1e3, 1e8};
inline constexpr Plausible permeability{"a relative permeability", Unit::one, 1.0, 1e5};
inline constexpr Plausible insulation_thickness{"the insulation of a wire", Unit::metre, 1e-6, 20e-3};
inline constexpr Plausible insulation_permittivity{"the relative permittivity of an insulation", Unit::one, 1.0, 20.0};
inline constexpr Plausible feed_gap{"a feed gap", Unit::metre, 0.5e-3, 0.5};
inline constexpr Plausible base_capacitance{"the capacitance of a base", Unit::farad, 1e-15, 1e-9, or_none};
inline constexpr Plausible base_leakage{"the leakage of a base", Unit::ohm, 1.0, 1e15};
inline constexpr Plausible distance_on_wire{"a distance along a wire", Unit::metre, 1e-6, 500.0, or_none};
inline constexpr Plausible ground_factor{"a factor on the ground's loss", Unit::one, 0.05, 20.0};
inline constexpr Plausible whip_change{"a change of a whip's length", Unit::metre, 1e-3, 20.0};
inline constexpr Plausible coil_distance{"a distance along a wire", Unit::metre, 1e-6, 500.0};
inline constexpr Plausible loading_coil_length{"the length of a loading coil", Unit::metre, 1e-4, 2.0, or_none};
inline constexpr Plausible lump_resistance{"a resistance in a wire", Unit::ohm, 1e-6, 10e6, or_none};
inline constexpr Plausible ground_permittivity{"the relative permittivity of a ground", Unit::one,
                                               wire::ground_permittivity_range.low,
                                               wire::ground_permittivity_range.high};
inline constexpr Plausible ground_conductivity{"the conductivity of a ground", Unit::siemens_per_metre, 1e-7, 100.0,
                                               or_none};
inline constexpr Plausible body_length{"a body's length or distance", Unit::metre, 1e-3, 10.0};
inline constexpr Plausible lead_length{"the lead of a set", Unit::metre, 1e-3, 10.0, or_none};
inline constexpr Plausible stature{"a person's height", Unit::metre, 0.3, 3.0};
inline constexpr Plausible body_radius{"a body's radius", Unit::metre, 1e-5, 1.0};
inline constexpr Plausible body_conductivity{"the conductivity of a body", Unit::siemens_per_metre, 1e-3, 10.0};
inline constexpr Plausible body_capacitance{"the capacitance of a foot or a hand", Unit::farad, 0.1e-12, 1e-6};
inline constexpr Plausible contact_resistance{"the resistance of a hand's contact", Unit::ohm, 1e-3, 100e6, or_none};

// What was measured, and what lay between instrument and load.
inline constexpr Plausible measured_frequency{"a measurement", Unit::hertz, 100.0, 10e9};
inline constexpr Plausible instrument_error{"an instrument's error of S11", Unit::one, 0.0, 0.5};
inline constexpr Plausible reference_impedance{"a reference impedance", Unit::ohm, 1.0, 10e3};
inline constexpr Plausible known_resistance{"the known resistance", Unit::ohm, 1.0, 10e3};
inline constexpr Plausible open_capacitance{"the capacitance of an open", Unit::farad, 1e-16, 100e-12, or_none};
inline constexpr Plausible short_inductance{"the inductance of a short", Unit::henry, 1e-12, 1e-6, or_none};
inline constexpr Plausible port_extension{"a port extension", Unit::second, -1e-6, 1e-6};
inline constexpr Plausible series_resistance{"a resistance in series", Unit::ohm, 1e-3, 1e6, or_none};
inline constexpr Plausible known_capacitance{"a known capacitor", Unit::farad, 0.01e-12, 10e-6, or_none};
inline constexpr Plausible turns{"a number of turns", Unit::one, 0.01, 2e3};
inline constexpr Plausible step{"a step", Unit::decibel, 0.01, 60.0};
inline constexpr Plausible fading{"fading", Unit::decibel, 0.01, 60.0};

// Parts as a command line has them, for which a station has no key.
inline constexpr Plausible resistor{"a resistor", Unit::ohm, 1e-6, 10e6, or_none};
inline constexpr Plausible fixed_impedance{"an impedance (its magnitude)", Unit::ohm, 1e-6, 10e6, or_none};
inline constexpr Plausible line_length{"a line", Unit::metre, 1e-4, 10e3};
inline constexpr Plausible field_coordinate{"a coordinate of the field", Unit::metre, -10e3, 10e3};

}  // namespace plausible

}  // namespace stile::station
