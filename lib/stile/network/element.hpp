#pragma once
// Parts of a ladder: two-terminal parts with their losses, banks of them, transformer and line.

#include <limits>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include <stile/base/quantity.hpp>
#include <stile/network/cable.hpp>
#include <stile/network/line.hpp>

namespace stile::network {

inline constexpr double infinite = std::numeric_limits<double>::infinity();

/// Loss of a coil or capacitor, as a resistance in series with its reactance. The terms add.
struct Loss {
  double q = infinite;   ///< |reactance| / series resistance, > 0; infinite: none
  double q_at_hz = 0.0;  ///< > 0: q holds there and its resistance grows with sqrt(f) (skin effect), so that a coil's q
                         ///< grows with sqrt(f) and a capacitor's falls with f^1.5; 0: the same q at every frequency
  double series_ohm = 0.0;    ///< fixed series resistance >= 0, ohm: contacts, leads
  double loss_tangent = 0.0;  ///< capacitors only, >= 0: conductance w C tan(delta) in parallel with the capacitance
};

/// @param of_capacitor  only capacitors have a loss tangent
/// @param name          of the loss in messages: "inductors.loss"
/// @throws DomainError  a member outside its stated range: "inductors.loss.q is 0 and must be > 0"
void check_loss(const Loss& loss, bool of_capacitor, std::string_view name = "loss");

struct Resistor {
  double resistance_ohm = 0.0;  ///< >= 0
};

struct Inductor {
  double inductance_h = 0.0;  ///< >= 0; 0 leaves the series resistance
  Loss loss{};
  double self_capacitance_f = 0.0;  ///< >= 0, in parallel with the winding
};

struct Capacitor {
  double capacitance_f = 0.0;  ///< > 0
  Loss loss{};
};

/// The same impedance at every frequency: a part that is given in ohms only.
struct FixedImpedance {
  cdouble z_ohm{};  ///< real part >= 0
};

/// Inductors in series, as a switched bank has them.
struct InductorBank {
  std::vector<Inductor> parts;  ///< no self-capacitance; not empty
};

/// Capacitors in parallel, as a switched bank has them.
struct CapacitorBank {
  std::vector<Capacitor> parts;  ///< not empty
};

/// Ideal transformer: V_transmitter_side = turns_ratio * V_load_side.
struct Transformer {
  double turns_ratio = 1.0;  ///< not 0
};

/// A length of line or cable between transmitter side and load side.
struct TransmissionLine {
  std::variant<Rlgc, Cable> per_metre;
  double length_m = 0.0;  ///< >= 0
};

using Component = std::variant<Resistor, Inductor, Capacitor, FixedImpedance, InductorBank, CapacitorBank, Transformer,
                               TransmissionLine>;

enum class Place {
  series,   ///< between transmitter side and load side
  shunt,    ///< across both
  cascade,  ///< a two-port of its own: transformer, line
};

/// What a part stands. Infinite: not stated.
struct Rating {
  double voltage_v_peak = infinite;
  double current_a_rms = infinite;
  double dissipation_w = infinite;
};

struct Element {
  std::string label;
  Place place = Place::series;
  Component part;
  Rating rating{};
};

/// Elements in order from transmitter to load.
struct Ladder {
  std::vector<Element> elements;
};

/// Impedance of a two-terminal part (not of a transformer or line).
/// @param frequency_hz  > 0
/// @return  ohm, real part >= 0
/// @throws DomainError  the part has no impedance of its own, or a value outside its stated range
cdouble impedance(const Component& part, double frequency_hz);

/// Chain (ABCD) matrix of one element at one frequency. @throws DomainError as impedance
Chain chain(const Element& element, double frequency_hz);

/// Constants of a line at one frequency. @throws DomainError  frequency not > 0
LineConstants line_constants(const TransmissionLine& line, double frequency_hz);

/// Parallel capacitance that makes a coil resonate by itself: C = 1/((2 pi f)^2 L). Both arguments > 0.
double self_capacitance_from_resonance(double inductance_h, double self_resonance_hz);

/// For library users: a real transformer as ladder elements, leakage inductance in series and magnetising inductance
/// across, both on the transmitter side, then the ideal ratio.
/// @param leakage_h      >= 0; 0 leaves it out
/// @param magnetising_h  > 0; infinite leaves it out
/// @throws DomainError  an inductance outside its range
std::vector<Element> transformer_elements(double turns_ratio, double leakage_h, double magnetising_h, Loss core_loss);

/// The same part with its main value (henry, farad, ohm, metre, turns ratio; every part of a bank) times `factor` > 0.
Component scaled(const Component& part, double factor);

/// "inductor", "capacitor" ...: the word used in results.
std::string kind_name(const Component& part);
/// "series", "shunt", "cascade".
std::string place_name(Place place);
/// The part's main value with its unit ("1.2 uH", "2 m of RG-58").
std::string value_text(const Component& part, int digits = 4);
/// The part's main value in SI: henry, farad, ohm (modulus), metre or turns ratio; a bank's is its total.
double value_si(const Component& part);

}  // namespace stile::network
