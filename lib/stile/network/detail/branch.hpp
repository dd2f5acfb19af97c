#pragma once
// How two-terminal parts are prepared for a sweep. Internal to the room; users see element.hpp and ladder.hpp.

#include <optional>
#include <vector>

#include <stile/network/element.hpp>

namespace stile::network::detail {

/// Series branch with R(f) = r0 + r1 f + rh sqrt(f) + rm/f and X(f) = x0 + x1 f + xm/f, whose
/// mean stored energies are |I|^2 (m0 + mi/f) and |I|^2 (ei/f + e2/f^2), and a capacitance cp in parallel with all of
/// it. Every R, L, C with its losses is one of these, so a sweep needs no case distinction inside its loops.
struct Branch {
  double r0 = 0.0, r1 = 0.0, rh = 0.0, rm = 0.0;
  double x0 = 0.0, x1 = 0.0, xm = 0.0;
  double m0 = 0.0, mi = 0.0, ei = 0.0, e2 = 0.0;
  double cp = 0.0;
};

/// A part's branch. None for a bank of several capacitors, which has as many in parallel, and for transformer and line.
/// @throws DomainError  a value outside its stated range
std::optional<Branch> single_branch(const Component& part);

/// The branches in parallel of a bank. @throws DomainError  it is empty, or a value is outside its stated range
std::vector<Branch> branches(const CapacitorBank& bank);

/// No impedance at any frequency.
bool is_short(const Branch& branch);

/// Impedance of one branch. frequency_hz > 0.
cdouble impedance(const Branch& branch, double frequency_hz);

/// Checks transformer and line. @throws DomainError
void check_two_port(const Component& part);

}  // namespace stile::network::detail
