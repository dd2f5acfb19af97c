#pragma once
// The textbook's loss of a line with standing waves. For library users: good for a quick figure and for checking
// printed tables; the ladder's own power balance (dissipation_loss_db) has none of the limits below.

namespace stile::network {

/// Total loss of a mismatched line: 10 log10[(a^2 - r^2) / (a (1 - r^2))] with a = 10^(matched loss/10) and r the
/// magnitude of the reflection coefficient at the load.
///
/// @param matched_loss_db  loss of the same piece when matched, dB; finite, >= 0
/// @param swr_at_load      finite, >= 1
/// @return                 dB, >= matched_loss_db
/// @throws DomainError  an argument is out of range
/// Limits: the formula takes z0 as real and the loss as spread evenly over the standing wave, so it cannot tell a
/// high from a low load impedance. Wrong for pieces short against a wavelength: 3 m of a 50 ohm line at 1.85 MHz with
/// 0.058 dB matched loss have 1.23 dB into 2 ohm but 0.038 dB into 2000 ohm, less than matched, while the formula
/// says 0.67 dB (SWR 25) and 1.02 dB (SWR 40). With complex z0 the additional loss may be negative. Use line_chain
/// and dissipation_loss_db there.
/// Accuracy: 2e-15 relative (test_swr_loss.cpp, 0.01 to 20 dB, SWR to 100, long double); against the power balance of a
/// line with real z0 1e-14 dB times SWR and |Zin|/Re(Zin).
/// Source: textbook formula (common practice); follows from |reflection| falling by a on the way to the input.
double total_loss_db(double matched_loss_db, double swr_at_load);

/// SWR at the line's input, (a + r)/(a - r); the same limits.
/// Accuracy: as total_loss_db.
double swr_at_input(double matched_loss_db, double swr_at_load);

}  // namespace stile::network
