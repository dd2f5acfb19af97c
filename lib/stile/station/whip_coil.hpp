#pragma once
// A wound coil part-way up a wire, as the antenna solver takes it.

#include <stile/station/station.hpp>

namespace stile::station {

/// All turns of a coil on a wire of an antenna, floating, with its inductance, its Q (the middle of what practice adds,
/// and its contact resistance) and its self-capacitance at 1 MHz to 60 MHz, as far as it is below its self-resonance.
/// Its length is that of the winding.
///
/// @param coil        its turns > 0; nothing of its taps, switches, leads and trimmer counts
/// @param wire        index of the wire
/// @param distance_m  from the wire's first point to the coil's centre
/// @throws DomainError  no turns; as coil_model
/// Accuracy: the impedance of the ring model (coil::analyse) within 1e-3 at every frequency of the table
/// (test_whip_coil.cpp); the charge that leaves the coil for the whip's surroundings is the antenna's.
wire::WireCoil whip_coil(const SwitchedCoil& coil, std::size_t wire, double distance_m);

}  // namespace stile::station
