#pragma once
// A coil with its start at ground, fed at one place and loaded at another: an autotransformer, as parts of a ladder.

#include <string>
#include <vector>

#include <stile/coil/analysis.hpp>
#include <stile/network/element.hpp>
#include <stile/network/two_port.hpp>

namespace stile::coil {

/// Where an autotransformer is fed and loaded, in turns from its grounded start.
struct AutotransformerTaps {
  double feed_turns = 0.0;       ///< the transmitter, above 0 to all
  double load_turns = 0.0;       ///< the antenna, above 0 to all; either may be the higher
  Unused unused = Unused::open;  ///< turns beyond the higher of the two; shorted: tied from there to the far end
  double switch_ohm = 0.0;       ///< of the switch that ties them, >= 0
};

/// Open-circuit impedances at the solution's frequency, capacitance and former included: port 1 from the feed to
/// ground, port 2 from the load's place to ground.
/// @throws DomainError  more than one section, taps outside, a resistance below 0
/// Accuracy: as analyse(): 1e-9 of the impedance it finds with a resistor at port 2 (test_autotransformer.cpp).
network::ImpedanceMatrix autotransformer(const CoilModel& model, const TurnSolution& turns,
                                         const AutotransformerTaps& taps);

/// A passive reciprocal two-port as four parts of a ladder that are the same at one frequency: a part in series, one
/// across, an ideal transformer, one in series. Parts are inductors, whose resistance grows with the root of the
/// frequency, where the ratio can be chosen so, otherwise impedances; so near by they are nearly the two-port still.
/// None has a resistance below zero, and what they dissipate together is what the two-port does; a single one's share
/// means nothing.
/// @param z  z12 = z21; passive
/// @throws DomainError  not reciprocal, a resistance that is not passive (within 1e-9), nothing gets through (z12 = 0),
///                      a frequency that is not > 0
/// Accuracy: chain matrix 1e-12 of its largest entry's terms (test_autotransformer.cpp).
/// Derivation: V1 = n V2 splits z into (z11 - n z12), n z12 across, n, (z22 - z12/n); with n = sqrt(r11/r22) the
/// resistances are not below zero because r12^2 <= r11 r22 for a passive two-port. Where the ratios with r12/r22 <= n
/// <= r11/r12 and the same of the reactances have a part in common, n is the middle of that part.
std::vector<network::Element> two_port_elements(const std::string& label, const network::ImpedanceMatrix& z,
                                                double frequency_hz);

}  // namespace stile::coil
