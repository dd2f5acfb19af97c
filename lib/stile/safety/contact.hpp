#pragma once
// Touching what carries RF: voltage before, current during; and the gap that a voltage jumps at an altitude.

#include <optional>
#include <span>
#include <string>
#include <vector>

#include <stile/coil/air.hpp>
#include <stile/network/two_port.hpp>
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

/// A hand at the foot of the whip, with nothing between it and the terminals.
struct HandAtBase {
  wire::Vec3 at;
  network::AdmittanceMatrix siemens;  ///< port 1 the terminals, port 2 between whip and hand, as wire::lump_port
};

struct Contacts {
  std::string condition;
  double frequency_hz = 0.0, power_w = 0.0;
  double terminal_v_peak = 0.0;  ///< across the terminals, untouched
  double hand_ohm = 0.0;
  std::vector<Contact> places;
  std::vector<std::string> left_out;       ///< what could not be computed, and why
  std::optional<HandAtBase> hand_at_base;  ///< none: nobody can touch the whip there
};

/// A place of a coil that stands between transmitter and antenna, seen from the antenna: its voltage against the
/// transmitter's ground is ratio V + antenna_ohm I + hand_ohm I_hand, with V and I at the antenna's terminals and
/// I_hand out of that place. What feeds the coil is not in it. The default is the hot terminal itself.
struct CoilPlace {
  std::string where;  ///< "the coil's tap at turn 30"
  cdouble ratio{1.0};
  cdouble antenna_ohm{}, hand_ohm{};
};

/// A second person, of muscle-like tissue, stands or crouches half a metre beside the place with soles of 50 pF on the
/// soil and reaches for it; the antenna is solved with him, at the same power into it as untouched (a tuner that
/// follows). Places higher than 2.1 m are out of reach. Whips above the feed and above each coil; the free ends of
/// wires.
///
/// @param hand_ohm  >= 0
/// @throws DomainError  hand_ohm or power out of range
/// Accuracy: indicative; the path through a body is a guess within a factor of two.
Contacts contacts(const ExposureCase& one, double hand_ohm, const ExposureOptions& options);

/// The same, and the places of a coil, which is beside the foot of the whip: whoever touches them stands where he
/// stands who touches the whip there. The power counts into antenna and hand together; what the coil loses is not in
/// it.
/// Accuracy: as contacts(); the circuit of coil and antenna 1e-9 of what a general circuit simulator finds
/// (test_contact.cpp).
Contacts with_coil_places(Contacts contacts, std::span<const CoilPlace> places);

/// The same with another power into the antenna.
/// @throws DomainError  a power not above 0
Contacts at_power(Contacts contacts, double to_w);

/// The currents through the stated impedance beside every published level of contact current of the standards that
/// count, both groups, each with the voltage open.
std::vector<BodyRow> contact_rows(const Contacts& contacts, const ExposureOptions& options);

/// The highest of the voltages told, V peak: across the terminals and at the places.
double highest_v_peak(const Contacts& contacts);

using coil::air_pressure_pa;

/// The widest even gap between smooth plates that a peak voltage jumps in air of 20 C, m; 0 below 327 V peak, where no
/// gap in air breaks down. Points and edges break far sooner.
/// @param v_peak >= 0  @param pressure_pa  > 0, to twice that at sea level
/// Source: coil::spark_gap_m.
double gap_jumped_m(double v_peak, double pressure_pa);

/// The gap that an HF voltage must be taken to jump: the one that 1/0.8 of it (coil::hf_share) jumps, so 0 below 262 V
/// peak.
/// @param v_peak >= 0  @param pressure_pa  > 0
double hf_gap_jumped_m(double v_peak, double pressure_pa);

}  // namespace stile::safety
