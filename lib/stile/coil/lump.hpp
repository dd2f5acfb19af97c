#pragma once
// A wound coil as the three values that a coil on an antenna's wire is stated with.

#include <optional>

#include <stile/coil/analysis.hpp>

namespace stile::coil {

struct Lump {
  double inductance_h = 0.0;        ///< of the turns alone
  double q = 0.0;                   ///< of that inductance: winding in the middle of what practice adds, and former
  double self_capacitance_f = 0.0;  ///< across it
};

/// The lump that has an analysed point's impedance at its frequency. Nothing from the self-resonance on. For a coil
/// part-way up a whip analyse it floating (Grounded::neither).
/// Accuracy: 1e-9 of that impedance (test_lump.cpp); the
/// charge that leaves the coil's turns for the whip's surroundings is the antenna's, not the lump's.
std::optional<Lump> lump(const CoilPoint& point);

}  // namespace stile::coil
