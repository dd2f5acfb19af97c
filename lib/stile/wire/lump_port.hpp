#pragma once
// An antenna seen from its terminals and from a place in one of its wires at once.

#include <stile/network/two_port.hpp>
#include <stile/wire/solve.hpp>

namespace stile::wire {

/// Port 1 are the terminals, with capacitance and leakage of the base; port 2 is the place of a lump, without what the
/// lump is: V2 is a voltage in series there that drives I2 along the wire. A lump of Z ohm is V2 = -Z I2.
///
/// @throws DomainError  as solve_antenna; no such lump
/// Accuracy: a current that follows from it 1e-12 of that of the antenna solved with a lump there (test_lumps.cpp).
network::AdmittanceMatrix lump_port(const Antenna& antenna, std::size_t lump, const Ground& ground, double frequency_hz,
                                    const SolveOptions& options = {});

}  // namespace stile::wire
