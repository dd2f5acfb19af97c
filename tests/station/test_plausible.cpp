// The table of what is plausible, row by row.
#include <catch2/catch.hpp>

#include <string_view>
#include <vector>

#include <stile/station/plausible.hpp>

using namespace stile;
using namespace stile::station;

TEST_CASE("every row of what is plausible has its name, unit and both ends, and takes them and nothing beyond") {
  // Common practice with a wide margin: no measurement stands behind a row, and none may change unnoticed.
  struct Row {
    Plausible is;
    std::string_view what;
    Unit unit;
    double least, most;
    bool none;  ///< 0 is legal as well
  };
  const std::vector<Row> rows{
      {plausible::band_frequency, "a band", Unit::hertz, 100e3, 300e6, false},
      {plausible::reference_frequency, "the frequency of a stated value", Unit::hertz, 10.0, 10e9, false},
      {plausible::transmitter_power, "a transmitter", Unit::watt, 1e-3, 2e3, false},
      {plausible::swr, "an SWR", Unit::one, 1.0, 1e3, false},
      {plausible::transmitter_impedance, "a transmitter's impedance", Unit::ohm, 1.0, 10e3, false},
      {plausible::load_impedance, "a load's impedance", Unit::ohm, 1e-3, 10e6, true},
      {plausible::radiation_resistance, "a radiation resistance", Unit::ohm, 1e-6, 10e3, false},
      {plausible::antenna_resistance, "a resistance of an antenna", Unit::ohm, 1e-6, 10e3, true},
      {plausible::antenna_capacitance, "an antenna's capacitance", Unit::farad, 0.1e-12, 100e-9, false},
      {plausible::antenna_inductance, "an antenna's inductance", Unit::henry, 1e-9, 1e-3, true},
      {plausible::share_of_time, "a share of the time", Unit::one, 1e-6, 100.0, false},
      {plausible::stay, "how long a condition lasts", Unit::second, 0.1, 1e6, false},
      {plausible::elevation, "an elevation", Unit::degree, 0.0, 90.0, false},
      {plausible::path_distance, "the distance of the other station", Unit::metre, 1e3, 10e6, false},
      {plausible::layer_height, "the height of a reflecting layer", Unit::metre, 50e3, 1000e3, false},
      {plausible::mass, "the mass of what is carried", Unit::kilogram, 1e-3, 100.0, false},
      {plausible::person_mass, "the mass of a person", Unit::kilogram, 10.0, 300.0, false},
      {plausible::hand_contact, "the impedance of a touch", Unit::ohm, 0.0, 100e3, false},
      {plausible::altitude, "an altitude", Unit::metre, -500.0, 11000.0, false},
      {plausible::half_width, "half of the width on which somebody stands", Unit::metre, 0.01, 1.0, false},
      {plausible::gust, "gusts over the mean wind", Unit::one, 1.0, 3.0, false},
      {plausible::pole_length, "the length of a pole", Unit::metre, 0.1, 30.0, false},
      {plausible::pole_diameter, "the diameter of a pole", Unit::metre, 1e-3, 0.5, false},
      {plausible::audible, "what can be heard", Unit::decibel, 0.0, 20.0, false},
      {plausible::added_contact, "what contacts add", Unit::ohm, 0.0, 1e3, false},
      {plausible::relative, "a relative uncertainty", Unit::one, 0.0, 0.999999, false},
      {plausible::relative_length, "the uncertainty of lengths", Unit::one, 0.0, 0.2, false},
      {plausible::battery_capacity_ah, "a battery's capacity in Ah", Unit::one, 0.05, 500.0, false},
      {plausible::battery_rate_h, "the discharge time of a stated capacity in hours", Unit::one, 0.05, 200.0, false},
      {plausible::peukert_exponent, "a Peukert exponent", Unit::one, 1.0, 1.8, false},
      {plausible::battery_temperature_c, "a battery's temperature in degrees Celsius", Unit::one, -20.0, 50.0, false},
      {plausible::battery_cut_off, "where a set on 12 V switches off", Unit::volt, 9.0, 13.0, false},
      {plausible::set_current, "the current of a set", Unit::ampere, 1e-3, 100.0, false},
      {plausible::tuner_current, "the current of a tuner", Unit::ampere, 1e-6, 20.0, true},
      {plausible::tune_time, "the time of a tuning", Unit::second, 1e-3, 300.0, true},
      {plausible::tunes_an_hour, "tunings an hour", Unit::one, 0.0, 3600.0, false},
      {plausible::tune_carrier, "the share of the transmit current while tuning", Unit::one, 0.0, 1.0, false},
      {plausible::mode_tune, "a tune carrier", Unit::second, 0.1, 1800.0, true},
      {plausible::mode_tune_every, "from one tune carrier to the next", Unit::second, 1.0, 86400.0, false},
      {plausible::tune_power, "a power to tune with", Unit::watt, 1e-3, 2e3, false},
      {plausible::talk_share, "the share of the time in which one talks", Unit::one, 1e-4, 1.0, false},
      {plausible::over, "the length of an over", Unit::second, 0.1, 36e3, false},
      {plausible::contact_margin, "what contacts have to spare", Unit::decibel, -40.0, 80.0, false},
      {plausible::contact_spread, "the spread of contacts", Unit::decibel, 0.5, 40.0, false},
      {plausible::hand_time, "what a hand takes at the whip", Unit::second, 0.1, 3600.0, false},
      {plausible::part_size, "the size of a part", Unit::metre, 0.5e-3, 5.0, false},
      {plausible::part_count, "a number of parts", Unit::one, 1.0, 1000.0, false},
      {plausible::cable_length, "a cable", Unit::metre, 1e-3, 50.0, false},
      {plausible::cable_impedance, "a cable's impedance", Unit::ohm, 5.0, 2e3, false},
      {plausible::velocity_factor, "a velocity factor", Unit::one, 0.05, 1.0, false},
      {plausible::attenuation, "a cable's loss", Unit::decibel, 1e-4, 1e3, false},
      {plausible::attenuation_length, "the length that a loss is stated for", Unit::metre, 0.01, 2e3, false},
      {plausible::inductance, "an inductor", Unit::henry, 0.1e-9, 10e-3, false},
      {plausible::capacitance, "a capacitor", Unit::farad, 0.01e-12, 10e-6, false},
      {plausible::stray_inductance, "a stray inductance", Unit::henry, 1e-12, 100e-6, true},
      {plausible::stray_capacitance, "a stray capacitance", Unit::farad, 1e-16, 10e-9, true},
      {plausible::turns_ratio, "a turns ratio", Unit::one, 0.02, 50.0, false},
      {plausible::part_q, "a Q", Unit::one, 0.1, 1e6, false},
      {plausible::loss_tangent, "a loss tangent", Unit::one, 1e-9, 1.0, true},
      {plausible::loss_resistance, "a resistance of a part or a contact", Unit::ohm, 1e-6, 1e3, true},
      {plausible::rated_voltage, "a rated voltage", Unit::volt, 0.1, 200e3, false},
      {plausible::rated_current, "a rated current", Unit::ampere, 1e-3, 1e3, false},
      {plausible::rated_power, "a rated power", Unit::watt, 1e-4, 10e3, false},
      {plausible::coil_diameter, "a coil's diameter", Unit::metre, 0.3e-3, 1.0, false},
      {plausible::coil_wire, "the wire of a coil", Unit::metre, 20e-6, 20e-3, false},
      {plausible::coil_pitch, "the pitch of a coil", Unit::metre, 20e-6, 0.2, false},
      {plausible::former_wall, "the wall of a former", Unit::metre, 0.1e-3, 0.1, false},
      {plausible::near_coil, "how near metal is to a coil", Unit::metre, 0.5e-3, 10.0, false},
      {plausible::tube_wall, "the wall of a tube", Unit::metre, 10e-6, 10e-3, true},
      {plausible::temperature_c, "a temperature in degrees Celsius", Unit::one, -80.0, 200.0, false},
      {plausible::coordinate, "a coordinate (of its magnitude)", Unit::metre, 0.0, 500.0, false},
      {plausible::share_of_whip, "a place on the whip as a share of its length", Unit::one, 0.02, 0.98, false},
      {plausible::wire_length, "the length of a wire", Unit::metre, 0.01, 500.0, false},
      {plausible::spare_length, "wire that is doubled back or coiled", Unit::metre, 1e-3, 200.0, true},
      {plausible::drop_distance, "how far out a wire comes down", Unit::metre, 1e-3, 200.0, false},
      {plausible::lying_height, "the height of a trailing wire", Unit::metre, 0.1e-3, 5.0, false},
      {plausible::direction_degrees, "a direction in degrees", Unit::one, -360.0, 360.0, false},
      {plausible::lean_degrees, "a lean in degrees", Unit::one, 0.0, 80.0, false},
      {plausible::wire_radius, "the radius of a wire", Unit::metre, 5e-6, 0.2, false},
      {plausible::wire_conductivity, "the conductivity of a metal", Unit::siemens_per_metre, 1e3, 1e8, false},
      {plausible::permeability, "a relative permeability", Unit::one, 1.0, 1e5, false},
      {plausible::insulation_thickness, "the insulation of a wire", Unit::metre, 1e-6, 20e-3, false},
      {plausible::insulation_permittivity, "the relative permittivity of an insulation", Unit::one, 1.0, 20.0, false},
      {plausible::feed_gap, "a feed gap", Unit::metre, 0.5e-3, 0.5, false},
      {plausible::base_capacitance, "the capacitance of a base", Unit::farad, 1e-15, 1e-9, true},
      {plausible::base_leakage, "the leakage of a base", Unit::ohm, 1.0, 1e15, false},
      {plausible::distance_on_wire, "a distance along a wire", Unit::metre, 1e-6, 500.0, true},
      {plausible::ground_factor, "a factor on the ground's loss", Unit::one, 0.05, 20.0, false},
      {plausible::whip_change, "a change of a whip's length", Unit::metre, 1e-3, 20.0, false},
      {plausible::coil_distance, "a distance along a wire", Unit::metre, 1e-6, 500.0, false},
      {plausible::loading_coil_length, "the length of a loading coil", Unit::metre, 1e-4, 2.0, true},
      {plausible::lump_resistance, "a resistance in a wire", Unit::ohm, 1e-6, 10e6, true},
      {plausible::ground_permittivity, "the relative permittivity of a ground", Unit::one, 1.0, 1000.0, false},
      {plausible::ground_conductivity, "the conductivity of a ground", Unit::siemens_per_metre, 1e-7, 100.0, true},
      {plausible::body_length, "a body's length or distance", Unit::metre, 1e-3, 10.0, false},
      {plausible::lead_length, "the lead of a set", Unit::metre, 1e-3, 10.0, true},
      {plausible::stature, "a person's height", Unit::metre, 0.3, 3.0, false},
      {plausible::body_radius, "a body's radius", Unit::metre, 1e-5, 1.0, false},
      {plausible::body_conductivity, "the conductivity of a body", Unit::siemens_per_metre, 1e-3, 10.0, false},
      {plausible::body_capacitance, "the capacitance of a foot or a hand", Unit::farad, 0.1e-12, 1e-6, false},
      {plausible::contact_resistance, "the resistance of a hand's contact", Unit::ohm, 1e-3, 100e6, true},
      {plausible::measured_frequency, "a measurement", Unit::hertz, 100.0, 10e9, false},
      {plausible::instrument_error, "an instrument's error of S11", Unit::one, 0.0, 0.5, false},
      {plausible::reference_impedance, "a reference impedance", Unit::ohm, 1.0, 10e3, false},
      {plausible::known_resistance, "the known resistance", Unit::ohm, 1.0, 10e3, false},
      {plausible::open_capacitance, "the capacitance of an open", Unit::farad, 1e-16, 100e-12, true},
      {plausible::short_inductance, "the inductance of a short", Unit::henry, 1e-12, 1e-6, true},
      {plausible::port_extension, "a port extension", Unit::second, -1e-6, 1e-6, false},
      {plausible::series_resistance, "a resistance in series", Unit::ohm, 1e-3, 1e6, true},
      {plausible::known_capacitance, "a known capacitor", Unit::farad, 0.01e-12, 10e-6, true},
      {plausible::turns, "a number of turns", Unit::one, 0.01, 2e3, false},
      {plausible::step, "a step", Unit::decibel, 0.01, 60.0, false},
      {plausible::fading, "fading", Unit::decibel, 0.01, 60.0, false},
      {plausible::resistor, "a resistor", Unit::ohm, 1e-6, 10e6, true},
      {plausible::fixed_impedance, "an impedance (its magnitude)", Unit::ohm, 1e-6, 10e6, true},
      {plausible::line_length, "a line", Unit::metre, 1e-4, 10e3, false},
      {plausible::field_coordinate, "a coordinate of the field", Unit::metre, -10e3, 10e3, false}};
  for (const Row& row : rows) {
    INFO(row.what);
    CHECK(row.is.what == row.what);
    CHECK(row.is.unit == row.unit);
    CHECK(row.is.least == row.least);
    CHECK(row.is.most == row.most);
    CHECK(row.is.zero == row.none);
    CHECK(within(row.least, row.is));
    CHECK(within(row.most, row.is));
    const double step = 1e-9 * (row.most - row.least);
    CHECK_FALSE(within(row.least - step, row.is));
    CHECK_FALSE(within(row.most + step, row.is));
    CHECK(within(0.0, row.is) == (row.none || (row.least <= 0.0 && row.most >= 0.0)));
  }
}

