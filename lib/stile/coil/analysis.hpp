#pragma once
// A coil between two places of its wire at one frequency: inductance, resistance, Q, self-resonance, voltages.
// Quasi-static: no radiation and no time of travel round the coil, as fits coils far smaller than the wavelength.

#include <optional>
#include <span>
#include <string>
#include <vector>

#include <stile/base/quantity.hpp>
#include <stile/base/range.hpp>
#include <stile/coil/potential.hpp>
#include <stile/coil/rings.hpp>
#include <stile/coil/square_matrix.hpp>
#include <stile/coil/winding.hpp>

namespace stile::coil {

/// What does not depend on frequency, computed once.
struct CoilModel {
  Winding winding;
  TurnLayout layout;
  SquareMatrix<double> capacitance_f;  ///< of the layout's nodes, in air
  RingOptions rings;
};

/// @throws DomainError  as check(winding)
CoilModel coil_model(const Winding& winding, const RingOptions& rings = {},
                     ChargeModel charges = ChargeModel::automatic);

/// The turns of a model at one frequency.
struct TurnSolution {
  double frequency_hz = 0.0;
  SquareMatrix<cdouble> z_ohm;  ///< turn_impedance_ohm of the winding
};

/// @throws DomainError  as turn_impedance_ohm
TurnSolution solve_turns(const CoilModel& model, double frequency_hz);

/// Two places tied together.
struct Strap {
  WirePlace a, b;
  double resistance_ohm = 0.0;  ///< of switch or clip, >= 0
};

/// Which end is held at ground potential; the other terminal carries the voltage. Neither: the coil floats and the
/// same current leaves one end as enters the other.
enum class Grounded { from, to, neither };

struct Connection {
  WirePlace from, to;  ///< the current enters at `from` and leaves at `to`
  Grounded grounded = Grounded::to;
  std::vector<Strap> straps;  ///< sections in series, shorted turns; everything else stays open
};

/// Whole winding, sections in series, end grounded.
Connection whole(const Winding& winding, Grounded grounded = Grounded::to);

enum class Unused { open, shorted };

/// The first `turns` of a winding of one section; the rest open or shorted in itself (tap tied to the far end).
/// @throws DomainError  more than one section, turns outside 0 to all, a resistance below 0
Connection tapped(const Winding& winding, double turns, Unused unused, Grounded grounded = Grounded::to,
                  double switch_ohm = 0.0);

/// What surface, joints and neighbours add to the resistance of copper in practice: 5 to 15 % (an estimate). It does
/// not cover close winding, wire from 0.8 of the pitch on.
inline constexpr Range practical_loss{1.05, 1.15};

struct NodeState {
  WirePlace place;
  double z_m = 0.0;
  cdouble voltage_v{};    ///< to ground, for 1 A into `from`
  double charge_c = 0.0;  ///< size of the charge on the wire around the node, for 1 A
  double wire_m = 0.0;    ///< length of that wire
};

/// What a warning of a point is about.
enum class PointWarningKind {
  above_resonance,  ///< of the open terminals, at or above the lowest
  near_resonance,   ///< from half of it on
  no_resonance,     ///< the search for it did not settle
  no_proximity,     ///< CurrentModel::even
  close_winding,    ///< wire from 0.8 of the pitch: practical_loss does not cover it
  radiates,         ///< a turn from a tenth of the wavelength
};

struct PointWarning {
  PointWarningKind kind = PointWarningKind::above_resonance;
  std::string text;  ///< for people, with the figures
};

struct CoilPoint {
  double frequency_hz = 0.0;
  double inductance_h = 0.0;           ///< of the connected turns without capacitance (net currents of open turns zero)
  double resistance_ohm = 0.0;         ///< likewise: winding, passive turns and straps
  double q = 0.0;                      ///< omega L/R of these two
  Range q_practice;                    ///< q with the resistance 15 % and 5 % higher
  cdouble z_ohm{};                     ///< at the terminals, capacitance and former included
  double apparent_inductance_h = 0.0;  ///< Im(z)/omega; negative above resonance
  double apparent_q = 0.0;             ///< Im(z)/Re(z)
  double former_loss_ohm = 0.0;        ///< part of Re(z) lost in the former
  double self_resonance_hz = 0.0;      ///< lowest, of this connection with the terminals open; 0: not found
  std::vector<NodeState> nodes;        ///< in order along the wire
  std::vector<cdouble> turn_current_a;  ///< of each turn, for 1 A into `from`
  std::vector<double> turn_loss_w;      ///< of each turn's pair sums, for 1 A rms: sums to the winding's loss
  std::vector<PointWarning> warnings;
};

/// Everything about one connection at the solution's frequency.
/// @throws DomainError  a place is not on the winding, the two terminals are the same place or tied together
/// Accuracy: arithmetic 1e-3 (see turn_impedance_ohm); energy in = loss + stored to 1e-9 (test_analysis.cpp). Model: as
/// turn_impedance_ohm and node_capacitance_f; a part turn is an arc with Neumann's shares of its ring, one shorter than
/// two wires a share by its length; its eddy currents are those of a whole ring (0.4 % less inductance at most).
/// Practice: 5 to 15 % on Q, more beside metal or in damp air; no measured Q with complete geometry was found to test
/// against.
CoilPoint analyse(const CoilModel& model, const TurnSolution& turns, const Connection& connection);

/// True when a point has a warning of that kind.
bool warns(const CoilPoint& point, PointWarningKind kind);

/// The texts of a sweep's warnings, each once; near and above the resonance and radiating only where it begins.
std::vector<std::string> sweep_warnings(std::span<const CoilPoint> points);

/// Q at the terminals with former and capacitance, the winding's loss 15 % and 5 % higher; both 0 where the terminals
/// show no inductance.
Range terminal_q(const CoilPoint& point);

/// One frequency from scratch: coil_model, solve_turns, analyse.
CoilPoint analyse(const Winding& winding, const Connection& connection, double frequency_hz);

/// Lowest natural frequency of the connected coil with its terminals open, Hz. Inductance of the solution's frequency
/// carried to the resonance by its skin depth. 0: the iteration did not settle.
double self_resonance_hz(const CoilModel& model, const TurnSolution& turns, const Connection& connection);

/// Impedances between places of the wire, straps closed: entry (i, j) is the voltage at places[i] for 1 A into
/// places[j]. For taps, transformers, switches. Any place may be named more than once.
/// @param ground  held at zero; nothing: voltages against infinity (or the plane), where the charges end
SquareMatrix<cdouble> place_impedance_ohm(const CoilModel& model, const TurnSolution& turns,
                                          const std::vector<WirePlace>& places, const std::optional<WirePlace>& ground,
                                          const std::vector<Strap>& straps = {});

/// The same turns at a frequency a few per cent away, without solving again: inductance kept, resistance by the square
/// root. @throws DomainError  further away than 20 %
TurnSolution shifted(const TurnSolution& turns, double frequency_hz);

}  // namespace stile::coil
