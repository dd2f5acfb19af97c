#pragma once
// Two-ports as Z, Y, S and T matrices, and the conversions between them and the chain matrix. For library users; the
// tools need chain matrices only.
//
// Not every two-port has every matrix: a series element alone has no Z, a shunt element alone no Y, and where nothing
// gets from port 1 to port 2 there is no chain and no T. Each conversion throws DomainError when its target does not
// exist, and takes a road on which the source is enough: Z, Y and S convert directly, so that S describes them all.
//
// Voltages and currents: V1, V2 across the ports; I1, I2 *into* the ports (the chain matrix counts I2 the other way).
// The wave definitions are in waves.hpp; every S and T carries its own, with the reference impedance of each port.

#include <stile/network/chain.hpp>
#include <stile/network/waves.hpp>

namespace stile::network {

/// V1 = z11 I1 + z12 I2, V2 = z21 I1 + z22 I2; ohm.
struct ImpedanceMatrix {
  cdouble z11, z12, z21, z22;
};

/// I1 = y11 V1 + y12 V2, I2 = y21 V1 + y22 V2; siemens.
struct AdmittanceMatrix {
  cdouble y11, y12, y21, y22;
};

/// b1 = s11 a1 + s12 a2, b2 = s21 a1 + s22 a2. The reference impedances are in ohm, real part > 0.
/// A definition left out is refused by every conversion.
struct ScatteringMatrix {
  cdouble s11, s12, s21, s22;
  WaveDefinition definition{};  ///< to be stated: empty is refused
  cdouble z_ref1, z_ref2;
};

/// Scattering transfer matrix in the sense b1 = t11 a2 + t12 b2, a1 = t21 a2 + t22 b2, so that t22 = 1/s21 and
/// t12/t22 = s11. (Some books exchange rows and columns.) The matrix of a row is the product of the matrices when
/// the waves agree at each joint: see cascade(TransferMatrix, TransferMatrix).
struct TransferMatrix {
  cdouble t11, t12, t21, t22;
  WaveDefinition definition{};  ///< to be stated: empty is refused
  cdouble z_ref1, z_ref2;
};

// Accuracy of all conversions: a few ulp of the largest term that enters; going to another matrix and back returns
// the original within 1e-12 of its norm for the random networks of test_two_port.cpp, whose determinants are not
// within a factor of 50 of 0. All throw DomainError when an entry is not finite, a reference has no positive real
// part, the definition is not stated, or the target does not exist. "Does not exist" is judged within rounding: a
// determinant below 16 epsilon of its terms counts as 0. Source: linear algebra on the definitions above; the S
// formulas are those of D. A. Frickey, IEEE Trans. MTT-42(2), 205-211, 1994 (from memory) for power waves, written
// with V - W I, W = Z*; W = Z gives the other two definitions (R. B. Marks, D. F. Williams, IEEE Trans. MTT-43(4),
// 1995, point out that the definitions must not be mixed).

Chain to_chain(const ImpedanceMatrix& z);
Chain to_chain(const AdmittanceMatrix& y);
Chain to_chain(const ScatteringMatrix& s);
Chain to_chain(const TransferMatrix& t);

ImpedanceMatrix to_impedance(const Chain& chain);
ImpedanceMatrix to_impedance(const AdmittanceMatrix& y);
ImpedanceMatrix to_impedance(const ScatteringMatrix& s);
ImpedanceMatrix to_impedance(const TransferMatrix& t);

AdmittanceMatrix to_admittance(const Chain& chain);
AdmittanceMatrix to_admittance(const ImpedanceMatrix& z);
AdmittanceMatrix to_admittance(const ScatteringMatrix& s);
AdmittanceMatrix to_admittance(const TransferMatrix& t);

/// @param z_ref1, z_ref2  reference impedance of port 1 and of port 2, ohm; finite, real part > 0
ScatteringMatrix to_scattering(const Chain& chain, WaveDefinition definition, cdouble z_ref1, cdouble z_ref2);
ScatteringMatrix to_scattering(const ImpedanceMatrix& z, WaveDefinition definition, cdouble z_ref1, cdouble z_ref2);
ScatteringMatrix to_scattering(const AdmittanceMatrix& y, WaveDefinition definition, cdouble z_ref1, cdouble z_ref2);
/// Same definition and references as t.
ScatteringMatrix to_scattering(const TransferMatrix& t);

TransferMatrix to_transfer(const Chain& chain, WaveDefinition definition, cdouble z_ref1, cdouble z_ref2);
TransferMatrix to_transfer(const ImpedanceMatrix& z, WaveDefinition definition, cdouble z_ref1, cdouble z_ref2);
TransferMatrix to_transfer(const AdmittanceMatrix& y, WaveDefinition definition, cdouble z_ref1, cdouble z_ref2);
/// Same definition and references as s.
TransferMatrix to_transfer(const ScatteringMatrix& s);

/// The same two-port in another definition, to other references, or both. Works for every S, also where nothing gets
/// through.
/// @throws DomainError  as above, or the two-port has no finite S to the new references (active ones only)
ScatteringMatrix renormalise(const ScatteringMatrix& s, WaveDefinition definition, cdouble z_ref1, cdouble z_ref2);

/// The row `first`, `second` as one matrix.
///
/// The wave that leaves one must be the wave that enters the other. Pseudo and travelling waves need the same
/// reference on both sides of the joint; power waves need the complex conjugate (the source's reference is the
/// conjugate of what it matches), the same only where it is real.
/// @throws DomainError  the definitions differ, or the references at the joint do not agree as said (compared exactly)
TransferMatrix cascade(const TransferMatrix& first, const TransferMatrix& second);

}  // namespace stile::network