TEST_CASE("a value outside is answered with the prefix that may have been forgotten, the unit's usual one first") {
  const auto says = [](double value, const Plausible& range) { return legal_instead(value, range); };
  // Worked by hand: 300 as pF, as nF and as uF are all plausible for a part of up to 10 mF, and pF comes first.
  CHECK(says(300.0, {"", Unit::farad, 1e-12, 10e-3}) ==
        "1 pF to 10 mF; was a unit meant, such as \"300 pF\"? (a bare number is in F)");
  CHECK(says(300.0, {"", Unit::henry, 1e-9, 10e-3}) ==
        "1 nH to 10 mH; was a unit meant, such as \"300 uH\"? (a bare number is in H)");
  CHECK(says(7.0, {"", Unit::hertz, 100.0, 10e9}) ==
        "100 Hz to 10 GHz; was a unit meant, such as \"7 MHz\"? (a bare number is in Hz)");
  CHECK(says(40.0, {"", Unit::metre, 1e-3, 1.0}) ==
        "1 mm to 1 m; was a unit meant, such as \"40 mm\"? (a bare number is in m)");
  CHECK(says(500.0, {"", Unit::second, 1e-3, 300.0}) ==
        "1 ms to 300 s; was a unit meant, such as \"500 ms\"? (a bare number is in s)");
  CHECK(says(0.0, {"", Unit::metre, 1e-3, 1.0}) == "1 mm to 1 m; was another unit meant? (a bare number is in m)");
  CHECK(says(-1.0, {"", Unit::metre, 1e-3, 1.0, true}) ==
        "0, or 1 mm to 1 m; was another unit meant? (a bare number is in m)");
  CHECK(says(90.0, {"", Unit::decibel, 0.0, 20.0}) == "0 dB to 20 dB; was another unit meant?");
  CHECK(says(9.0, {"", Unit::one, 1.0, 3.0}) == "1 to 3");
}
